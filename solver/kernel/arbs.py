"""Pricing trees that may repeat an item, compiled: the cheapest for every top item and weight.

Edges have a price for each direction, which may be below zero. A tree of the relaxation may hold
an item again and again, but not as its own grandparent's twin (a child is never its parent's
parent) nor twice below one item: children come in the order of their numbers. Branches that cost
0 or more are left out; a tree without them costs no more and weighs less, so neither the least
cost nor the least cost per unit of weight is missed. By weight, upwards: n² Q² steps at most.

Restricted q-arborescences after Uchoa et al., Math. Programming 112 (2008) 443-472.
"""

from typing import Final

import numpy as np

from solver.kernel.compiled import compiled

NEVER: Final = 1 << 60


@compiled
def price(step, weights, most):
    """Tables of the cheapest trees by weight.

    `before[j, k, q]`: j with children below number k, q in all; `after[j, k, q]`: children of
    number k and more alone; `without[p, j, q]`: j with any children but p (p = n: any at all).
    """
    n = len(weights)
    before = np.full((n, n + 1, most + 1), NEVER)
    after = np.full((n, n + 1, most + 1), NEVER)
    without = np.full((n + 1, n, most + 1), NEVER)
    useful = np.zeros((n, n), np.int64)  # from this weight on a branch was below 0; 0: never
    for q in range(most + 1):
        for j in range(n):
            before[j, 0, q] = 0 if q == weights[j] else NEVER
            for k in range(n):
                best = before[j, k, q]
                if useful[j, k] and k != j:
                    for part in range(useful[j, k], q - weights[j] + 1):
                        branch = step[j, k] + without[j, k, part]
                        if branch < 0 and before[j, k, q - part] + branch < best:
                            best = before[j, k, q - part] + branch
                before[j, k + 1, q] = best
            for p in range(n):
                best = NEVER
                if q >= weights[j]:
                    for part in range(q - weights[j] + 1):
                        if after[j, p + 1, part] < NEVER and before[j, p, q - part] < NEVER:
                            best = min(best, before[j, p, q - part] + after[j, p + 1, part])
                without[p, j, q] = best
            without[n, j, q] = before[j, n, q]
        for j in range(n):
            for k in range(n):
                if useful[j, k] == 0 and k != j and without[j, k, q] < NEVER:
                    if step[j, k] + without[j, k, q] < 0:
                        useful[j, k] = q
        for j in range(n):  # last, as it may hold a branch of just this weight
            after[j, n, q] = 0 if q == 0 else NEVER
            for k in range(n - 1, -1, -1):
                best = after[j, k + 1, q]
                if useful[j, k] and k != j:
                    for part in range(useful[j, k], q + 1):
                        branch = step[j, k] + without[j, k, part]
                        if branch < 0 and after[j, k + 1, q - part] + branch < best:
                            best = after[j, k + 1, q - part] + branch
                after[j, k, q] = best
    return before, after, without


@compiled
def edges(step, weights, before, after, without, top, weight):
    """The edges of the cheapest tree of a weight below an item: rows of parent and child."""
    n = len(weights)
    found = np.zeros((weight + 1, 2), np.int32)
    count = 0
    todo = [(n, top, weight)]
    while len(todo) > 0:
        p, j, q = todo.pop()
        rest = 0  # weight of the children above p
        if p < n:
            for part in range(q - weights[j] + 1):
                if after[j, p + 1, part] < NEVER and before[j, p, q - part] < NEVER:
                    if before[j, p, q - part] + after[j, p + 1, part] == without[p, j, q]:
                        rest = part
                        break
        k, left = p, q - rest
        while k > 0:  # children below p
            k -= 1
            if before[j, k + 1, left] == before[j, k, left]:
                continue
            for part in range(1, left - weights[j] + 1):
                if without[j, k, part] < NEVER and before[j, k, left - part] < NEVER:
                    branch = step[j, k] + without[j, k, part]
                    if before[j, k, left - part] + branch == before[j, k + 1, left]:
                        found[count, 0], found[count, 1] = j, k
                        count += 1
                        todo.append((j, k, part))
                        left -= part
                        break
        k = p + 1
        while rest > 0:
            if after[j, k, rest] == after[j, k + 1, rest]:
                k += 1
                continue
            for part in range(1, rest + 1):
                if without[j, k, part] < NEVER and after[j, k + 1, rest - part] < NEVER:
                    branch = step[j, k] + without[j, k, part]
                    if after[j, k + 1, rest - part] + branch == after[j, k, rest]:
                        found[count, 0], found[count, 1] = j, k
                        count += 1
                        todo.append((j, k, part))
                        rest -= part
                        break
            k += 1
    return found[:count]


@compiled
def crowded(flow, weights, most, least):
    """Sets of items that fewer edges enter than groups are needed for, grown from each item.

    `flow[i, j]` is how much of the edges between two items is used, both directions. The result has
    a row of marks for every set; `least` is by how much an edge is missing at least.
    """
    n = len(weights)
    sets = np.zeros((n, n), np.bool_)
    found = 0
    inside = np.zeros(n, np.bool_)
    pull = np.zeros(n)
    for seed in range(n):
        inside[:] = False
        inside[seed] = True
        pull[:] = flow[seed]
        weight = weights[seed]
        within, size = 0.0, 1
        worst = least
        for _ in range(n - 1):
            at = -1
            for j in range(n):
                if not inside[j] and (at < 0 or pull[j] > pull[at]):
                    at = j
            if pull[at] <= 0.0:
                break
            within += pull[at]
            inside[at] = True
            size += 1
            weight += weights[at]
            for j in range(n):
                pull[j] += flow[at, j]
            missing = -(-weight // most) - (size - within)
            if missing > worst + 1e-6:
                worst = missing
                sets[found] = inside
        if worst > least:
            found += 1
    return sets[:found]
