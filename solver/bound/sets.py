"""What every circuit of a small part costs at least, set by set.

Where a part has few items, all sets of them that may be one circuit are looked at. A circuit of a
set costs no less than: the cheapest breaker that suits, with a GFCI where one is asked for; its
devices; the smallest conductor that holds the load and keeps the voltage on the straightest way;
the cheapest tree over its boxes, by any ways that conductor may take, junction boxes where they
help, of few boxes the cheapest that keeps the voltage; between switches of one group, runs of three
wires; and the least that days to come ask for. Nothing is asked about what boxes and raceways hold,
so the least is never above what any circuit of the set costs. Costs in the first objective.
"""

from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from itertools import chain, combinations, islice
from typing import Final

from solver.bound.days import Days
from solver.bound.drops import Drops
from solver.bound.near import Near
from solver.bound.parts import Part
from solver.catalogue import CABLE_AWGS, RATINGS
from solver.circuit import Circuits
from solver.every_tree import home_trees
from solver.garage import GarageNeed
from solver.load import Load, boxes_of
from solver.pair_wiring import PairWiring
from solver.pairs import PAIR_RATINGS
from solver.pins import Pinned
from solver.refusal import Refusal
from solver.site import MOST_JOINED
from solver.switched import Row, all_ordered, live_boxes, orders, rows_of
from solver.tree import MOST_OPTIONAL, NO_WAY, Costs, best_tree
from solver.wiring import Wiring

MOST_ITEMS: Final = 12
MOST_SETS: Final = 800
MOST_SEATS: Final = 24  # ways to plug in the machines of a set

Items = frozenset[int]
Run = tuple[int, str, str]  # what it costs, and its ends


class Sets:
    """Every set of items of some parts that may be a circuit, with what it costs at least.

    `paired`: whether the two halves of multiwire pairs may be of these parts.
    """

    def __init__(self, circuits: Circuits, parts: Sequence[Part], *, paired: bool) -> None:
        self.circuits, self.parts, self.paired = circuits, parts, paired
        boxes = {box for part in parts for box in part.at}
        self.drops = Drops(circuits, Near(circuits, boxes.union(circuits.junctions)))
        self.days = Days(circuits)
        self.items = sorted(item for part in parts for item in part.items)
        self.least: dict[Items, int] = {}
        self.known = (
            len(self.items) <= MOST_ITEMS
            and len(circuits.junctions) <= MOST_OPTIONAL
            and self._grow()
        )

    def _grow(self) -> bool:
        """Sets by size; one that holds what may not be together is in none. False: too many."""
        level = [frozenset([item]) for item in self.items]
        looked_at = 0
        while level:
            grown = []
            for items in level:
                looked_at += 1
                cost = self._least(items)
                if cost is None or looked_at > MOST_SETS:
                    return False
                if cost < NO_WAY:
                    self.least[items] = cost
                last = max(items)
                grown += [
                    items | {item}
                    for item in self.items
                    if item > last and self._may_be(items | {item})
                ]
            level = grown
        return True

    def holds(self, yokes: frozenset[str]) -> bool:
        """Whether all of some yokes are of these parts."""
        return yokes <= {point.id for point in self.circuits.points_of(self.items)}

    def may_serve(self, items: Items, need: GarageNeed) -> bool:
        """Whether a circuit of a set may be the one that a dwelling's garage needs; of a pair it
        is taken for granted where a yoke is on it that it is about.
        """
        points = self.circuits.points_of(items)
        if self.paired and len(items) > 1:
            return any(point.id in need.yokes for point in points)
        return need.met_by_load(self.circuits.loads.of(points, {}))

    def _may_be(self, items: Items) -> bool:
        """Whether a set may be on one circuit, or on the two of a pair."""
        return self._circuits(items) <= (2 if self.paired else 1)

    def _circuits(self, items: Items) -> int:
        """The least number of circuits that a set can be dealt to, as far as is known."""
        return sum(
            part.needed(mine) for part in self.parts if (mine := items & frozenset(part.items))
        )

    def _least(self, items: Items) -> int | None:
        """What a circuit of a set costs at least, `NO_WAY` where it can be none; None: not known.

        A machine without a yoke in the set is on no circuit yet, others may be.
        """
        circuits = self.circuits
        points = circuits.points_of(items)
        if not any(point.box for point in points):
            return NO_WAY
        found = [NO_WAY]
        if self._circuits(items) == 1 and circuits.unfit(points) is None:
            seats = list(islice(circuits.every_load(items), MOST_SEATS + 1))
            if len(seats) > MOST_SEATS:
                return None
            found += [self._as_one(load, panel) for load in seats for panel in self._panels]
        if self.paired and len(items) > 1:
            union = circuits.loads.of(points, {})
            found += [self._as_pair(union, panel) for panel in self._panels]
        if len(points) == 1 or sum(point.box is not None for point in points) == 1:
            return max(min(found), self._exactly(items))
        return min(found)

    def _exactly(self, items: Items) -> int:
        """What a circuit costs of which all is known that it may be; 0 where it is not."""
        circuits = self.circuits
        before, circuits.exact = circuits.exact, True
        made = circuits.candidates(items)
        known, circuits.exact = circuits.exact, before
        if not known or isinstance(made, Refusal):
            return 0
        return min(one.floor if one.floor is not None else circuits.rank(one)[0] for one in made)

    @property
    def _panels(self) -> Sequence[str]:
        return list(self.circuits.panels)

    # -- one circuit

    def _as_one(self, load: Load, panel: str) -> int:
        """The least as one circuit from a panel, its machines plugged in so."""
        circuits, best = self.circuits, NO_WAY
        did: int | None = None
        for amps in RATINGS:
            if circuits.rating_unfit(amps, load) is not None or self._only_dearer(amps, did, load):
                continue
            for awg in circuits._sizes(load, Pinned()):
                if not self.drops.reaches(load, awg, panel):
                    continue
                wiring = Wiring(circuits, load, amps, awg, circuits.everything, panel)
                refused = wiring._too_hot()
                wiring.refused = refused
                wiring.priced = wiring.priced_for(2)
                cost, cheapest = self._wired(wiring)
                if cost < NO_WAY:
                    later = self._later(load, panel)
                    best, did = min(best, cost + later), amps if did is None else did
                    if cheapest and not refused:
                        break
        return best

    def _only_dearer(self, amps: int, did: int | None, load: Load) -> bool:
        """Whether a breaker costs no less than a smaller one that did; conductors as large at least
        are asked for behind it.
        """
        if did is None:
            return False
        prices, poles = self.circuits.catalogue.breaker, load.volts // 120
        if all(point.kind == "hard-wired" for point in load.outlets):
            return True  # its breaker is no larger than need be
        return all(
            (prices(amps, poles, gfci) or NO_WAY) >= (prices(did, poles, gfci) or NO_WAY)
            for gfci in (False, True)
        )

    def _wired(self, wiring: Wiring) -> tuple[int, bool]:
        """Breaker, devices and the cheapest tree; whether it is that whatever voltage is kept."""
        plain = wiring.breaker_cents(gfci=False)
        devices = wiring._devices_cents(None)
        if plain is None or devices is None:
            return NO_WAY, False
        parts = 0 if self.circuits.copper_first else 100 * (plain + devices)
        tree, cheapest = self._tree(wiring)
        return min(NO_WAY, parts + tree), cheapest

    def _tree(self, wiring: Wiring) -> tuple[int, bool]:
        """A home run and the cheapest tree over all boxes that keeps the voltage."""
        rows = rows_of(wiring.load.outlets)
        if rows:
            return self._switched(wiring, rows), True
        boxes, junctions = sorted(boxes_of(wiring.load)), self.circuits.junctions
        priced = wiring.priced
        tree = best_tree(
            wiring.panel, boxes, junctions, priced.costs, priced.spanning, wiring.home_extra
        )
        if tree is None:
            return NO_WAY, False
        if len(boxes) + len(junctions) > MOST_JOINED or self.drops.keeps(wiring, tree.edges):
            return tree.cost, True
        extra = cache(wiring.home_extra)
        costs = (
            (sum(priced.costs[start][end] for start, end in runs) + extra(runs[0][1]), runs)
            for runs in home_trees(wiring.panel, boxes, junctions)
        )
        keeping = (cost for cost, runs in sorted(costs) if self.drops.keeps(wiring, runs))
        return next(keeping, NO_WAY), False

    def _switched(self, wiring: Wiring, rows: Sequence[Row]) -> int:
        """The same where something is switched, whatever voltage it keeps.

        From switch to switch of a group and on to what it switches lead runs of that group alone,
        in some order of its switches (`solver.switched`); the rest is joined where there is a hot.
        """
        costs, wanting = wiring.priced.costs, live_boxes(wiring.load.outlets)
        every_order = list(orders(rows)) if all_ordered(rows) else [()]
        laid = []  # behind switches: cost of the runs, what then wants a hot, what has it by them
        for order in every_order:
            behind = wiring.behind(order)
            if behind is None:
                continue
            held = sum(wiring.priced_for(len(how)).costs[a][b] for (a, b), how in behind.items())
            hot = wanting | {row.chain[0] for row in order}
            joined = [(row.chain[0], box) for row in order for box in sorted(row.fed & wanting)]
            laid.append((held, frozenset(hot if order else boxes_of(wiring.load)), joined))
        extra, best = cache(wiring.home_extra), NO_WAY
        for used in _subsets(self.circuits.junctions):
            found: dict[frozenset[str], tuple[int, list[Run]]] = {}
            for held, hot, joined in laid:
                nodes = [*sorted(hot), *used]
                if hot not in found:
                    home = min(costs[wiring.panel][node] + extra(node) for node in nodes)
                    found[hot] = home, _sorted(nodes, costs)
                home, runs = found[hot]
                best = min(best, held + _spanning(nodes, joined, runs) + home)
        return best

    def _later(self, load: Load, panel: str) -> int:
        """What days to come ask for at least, where something or nothing is done about them."""
        outlets = len(load.outlets)
        return sum(
            self.days.least(machine, load.placed[machine], panel, outlets)
            for machine in self.circuits.later.on(load)
        )

    def _undone(self, union: Load, panel: str) -> int:
        """The same of a pair, of which nothing is done about any."""
        fixed, total = self.circuits.points.fixed, 0
        for point in union.points:
            for machine in (*fixed.get(point.id, ()), *filter(None, [point.machine])):
                if machine in self.circuits.later.planned:
                    yokes = point.options or (point.id,)
                    total += min(self.days.least(machine, yoke, panel, 0) for yoke in yokes)
        return total

    # -- a multiwire pair

    def _as_pair(self, union: Load, panel: str) -> int:
        """The least as a pair: three wires in the home run, two at least in all others."""
        circuits, best = self.circuits, NO_WAY
        if any(point.kind == "lights" or point.switches for point in union.points):
            return NO_WAY
        start = CABLE_AWGS.index(circuits.shop.code.smallest_receptacle_conductor)
        for amps in PAIR_RATINGS:
            for awg in CABLE_AWGS[start:]:
                wiring = PairWiring(circuits, union, amps, awg, circuits.everything, panel)
                if not wiring.carries_at_best:
                    continue
                protection = wiring._protection()
                if protection is not None:
                    parts = 0 if circuits.copper_first else 100 * protection[2]
                    best = min(best, parts + self._pair_tree(wiring) + self._undone(union, panel))
                break
        return best

    def _pair_tree(self, wiring: PairWiring) -> int:
        """Three wires home, and the cheapest tree of two."""
        best = NO_WAY
        for used in _subsets(self.circuits.junctions):
            nodes = [*wiring.boxes, *used]
            tree = _spanning(nodes, [], _sorted(nodes, wiring.two_wire.costs))
            home = min(wiring.priced.costs[wiring.panel][node] for node in nodes)
            best = min(best, tree + home)
        return best


def _subsets(names: Sequence[str]) -> Iterator[tuple[str, ...]]:
    return chain.from_iterable(combinations(names, size) for size in range(len(names) + 1))


def _sorted(nodes: Sequence[str], costs: Costs) -> list[Run]:
    """All runs between some nodes, the cheapest first."""
    return sorted((costs[a][b], a, b) for a, b in combinations(nodes, 2))


def _spanning(
    nodes: Sequence[str],
    joined: Iterable[tuple[str, str]],
    runs: Sequence[Run],
) -> int:
    """The cheapest runs that join nodes, some of which are joined already."""
    root = {node: node for node in nodes}

    def find(node: str) -> str:
        while root[node] != node:
            node = root[node]
        return node

    for start, end in joined:
        root[find(start)] = find(end)
    total, left = 0, len({find(node) for node in nodes}) - 1
    for cost, a, b in runs:
        if not left:
            break
        one, two = find(a), find(b)
        if one != two:
            root[one] = two
            total, left = total + cost, left - 1
    return NO_WAY if left else total
