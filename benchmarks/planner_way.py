"""The planner's own search on a public instance: what plans shops, told only what a group costs.

Annealing over whole groups (`solver.search`), what items are worth and groups grown by that
(`solver.shortlist`, `solver.growth`), the best choice of all that was met (`solver.recombine`), and
annealing from there, as `solver.pool` does it for circuits. The tree of a group is the planner's
too (`solver.tree`). It proves nothing.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from time import monotonic
from typing import Final

from solver.growth import Growth
from solver.kernel.problem import Problem
from solver.recombine import recombined
from solver.search import Annealer, Group, Limits
from solver.shortlist import Column, Relaxation, Rows
from solver.solve import Control
from solver.tree import spanning_edges

UNIT: Final = 10_000  # least units of a cost, as a shop has them of a dollar
NEVER: Final = 10**12
NEAREST: Final = 24
STARTS: Final = 4
MOVES_PER_SECOND: Final = 3_000  # of the time there is, for each start
HOT, WARM, COLD = 0.05, 0.02, 0.001
MOST: Final = 1_000
ROUNDS: Final = 2
ROOT: Final = "root"
UNLIMITED: Final = 10**9
SHARE: Final = 0.1


@dataclass(frozen=True)
class Tree:
    """What a group costs and takes; nothing is shared."""

    cost: int
    poles: int = 1
    lights: int = 0
    takes: dict[str, int] = field(default_factory=dict)


class PlannerWay:
    """One instance of trees and one resource."""

    def __init__(self, problem: Problem, seconds: float, seed: int) -> None:
        self.problem, self.seconds, self.seed = problem, seconds, seed
        self.ends = monotonic() + seconds
        self.most = int(problem.most[0])
        self.weights = problem.weights[:, 0].tolist()
        home = {str(n): UNIT * int(cost) for n, cost in enumerate(problem.home)}
        self.costs = {ROOT: home}
        self.steps: list[dict[int, int]] = []
        self.near: list[list[int]] = []
        for n, row in enumerate((UNIT * problem.between).tolist()):
            self.costs[str(n)] = {ROOT: home[str(n)], **{str(m): c for m, c in enumerate(row)}}
            self.steps.append(dict(enumerate(row)))
            others = sorted((cost, m) for m, cost in enumerate(row) if m != n)
            self.near.append([m for _, m in others[:NEAREST]])
        self.limits = Limits(UNLIMITED, 0)
        self.made: dict[Group, Tree] = {}

    def over(self) -> bool:
        """Whether time is up."""
        return monotonic() > self.ends

    def taken(self, group: Group) -> Tree:
        """What a group costs; one that is too heavy beyond measure."""
        tree = self.made.get(group)
        if tree is None:
            heavy = sum(map(self.weights.__getitem__, group)) > self.most
            found = None if heavy else spanning_edges([ROOT, *map(str, sorted(group))], self.costs)
            tree = self.made[group] = Tree(found[0] if found else NEVER)
        return tree

    def run(self) -> list[int | None]:
        """Search until time is up, or no group is met that was not met before."""
        first = self._inserted()
        moves = int(MOVES_PER_SECOND * self.seconds)
        found = [self._anneal(first, moves, HOT, start) for start in range(STARTS)]
        turn = STARTS
        while not self.over():
            found = sorted([first, *found], key=self._total)[:STARTS]
            found += self._recombined(found)
            best, met = min(found, key=self._total), len(self.made)
            found.append(self._anneal(best, moves, WARM, turn))
            if len(self.made) == met:
                break
            turn += 1
        best = min([first, *found], key=self._total)
        return self.problem.parents([sorted(group) for group in best])

    def _total(self, groups: Sequence[Group]) -> int:
        return sum(self.taken(group).cost for group in groups)

    def _inserted(self) -> list[Group]:
        """Each item where it adds least, the one farthest from the root first."""
        groups: list[Group] = []
        for item in sorted(range(self.problem.size), key=lambda n: (-int(self.problem.home[n]), n)):
            adds = [
                (self.taken(group | {item}).cost - self.taken(group).cost, at)
                for at, group in enumerate(groups)
            ]
            alone = self.taken(frozenset([item])).cost
            cost, at = min(adds, default=(NEVER, 0))
            if cost < alone:
                groups[at] |= {item}
            else:
                groups.append(frozenset([item]))
        return groups

    def _anneal(self, groups: Sequence[Group], moves: int, heat: float, number: int) -> list[Group]:
        usual = self._total(groups) / len(groups)
        annealer = Annealer(
            self.taken, self.near, self.steps, self.limits, self.seed + number, self.over
        )
        return annealer.run(groups, moves, heat * usual, COLD * usual)

    def _column(self, group: Group) -> Column | None:
        tree = self.taken(group)
        return None if tree.cost >= NEVER else Column(tuple(sorted(group)), tree.cost, 1, 0)

    def _recombined(self, found: Sequence[Sequence[Group]]) -> list[list[Group]]:
        """The best choice of the groups that the relaxation likes best, with what it grew."""
        kept = [group for groups in found for group in groups]
        columns = {group: self._column(group) for group in sorted(self.made, key=sorted)}
        known = {group: column for group, column in columns.items() if column is not None}
        rows = Rows(float(UNLIMITED), float(UNLIMITED), 0.0)
        growth = Growth(self._column, lambda group: group, self.near, self.steps, self.over)
        worth = growth.run(rows, known, kept, ROUNDS)
        names = list(known)
        at = {group: number for number, group in enumerate(names)}
        relaxation = Relaxation(rows, list(known.values()))
        short = relaxation.shortest(worth, [at[group] for group in kept], MOST)
        groups = [names[number] for number in short]
        chosen = recombined(
            [sorted(group) for group in groups],
            [self.taken(group) for group in groups],
            self.limits,
            {},
            {n for n, group in enumerate(groups) if group in found[0]},
            Control(seconds=max(1.0, self.ends - monotonic())),
            SHARE,
        )
        return [] if chosen is None else [[groups[number] for number in chosen]]
