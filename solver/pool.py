"""The pool: candidate circuits to select from.

Small shops: every set of items that can be a circuit, found by growing sets and dropping those
that no growth can mend; the pool is then complete. Larger shops: a search over whole circuits
(`solver.search`) that asks for sketches; the linear relaxation over everything it looked at says
which sets are worth making exactly.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.lighting import new_light_circuits
from solver.panel import free_spaces
from solver.points import Item
from solver.refusal import Refusal
from solver.search import NONE, Annealer, Group, Limits, Scarce
from solver.selection import Selection
from solver.shortlist import Column, Rows, shortlist
from solver.sketch import Sketcher
from solver.solve import Control

MOST_ENUMERATED_ITEMS: Final = 16
MOST_ENUMERATED_SETS: Final = 40_000
MOVES_PER_EFFORT: Final = 2_000
QUICK_MOVES: Final = 2_000
NEAREST: Final = 24
HOT: Final = 0.05
COLD: Final = 0.001  # of what a circuit costs on average
MOST_MENDED: Final = 8
MENDING: Final = 0.25  # of the moves
MOST_EXACT: Final = 1_500
MOST_SELECTED: Final = 2_000
SCARCE_PRICE: Final = {"box volume": 1_000, "raceway area": 20_000, "raceway heat": 300_000}
DEARER: Final = 4


@dataclass(frozen=True)
class Pool:
    """Candidates, whether no circuit there could be is cheaper, and a first choice."""

    candidates: Sequence[Candidate]
    complete: bool
    first: tuple[Candidate, ...]


def make_pool(circuits: Circuits, control: Control) -> Pool:
    """Enumerate a small shop after a quick search; search a larger one with all the effort.

    When time is up the best choice found is all there is left to select from.
    """
    effort = MOVES_PER_EFFORT * control.effort
    if len(circuits.points.items) <= MOST_ENUMERATED_ITEMS:
        first = Search(circuits, control).run(min(QUICK_MOVES, effort))
        if enumerate_all(circuits, control):
            return Pool(circuits.pool(), circuits.exact, first)
    search = Search(circuits, control)
    first = search.run(effort)
    if control.cut_short and first:
        return Pool(first, False, first)
    return Pool(search.worth_selecting(first), False, first)


def enumerate_all(circuits: Circuits, control: Control) -> bool:
    """Ask for every set that may be a circuit; False when there are too many or work stops.

    A refusal that is final for a set is final for every larger one, so sets grow item by item
    from those that were not refused for good.
    """
    everything = len(circuits.points.items)
    level = [frozenset([item]) for item in range(everything)]
    asked = 0
    while level:
        grown: list[frozenset[int]] = []
        for items in level:
            asked += 1
            if asked > MOST_ENUMERATED_SETS or control.over():
                return False
            made = circuits.candidates(items)
            if not (isinstance(made, Refusal) and made.final):
                grown.extend(items | {item} for item in range(max(items) + 1, everything))
        level = grown
    return True


class Steps(dict[int, int]):
    """What it costs to go on from one item to each other, worked out when first asked for."""

    def __init__(self, sketch: Sketcher, item: int) -> None:
        super().__init__()
        self.sketch, self.item = sketch, item

    def __missing__(self, other: int) -> int:
        step = self[other] = self.sketch.step(self.item, other)
        return step


class Search:
    """The search for circuits of one shop."""

    def __init__(self, circuits: Circuits, control: Control) -> None:
        self.circuits, self.control = circuits, control
        self.sketch = Sketcher(circuits)
        self.items = circuits.points.items
        shop = circuits.shop
        free = sum(len(free_spaces(shop, panel)) for panel in shop.supply.panels)
        self.limits = Limits(free - shop.later.spare_spaces, new_light_circuits(shop))
        self.scarce: dict[tuple[str, str], Scarce] = {}
        self.near = [self._near(number) for number in range(len(self.items))]
        self.steps = [Steps(self.sketch, number) for number in range(len(self.items))]

    # -- what is near what

    def _near(self, number: int) -> list[int]:
        """Items that may share its circuit, nearest first; a machine has the yokes it may have."""
        mine = self.items[number]
        wished = _options(mine)
        others = (
            other
            for other, item in enumerate(self.items)
            if other != number and self.sketch.may_join(number, other)
            if not (wished or _options(item))
            or wished & _names(item)
            or _options(item) & _names(mine)
        )
        return sorted(others, key=lambda other: (self._apart(number, other), other))[:NEAREST]

    def _apart(self, one: int, two: int) -> int:
        """How far two items are from each other. [0.01 ft]"""
        pairs = zip(self._place(one), self._place(two), strict=True)
        return sum(abs(a - b) for a, b in pairs)

    def _place(self, number: int) -> tuple[int, int, int]:
        """Where an item is; a machine at the first yoke that it may have."""
        point = self.items[number].points[0]
        box = point.box or self.circuits.points.yokes[point.options[0]].box
        return self.circuits.ways.places[box or ""]

    # -- groups

    def run(self, moves: int) -> tuple[Candidate, ...]:
        """Insert greedily, anneal, and mend what the panel, boxes and raceways do not hold.

        The best choice found, all rules checked; empty when there is none.
        """
        groups, heat, limits = self._insert(), HOT, self.limits
        if not groups or not all(self.sketch(group).possible for group in groups):
            return ()
        for _ in range(MOST_MENDED):
            groups = self._anneal(groups, moves, limits, heat)
            moves, heat = max(QUICK_MOVES, round(MENDING * moves)), HOT * MENDING
            made = [found for group in groups for found in self.sketch.exactly(group)]
            if all(self.sketch(group).possible for group in groups):
                short = self._selection(made, elastic=True).shortages(self.control)
                if not short:
                    selected = self._selection(made).solve(self.control)
                    return selected.candidates if selected else ()
                limits = self._limited(limits, groups, short)
            if self.control.cut_short:
                break
        return ()

    def worth_selecting(self, first: Sequence[Candidate]) -> list[Candidate]:
        """Of everything sketched the sets that the relaxation finds cheap, made exactly."""
        circuits, rows = self.circuits, Rows.of(self.circuits.shop)
        seen = [
            Column(tuple(sorted(group)), made.cost, made.poles, made.lights)
            for group, made in self.sketch.possible()
        ]
        at = {column.items: number for number, column in enumerate(seen)}
        kept = [at[candidate.items] for candidate in first if candidate.items in at]
        sets = [seen[number].items for number in shortlist(rows, seen, kept, MOST_EXACT)]
        made = [found for items in sets for found in self.sketch.exactly(frozenset(items))]
        made += [candidate for candidate in first if candidate not in made]
        columns = [
            Column(one.items, circuits.rank(one)[0], one.poles, int(one.lights)) for one in made
        ]
        kept = [number for number, one in enumerate(made) if one in first]
        return [made[number] for number in shortlist(rows, columns, kept, MOST_SELECTED)]

    def _selection(self, made: Sequence[Candidate], *, elastic: bool = False) -> Selection:
        shop, circuits = self.circuits.shop, self.circuits
        return Selection(shop, circuits.ways, circuits.catalogue, made, elastic=elastic)

    def _anneal(
        self, groups: Sequence[Group], moves: int, limits: Limits, heat: float
    ) -> list[Group]:
        """Better groups, from these on."""
        usual = sum(self.sketch(group).cost for group in groups) / len(groups)
        annealer = Annealer(
            self.sketch, self.near, self.steps, limits, self.control.seed, self.control.over
        )
        return annealer.run(groups, moves, heat * usual, COLD * usual)

    def _limited(
        self, limits: Limits, groups: Sequence[Group], short: Mapping[tuple[str, str], int]
    ) -> Limits:
        """Limits that also keep to what was short: so much less than these groups take of it."""
        scarce = dict(self.scarce)
        for (row, thing), missing in sorted(short.items()):
            if row in SCARCE_PRICE:
                old = scarce.get((row, thing))
                taken = old.taken if old else self._takes(row, thing)
                most = sum(map(taken, groups)) - missing
                price = DEARER * old.price if old else SCARCE_PRICE[row]
                scarce[row, thing] = Scarce(taken, min(most, old.most) if old else most, price)
        self.scarce = scarce
        return limits._replace(scarce=tuple(scarce.values()))

    def _takes(self, row: str, thing: str) -> Callable[[Group], int]:
        """What a group takes of a box or raceway, remembered."""
        return cache(lambda group: self.sketch.takes(group, row, thing))

    def _insert(self) -> list[Group]:
        """Each item where it adds least; machines first, with a receptacle they may plug into."""
        groups: list[Group] = []
        left = set(range(len(self.items)))
        wanting = [number for number, item in enumerate(self.items) if _options(item)]
        for machine in sorted(wanting, key=lambda number: -self._weight(number)):
            wished = _options(self.items[machine])
            sets = [
                frozenset({machine, other} & left)
                for other, item in enumerate(self.items)
                if wished & _names(item)
            ]
            left -= self._add(groups, sets)
        for item in sorted(left):
            self._add(groups, [frozenset([item])])
        return groups

    def _weight(self, item: int) -> float:
        """Current of the machines of an item. [A]"""
        amps = self.circuits.points.amps
        return sum(amps[p.machine] for p in self.items[item].points if p.machine)

    def _add(self, groups: list[Group], sets: Sequence[Group]) -> Group:
        """Put one of the sets into a circuit, or open one, where it adds least."""
        options = [
            (self.sketch(group | new).cost - self._cost(group), index, sorted(new))
            for new in sets
            for index, group in enumerate([*groups, NONE])
        ]
        _, index, chosen = min(options)
        if index == len(groups):
            groups.append(NONE)
        groups[index] |= frozenset(chosen)
        return frozenset(chosen)

    def _cost(self, group: Group) -> int:
        return self.sketch(group).cost if group else 0


def _options(item: Item) -> set[str]:
    """The yokes that a machine of an item may have."""
    return {name for point in item.points for name in point.options}


def _names(item: Item) -> set[str]:
    return {point.id for point in item.points}
