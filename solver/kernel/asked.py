"""Groups that are asked for: one search for circuits of shops and for trees of public instances.

A problem says what a group of items costs and takes, which items are near each other, and what all
groups may take together; what items are is not this search's business. It anneals from several
starts, lets the relaxation over all that was met say what items are worth and which groups that
would like, chooses the best of them, and anneals on from there, turn by turn.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final, Protocol

from solver.kernel.growth import Growth
from solver.kernel.recombine import recombined
from solver.kernel.search import Annealer, Group, Grouping, Limits, Taken
from solver.kernel.shortlist import Column, Relaxation, Rows, Worth
from solver.solve import Control

STARTS: Final = 4  # searches, each with a seed of its own
HOT: Final = 0.05  # of what a group costs on average
COLD: Final = 0.001
MOST_SKETCHED: Final = 1_000
ROUNDS: Final = 2  # of growth, each time
RECOMBINING_SHARE: Final = 0.1  # of the effort
LEAST_SHARE: Final = 0.25  # of what a thing holds, counted where little is in it


class Asked(Protocol):
    """What is asked of a problem."""

    def __call__(self, group: Group, /) -> Taken:
        """What a group costs and takes; dear beyond measure when it can be none."""

    def alike(self, group: Group, /) -> Group:
        """The same group of the first of items that are alike in everything."""

    def first(self, item: int, /) -> int:
        """The first item that an item is like, itself if it is like none before it."""

    def possible(self) -> Iterator[tuple[Group, Taken]]:
        """Every group asked for so far that may be one."""


class GroupSearch:
    """The search for groups of one problem.

    `near[i]` are the items near item i, nearest first; `steps[i][j]` is about what it costs to go
    on from one to the other. `rows`: what all groups may take, of `scarce` things as `limits` say.
    """

    def __init__(
        self,
        asked: Asked,
        near: Sequence[Sequence[int]],
        steps: Sequence[Mapping[int, int]],
        limits: Limits,
        rows: Rows,
        control: Control,
        scarce: Sequence[str] = (),
    ) -> None:
        self.asked, self.near, self.steps, self.limits = asked, near, steps, limits
        self.control, self.scarce = control, scarce
        count = Counter(map(asked.first, range(len(near))))
        self.wanted = {item: number for item, number in count.items() if number > 1}
        caps = tuple(limits.costs[thing][-1][0] for thing in scarce)
        self.rows = rows._replace(wanted=self.wanted, scarce=caps)
        self.prices: dict[str, float] = {}
        self.worth: Worth | None = None

    def total(self, groups: Sequence[Group]) -> int:
        """What groups cost with what amounts of things cost, and beyond the limits."""
        return Grouping(groups, self.asked, self.limits).total

    def anneal(
        self, groups: Sequence[Group], moves: int, limits: Limits, heat: float, seed: int
    ) -> list[Group]:
        """Better groups, from these on; `heat` of what a group costs on average."""
        usual = sum(self.asked(group).cost for group in groups) / len(groups)
        annealer = Annealer(self.asked, self.near, self.steps, limits, seed, self.control.over)
        return annealer.run(groups, moves, heat * usual, COLD * usual)

    def turn(
        self,
        found: Sequence[list[Group]],
        moves: int,
        heats: Sequence[float],
        seed: int,
        rounds: int = ROUNDS,
    ) -> list[list[Group]]:
        """Groupings, the best first: recombined from all that was met, and annealed from there."""
        found = sorted(found, key=self.total)
        best = self.recombined(self.shortlist(found, MOST_SKETCHED, rounds), found[0])
        if best is not None:
            found = sorted([best, *found], key=self.total)
        if self.control.over():
            return found
        found += [
            self.anneal(found[0], moves, self.limits, heat, seed + number)
            for number, heat in enumerate(heats)
        ]
        return sorted(found, key=self.total)[:STARTS]

    def recombined(self, groups: Sequence[Group], first: Sequence[Group]) -> list[Group] | None:
        """The best choice among many groups; `first` to start from."""
        at = {group: number for number, group in enumerate(groups)}
        chosen = recombined(
            [self._firsts(group) for group in groups],
            [self.asked(group) for group in groups],
            self.limits,
            self.wanted,
            {at[self.asked.alike(group)] for group in first},
            self.control,
            RECOMBINING_SHARE,
        )
        return None if chosen is None else self._told_apart([groups[n] for n in chosen])

    def shortlist(self, runs: Sequence[Sequence[Group]], most: int, rounds: int) -> list[Group]:
        """Groups by what the relaxation says: met, and better ones grown from them in rounds."""
        kept = [self.asked.alike(group) for groups in runs for group in groups]
        self.prices = self._prices(runs)
        met = {group for group, _ in self.asked.possible()}
        columns = {group: self._column(group) for group in sorted(met, key=sorted)}
        known = {group: column for group, column in columns.items() if column is not None}
        growth = Growth(self._column, self.asked.alike, self.near, self.steps, self.control.over)
        self.worth = growth.run(self.rows, known, kept, rounds, self.worth)
        names = list(known)
        relaxation = Relaxation(self.rows, list(known.values()))
        at = {group: number for number, group in enumerate(names)}
        short = relaxation.shortest(self.worth, [at[group] for group in kept], most)
        return [names[number] for number in short]

    def _told_apart(self, groups: Sequence[Group]) -> list[Group]:
        """The same groups with every item in one, where items alike were only counted."""
        left: dict[int, list[int]] = {}
        for item in range(len(self.near)):
            left.setdefault(self.asked.first(item), []).append(item)
        return [frozenset(left[item].pop(0) for item in self._firsts(group)) for group in groups]

    def _firsts(self, group: Group) -> tuple[int, ...]:
        """Items of a group, each as the first that it is like."""
        return tuple(sorted(map(self.asked.first, group)))

    def _prices(self, runs: Sequence[Sequence[Group]]) -> dict[str, float]:
        """What a unit of each thing is worth, by what groupings take of it on average.

        A thing of several sizes costs what the next size does more; one that is bought or not, its
        share (slope scaling: Kim & Pardalos 1999).
        """
        total: Counter[str] = Counter()
        for groups in runs:
            for group in groups:
                total.update(self.asked(group).takes)
        prices = {}
        for thing, steps in self.limits.costs.items():
            amount = self.limits.there.get(thing, 0) + total[thing] / len(runs)
            if len(steps) == 1:
                ((most, cost),) = steps
                prices[thing] = cost / max(amount, most * LEAST_SHARE)
            for (less, cheap), (more, dear) in pairwise(steps):
                if less < amount <= more:
                    prices[thing] = (dear - cheap) / (more - less)
        return {thing: price for thing, price in prices.items() if price}

    def _column(self, group: Group) -> Column | None:
        """A group as the relaxation sees it, things priced; None when it can be none."""
        made = self.asked(group)
        if not made.possible:
            return None
        scarce = tuple(made.takes.get(thing, 0) for thing in self.scarce)
        price = self.prices.get
        things = sum(amount * price(thing, 0.0) for thing, amount in made.takes.items())
        cost = made.cost + round(things)
        return Column(self._firsts(group), cost, made.poles, made.lights, scarce)
