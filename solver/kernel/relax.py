"""The relaxation over a pool: what every item is worth, by CLP; and growing what it would like.

The relaxation (every item once, at most so many groups) is solved over few groups; those of the
pool that would better it are added, then such as `grow.py` finds, until there are none. As
growing proves nothing, the value is no bound: `bound.py` has one.
"""

from collections.abc import Sequence
from time import monotonic
from typing import Final

import numpy as np
from numpy.typing import NDArray

from solver.kernel.grow import NEVER, grow
from solver.kernel.linear import INFINITE, GrowingProgram
from solver.kernel.pool import Numbers, Pool, Table, bits_of, item_names
from solver.kernel.problem import Problem

ADDED: Final = 300  # groups at once
EACH: Final = 6  # of them at most so many for the item that has fewest
LEAST: Final = 1e-6  # of the value; less below zero is rounding
LOG_TABLE: Final = 16
STATES: Final = 400  # of growing from one seed
STEPS: Final = 40  # of weight, told apart in growing


class Relaxation:
    """The relaxation of one pool; the pool gets what is grown."""

    def __init__(self, problem: Problem, pool: Pool) -> None:
        self.problem, self.pool = problem, pool
        self.names = item_names(problem.size)
        self.steps = int(min(problem.most[0], STEPS))
        self.wide = max(5, STATES // self.steps)
        self.program = GrowingProgram()
        for _ in range(problem.size):
            self.program.row(1.0, 1.0)
        most = INFINITE if problem.groups is None else float(problem.groups)
        self.few = self.program.row(-INFINITE, most)
        self.inside: dict[int, int] = {}  # the column of each name
        self.free = np.ones(problem.size, np.bool_)  # items that no fixed group holds
        self.worth = np.zeros(problem.size)
        self.opening = 0.0  # what one group less is worth
        self.value = float("inf")
        self.done = False
        self.until = INFINITE  # on the clock: what is not done then is left

    def _join(self, rows: list[int]) -> None:
        for row in rows:
            name = int(self.pool.names[row])
            if name in self.inside:
                continue
            holds = dict.fromkeys([*self.pool.group(row), self.few], 1.0)
            self.inside[name] = self.program.column(float(self.pool.costs[row]), holds)

    def _solve(self) -> bool:
        if not self.program.solve():
            self.value = INFINITE
            return False
        self.value = self.program.value
        prices = self.program.prices()
        self.worth = np.where(self.free, prices[: self.few], NEVER)
        self.opening = -float(prices[self.few])
        return True

    def rows(self) -> NDArray[np.intp]:
        """The pool's row of every column; they must not leave the pool."""
        names = np.fromiter(self.inside, np.uint64)
        return np.asarray(np.searchsorted(self.pool.names, names), np.intp)

    def taken(self) -> tuple[NDArray[np.intp], Numbers]:
        """The rows of groups that the relaxation takes some of, and how much."""
        values = self.program.values()
        some = np.flatnonzero(values > LEAST)
        return self.rows()[some], values[some]

    def fix(self, rows: Sequence[int]) -> None:
        """Take these groups whole from now on, and think of no other with their items."""
        items = sorted(item for row in rows for item in self.pool.group(row))
        self.free[items] = False
        held = bits_of(self.problem.size, [items])[0]
        clashing = (self.pool.bits[self.rows()] & held).any(axis=1)
        for column in np.flatnonzero(clashing).tolist():
            self.program.most(column, 0.0)
        for row in rows:
            column = self.inside[int(self.pool.names[row])]
            self.program.most(column, INFINITE)
            self.program.least(column, 1.0)

    def loosen(self) -> None:
        """Fix nothing."""
        for column in self.inside.values():
            self.program.least(column, 0.0)
            self.program.most(column, INFINITE)
        self.free[:] = True

    def reduced(self) -> Numbers:
        """The reduced cost of every group of the pool."""
        return self.pool.reduced(self.worth) + self.opening

    def _various(self, reduced: Numbers) -> list[int]:
        """The best rows, not too many for any item."""
        better = np.flatnonzero(reduced < -LEAST * max(1.0, self.value))
        order = better[np.argsort(reduced[better], kind="stable")]
        times = np.zeros(self.problem.size, np.int64)
        rows: list[int] = []
        for row in order.tolist():
            group = self.pool.group(row)
            if times[group].min() < EACH:
                times[group] += 1
                rows.append(row)
                if len(rows) == ADDED:
                    break
        return rows

    def grown(self, slack: float, wide: int) -> Table:
        """Groups that cost at most so much more than they are worth, if growing meets them."""
        at = self.problem
        table = Table.empty(at.size, LOG_TABLE if slack <= 0 else LOG_TABLE + 2)
        grow(
            at.between, at.home, at.weights, at.most, at.chains, self.worth,
            np.flatnonzero(self.free).astype(np.int32), self.steps, wide, self.opening - slack,
            self.names, *table,
        )  # fmt: skip
        return table

    def run(self, kept: Sequence[Sequence[int]], rounds: int, wide: int | None = None) -> bool:
        """So many rounds; True when nothing better is found any more.

        `kept` are groups that hold every item once, so that there is an answer; `wide` is how many
        groups of each weight go on in growing.
        """
        self._join(self.pool.find(kept, self.names).tolist())
        solved = self._solve()
        for _ in range(rounds):
            if monotonic() > self.until:
                break
            rows = self._various(self.reduced())
            if solved and not rows:
                self.pool.add([self.grown(-LEAST * max(1.0, self.value), wide or self.wide)])
                rows = self._various(self.reduced())
            if not solved or not rows:
                self.done = True
                return True
            self._join(rows)
            solved = self._solve()
        return False
