"""A few groups as a problem of their own: relaxed, grown and chosen, almost exactly if it is easy.

The relaxation of a part is much nearer to its best groups than that of the whole, so that all
groups which could still better it are few enough to choose among. Groups belong together where
the relaxation of the whole is undecided between them: those that share its columns come first,
then the nearest. POPMUSIC, after Taillard & Voss 2002 (from memory).
"""

from collections.abc import Sequence
from time import monotonic
from typing import Final

import numpy as np

from solver.kernel.choice import chosen, chosen_of_few
from solver.kernel.linear import INFINITE
from solver.kernel.pool import Pool
from solver.kernel.problem import Problem
from solver.kernel.relax import Relaxation

ROUNDS: Final = 40  # of relaxing a part
COLUMNS: Final = 2_500
WORK: Final = 0.02  # of CP-SAT, for every item, where more columns than that would do


def part_of(problem: Problem, items: Sequence[int], groups: int | None) -> Problem:
    """The same problem for some of the items."""
    rows = np.array(items, np.intp)
    return Problem(
        np.ascontiguousarray(problem.between[np.ix_(rows, rows)]),
        np.ascontiguousarray(problem.home[rows]),
        np.ascontiguousarray(problem.weights[rows]),
        problem.most,
        problem.chains,
        groups,
    )


def bettered(
    problem: Problem,
    pool: Pool,
    groups: Sequence[Sequence[int]],
    most: int | None,
    until: float = INFINITE,
) -> list[list[int]] | None:
    """Cheaper groups, at most so many, of the items of these groups; None if none were found.

    `pool` holds the groups and others to begin with; only read. `until` is when to leave it.
    """
    items = sorted(item for group in groups for item in group)
    local = {item: number for number, item in enumerate(items)}
    part = part_of(problem, items, most)
    inside = pool.part(items)
    relaxation = Relaxation(part, inside)
    relaxation.until = until
    old = [[local[item] for item in group] for group in groups]
    relaxation.run(old, ROUNDS)
    value = int(inside.costs[inside.find(old, relaxation.names)].sum())
    slack = value - 1 - relaxation.value
    if slack < 0 or monotonic() > until:
        return None
    inside.add([relaxation.grown(slack, relaxation.wide)])
    reduced = relaxation.reduced()
    rows = np.argsort(reduced, kind="stable")[:COLUMNS]
    few = bool(reduced[rows[-1]] > slack) or len(rows) < COLUMNS
    rows = rows[reduced[rows] <= slack]
    hint = inside.find(old, relaxation.names)
    rows = np.unique(np.concatenate([rows, hint]))
    if few:
        found = chosen_of_few(inside, rows, range(len(items)), most, until)
    else:
        choice = chosen(
            inside, rows, range(len(items)), hint.tolist(), most, WORK * len(items), until
        )
        found = None if choice is None else choice[0]
    if found is None or int(inside.costs[found].sum()) >= value:
        return None
    return [[items[item] for item in inside.group(row)] for row in found]
