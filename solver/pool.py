"""The pool: candidate circuits to select from.

Small shops: every set of items that can be a circuit, found by growing sets and dropping those
that no growth can mend; the pool is then complete. Larger shops: the kernel's search over groups
that are asked for (`solver.kernel.asked`), here by sketches of circuits; its relaxation says in the
end which sets are worth making exactly.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from models.shop import Shop
from solver.candidate import Candidate, area_of, heat_of
from solver.circuit import Circuits
from solver.enclosures import fixed_cost
from solver.kernel.asked import HOT, ROUNDS, STARTS, GroupSearch
from solver.kernel.search import NONE, Group, Grouping, Limits
from solver.kernel.shortlist import Rows
from solver.lighting import new_light_circuits
from solver.panel import free_pairs, free_spaces
from solver.points import Item
from solver.refusal import Refusal
from solver.selection import Selection
from solver.sketch import Sketcher
from solver.solve import Control
from solver.tandems import tandem_room
from solver.thing_costs import crowding_costs, thing_costs

MOST_ENUMERATED_ITEMS: Final = 16
MOST_ENUMERATED_SETS: Final = 40_000
MOVES_PER_EFFORT: Final = 3_000
QUICK_MOVES: Final = 2_000
NEAREST: Final = 24
MOST_MENDED: Final = 5
DEARER: Final = 4
MOST_EXACT: Final = 250
TURNS: Final = 1  # of recombining and annealing again
FEW_ITEMS: Final = 48  # a shop of no more has one turn more
AGAIN: Final = (0.02, 0.02, 0.04)  # how hot, of what a circuit costs on average


@dataclass(frozen=True)
class Pool:
    """Candidates, whether no circuit there could be is cheaper, and which items are alike.

    `firsts`: what each good grouping could be built of.
    """

    candidates: Sequence[Candidate]
    complete: bool
    alike: Mapping[int, int] = field(default_factory=dict)
    firsts: Sequence[tuple[Candidate, ...]] = ()


def make_pool(
    circuits: Circuits, control: Control, met: Callable[[Pool], bool] | None = None
) -> Pool:
    """Enumerate a small shop; search a larger one with all the effort.

    When time is up the best choice found is all there is left to select from. `met` makes a plan
    of the first choice of circuits that a quick search comes to, or that an older plan had, and of
    one that may be near enough to the bound; it says whether that is as near as asked for.
    """
    effort = MOVES_PER_EFFORT * control.effort
    if len(circuits.points.items) <= MOST_ENUMERATED_ITEMS and enumerate_all(circuits, control):
        firsts = Search(circuits, control).as_before_exactly() if control.older else ()
        return Pool(circuits.pool(), circuits.exact, firsts=firsts)
    circuits.pairs_last = True
    search = Search(circuits, control, met)
    moves = max(QUICK_MOVES, effort // STARTS)
    older = search.as_before()
    search.sketch.pairing = False
    quick = older or (search.run(QUICK_MOVES) if met is not None else [])
    if search.first_planned(quick):
        return search.only([quick])
    starts = [] if older else search.starts(moves)
    runs = sorted(filter(None, (quick, *starts)), key=search.total)
    if not runs:
        return Pool(circuits.pool(), False)
    if control.cut_short or search.near_enough(runs):
        return search.only(runs)
    better = search.bettered(runs, moves)
    only = search.only(better)
    if any((control.cut_short, search.is_near)):
        return only
    # the starts too: they deal machines out otherwise, should a check refuse what is best
    made = search.worth_making([*better, *runs])
    return Pool(made, False, search.sketch.first_alike, only.firsts)


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


def limits_of(circuits: Circuits) -> Limits:
    """What all circuits of a shop may take of panels, and what boxes and raceways cost."""
    shop = circuits.shop
    free = sum(len(free_spaces(shop, panel)) for panel in shop.supply.panels)
    poles = free - shop.later.spare_spaces + tandem_room(shop, circuits.catalogue)
    return Limits(poles, new_light_circuits(shop), thing_costs(circuits))


def rows_of(shop: Shop) -> Rows:
    """What all circuits of a shop may take, all panels together, as the relaxation has it."""
    free = [free_spaces(shop, panel) for panel in shop.supply.panels]
    return Rows(
        float(sum(map(len, free)) - shop.later.spare_spaces),
        float(sum(map(free_pairs, free))),
        float(new_light_circuits(shop)),
    )


class Steps(dict[int, int]):
    """What it costs to go on from one item to each other, worked out when first asked for."""

    def __init__(self, sketch: Sketcher, item: int) -> None:
        super().__init__()
        self.sketch, self.item = sketch, item

    def __missing__(self, other: int) -> int:
        step = self[other] = self.sketch.step(self.item, other)
        return step


class Search(GroupSearch):
    """The search for circuits of one shop."""

    def __init__(
        self,
        circuits: Circuits,
        control: Control,
        met: Callable[[Pool], bool] | None = None,
        limits: Limits | None = None,
    ) -> None:
        self.circuits, self.control, self.met = circuits, control, met
        self.more = circuits.later_machines.least
        if not circuits.copper_first:
            self.more += fixed_cost(circuits.shop, circuits.catalogue)
        self.is_near = False  # to the bound, as asked for: a plan was made that says so
        self._planned: set[int] = set()  # values of groupings that a plan was made of
        self.sketch = Sketcher(circuits)
        self.items = circuits.points.items
        names = sorted(circuits.ways.raceways)
        every = range(len(self.items))
        super().__init__(
            self.sketch,
            [self._near(number) for number in every],
            [Steps(self.sketch, number) for number in every],
            limits or self._limits(),
            rows_of(circuits.shop),
            control,
            [thing(name) for name in names for thing in (area_of, heat_of)],
        )

    def _limits(self) -> Limits:
        """What all circuits of the shop may take, and what things cost."""
        lonely = [n for n in range(len(self.items)) if self.sketch.lonely(n)]
        alone = [made for n in lonely if (made := self.sketch.exactly(frozenset([n])))]
        limits = limits_of(self.circuits)
        return limits._replace(costs={**limits.costs, **crowding_costs(self.circuits, alone)})

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

    def starts(self, moves: int) -> list[list[Group]]:
        """Groupings from several starts; with multiwire pairs only where none is found without."""
        for pairing in (False, True):
            self.sketch.pairing = pairing
            runs: list[list[Group]] = []
            for start in range(STARTS):
                if self.control.over() or self.near_enough(runs):
                    break
                self._tell(f"searching: start {start + 1} of {STARTS}", runs)
                runs += filter(None, [self.run(moves, start)])
            if runs or self.circuits.pairs is None:
                break
        return runs

    def as_before(self) -> list[Group]:
        """The groups of the older plan to start from, each as it was where it may still be.

        What is new, or may no longer be together, goes where it adds least. Empty without a way.
        """
        if self.control.older is None:
            return []
        old = self.control.older.groups(self.items)
        groups = self._insert([group for group in old if self.sketch.exactly(group)])
        made = [self.sketch.exactly(group) for group in groups]
        if not all(made) or self._short(made):
            groups = self.run(QUICK_MOVES, groups=groups, hot=AGAIN[0])
        return groups

    def as_before_exactly(self) -> Sequence[tuple[Candidate, ...]]:
        """What the groups of the older plan could be built of, if they go together."""
        groups = self.as_before()
        return self.only([groups]).firsts if groups else ()

    def run(
        self, moves: int, start: int = 0, groups: Sequence[Group] = (), hot: float = HOT
    ) -> list[Group]:
        """Insert greedily and anneal, until every circuit keeps all rules; empty without a way.

        While boxes and raceways do not hold them all, being over what they hold gets dearer.
        """
        groups, limits = groups or self._insert(), self.limits
        if not groups or not all(self.sketch(group).possible for group in groups):
            return []
        for _ in range(MOST_MENDED):
            groups = self.anneal(groups, moves, limits, hot, self.control.seed + start)
            made = [self.sketch.exactly(group) for group in groups]
            if self.control.over() or (all(made) and not self._short(made)):
                break
            limits = limits._replace(over=DEARER * limits.over)
            moves = max(QUICK_MOVES, moves // 2)
        return list(groups) if all(map(self.sketch.exactly, groups)) else []

    def first_planned(self, groups: list[Group]) -> bool:
        """Have a first plan made; whether it is as near the bound as asked for.

        How much more it is worth than the grouping, any plan may be worth more than its own.
        """
        if self.met is None or not groups:
            return False
        self.is_near = self.met(self.only([groups]))
        known = self.control.known
        if known.best is not None:
            self.more = round(known.best.value * known.per_unit) - self.total(groups)
        return self.is_near

    def near_enough(self, runs: Sequence[list[Group]]) -> bool:
        """Whether a plan of the best grouping is as near the bound as asked for.

        Where that may be, the plan is made, once for each value.
        """
        if self.met is None or not runs or self.is_near:
            return self.is_near
        best = min(runs, key=self.total)
        value = self.total(best) + self.more
        if self.control.close_enough(value) and value not in self._planned:
            self._planned.add(value)
            self.is_near = all(map(self.sketch.exactly, best)) and self.met(self.only([best]))
        return self.is_near

    def _tell(self, doing: str, runs: Sequence[Sequence[Group]]) -> None:
        """Say what is done now, and about what a plan of the best of some groupings is worth."""
        for groups in runs:
            at = Grouping(groups, self.sketch, self.limits)
            if at.total == at.cost and all(self.sketch(group).possible for group in groups):
                self.control.known.estimated(at.total + self.more)
        self.control.tell(doing)

    def _short(self, made: Sequence[Sequence[Candidate]]) -> bool:
        """Whether panel, boxes and raceways do not hold these circuits, however they are built."""
        circuits, flat = self.circuits, [one for found in made for one in found]
        elastic = Selection(circuits.shop, circuits.ways, circuits.catalogue, flat, elastic=True)
        short = elastic.shortages(self.control)
        return short is not None and short.weight > 0

    def bettered(self, runs: Sequence[list[Group]], moves: int) -> list[list[Group]]:
        """Groupings, the best first: recombined from all that was met, and annealed from there.

        Multiwire pairs come in the last turn: most shops have few of them at best.
        """
        found = sorted(runs, key=self.total)
        without_pairs = TURNS + (len(self.items) <= FEW_ITEMS)
        turns = without_pairs + (self.circuits.pairs is not None)
        for turn in range(turns):
            self._tell(f"searching: turn {turn + 1} of {turns}", found)
            pairing = turn == without_pairs
            self.sketch.pairing |= pairing
            rounds = ROUNDS - pairing  # what a pair costs takes longest to know
            seed = self.control.seed + STARTS * (turn + 1)
            found = self.turn(found, moves, AGAIN[: len(AGAIN) - pairing], seed, rounds)
            if self.control.over() or self.near_enough(found):
                break
        return found

    def only(self, runs: Sequence[Sequence[Group]]) -> Pool:
        """The circuits of the first of some groupings, made exactly, as all there is.

        Those of which every group can be made come first.
        """
        exact = [[self.sketch.exactly(group) for group in groups] for groups in runs]
        whole = sorted(exact, key=lambda found: not all(found))
        firsts = [tuple(made for found in one for made in found) for one in whole]
        return Pool(firsts[0], False, {}, firsts)

    def worth_making(self, runs: Sequence[Sequence[Group]]) -> list[Candidate]:
        """Circuits worth selecting from, made exactly."""
        shortest = self.shortlist(runs, MOST_EXACT, 0)
        return [one for group in shortest for one in self._exactly(group)]

    def _exactly(self, group: Group) -> Iterator[Candidate]:
        """The circuits of a set, and those of the other items alike where both may be built."""
        yield from self.sketch.exactly(group)
        other = self.sketch.mirrored(group)
        if other is not None:
            yield from self.sketch.exactly(other)

    def _insert(self, there: Sequence[Group] = ()) -> list[Group]:
        """Each item where it adds least; machines first, with a receptacle they may plug into."""
        groups = list(there)
        left = set(range(len(self.items))).difference(*there)
        wanting = [number for number in sorted(left) if _options(self.items[number])]
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
