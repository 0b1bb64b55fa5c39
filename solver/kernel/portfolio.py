"""All methods together: two logical workers that meet at fixed barriers.

A round gives each worker one piece of work of fixed size; what both found is put together in a
fixed order before the next round. Whether the pieces run side by side or one after the other, and
how long they take, changes nothing: only the number of rounds is cut by the clock, and only
between rounds. Compiled loops and OR-Tools leave Python's lock, so threads are enough.

The first worker selects: relaxation with growing, then the best columns, then neighbourhoods. The
second searches on from other seeds, and proves.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from time import monotonic
from typing import Final, NamedTuple

import numpy as np

from solver.kernel.anneal import anneal, costs_of, ordered
from solver.kernel.bound import Bound, bounded, spanning
from solver.kernel.choice import chosen
from solver.kernel.pool import Pool, Table, item_names, table_of
from solver.kernel.problem import FAR, Problem
from solver.kernel.relax import Relaxation

NEAR: Final = 20
LOG_TABLE: Final = 17
FIRST_MOVES: Final = 8_000  # for every item
MORE_MOVES: Final = 25_000
HOT: Final = 1.0  # times what an item costs on average
WARM: Final = 0.4
COLD: Final = 0.08
LEVEL: Final = 1e9  # a price on weight over the limit that never pays
MOST_COLUMNS: Final = 3_000
FEW_COLUMNS: Final = 1_200
FREE_ITEMS: Final = 60
MOST_POOL: Final = 150_000
RELAX_ROUNDS: Final = 12
BOUND_ROUNDS: Final = 25
BOUND_STEPS: Final = 3_000_000_000  # of pricing in a piece of work, n²·Q² a round
LIKED: Final = 500  # groups that the bound begins with
WORK: Final = 0.012  # of CP-SAT, for every item: all at once
LESS_WORK: Final = 0.004  # a neighbourhood
AT_ONCE: Final = 3  # neighbourhoods in a piece of work
SLACK_MOST: Final = 0.03  # of the value: reduced costs up to so much are grown


class State(NamedTuple):
    """The best groups so far, their cost, and what is proved about it."""

    groups: list[list[int]]
    value: int
    bound: int
    rounds: int
    seconds: float

    @property
    def proved(self) -> bool:
        """Is it the least there can be?"""
        return self.bound >= self.value

    def ordered(self, problem: Problem) -> list[list[int]]:
        """The groups, a chain's items in its order."""
        return [ordered(problem, group) for group in self.groups]


class Portfolio:
    """The search for one problem."""

    def __init__(self, problem: Problem, seed: int = 0) -> None:
        self.problem, self.seed = problem, seed
        n = problem.size
        apart = problem.between + np.eye(n, dtype=np.int64) * FAR
        reach = max(1, min(NEAR, n - 1))
        self.near = np.argsort(apart, axis=1, kind="stable")[:, :reach].astype(np.int32)
        self.apart = apart
        self.names = item_names(n)
        self.pool = Pool(n)
        self.relaxation: Relaxation | None = None
        self.groups: list[list[int]] = []
        self.value = FAR
        self.bound = 0 if problem.chains else spanning(problem)
        self.bounding: Bound | None = None
        self.rounds = 0
        self.turn = 0  # of neighbourhoods
        self.whole = False  # all columns were tried with the relaxation as it is

    def run(
        self,
        seconds: float = float("inf"),
        rounds: int | None = None,
        cores: int = 2,
        told: Callable[[State], None] = lambda state: None,
    ) -> State:
        """Rounds until proved, or until as many were run, or another would not end in time."""
        began = monotonic()
        longest = 0.0
        with ThreadPoolExecutor(cores) as threads:
            while True:
                start = monotonic()
                pieces = self._pieces()
                results = [done.result() for done in [threads.submit(one) for one in pieces]]
                for merge in results:
                    merge()
                self.rounds += 1
                now = monotonic()
                if self.rounds > 1:  # the first may have had to compile
                    longest = max(longest, now - start)
                state = State(self.groups, self.value, self.bound, self.rounds, now - began)
                told(state)
                if state.proved or self.rounds == rounds or state.seconds + longest > seconds:
                    return state

    def _pieces(self) -> list[Callable[[], Callable[[], None]]]:
        """What each worker does in this round; each piece gives what merges its findings."""
        number = self.rounds
        search = partial(self._search, 2 * number), partial(self._search, 2 * number + 1)
        if number == 0 or not self.groups:
            return [*search]
        relaxed = self.relaxation is not None and self.relaxation.done
        if relaxed and self.bounding is None and bounded(self.problem):
            self.bounding = self._liked()
        if self.bounding is not None and not self.bounding.done:
            prove = partial(self._prove, self.bounding)
            return [prove, search[1]] if number % 2 == 0 else [self._select, prove]
        return [self._select, search[1]]

    def _liked(self) -> Bound:
        """A bound that begins with the trees that the relaxation likes."""
        assert self.relaxation is not None
        best = np.argsort(self.relaxation.reduced(), kind="stable")[:LIKED]
        return Bound(self.problem, [*self.groups, *map(self.pool.group, best.tolist())])

    def _prove(self, bounding: Bound) -> Callable[[], None]:
        """Better the bound."""
        steps = (self.problem.size * int(self.problem.most[0])) ** 2
        bound = bounding.run(max(1, min(BOUND_ROUNDS, BOUND_STEPS // steps)))

        def merge() -> None:
            self.bound = max(self.bound, bound)

        return merge

    def _search(self, number: int) -> Callable[[], None]:
        """Anneal from a seed of its own, from nothing or from the best there is."""
        at = self.problem
        n = at.size
        scale = max(1.0, (self.value if self.groups else float(at.home.sum())) / n)
        start = np.arange(n, dtype=np.int32)
        again = bool(self.groups) and number % 4 == 1
        if again:
            for place, group in enumerate(self.groups):
                start[group] = place
        table = Table.empty(n, LOG_TABLE)
        moves = n * (MORE_MOVES if self.groups else FIRST_MOVES)
        place, value = anneal(
            at.between, at.home, at.weights, at.most, at.chains, at.groups or 0, self.near, start,
            moves, scale * (WARM if again else HOT), scale * COLD,
            LEVEL if number % 3 else scale * 0.05, self.seed * 1_000 + number + 1,
            self.names, *table,
        )  # fmt: skip

        def merge() -> None:
            self.pool.add([table])
            if value >= 0:
                groups = [np.flatnonzero(place == g).tolist() for g in np.unique(place)]
                costs = costs_of(at, groups)
                self.pool.add([table_of(n, groups, costs)])
                self._better(groups, sum(costs))

        return merge

    def _better(self, groups: list[list[int]], value: int) -> None:
        """The groups are the best there are, if they cost less."""
        if value < self.value:
            self.groups, self.value = sorted(groups), int(value)
            self.whole = False

    def _select(self) -> Callable[[], None]:
        """Relax; or, with that done, choose among the best columns; or in neighbourhoods.

        Only this worker changes the pool during a round; what the other finds waits for its merge.
        """
        if self.relaxation is None:
            self.relaxation = Relaxation(self.problem, self.pool)
        relaxation = self.relaxation
        if not relaxation.run(self.groups, RELAX_ROUNDS):
            return lambda: None
        slack = min(self.value - relaxation.value, SLACK_MOST * relaxation.value)
        if not self.whole and slack > 0:
            self.pool.add([relaxation.grown(slack, 2 * relaxation.wide)])
        reduced = relaxation.reduced()
        if len(self.pool) > MOST_POOL:
            kept = self.pool.find(self.groups, self.names)
            order = np.argsort(reduced, kind="stable")[:MOST_POOL]
            self.pool.keep(np.unique(np.concatenate([order, kept])))
            reduced = relaxation.reduced()
        groups, value = self.groups, self.value
        if not self.whole:
            self.whole = True
            found = self._chosen(list(range(self.problem.size)), reduced, MOST_COLUMNS, WORK)
            if found is not None and found[1] < value:
                groups, value = found
        else:
            for _ in range(AT_ONCE):
                self.turn += 1
                found = self._chosen(
                    self._neighbourhood(groups, self.turn), reduced, FEW_COLUMNS, LESS_WORK, groups
                )
                if found is not None and found[1] < value:
                    groups, value = found
        return lambda: self._better(groups, value)

    def _neighbourhood(self, groups: list[list[int]], turn: int) -> list[int]:
        """The items of a group and of those nearest to it."""
        seed = groups[(turn * 7_919) % len(groups)]
        apart = self.apart[seed].min(axis=0)
        order = sorted(groups, key=lambda group: (np.sort(apart[group])[:2].sum(), group))
        items = list(seed)
        most = min(FREE_ITEMS, self.problem.size * 2 // 3)
        for group in order:
            if group != seed and len(items) + len(group) <= most:
                items += group
        return sorted(items)

    def _chosen(
        self,
        items: list[int],
        reduced: np.ndarray[tuple[int], np.dtype[np.float64]],
        most: int,
        work: float,
        groups: list[list[int]] | None = None,
    ) -> tuple[list[list[int]], int] | None:
        """Better groups of these items, with the others as they are."""
        groups = self.groups if groups is None else groups
        free = set(items)
        changing = [group for group in groups if group[0] in free]
        staying = [group for group in groups if group[0] not in free]
        hint = self.pool.find(changing, self.names)
        rows = (
            self.pool.within(items) if len(items) < self.problem.size else np.arange(len(self.pool))
        )
        order = rows[np.argsort(reduced[rows], kind="stable")[:most]]
        limit = None if self.problem.groups is None else self.problem.groups - len(staying)
        found = chosen(
            self.pool,
            np.unique(np.concatenate([order, hint])),
            items,
            hint.tolist(),
            limit,
            work * self.problem.size,
        )
        if found is None:
            return None
        made = [self.pool.group(row) for row in found[0]]
        cost = int(self.pool.costs[found[0]].sum() - self.pool.costs[hint].sum())
        return [*staying, *made], sum(self._costs(groups)) + cost

    def _costs(self, groups: list[list[int]]) -> list[int]:
        return [int(cost) for cost in self.pool.costs[self.pool.find(groups, self.names)]]
