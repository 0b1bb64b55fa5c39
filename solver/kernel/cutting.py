"""Cutting: pieces out of stock of several lengths, at least cost; packing is the case of one stock.

A pattern is what is cut from one length of stock. The linear relaxation over all patterns is priced
by knapsacks (Gilmore & Gomory 1961), and its prices, rounded to whole numbers, give a bound that is
true whatever the program rounded (Farley 1990). Where filling best first is not as cheap as that,
patterns are fixed one after another as the relaxation takes them, and in the end CP-SAT chooses
among those met and those whose reduced cost leaves them a chance (or, of few lengths, deals every
piece to its length). Lengths and costs are whole numbers.
"""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import ceil, gcd
from typing import Final, NamedTuple

import numpy as np
from ortools.sat.python import cp_model

from solver.kernel.linear import INFINITE, GrowingProgram
from solver.repeatable import repeatable_solver

SCALE: Final = 10**6  # prices of pieces are whole millionths of a cost
MOST_ROUNDS: Final = 1_000
DIVING_ROUNDS: Final = 6  # of pricing after each pattern that is fixed
DIVES: Final = 20
CHANCE: Final = 0.3
NEARLY: Final = 1e-6
MOST_PATTERNS: Final = 6_000
FEW_LENGTHS: Final = 12  # that are dealt to piece by piece
SHARES: Final = (0.0, 0.1, 0.25, 0.5, 1.0)  # of the gap, tried until there are patterns enough
MOST_STEPS: Final = 3 * 10**8  # of dynamic programs and linear ones, by what they look at
MOST_SIZES: Final = 150  # that patterns are chosen over
WORK: Final = 0.5  # of CP-SAT, in its deterministic seconds

Pattern = tuple[tuple[int, int], ...]  # (number of a size, pieces of it)


class Stock(NamedTuple):
    """A length that is sold whole, and what one costs."""

    length: int
    cost: int


class Used(NamedTuple):
    """One length of stock, or none where its piece is sold by its length, and what is cut of it."""

    stock: Stock | None
    pieces: tuple[int, ...]


@dataclass(frozen=True)
class Cut:
    """All that is bought, what it costs, and what nothing costs less than."""

    used: tuple[Used, ...]
    cost: int
    bound: int


def cut(
    pieces: Sequence[int],
    stocks: Sequence[Stock],
    loose: Callable[[int], int] | None = None,
    seed: int = 1,
    over: Callable[[], bool] = lambda: False,
) -> Cut:
    """The cheapest way found to have all pieces.

    `loose`: what a piece costs that is bought at its own length; None: none is sold so. `over`:
    whether to be content with what there is. Raises ValueError for a piece that can be had in no
    way.

    >>> found = cut([60, 50, 40, 30, 20], [Stock(100, 7), Stock(60, 5)])
    >>> found.cost, found.bound, [used.pieces for used in found.used]
    (14, 14, [(60, 40), (50, 30, 20)])
    """
    if not pieces:
        return Cut((), 0, 0)
    return _Cutting(pieces, stocks, loose, seed, over).run()


class _Cutting:
    """One problem while it is solved; patterns by their numbers of sizes, the longest first."""

    def __init__(
        self,
        pieces: Sequence[int],
        stocks: Sequence[Stock],
        loose: Callable[[int], int] | None,
        seed: int,
        over: Callable[[], bool],
    ) -> None:
        self.over = over
        count = Counter(pieces)
        self.sizes = sorted(count, reverse=True)
        self.wanted = [count[size] for size in self.sizes]
        self.stocks = sorted(stocks, key=lambda stock: (stock.length, stock.cost))
        self.single = [None if loose is None else loose(size) for size in self.sizes]
        self.unit = gcd(*(s.cost for s in stocks), *(c for c in self.single if c is not None)) or 1
        self.rng = np.random.default_rng(seed)
        self.seed = seed
        self.costs: dict[Pattern, int] = {}
        self.best: dict[Pattern, int] = {}
        self.least = INFINITE
        self.steps = 0
        self.bound = 0
        self.prices: list[int] = []
        self.program = GrowingProgram()
        self.rows = [self.program.row(float(wanted), INFINITE) for wanted in self.wanted]
        self.columns: dict[Pattern, int] = {}

    def run(self) -> Cut:
        """Fill, price, dive, choose; as far as it takes to meet the bound."""
        for size in range(len(self.sizes)):
            self._add(((size, 1),))
        for stock in self.stocks:
            self._meet(self._filled(stock.length))
        self._meet(Counter({((size, 1),): n for size, n in enumerate(self.wanted)}))
        self.bound = self._by_length()
        self._price()
        for dive in range(DIVES):
            if self._worthwhile():
                self._meet(self._dive(dive))
        if self.bound < self.least and not self.over():
            cheapest = min((stock.cost for stock in self.stocks), default=INFINITE)
            most = int((self.least - self.unit) // cheapest)  # lengths of anything cheaper
            if most <= FEW_LENGTHS:
                self._deal(most)
            elif len(self.sizes) <= MOST_SIZES:
                self._choose()
        used = [
            Used(self._stock(pattern), tuple(self._pieces(pattern)))
            for pattern, times in self.best.items()
            for _ in range(times)
        ]
        used.sort(key=lambda one: (one.stock or Stock(0, 0), one.pieces), reverse=True)
        return Cut(tuple(used), int(self.least), self.bound)

    # -- patterns

    def _length(self, pattern: Pattern) -> int:
        return sum(self.sizes[size] * n for size, n in pattern)

    def _pieces(self, pattern: Pattern) -> Iterator[int]:
        for size, n in pattern:
            yield from [self.sizes[size]] * n

    def _stock(self, pattern: Pattern) -> Stock | None:
        """The cheapest stock that a pattern can be cut of; None when it is cheaper by its length.

        Raises ValueError where it can be had in no way.
        """
        length = self._length(pattern)
        fits = [stock for stock in self.stocks if stock.length >= length]
        best = min(fits, key=lambda stock: stock.cost, default=None)
        single = self.single[pattern[0][0]] if [n for _, n in pattern] == [1] else None
        if best is None and single is None:
            raise ValueError(f"no stock is as long as {length}")
        return None if best is None or (single is not None and single < best.cost) else best

    def _cost(self, pattern: Pattern) -> int:
        cost = self.costs.get(pattern)
        if cost is None:
            stock = self._stock(pattern)
            single = self.single[pattern[0][0]]
            cost = self.costs[pattern] = stock.cost if stock is not None else single or 0
        return cost

    def _add(self, pattern: Pattern) -> bool:
        """Add a pattern to the program; whether it is new."""
        if pattern in self.columns:
            return False
        holds = {self.rows[size]: float(n) for size, n in pattern}
        self.columns[pattern] = self.program.column(float(self._cost(pattern)), holds)
        return True

    def _meet(self, patterns: Mapping[Pattern, int]) -> None:
        """Patterns that give all pieces: the best so far are kept, all of them are known."""
        cost = sum(self._cost(pattern) * n for pattern, n in patterns.items())
        for pattern in patterns:
            self._add(pattern)
        if cost < self.least:
            self.best, self.least = dict(patterns), cost

    def _filled(self, length: int) -> Counter[Pattern]:
        """The longest piece first, each into the fullest length that still holds it."""
        found: list[tuple[int, Counter[int]]] = []
        for size, wanted in enumerate(self.wanted):
            for _ in range(wanted):
                room = length - self.sizes[size]
                holding = [n for n, (full, _) in enumerate(found) if full <= room]
                if holding:
                    at = max(holding, key=lambda n: (found[n][0], -n))
                    full, inside = found[at]
                    found[at] = full + self.sizes[size], inside + Counter([size])
                else:
                    found.append((self.sizes[size], Counter([size])))
        return Counter(tuple(sorted(inside.items())) for _, inside in found)

    # -- the relaxation

    def _worthwhile(self) -> bool:
        """Whether something cheaper may be there, and work is left to look for it."""
        return self.bound < self.least and self.steps < MOST_STEPS and not self.over()

    def _by_length(self) -> int:
        """What lengths cost that are together as long as all pieces, or leave loose what is not."""
        total = sum(size * n for size, n in zip(self.sizes, self.wanted, strict=True))
        rates = [
            Fraction(single, size)
            for single, size in zip(self.single, self.sizes, strict=True)
            if single is not None
        ]
        if not self.stocks:
            return ceil(min(rates) * total)
        part = gcd(*(stock.length for stock in self.stocks))
        costs = [0]
        for parts in range(1, -(-total // part) + 1):
            costs.append(min(s.cost + costs[max(0, parts - s.length // part)] for s in self.stocks))
        if not rates:
            return costs[-1]
        left = (max(0, total - parts * part) for parts in range(len(costs)))
        return ceil(min(cost + min(rates) * rest for cost, rest in zip(costs, left, strict=True)))

    def _price(self) -> None:
        """Price patterns until none would better the relaxation, or the bound is met."""
        for _ in range(MOST_ROUNDS):
            if not self._worthwhile() or not self.program.solve():
                break
            if not self._grow(self.wanted, bounding=True):
                break

    def _grow(self, wanted: Sequence[int], *, bounding: bool = False) -> bool:
        """Add the pattern of each stock that pays most by the prices; whether one is new."""
        self.steps += len(self.sizes) * sum(stock.length for stock in self.stocks)
        self.steps += len(self.sizes) * len(self.columns)
        prices = [max(0, int(SCALE * price)) for price in self.program.prices()]
        for size, single in enumerate(self.single):
            if single is not None:
                prices[size] = min(prices[size], SCALE * single)
        worst, new = 1.0, False
        for stock in self.stocks:
            value, pattern = _fullest(self.sizes, wanted, prices, stock.length)
            worst = max(worst, value / (SCALE * stock.cost))
            if pattern and value > SCALE * stock.cost:
                new |= self._add(pattern)
        if bounding:
            self._bound(prices, worst)
        return new

    def _bound(self, prices: Sequence[int], worst: float) -> None:
        """Prices that pay no pattern more than it costs, in whole numbers, and what they prove."""
        prices = [int(price / worst) for price in prices]
        for stock in self.stocks:
            value, _ = _fullest(self.sizes, self.wanted, prices, stock.length)
            while value > SCALE * stock.cost:  # at most a few, by rounding of the quotient
                prices = [max(0, price - 1 - price // SCALE) for price in prices]
                value, _ = _fullest(self.sizes, self.wanted, prices, stock.length)
        total = sum(price * wanted for price, wanted in zip(prices, self.wanted, strict=True))
        bound = -(-total // (SCALE * self.unit)) * self.unit
        if not self.prices or bound >= self.bound:
            self.bound, self.prices = max(bound, self.bound), prices

    def _dive(self, number: int) -> Counter[Pattern]:
        """Fix patterns as the relaxation takes them, with new ones for what is left."""
        left, fixed = list(self.wanted), Counter[Pattern]()
        done: Counter[Pattern] = Counter()
        while any(left):
            self.program.solve()
            for _ in range(DIVING_ROUNDS):
                if not self._grow(left):
                    break
                self.program.solve()
            values = self.program.values()
            names = list(self.columns)
            more = np.array([values[n] - fixed[name] for n, name in enumerate(names)])
            liking = more + CHANCE * self.rng.random(len(more)) * (number > 0) * (more > NEARLY)
            order = np.argsort(-liking, kind="stable").tolist()
            at = next(at for at in order if any(left[size] for size, _ in names[at]))
            pattern = names[at]
            rest = tuple((size, min(n, left[size])) for size, n in pattern if left[size])
            fitting = min(left[size] // n for size, n in rest)
            times = max(1, min(int(more[at] + NEARLY), fitting))
            fixed[pattern] += times
            self.program.least(self.columns[pattern], float(fixed[pattern]))
            done[rest] += times
            for size, n in rest:
                left[size] -= n * times
        for pattern in fixed:
            self.program.least(self.columns[pattern], 0.0)
        return done

    # -- whole numbers

    def _choose(self) -> None:
        """The best of the patterns met and of those that may be in something better."""
        names = list(dict.fromkeys([*self.columns, *self._promising()]))
        model = cp_model.CpModel()
        taken = [
            model.new_int_var(0, max(-(-self.wanted[size] // n) for size, n in pattern), "")
            for pattern in names
        ]
        holding: dict[int, list[tuple[int, int]]] = {}
        for number, pattern in enumerate(names):
            for size, n in pattern:
                holding.setdefault(size, []).append((number, n))
        for size, wanted in enumerate(self.wanted):
            model.add(sum(n * taken[number] for number, n in holding[size]) >= wanted)
        costs = [self._cost(pattern) for pattern in names]
        total = cp_model.LinearExpr.weighted_sum(taken, costs)
        model.add(total >= self.bound)
        model.minimize(total)
        solver = self._solve(model)
        if solver is not None:
            self._meet(self._exactly({p: solver.value(taken[n]) for n, p in enumerate(names)}))

    def _exactly(self, chosen: Mapping[Pattern, int]) -> Counter[Pattern]:
        """The same without the pieces that are cut too often."""
        left = list(self.wanted)
        found: Counter[Pattern] = Counter()
        for pattern, times in chosen.items():
            for _ in range(times):
                rest = tuple((size, min(n, left[size])) for size, n in pattern if left[size])
                for size, n in rest:
                    left[size] -= n
                if rest:
                    found[rest] += 1
        return found

    def _promising(self) -> list[Pattern]:
        """Patterns whose reduced cost leaves them in something better than the best.

        So many at most, by a growing share of the gap.
        """
        total = sum(price * wanted for price, wanted in zip(self.prices, self.wanted, strict=True))
        gap = SCALE * (int(self.least) - self.unit) - total
        order = sorted(
            range(len(self.sizes)), key=lambda size: (-self.prices[size] / self.sizes[size], size)
        )
        found: list[Pattern] = []
        for share in SHARES:
            found = []
            for stock in self.stocks:
                asked = SCALE * stock.cost - int(share * gap)
                self._worth(order, 0, stock.length, asked, [], found)
            if len(found) >= MOST_PATTERNS // 2:
                break
        return found[:MOST_PATTERNS]

    def _worth(
        self,
        order: Sequence[int],
        at: int,
        room: int,
        asked: int,
        taken: list[tuple[int, int]],
        found: list[Pattern],
    ) -> None:
        """Patterns of the sizes from one on that are paid no less than is asked."""
        if len(found) >= MOST_PATTERNS:
            return
        if at == len(order):
            if asked <= 0 and taken:
                found.append(tuple(sorted(taken)))
            return
        size = order[at]
        length, price = self.sizes[size], self.prices[size]
        if asked > 0 and price * room < asked * length:
            return
        for n in range(min(self.wanted[size], room // length), -1, -1):
            more = [*taken, (size, n)] if n else taken
            self._worth(order, at + 1, room - n * length, asked - n * price, more, found)

    def _deal(self, most: int) -> None:
        """Every piece to one of so many lengths, or bought loose; proves a bound of its own."""
        model = cp_model.CpModel()
        weighted = cp_model.LinearExpr.weighted_sum
        dealt = [[model.new_int_var(0, n, "") for n in self.wanted] for _ in range(most)]
        bought = [[model.new_bool_var("") for _ in self.stocks] for _ in range(most)]
        lengths = [weighted(one, [stock.length for stock in self.stocks]) for one in bought]
        for one, kinds, length in zip(dealt, bought, lengths, strict=True):
            model.add_at_most_one(kinds)
            model.add(weighted(one, self.sizes) <= length)
        for longer, shorter in pairwise(lengths):
            model.add(longer >= shorter)
        loose = [
            model.new_int_var(0, 0 if single is None else wanted, "")
            for single, wanted in zip(self.single, self.wanted, strict=True)
        ]
        for size, wanted in enumerate(self.wanted):
            model.add(sum(one[size] for one in dealt) + loose[size] == wanted)
        costs = [stock.cost for stock in self.stocks] * most
        flat = [kind for kinds in bought for kind in kinds]
        total = weighted([*flat, *loose], [*costs, *(single or 0 for single in self.single)])
        model.add(total >= self.bound)
        model.minimize(total)
        solver = self._solve(model)
        if solver is None:  # nothing is cheaper than the best: it needs more lengths
            return
        patterns = [
            tuple((n, solver.value(x)) for n, x in enumerate(one) if solver.value(x))
            for one in dealt
        ]
        found = Counter(pattern for pattern in patterns if pattern)
        found.update({((n, 1),): solver.value(x) for n, x in enumerate(loose) if solver.value(x)})
        self._meet(found)
        self.bound = max(
            self.bound, min(int(self.least), ceil(solver.best_objective_bound - NEARLY))
        )

    def _solve(self, model: cp_model.CpModel) -> cp_model.CpSolver | None:
        """Solve with an amount of work that does not depend on the clock; None without a way."""
        solver = repeatable_solver(self.seed, WORK)
        status = solver.solve(model)
        return solver if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None


def _fullest(
    sizes: Sequence[int], wanted: Sequence[int], prices: Sequence[int], length: int
) -> tuple[int, Pattern]:
    """The pattern of a length that is paid most, by dynamic programming over lengths."""
    best = np.zeros(length + 1, dtype=np.int64)
    steps: list[tuple[int, int, int, np.ndarray]] = []
    for number, (size, price) in enumerate(zip(sizes, prices, strict=True)):
        left = min(wanted[number], length // size)
        times = 1
        while left > 0 and price > 0:
            n = min(times, left)
            left, times = left - n, 2 * times
            more = best[: length + 1 - n * size] + n * price
            better = more > best[n * size :]
            best[n * size :][better] = more[better]
            steps.append((number, n, n * size, better))
    count: Counter[int] = Counter()
    at = length
    for number, n, taken, better in reversed(steps):
        if at >= taken and better[at - taken]:
            count[number] += n
            at -= taken
    return int(best[length]), tuple(sorted(count.items()))
