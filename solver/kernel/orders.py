"""The best order of a short chain, compiled: dynamic programming over its subsets.

Held & Karp 1962; for an open chain from the root. 2^k k² steps for k items.
"""

from typing import Final

import numpy as np

from solver.kernel.compiled import compiled

MOST_ORDERED: Final = 12  # items
NEVER: Final = 1 << 60


@compiled
def best_order(between, home, items):
    """The cheapest cost of a chain of these items; they are put in its order."""
    count = len(items)
    least = np.full((1 << count, count), NEVER)
    before = np.full((1 << count, count), -1, np.int32)
    for a in range(count):
        least[1 << a, a] = home[items[a]]
    for inside in range(1, 1 << count):
        for a in range(count):
            if least[inside, a] >= NEVER:
                continue
            for b in range(count):
                if inside >> b & 1:
                    continue
                made = least[inside, a] + between[items[a], items[b]]
                if made < least[inside | 1 << b, b]:
                    least[inside | 1 << b, b] = made
                    before[inside | 1 << b, b] = a
    held = np.int64((1 << count) - 1)
    at = np.int64(np.argmin(least[held]))
    cost = least[held, at]
    order = items.copy()
    for place in range(count - 1, -1, -1):
        items[place] = order[at]
        held, at = held ^ 1 << at, np.int64(before[held, at])
    return cost
