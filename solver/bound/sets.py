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
from itertools import chain, combinations, islice, product
from typing import Final, NamedTuple

from models.rules.required_outlets import GARAGE_CIRCUIT_AMPS
from solver.bound.days import Days
from solver.bound.drops import Drops
from solver.bound.near import Near
from solver.bound.parts import PAIRED_VOLTS, Part
from solver.catalogue import CABLE_AWGS, RATINGS
from solver.circuit import Circuits
from solver.every_tree import home_trees
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


class Form(NamedTuple):
    """What a set may be: one circuit, prepared for days to come or not, or a pair."""

    cost: int
    circuits: int
    places: int  # spaces of its panel, the one that is kept with them
    serves: frozenset[str] = frozenset()  # needs of a dwelling's garage that it may meet


class Sets:
    """Every set of items of some parts that may be a circuit, with what it costs at least.

    `paired`: whether the two halves of multiwire pairs may be of these parts.
    """

    def __init__(
        self, circuits: Circuits, parts: Sequence[Part], *, paired: bool, near: Near | None = None
    ) -> None:
        self.circuits, self.parts, self.paired = circuits, parts, paired
        boxes = {box for part in parts for box in part.at}
        near = near or Near(circuits, boxes.union(circuits.junctions))
        self.drops = Drops(circuits, near)
        self.days = Days(circuits)
        self.items = sorted(item for part in parts for item in part.items)
        self.forms: dict[Items, list[Form]] = {}
        self.known = self._priced()

    def _priced(self) -> bool:
        """Price all sets; whether these parts are small enough for that."""
        few = len(self.items) <= MOST_ITEMS and len(self.circuits.junctions) <= MOST_OPTIONAL
        return few and self._grow()

    def _panels(self, _: Items) -> Sequence[str]:
        """Panels that circuits of a set are looked at from."""
        return list(self.circuits.panels)

    def _grow(self) -> bool:
        """Sets by size; one that holds what may not be together is in none. False: too many."""
        level = [frozenset([item]) for item in self.items]
        looked_at = 0
        while level:
            grown = []
            for items in level:
                looked_at += 1
                forms = self._forms(items)
                if forms is None or looked_at > MOST_SETS:
                    return False
                if forms:
                    self.forms[items] = forms
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

    def _may_be(self, items: Items) -> bool:
        """Whether a set may be on one circuit, or on the two of a pair."""
        return self._circuits(items) <= (2 if self.paired else 1)

    def _circuits(self, items: Items) -> int:
        """The least number of circuits that a set can be dealt to, as far as is known."""
        return sum(
            part.needed(mine) for part in self.parts if (mine := items & frozenset(part.items))
        )

    def _forms(self, items: Items) -> list[Form] | None:
        """What a set may be, with what that costs at least; None: not known.

        Where a machine finds no yoke in the set, it is none; a larger one may be.
        """
        circuits = self.circuits
        points = circuits.points_of(items)
        if not any(point.box for point in points):
            return []
        found: list[Form] = []
        if self._circuits(items) == 1 and circuits.unfit(points) is None:
            seats = list(islice(circuits.every_load(items), MOST_SEATS + 1))
            if len(seats) > MOST_SEATS:
                return None
            for load, panel in product(seats, self._panels(items)):
                found += self._as_one(load, panel)
        if self.paired and len(items) > 1 and not isinstance(circuits.loads.seat(points), Refusal):
            union = circuits.loads.of(points, {})
            for panel in self._panels(items):
                found += self._as_pair(union, panel)
        if len(points) == 1 or sum(point.box is not None for point in points) == 1:
            found = self._exactly(items) or found
        return _undominated(found)

    def _exactly(self, items: Items) -> list[Form]:
        """The same of circuits of which all is known that they may be; none where it is not."""
        circuits = self.circuits
        before, circuits.exact = circuits.exact, True
        made = circuits.candidates(items)
        known, circuits.exact = circuits.exact, before
        if not known or isinstance(made, Refusal):
            return []
        return [
            Form(
                one.floor if one.floor is not None else circuits.rank(one)[0],
                len(one.halves) or 1,
                one.places,
                frozenset(need.name for need in circuits.garage_needs if need.met_by(one)),
            )
            for one in made
        ]

    # -- one circuit

    def _as_one(self, load: Load, panel: str) -> Iterator[Form]:
        """As one circuit from a panel, its machines plugged in so."""
        circuits = self.circuits
        serves = frozenset(need.name for need in circuits.garage_needs if need.met_by_load(load))
        did: int | None = None
        for amps in RATINGS:
            if circuits.rating_unfit(amps, load) is not None:
                continue
            serving = serves if amps == GARAGE_CIRCUIT_AMPS else frozenset[str]()
            if not serving and self._only_dearer(amps, did, load):
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
                    did = amps if did is None else did
                    undone, ready = self._days_of(wiring)
                    yield Form(cost + undone, 1, wiring.poles, serving)
                    if ready is not None:
                        cost += ready + _third_wire_home(wiring)
                        yield Form(cost, 1, wiring.poles + (wiring.poles == 1))
                    if cheapest and not refused:
                        break

    def _only_dearer(self, amps: int, did: int | None, load: Load) -> bool:
        """Whether a breaker costs no less than a smaller one that did; conductors as large at least
        are asked for behind it.
        """
        if did is None:
            return False
        prices, poles = self.circuits.catalogue.breaker, load.volts // 120
        if all(point.kind == "hard-wired" for point in load.outlets):
            return True  # its breaker is no larger than need be
        if self.circuits.later.on(load):
            return False  # a day to come may ask less of it
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

    def _days_of(self, wiring: Wiring) -> tuple[int, int | None]:
        """What days to come ask for at least: where nothing is done about them, and where some
        are prepared for, None where they cannot be.
        """
        load, undone, least = wiring.load, 0, 0
        shared = len(load.outlets) > 1
        never = bool(rows_of(load.outlets)) or (shared and load.volts != PAIRED_VOLTS)
        outlets = 0 if never else len(load.outlets)
        behind = outlets, wiring.breaker_amps, wiring.asks_for_gfci
        more: list[int] = []  # for being prepared, by machine
        for machine in self.circuits.later.on(load):
            at = machine, load.placed[machine], wiring.panel
            nothing, ready = self.days.undone(*at), self.days.prepared(*at, *behind)
            cheaper = nothing if ready is None else min(nothing, ready)
            undone, least = undone + nothing, least + cheaper
            more += [] if ready is None else [ready - cheaper]
        return undone, least + min(more) if more else None

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

    def _as_pair(self, union: Load, panel: str) -> Iterator[Form]:
        """As a pair: three wires in the home run, two at least in all others. Which half meets
        what a garage needs is not asked.
        """
        circuits = self.circuits
        if any(point.kind == "lights" or point.switches for point in union.points):
            return
        named = {point.id for point in union.outlets}
        serves = frozenset(need.name for need in circuits.garage_needs if need.yokes & named)
        start = CABLE_AWGS.index(circuits.shop.code.smallest_receptacle_conductor)
        for amps in PAIR_RATINGS:
            for awg in CABLE_AWGS[start:]:
                wiring = PairWiring(circuits, union, amps, awg, circuits.everything, panel)
                if not (wiring.carries_at_best and self.drops.reaches(union, awg, panel)):
                    continue
                protection, (tree, cheapest) = wiring._protection(), self._pair_tree(wiring)
                if protection is not None and tree < NO_WAY:
                    parts = 0 if circuits.copper_first else 100 * protection[2]
                    cost = parts + tree + self._undone(union, panel)
                    yield Form(cost, 2, 2, serves if amps == GARAGE_CIRCUIT_AMPS else frozenset())
                if cheapest:
                    break

    def _pair_tree(self, wiring: PairWiring) -> tuple[int, bool]:
        """Three wires home, and the cheapest tree of two that keeps the voltage of what may be
        plugged in; whether it is that whatever voltage is kept.
        """
        boxes, junctions = wiring.boxes, self.circuits.junctions
        home, two = wiring.priced.costs[wiring.panel], wiring.two_wire.costs
        if len(boxes) + len(junctions) > MOST_JOINED:
            return min(
                _spanning(nodes, [], _sorted(nodes, two)) + min(home[node] for node in nodes)
                for used in _subsets(junctions)
                for nodes in [[*boxes, *used]]
            ), True
        costs = sorted(
            (home[runs[0][1]] + sum(two[start][end] for start, end in runs[1:]), runs)
            for runs in home_trees(wiring.panel, boxes, junctions)
        )
        keeping = next((one for one in costs if self.drops.keeps(wiring, one[1])), None)
        return (NO_WAY, False) if keeping is None else (keeping[0], keeping is costs[0])


def _undominated(forms: Iterable[Form]) -> list[Form]:
    """The cheapest first, without those that another does everything for in no more spaces."""
    kept: list[Form] = []
    for form in sorted(forms, key=lambda form: (form.cost, form.places, -len(form.serves))):
        if not any(
            other.places <= form.places
            and other.circuits == form.circuits
            and other.serves >= form.serves
            for other in kept
        ):
            kept.append(form)
    return kept


def _third_wire_home(wiring: Wiring) -> int:
    """What a third wire costs at least in the home run of what is prepared beside others."""
    if len(wiring.load.outlets) == 1:
        return 0
    two, three = wiring.priced.costs, wiring.priced_for(3).costs
    ends = [*boxes_of(wiring.load), *wiring.site.junctions]
    more = [three[wiring.panel][end] - two[wiring.panel][end] for end in ends]
    return max(0, min(more))


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
