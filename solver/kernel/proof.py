"""Proving with all trees that could be in a better plan: their relaxation, cut, and the choice.

`listing.py` finds them under the prices of a certificate. Once all are there, cuts need no
pricing: of any three items at most one group holds two (Jepsen, Petersen, Spoorendonk & Pisinger
2008, from memory), and as many edges enter a set as its weight needs groups. Prices rounded to
whole numbers say which groups can still better the plan; CP-SAT decides among the last.
"""

from itertools import combinations
from typing import Final, NamedTuple

import numpy as np

from solver.kernel.anneal import costs_of
from solver.kernel.arbs import NEVER, price
from solver.kernel.certificate import Certificate, entering
from solver.kernel.listing import every_tree
from solver.kernel.linear import INFINITE, GrowingProgram
from solver.kernel.pool import WORD, Bits, Numbers
from solver.kernel.problem import Problem, Whole

MOST: Final = 300_000  # trees
VISITS: Final = 20_000_000
ENOUGH: Final = 2_500  # groups that CP-SAT is left to decide among
SCALE: Final = 1_000
ROUNDS: Final = 40
NEW_CUTS: Final = 60  # in a round
VIOLATED: Final = 0.02


class Listed(NamedTuple):
    """All groups that a plan under some cost can hold, what they cost, and a bound by prices."""

    inside: np.ndarray[tuple[int, int], np.dtype[np.bool_]]  # group, item
    costs: Whole


def listed(problem: Problem, certificate: Certificate, value: int, visits: int) -> Listed | None:
    """The groups of all plans that cost less than a value; None if they are too many."""
    weights, most = problem.weights[:, 0].copy(), int(problem.most[0])
    n = problem.size
    items = np.array(certificate.items, np.int64)

    def priced() -> tuple[Whole, Whole, tuple[Whole, Whole, Whole], Whole]:
        step, first = entering(problem, certificate.scale, items.tolist(), certificate.sets)
        tables = price(step, weights, most)
        cheapest = np.minimum(tables[2][n], NEVER // 2) + first[:, None]
        return step, first, tables, cheapest

    _, _, _, cheapest = priced()
    by_weight = cheapest.min(axis=0)[1:]
    rate = min(0, int((by_weight // np.arange(1, most + 1)).min()))  # rounded down
    items += rate * weights  # now no tree costs less than 0
    step, first, tables, cheapest = priced()
    paid = int(items.sum()) + sum(
        worth * -(-int(weights[members].sum()) // most) for members, worth in certificate.sets
    )
    gap = certificate.scale * (value - 1) - paid - n * min(0, int(cheapest.min()))
    bits = np.zeros((MOST, -(-n // WORD)), np.uint64)
    count = every_tree(
        problem.between, problem.home, step, first, weights, most, tables[1], tables[2], gap,
        bits, visits,
    )  # fmt: skip
    if count < 0:
        return None
    inside = _inside(np.unique(bits[:count], axis=0), n)
    return Listed(
        inside, np.array(costs_of(problem, [np.flatnonzero(g).tolist() for g in inside]), np.int64)
    )


def _inside(bits: Bits, n: int) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    marks = np.unpackbits(bits.view(np.uint8), axis=1, bitorder="little")[:, :n]
    return marks.astype(np.bool_)
