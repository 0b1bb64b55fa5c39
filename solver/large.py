"""Large shops: circuits to choose among, searched for district by district.

At first every district is searched by itself, one after another: what earlier ones take of panels,
junction boxes and raceways is taken. Then the circuits there are get dealt to districts again, cut
elsewhere, and each district is searched anew from its circuits; they are changed where that costs
less. All circuits of a district are looked at exactly before they count. Costs in the first
objective.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from math import ceil
from typing import Final

from solver.candidate import Candidate, area_of, heat_of
from solver.causes import Cause, Explainer
from solver.circuit import Circuits
from solver.districts import (
    District,
    boxes_of_item,
    bundles,
    deal,
    district_of,
    places_of,
)
from solver.kernel.asked import MOST_SKETCHED, ROUNDS, STARTS
from solver.kernel.search import Group, Limits
from solver.pool import AGAIN, MOVES_PER_EFFORT, QUICK_MOVES, Pool, Search, limits_of
from solver.sketch import Sketched
from solver.solve import Control
from solver.sparse import is_large

PASSES: Final = 1  # over all districts, after the first


class DistrictSearch(Search):
    """The search for circuits of one district."""

    def _short(self, made: Sequence[Sequence[Candidate]]) -> bool:
        """Whether raceways and boxes do not hold these circuits in their cheapest builds."""
        taken = Counter(self.limits.there)
        for found in made:
            taken.update(found[0].takes)
        return any(
            taken[thing] > steps[-1][0] for thing, steps in self.limits.costs.items()
        )  # fmt: skip

    def first(self, tied: Sequence[Group]) -> list[Group]:
        """A first grouping; what is not found to be a circuit stays in the bundles it came in."""
        found = self.run(QUICK_MOVES)
        if found:
            return found
        sound: list[Group] = []
        for group in self._insert():
            if self.sketch.exactly(group):
                sound.append(group)
            else:
                sound += [part for bundle in tied if (part := bundle & group)]
        return sound

    def again(self, groups: list[Group], moves: int) -> list[Group]:
        """A better grouping from one there is; the same where none is found."""
        runs = [groups]
        for number, heat in enumerate(AGAIN):
            seed = self.control.seed + number
            runs.append(self.anneal(min(runs, key=self.total), moves, self.limits, heat, seed))
        if self.control.over():
            return groups
        runs.sort(key=self.total)
        best = self.recombined(self.shortlist(runs, MOST_SKETCHED, ROUNDS), runs[0])
        if self.control.over():
            return groups
        start = min([*runs, *([best] if best else [])], key=self.total)
        last = self.run(QUICK_MOVES, STARTS, start, AGAIN[0])
        return last if last and self.total(last) < self.total(groups) else groups


class Built:
    """The circuits there are, district by district, with all that was made exactly."""

    def __init__(self) -> None:
        self.taken: dict[Group, Sketched] = {}
        self.made: dict[Group, tuple[Candidate, ...]] = {}

    def outside(self, items: Iterable[int]) -> list[Sketched]:
        """What the circuits take that have none of some items."""
        inside = frozenset(items)
        return [taken for group, taken in self.taken.items() if inside.isdisjoint(group)]

    def put(self, items: tuple[int, ...], groups: Iterable[Group], search: DistrictSearch) -> None:
        """Put the circuits of a district, numbered in it, in the place of those that were."""
        inside = frozenset(items)
        self.taken = {g: taken for g, taken in self.taken.items() if inside.isdisjoint(g)}
        for group in groups:
            named = frozenset(items[item] for item in group)
            self.made[named] = tuple(_numbered(one, items) for one in search.sketch.exactly(group))
            self.taken[named] = search.sketch(group)

    def pool(self, *, everything: bool) -> Pool:
        """The circuits there are to choose from, or those of every grouping that was."""
        first = tuple(one for group in self.taken for one in self.made[group])
        if not everything:
            return Pool(first, False, {}, [first])
        flat = [one for made in self.made.values() for one in made]
        return Pool(flat, False, {}, [first])


class LargeSearch:
    """The search for circuits of a large shop."""

    def __init__(self, circuits: Circuits, control: Control) -> None:
        self.circuits, self.control = circuits, control
        circuits.pairs_last = True
        self.limits = limits_of(circuits)
        self.places = places_of(circuits)
        self.bundles = bundles(circuits)
        raceways = circuits.ways.raceways
        self.shared = {*circuits.junctions, *map(area_of, raceways), *map(heat_of, raceways)}
        self.built = Built()

    def first(self) -> bool:
        """Circuits of every district by a quick search; whether there was time for all."""
        dealt = deal(self.bundles, self.places)
        for number, items in enumerate(dealt, 1):
            if self.control.over():
                return False
            self.control.tell(f"searching: district {number} of {len(dealt)}")
            left = sum(map(len, dealt[number - 1 :]))
            self._search(items, len(items) / left, len(dealt) - number + 1)
        return True

    def again(self, number: int, moves: int) -> bool:
        """Every district searched again, cut elsewhere; whether there was time for all."""
        dealt = deal(list(self.built.taken), self.places, shifted=number % 2 == 1)
        for at, items in enumerate(dealt, 1):
            if self.control.over():
                return False
            self.control.tell(
                f"searching: turn {number} of {PASSES}, district {at} of {len(dealt)}"
            )
            self._search(items, 1.0, 1, moves)
        return True

    def _search(
        self, items: tuple[int, ...], share: float, lit: int, moves: int | None = None
    ) -> None:
        """Search one district, at first or again; its share of the spaces, and how many districts
        are to share the lighting circuits that are wished.
        """
        district = district_of(self.circuits, items, self.places)
        part = self.circuits.part(*district)
        search = DistrictSearch(part, self.control, limits=self._limits(district, share, lit))
        number = {item: at for at, item in enumerate(items)}

        def inside(groups: Iterable[Group]) -> list[Group]:
            return [frozenset(map(number.__getitem__, g)) for g in groups if g <= number.keys()]

        if moves is None:
            groups = search.first(inside(self.bundles))
        else:
            before = inside(self.built.taken)
            for group in before:
                search.sketch.exactly(group)
            groups = search.again(before, moves)
        self.built.put(items, groups, search)

    def _limits(self, district: District, share: float, lit: int) -> Limits:
        """What a district may take beside what others do."""
        others = self.built.outside(district.items)
        there: Counter[str] = Counter()
        for taken in others:
            there.update({t: n for t, n in taken.takes.items() if t in self.shared})
        poles = self.limits.poles - sum(taken.poles for taken in others)
        lights = self.limits.lights - sum(taken.lights for taken in others)
        items = self.circuits.points.items
        mine = set().union(*(boxes_of_item(items[item]) for item in district.items))
        mine |= self.shared
        costs = {thing: steps for thing, steps in self.limits.costs.items() if thing in mine}
        return self.limits._replace(
            poles=int(poles * share), lights=ceil(max(0, lights) / lit), costs=costs, there=there
        )


def impossible_items(circuits: Circuits, over: Callable[[], bool]) -> list[Cause]:
    """Items that are on no circuit, as far as there is time.

    Of a large shop only those of districts that have such items are looked at in the whole shop.
    """
    if not is_large(circuits.shop):
        return Explainer(circuits).impossible_items()
    places, doubtful = places_of(circuits), set[int]()
    for items in deal(bundles(circuits), places):
        if over():
            break
        part = circuits.part(*district_of(circuits, items, places))
        if Explainer(part).impossible_items():
            doubtful.update(items)
    return Explainer(circuits).impossible_items(among=doubtful) if doubtful else []


def first_large_pool(circuits: Circuits, control: Control) -> Pool:
    """The circuits of a quick search of each district; all there are where time is up before."""
    search = LargeSearch(circuits, control)
    return search.built.pool(everything=False) if search.first() else Pool(circuits.pool(), False)


def make_large_pool(
    circuits: Circuits, control: Control, met: Callable[[Pool], bool] | None = None
) -> Pool:
    """Search a large shop with all the effort; `met` makes a plan of the first circuits."""
    search = LargeSearch(circuits, control)
    if not search.first():
        return Pool(circuits.pool(), False)
    if met is not None and met(search.built.pool(everything=False)):
        return search.built.pool(everything=False)
    if control.over():
        return search.built.pool(everything=False)
    moves = MOVES_PER_EFFORT * control.effort // STARTS
    for number in range(1, PASSES + 1):
        if not search.again(number, moves):
            break
    return search.built.pool(everything=True)


def _numbered(made: Candidate, items: Sequence[int]) -> Candidate:
    """A circuit of a district with the numbers that its items have in the shop."""

    def named(numbers: Iterable[int]) -> tuple[int, ...]:
        return tuple(items[number] for number in numbers)

    if not made.halves:
        return replace(made, items=named(made.items))
    first, second = (replace(half, items=named(half.items)) for half in made.halves)
    return replace(made, items=named(made.items), halves=(first, second))
