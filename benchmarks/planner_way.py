"""The planner's search on a public instance: told what a group costs, and which items are near.

The same search (`solver.kernel.asked`) as for the circuits of a shop; trees are the planner's too
(`solver.tree`). It proves nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Final

from solver.kernel.asked import HOT, STARTS, GroupSearch
from solver.kernel.problem import Problem
from solver.kernel.search import Group, Limits, Taken
from solver.kernel.shortlist import Rows
from solver.solve import Control
from solver.tree import spanning_edges

UNIT: Final = 10_000  # least units of a cost, as a shop has them of a dollar
NEVER: Final = 10**12
NEAREST: Final = 24
MOVES_PER_SECOND: Final = 3_000  # of the time there is, for each start
WARM: Final = 0.02
ROOT: Final = "root"
UNLIMITED: Final = 10**9


@dataclass(frozen=True)
class Tree:
    """What a group costs and takes; nothing is shared."""

    cost: int
    poles: int = 1
    lights: int = 0
    takes: dict[str, int] = field(default_factory=dict)

    @property
    def possible(self) -> bool:
        """Whether it is not too heavy."""
        return self.cost < NEVER


class Trees:
    """What is asked of an instance of trees and one resource."""

    def __init__(self, problem: Problem) -> None:
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
        self.made: dict[Group, Tree] = {}

    def __call__(self, group: Group) -> Tree:
        """What a group costs; one that is too heavy beyond measure."""
        tree = self.made.get(group)
        if tree is None:
            heavy = sum(map(self.weights.__getitem__, group)) > self.most
            found = None if heavy else spanning_edges([ROOT, *map(str, sorted(group))], self.costs)
            tree = self.made[group] = Tree(found[0] if found else NEVER)
        return tree

    def alike(self, group: Group) -> Group:
        """The same group: no items are alike."""
        return group

    def first(self, item: int) -> int:
        """The item itself."""
        return item

    def possible(self) -> Iterator[tuple[Group, Taken]]:
        """Every group asked for so far that is not too heavy."""
        yield from ((group, tree) for group, tree in self.made.items() if tree.possible)


def planned(problem: Problem, seconds: float, seed: int) -> list[int | None]:
    """Parents of the best trees met until time is up, or nothing new is met."""
    trees = Trees(problem)
    control = Control(seconds=seconds, seed=seed)
    rows = Rows(float(UNLIMITED), float(UNLIMITED), 0.0)
    limits = Limits(UNLIMITED, 0)
    search = GroupSearch(trees, trees.near, trees.steps, limits, rows, control)
    first = _inserted(problem, trees)
    moves = int(MOVES_PER_SECOND * seconds)
    found = [
        first, *(search.anneal(first, moves, limits, HOT, seed + start) for start in range(STARTS))
    ]  # fmt: skip
    turn, met = STARTS, -1
    while not control.over() and len(trees.made) > met:
        met = len(trees.made)
        found = search.turn(found, moves, [WARM], seed + turn)
        turn += 1
    best = min(found, key=search.total)
    return problem.parents([sorted(group) for group in best])


def _inserted(problem: Problem, trees: Trees) -> list[Group]:
    """Each item where it adds least, the one farthest from the root first."""
    groups: list[Group] = []
    for item in sorted(range(problem.size), key=lambda n: (-int(problem.home[n]), n)):
        adds = [
            (trees(group | {item}).cost - trees(group).cost, at) for at, group in enumerate(groups)
        ]
        cost, at = min(adds, default=(NEVER, 0))
        if cost < trees(frozenset([item])).cost:
            groups[at] |= {item}
        else:
            groups.append(frozenset([item]))
    return groups
