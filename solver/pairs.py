"""Multiwire pairs (210.4): two circuits on opposite legs that share a neutral, as one candidate.

Each half is what a single circuit must be: load, counts, wishes. Only 120 V receptacles and
hard-wired machines on 15 or 20 A are paired; lights are not, since the tied breakers would turn
off both lighting circuits at once.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING, Final

from solver.candidate import Candidate
from solver.catalogue import CABLE_AWGS
from solver.every_tree import Layouts, every_pair_tree
from solver.halves import Dealing, Halves, Items
from solver.load import CONTINUOUS_SHARE, Load, is_bare_compressor
from solver.pair_tree import Deal, PairTrees
from solver.pair_wiring import PairWiring, both
from solver.refusal import Refusal
from solver.site import MOST_JOINED
from solver.tree import MOST_OPTIONAL, NO_WAY

if TYPE_CHECKING:
    from solver.circuit import Circuits

PAIR_RATINGS: Final = (20, 15)
LARGEST_AMPS: Final = max(PAIR_RATINGS)
MOST_STEPS: Final = 2_000
MOST_LOOKED_FOR: Final = 200  # steps, in sets of many items
MOST_LISTED: Final = 8  # items; of more, halves are looked for as they are needed


class Pairs:
    """The multiwire pairs of a shop, made on demand."""

    def __init__(self, circuits: "Circuits") -> None:
        self.circuits = circuits
        items = circuits.points.items
        self._suited = frozenset(
            n
            for n, item in enumerate(items)
            if not item.pins
            and all(
                point.volts == 120 and point.kind != "lights" and not point.switches
                for point in item.points
            )
            and not any(map(self._has_own_article, self._machines(frozenset({n}))))
        )
        self._crowded: dict[Items, bool] = {}
        self._fit: dict[tuple[Items, int], bool] = {}
        self._trees: dict[tuple[object, ...], PairTrees] = {}
        self._amps = [self._item_amps(n) for n in range(len(items))]
        self._boxes = [frozenset(point.box for point in item.points if point.box) for item in items]
        self._seats = dict(self._seats_of_machines())

    def candidates(self, items: Items) -> tuple[Candidate, ...]:
        """The cheapest pair for each panel and the raceways it uses; cheapest first."""
        if len(items) < 2 or not items <= self._suited or self._hopeless_load(items):
            return ()
        best: dict[tuple[str, ...], Candidate] = {}
        least: list[int] = []  # what refused builds could have cost
        built: list[Candidate] = []
        monotone = all(p.receptacles == 2 for p in self.circuits.points_of(items) if p.box)
        for amps in PAIR_RATINGS:
            if monotone and built and self._gains_nothing(amps, built):
                break
            few = len(items) <= MOST_LISTED
            listed = list(self._halves(items, amps)) if few else None
            first = next(iter(self._halves(items, amps) if listed is None else listed), None)
            if first is None and monotone:
                break  # what does not fit a larger rating fits no smaller one
            for made in self._builds(items, amps, first, listed) if first else ():
                (least if isinstance(made, int) else built).append(made)  # type: ignore[arg-type]
        if self._tries_every_tree(items):
            return tuple(self.circuits.worth_keeping(self._along_every_tree(items)))
        for made in built:
            used = (made.panel, *sorted(made.raceways), *sorted(made.passages))
            if used not in best or self.circuits.rank(made) < self.circuits.rank(best[used]):
                best[used] = made
        least = [cost for cost in least if not self._beaten(items, cost)]
        if least and not best:
            self.circuits.exact = False
        found = sorted(best.values(), key=self.circuits.rank)
        return tuple(self._floored(made, least) for made in found)

    def _tries_every_tree(self, items: Items) -> bool:
        """Whether boxes and halves are so few that all are tried."""
        circuits = self.circuits
        boxes = frozenset().union(*(self._boxes[item] for item in items))
        few = len(boxes) + len(circuits.junctions) <= MOST_JOINED and len(items) <= MOST_LISTED
        return circuits.every_tree and few

    def _along_every_tree(self, items: Items) -> Iterator[Candidate]:
        """Pairs of all halves along every tree by all ways, of every rating and conductor."""
        circuits = self.circuits
        start = CABLE_AWGS.index(circuits.shop.code.smallest_receptacle_conductor)
        for amps, panel in product(PAIR_RATINGS, circuits.sources):
            for halves in self._every_halves(items, amps):
                union = both(halves[0][1], halves[1][1])
                for awg in CABLE_AWGS[start:]:
                    wiring = PairWiring(circuits, union, amps, awg, circuits.everything, panel)
                    layouts = Layouts(
                        wiring, every_pair_tree(wiring, halves), wiring.keeper(halves)
                    )
                    made = (wiring.laid_as_pair(edges, halves, 0) for edges in layouts.edges)
                    built = [one for one in made if isinstance(one, Candidate)]
                    yield from (replace(one, floor=None) for one in built)
                    if layouts.all_do and circuits.ends_with(built):
                        break

    def _every_halves(
        self, items: Items, amps: int
    ) -> Iterator[tuple[tuple[Items, Load], tuple[Items, Load]]]:
        """All halves, their machines plugged in in every way, that are for a rating."""
        circuits = self.circuits
        for one, other in map(self._named_first, self._halves(items, amps)):
            for loads in product(*(circuits.every_load(half) for half, _ in (one, other))):
                if all(circuits.rating_unfit(amps, load) is None for load in loads):
                    yield (one[0], loads[0]), (other[0], loads[1])

    def likely(self, items: Items) -> Candidate | None:
        """A pair of these items with every box on its trunk: nearly the cheapest, soon made."""
        if len(items) < 2 or not items <= self._suited or self._hopeless_load(items):
            return None
        for amps in PAIR_RATINGS:
            dealt = next(self._halves(items, amps), None)
            if dealt is None:
                continue
            halves = self._named_first(dealt)
            found = (self._on_trunk(halves, amps, panel) for panel in self.circuits.sources)
            made = [one for one in found if one is not None]
            return min(made, key=self.circuits.rank, default=None)
        return None

    def _on_trunk(
        self, halves: tuple[tuple[Items, Load], tuple[Items, Load]], amps: int, panel: str
    ) -> Candidate | None:
        """The first conductor that does, all boxes on three wires."""
        union = both(halves[0][1], halves[1][1])
        start = CABLE_AWGS.index(self.circuits.shop.code.smallest_receptacle_conductor)
        everything = frozenset(self.circuits.ways.raceways)
        for awg in CABLE_AWGS[start:]:
            wiring = PairWiring(self.circuits, union, amps, awg, everything, panel)
            if not wiring.carries_at_best:
                continue
            deal = frozenset(wiring.boxes), frozenset[str](), frozenset[str]()
            made = wiring.pair(self._trees_of(wiring).edges(deal), halves, 0)
            if isinstance(made, Candidate):
                return made
        return None

    def _gains_nothing(self, amps: int, built: list[Candidate]) -> bool:
        """Whether a smaller rating has the same trees at no lower price: the larger one was built
        of the smallest conductors. Of duplexes every half that fits a smaller rating fits a larger.
        """
        circuits = self.circuits
        prices = circuits.catalogue.breaker
        dearer = all(
            (prices(amps, poles, gfci) or NO_WAY) >= (prices(LARGEST_AMPS, poles, gfci) or NO_WAY)
            for poles, gfci in ((1, False), (2, False), (2, True))
        )
        smallest = circuits.shop.code.smallest_receptacle_conductor
        alike = smallest != "14" and all(made.awg == smallest for made in built)
        return dearer and alike

    def _floored(self, made: Candidate, least: list[int]) -> Candidate:
        """A candidate that says so where something cheaper may have been overlooked."""
        floor = min([self.circuits.rank(made)[0] if made.floor is None else made.floor, *least])
        return replace(made, floor=floor) if floor < self.circuits.rank(made)[0] else made

    def _beaten(self, items: Items, least: int) -> bool:
        """Whether two circuits of two wires in cable do for these items what a pair would, for no
        more: leaving the pair out then takes nothing from what can be proved.
        """
        if len(self.circuits.sources) > 1 or len(items) > MOST_LISTED:
            return False
        for left, right in self._halves(items, LARGEST_AMPS):
            found = [self.circuits.candidates(half) for half in (left, right)]
            made = [one[0] for one in found if not isinstance(one, Refusal)]
            plain = [one for one in made if one.poles == 1 and not one.raceways]
            cost = sum(self.circuits.rank(one)[0] for one in plain)
            if len(plain) == len(found) and cost <= least:
                return True
        return False

    # -- halves

    def hopeless(self, items: Items) -> bool:
        """Whether no set with these items in it can be a pair either."""
        if not items <= self._suited or self._hopeless_load(items):
            return True
        dealing = Dealing(self._amps, self._crowds, {}, {}, MOST_STEPS)
        return next(dealing.halves(sorted(items)), None) is None and not dealing.cut_short

    def _hopeless_load(self, items: Items) -> bool:
        """Whether the worst state of all is more than two of the largest breakers hold."""
        return self._draws_more(items, 2 * LARGEST_AMPS)

    def _item_amps(self, item: int) -> float:
        """Current of the machines of an item, continuous ones at 125 %. [A]"""
        return sum(self._weights(frozenset({item})).values())

    def _machines(self, items: Items) -> list[str]:
        points = self.circuits.points
        names = {
            name
            for point in self.circuits.points_of(items)
            for name in (*points.fixed.get(point.id, ()), *filter(None, (point.machine,)))
        }
        return sorted(names)

    def _seats_of_machines(self) -> Iterator[tuple[int, Items]]:
        """Items that are a machine, each with the items that have a yoke it may have."""
        items = self.circuits.points.items
        at = {point.id: number for number, item in enumerate(items) for point in item.points}
        for number, item in enumerate(items):
            for point in item.points:
                if point.options:
                    yield number, frozenset(at[name] for name in point.options if name in at)

    def _has_own_article(self, name: str) -> bool:
        """Whether a nameplate or article 440 or 630 sizes its circuit: it keeps one of its own."""
        machine = self.circuits.points.machines[name]
        marked = machine.mca_amps is not None or machine.i1eff_amps is not None
        return marked or is_bare_compressor(machine)

    def _weights(self, items: Items) -> dict[str, float]:
        points = self.circuits.points
        return {
            name: points.amps[name] * (CONTINUOUS_SHARE if points.machines[name].lasting else 1.0)
            for name in self._machines(items)
        }

    def _draws_more(self, items: Items, amps: float) -> bool:
        """Whether the worst state of some items is above a limit."""
        if sum(self._amps[n] for n in items) <= amps + 1e-9:
            return False
        return self.circuits.loads.worst(self._weights(items))[1].load > amps + 1e-9

    def _crowds(self, items: Items) -> bool:
        """Whether no half may have these items in it, whatever else it has."""
        if items not in self._crowded:
            unfit = self.circuits.unfit(self.circuits.points_of(items))
            refused = unfit is not None and unfit.final
            self._crowded[items] = refused or self._draws_more(items, LARGEST_AMPS)
        return self._crowded[items]

    def _fits(self, items: Items, amps: int) -> bool:
        key = items, amps
        if key not in self._fit:
            self._fit[key] = self.circuits.fits(items, amps)
        return self._fit[key]

    def _halves(self, items: Items, amps: int, deal: Deal | None = None) -> Iterator[Halves]:
        """Halves that fit their breakers, the heaviest items dealt first."""
        sides: dict[int, int] = {}
        if deal is not None:
            for item in items:
                here = [side for side in (0, 1) if self._boxes[item] & deal[side + 1]]
                if len(here) > 1:
                    return
                sides.update(dict.fromkeys([item] if here else [], *here))
        order = sorted(items, key=lambda n: (-self._amps[n], n))
        seats = {item: self._seats[item] for item in order if item in self._seats}
        most = MOST_STEPS if len(items) <= MOST_LISTED else MOST_LOOKED_FOR
        dealing = Dealing(self._amps, self._crowds, sides, seats, most)
        for left, right in dealing.halves(order):
            if self._fits(left, amps) and self._fits(right, amps):
                yield left, right
        self.circuits.exact &= not dealing.cut_short

    # -- building

    def _builds(
        self, items: Items, amps: int, first: Halves, listed: list[Halves] | None
    ) -> Iterator[Candidate | int]:
        """Pairs of one rating, or what no pair that was refused could go below.

        `first`: halves that fit; `listed`: all of them, where they are few.
        """
        circuits = self.circuits
        union = both(self._load(first[0]), self._load(first[1]))
        start = CABLE_AWGS.index(circuits.shop.code.smallest_receptacle_conductor)

        def halves_of(deal: Deal) -> Halves | None:
            if listed is None:
                return next(self._halves(items, amps, deal), None)
            return next((found for pair in listed if (found := self._as_dealt(pair, deal))), None)

        for panel in circuits.sources:
            for allowed in circuits.raceway_choices(union, panel):
                best: Candidate | None = None
                for awg in CABLE_AWGS[start:]:
                    if best is not None and not circuits.catalogue.cheaper(awg, best.awg):
                        continue
                    wiring = PairWiring(circuits, union, amps, awg, allowed, panel)
                    if not wiring.carries_at_best:
                        continue
                    trees = self._trees_of(wiring)
                    tree = trees.cheapest(
                        wiring.boxes, circuits.junctions, lambda deal: halves_of(deal) is not None
                    )
                    if tree is None:
                        continue
                    halves = halves_of(tree.deal)
                    assert halves is not None
                    exact = trees.in_all_ways(wiring.boxes, circuits.junctions)
                    least = tree.cost if exact else trees.least(wiring.boxes, circuits.junctions)
                    circuits.exact &= exact or len(circuits.junctions) <= MOST_OPTIONAL
                    made = wiring.pair(trees.edges(tree.deal), self._named_first(halves), least)
                    if isinstance(made, int):
                        yield made
                    elif made is not None:
                        best = min(best or made, made, key=circuits.rank)
                if best is not None:
                    yield best

    def _trees_of(self, wiring: PairWiring) -> PairTrees:
        """Trees of alike wiring, kept with what they found."""
        alike = wiring.panel, wiring.awg, wiring.ground["raceway"], wiring.allowed
        if alike not in self._trees:
            self._trees[alike] = PairTrees(wiring.panel, wiring.two_wire, wiring.priced)
        return self._trees[alike]

    def _as_dealt(self, pair: Halves, deal: Deal) -> Halves | None:
        """A pair the way round in which tails carry the half that they are dealt to."""
        for left, right in (pair, pair[::-1]):
            if not (deal[1] & self._boxes_of(right) or deal[2] & self._boxes_of(left)):
                return left, right
        return None

    def _boxes_of(self, items: Items) -> frozenset[str]:
        return frozenset().union(*(self._boxes[item] for item in items))

    def _load(self, items: Items) -> Load:
        load = self.circuits.loaded(items)
        assert not isinstance(load, Refusal), "halves were asked whether they fit"
        return load

    def _named_first(self, halves: Halves) -> tuple[tuple[Items, Load], tuple[Items, Load]]:
        """Halves with their loads, the one whose outlet comes first by name on `hot`."""
        one, other = sorted(
            ((items, self._load(items)) for items in halves), key=lambda half: min(half[1].names)
        )
        return one, other
