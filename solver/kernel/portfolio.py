"""All methods together: two logical workers that meet at fixed barriers.

A round gives each worker one piece of work of fixed size; what both found is put together in a
fixed order before the next round. Whether the pieces run side by side or one after the other, and
how long they take, changes nothing. The clock only ends it: where another round would not end in
time, shorter pieces fill what is left, and a piece that is caught by the end is given up. Compiled
loops and OR-Tools leave Python's lock, so threads are enough.

The first worker relaxes with growing, dives, and selects. The second proves where the problem
allows that; else it searches on from other seeds, and betters neighbourhoods.
"""

from collections import defaultdict, deque
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from copy import copy
from functools import partial
from time import monotonic
from typing import Final, NamedTuple

import numpy as np

from solver.kernel.anneal import anneal, costs_of, ordered
from solver.kernel.bound import Bound, bounded, spanning
from solver.kernel.certificate import Certificate
from solver.kernel.choice import chosen
from solver.kernel.dive import dive
from solver.kernel.parts import bettered
from solver.kernel.pool import Pool, Table, item_names, table_of
from solver.kernel.problem import FAR, Problem
from solver.kernel.proof import DECIDED, Listed, decided, listed
from solver.kernel.relax import Relaxation

NEAR: Final = 20
LOG_TABLE: Final = 17
FIRST_MOVES: Final = 8_000  # for every item
MORE_MOVES: Final = 60_000
HOT: Final = 0.6  # times what an item costs on average
WARM: Final = 0.4
COLD: Final = 0.03
MOST_MOVES: Final = 12_000_000
SOFT: Final = 0.05  # likewise: the least price on weight over the limit, where weights are uneven
LEVEL: Final = 1e9  # a price on weight over the limit that never pays
MOST_COLUMNS: Final = 3_000
FREE_ITEMS: Final = 60
MOST_POOL: Final = 25_000
RELAX_ROUNDS: Final = 40
BOUND_ROUNDS: Final = 200
EFFORT: Final = 1.0  # of deciding, doubled each time
MOST_EFFORT: Final = 8.0
BOUND_STEPS: Final = 100_000  # in a piece of work, n·Q a round
PRICING_STEPS: Final = 1_200_000_000  # likewise, (n·Q)² a round
MANY_STEPS: Final = 15_000  # in a round: proving takes turns with searching
LIKED: Final = 500  # groups that the bound begins with
WORK: Final = 0.012  # of CP-SAT, for every item
AT_ONCE: Final = 3  # neighbourhoods in a piece of work
LATE_ITEMS: Final = 80  # fixed last in a dive, or half of all: bettered after it
RECENT: Final = 6  # pieces of a kind, of which the longest is what the next may take

Merge = Callable[[], None]
Piece = Callable[[], Merge]


def kind_of(piece: Piece) -> str:
    """Which method of the portfolio it is."""
    method = piece.func if isinstance(piece, partial) else piece
    return method.__name__


class State(NamedTuple):
    """The best groups so far, their cost, and what is proved about it."""

    groups: list[list[int]]
    value: int
    bound: int
    rounds: int
    seconds: float
    certificate: Certificate | None  # of the bound, or of what it was closed from

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
        self.bound = spanning(problem)
        self.bounding: Bound | None = None
        self.rounds = 0
        self.turn = 0  # of neighbourhoods
        self.weighing = problem.weighing() if len(problem.most) == 1 else problem  # to prove with
        self.uneven = not problem.chains and len(np.unique(problem.weights, axis=0)) > 1
        self.dives = 0
        self.listed: tuple[int, Listed | None] | None = None  # below a value
        self.failed = FAR  # to list all groups of plans below this cost, or to decide among them
        self.effort = EFFORT
        self.until = float("inf")  # on the clock
        self.times: dict[str, deque[float]] = defaultdict(lambda: deque([0.0], RECENT))
        self.alone = [[item] for item in range(n)]
        self.pool.add([table_of(n, self.alone, costs_of(problem, self.alone))])

    def run(
        self,
        seconds: float = float("inf"),
        rounds: int | None = None,
        cores: int = 2,
        told: Callable[[State], None] = lambda state: None,
    ) -> State:
        """Rounds until proved, or until as many were run, or nothing more would end in time."""
        began = monotonic()
        self.until = began + seconds
        pieces = self._pieces()
        with ThreadPoolExecutor(cores) as threads:
            while True:
                running = [threads.submit(self._timed, one) for one in pieces]
                for merge in [one.result() for one in running]:
                    merge()
                self.rounds += 1
                best = None if self.bounding is None else self.bounding.best
                taken = monotonic() - began
                state = State(self.groups, self.value, self.bound, self.rounds, taken, best)
                told(state)
                if state.proved or self.rounds == rounds:
                    return state
                pieces = self._in_time(max if cores > 1 else sum)
                if not pieces:
                    return state

    def _timed(self, piece: Piece) -> Merge:
        """A piece of work, and how long it took."""
        start = monotonic()
        merge = piece()
        if self.rounds:  # the first may have had to compile
            self.times[kind_of(piece)].append(monotonic() - start)
        return merge

    def _in_time(self, together: Callable[[list[float]], float]) -> list[Piece]:
        """The next round; shorter pieces, or none, where it would not end in time."""

        def fit(some: Sequence[Piece]) -> bool:
            taking = together([max(self.times[kind_of(one)]) for one in some])
            return monotonic() + taking <= self.until

        if fit(pieces := self._pieces()):
            return pieces
        fitting: list[Piece] = []
        for one in self._short():
            if fit([*fitting, one]):
                fitting.append(one)
        return fitting

    def _short(self) -> list[Piece]:
        """Pieces that take little time."""
        search = partial(self._search, 2 * self.rounds + 1)
        if self.relaxation is None:
            return [search]
        return [partial(self._part, self.groups, copy(self.pool)), search]

    def _pieces(self) -> list[Piece]:
        """What each worker does in this round; each piece gives what merges its findings."""
        number = self.rounds
        search = partial(self._search, 2 * number + 1)
        if number == 0 or not self.groups:
            return [partial(self._search, 2 * number), search]
        relaxation = self.relaxation
        if relaxation is None:
            return [self._relax, search]
        if self.bounding is None and bounded(self.problem):
            self.bounding = self._liked()
        better = partial(self._part, self.groups, copy(self.pool))
        if self.bounding is not None and not self.bounding.done:
            prove = partial(self._prove, self.bounding)
        elif self.bounding is not None and (target := self._target()) is not None:
            prove = partial(self._close, self.bounding, target)
        else:
            prove = None
        if self._steps() > MANY_STEPS and number % 2:
            prove = None  # so that both workers look for better groups
        if not relaxation.done:
            return [self._relax, prove or search]
        if prove is not None:
            turns = self._dive, self._whole, self._dive, better, self._dive, search
            return [turns[number % len(turns)], prove]
        return [
            self._whole if number % 4 == 2 else self._dive,
            better if number % 2 else search,
        ]

    def _steps(self) -> int:
        """How dear a round of the bound is, about."""
        return self.problem.size * int(self.weighing.most[0])

    def _liked(self) -> Bound:
        """A bound that begins with the trees that the relaxation likes."""
        assert self.relaxation is not None
        best = np.argsort(self.relaxation.reduced(), kind="stable")[:LIKED]
        worth = np.append(self.relaxation.worth, -self.relaxation.opening)
        return Bound(self.weighing, [*self.groups, *map(self.pool.group, best.tolist())], worth)

    def _prove(self, bounding: Bound) -> Merge:
        """Better the bound."""
        steps = self._steps()
        rounds = min(BOUND_ROUNDS, BOUND_STEPS // steps, PRICING_STEPS // steps**2)
        bound = bounding.run(max(1, rounds))

        def merge() -> None:
            self.bound = max(self.bound, bound)

        return merge

    def _target(self) -> int | None:
        """The cost below which all groups are listed next: half-way to the best, or a failure."""
        target = self.bound + (min(self.value, self.failed) - self.bound + 1) // 2
        return target if self.bound < target < self.failed else None

    def _close(self, bounding: Bound, target: int) -> Merge:
        """List all groups of plans below a cost, and decide among them."""
        if self.listed is None or self.listed[0] != target:
            self.listed = (target, listed(self.weighing, bounding.best, target))
            self.effort = EFFORT
        found = self.listed[1]
        if found is None or len(found.groups) > DECIDED or self.effort > MOST_EFFORT:
            self.failed = target
            return lambda: None
        answer = decided(self.weighing, bounding.best, found, target, self.effort, self.until)
        self.effort *= 2

        def merge() -> None:
            self.bound = max(self.bound, answer.bound)
            if answer.groups is not None:
                self._meet(answer.groups)

        return merge

    def _search(self, number: int) -> Merge:
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
        moves = min(MOST_MOVES, n * (MORE_MOVES if self.groups else FIRST_MOVES))
        place, value = anneal(
            at.between, at.home, at.weights, at.most, at.chains, at.groups or 0, self.near, start,
            moves, scale * (WARM if again else HOT), scale * COLD,
            scale * SOFT if self.uneven == (number % 3 > 0) else LEVEL,
            self.seed * 1_000 + number + 1, self.names, *table,
        )  # fmt: skip

        def merge() -> None:
            self.pool.add([table])
            if value >= 0:
                self._meet([np.flatnonzero(place == g).tolist() for g in np.unique(place)])

        return merge

    def _better(self, groups: list[list[int]], value: int) -> None:
        """The groups are the best there are, if they cost less."""
        if value < self.value:
            self.groups, self.value = sorted(groups), int(value)

    def _relax(self) -> Merge:
        """Relax; only the first worker changes the pool during a round, here and in a dive."""
        if self.relaxation is None:
            self.relaxation = Relaxation(self.problem, self.pool)
        self.relaxation.until = self.until
        self.relaxation.run(self.groups, RELAX_ROUNDS)
        return self._trim

    def _trim(self) -> None:
        """Keep the groups that the relaxation likes best."""
        assert self.relaxation is not None
        if len(self.pool) > MOST_POOL:
            kept = self.pool.find([*self.groups, *self.alone], self.names)
            order = np.argsort(self.relaxation.reduced(), kind="stable")[:MOST_POOL]
            self.pool.keep(np.unique(np.concatenate([order, kept, self.relaxation.rows()])))

    def _dive(self) -> Merge:
        """Fix groups as the relaxation likes them; then better those fixed last."""
        assert self.relaxation is not None
        n = self.problem.size
        self.dives += 1
        self.relaxation.until = self.until
        kept = self.groups if self.problem.groups is not None else self.alone
        groups = dive(self.relaxation, kept, self.dives - 1)
        if not groups:
            return lambda: None
        most = min(LATE_ITEMS, n // 2)
        late: list[list[int]] = []
        for group in reversed(groups):
            if late and sum(map(len, late)) + len(group) > most:
                break
            late.append(group)
        early = groups[: len(groups) - len(late)]
        limit = None if self.problem.groups is None else self.problem.groups - len(early)
        new = bettered(self.problem, self.pool, late, limit, self.until)
        groups = [*early, *(new or late)]

        def merge() -> None:
            self._meet(groups)
            self._trim()

        return merge

    def _meet(self, groups: list[list[int]]) -> None:
        """Keep groups that hold every item."""
        costs = costs_of(self.problem, groups)
        self.pool.add([table_of(self.problem.size, groups, costs)])
        self._better(groups, sum(costs))

    def _part(self, groups: list[list[int]], pool: Pool) -> Merge:
        """Better the best there is in some neighbourhoods; of a pool that nobody else changes."""
        for _ in range(AT_ONCE):
            self.turn += 1
            free = set(self._neighbourhood(groups, self.turn))
            inside = [group for group in groups if group[0] in free]
            outside = [group for group in groups if group[0] not in free]
            limit = None if self.problem.groups is None else self.problem.groups - len(outside)
            new = bettered(self.problem, pool, inside, limit, self.until)
            if new is not None:
                groups = [*outside, *new]
                costs = costs_of(self.problem, groups)
                pool.add([table_of(self.problem.size, groups, costs)])
        return lambda: self._meet(groups)

    def _whole(self) -> Merge:
        """Choose among the best groups of all."""
        assert self.relaxation is not None
        reduced = self.relaxation.reduced()
        hint = self.pool.find(self.groups, self.names)
        order = np.argsort(reduced, kind="stable")[:MOST_COLUMNS]
        n = self.problem.size
        found = chosen(
            self.pool, np.unique(np.concatenate([order, hint])), range(n), hint.tolist(),
            self.problem.groups, WORK * n, self.until,
        )  # fmt: skip
        if found is None:
            return lambda: None
        groups = [self.pool.group(row) for row in found[0]]
        return lambda: self._meet(groups)

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
