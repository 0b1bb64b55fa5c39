"""Pricing chains that may repeat an item, compiled: the cheapest for every last item and weight.

Edges have a price for each direction, which may be below zero. A chain of the relaxation may come
back to an item only after it has passed one that does not remember it: every item remembers those
in its own list of near ones. What a chain remembers is a set of bits over the list of its last
item; the item itself is bit 0. By weight, upwards: n² Q states of the memory.

ng-routes after Baldacci, Mingozzi & Roberti, Oper. Res. 59 (2011) 1269-1283 (from memory).
"""

from typing import Final

import numpy as np

from solver.kernel.compiled import compiled
from solver.kernel.problem import Problem, Whole

NEVER: Final = 1 << 60
REMEMBERED: Final = 7  # near items, with the item itself


def memories(problem: Problem) -> Whole:
    """What every item remembers: itself, then the nearest others."""
    apart = problem.between.copy()
    np.fill_diagonal(apart, -1)
    remembered = min(REMEMBERED, problem.size)
    return np.ascontiguousarray(np.argsort(apart, axis=1, kind="stable")[:, :remembered])


@compiled
def handed(near):
    """What is left of a memory at the next item: `[j, k, m]` is memory m of j as k's; -1: never.

    Going on to an item that is remembered is what is not allowed.
    """
    n, size = near.shape
    masks = 1 << size
    found = np.full((n, n, masks), -1, np.int32)
    bit = np.zeros(size, np.int32)
    for j in range(n):
        for k in range(n):
            if j == k:
                continue
            known = 0
            for a in range(size):
                bit[a] = 0
                if near[j, a] == k:
                    known = 1 << a
                for b in range(size):
                    if near[k, b] == near[j, a]:
                        bit[a] = 1 << b
            for m in range(1, masks, 2):
                if m & known:
                    continue
                new = 1
                for a in range(size):
                    if m >> a & 1:
                        new |= bit[a]
                found[j, k, m] = new
    return found


@compiled
def walk(step, first, weights, most, passed):
    """`least[j, q, m]`: the cheapest chain of weight q from the root to j with memory m.

    `came[j, q, m]` is the item before and its memory, -1 at the start. A chain is not gone on from
    where another does the same with less: no more cost, and nothing remembered beyond it.
    """
    n = len(weights)
    masks = passed.shape[2]
    least = np.full((n, most + 1, masks), NEVER)
    came = np.full((n, most + 1, masks), -1, np.int32)
    for j in range(n):
        if weights[j] <= most:
            least[j, weights[j], 1] = first[j]
    for q in range(1, most + 1):
        for j in range(n):
            for m in range(1, masks, 2):
                cost = least[j, q, m]
                if cost >= NEVER:
                    continue
                worse = False
                less = (m - 1) & m
                while less > 0 and not worse:
                    worse = less & 1 == 1 and least[j, q, less] <= cost
                    less = (less - 1) & m
                if worse:
                    least[j, q, m] = NEVER
                    continue
                for k in range(n):
                    new = passed[j, k, m]
                    if new >= 0 and q + weights[k] <= most:
                        made = cost + step[j, k]
                        if made < least[k, q + weights[k], new]:
                            least[k, q + weights[k], new] = made
                            came[k, q + weights[k], new] = j * masks + m
    return least, came


@compiled
def walked(weights, least, came, last, weight):
    """The edges of the cheapest chain of a weight to an item: rows of parent and child."""
    masks = least.shape[2]
    found = np.zeros((weight + 1, 2), np.int32)
    count = 0
    j, q, m = last, weight, np.int64(np.argmin(least[last, weight]))
    while True:
        before = came[j, q, m]
        found[count, 1] = j
        found[count, 0] = -1 if before < 0 else before // masks
        count += 1
        if before < 0:
            break
        q -= weights[j]
        j, m = before // masks, before % masks
    return found[:count]


@compiled
def ahead(step, weights, most):
    """`least[j, q]`: what going on from j costs at least within a weight of q; 0 to stop there.

    Nothing is remembered but the item before: never less than what is allowed costs.
    """
    n = len(weights)
    least = np.zeros((n, most + 1), np.int64)
    best = np.zeros((n, most + 1), np.int64)  # the next item of the least, n: none
    other = np.zeros((n, most + 1), np.int64)  # the least with another next item
    for q in range(most + 1):
        for j in range(n):
            best[j, q] = n
            for k in range(n):
                if k == j or weights[k] > q:
                    continue
                rest = q - weights[k]
                on = other[k, rest] if best[k, rest] == j else least[k, rest]
                made = step[j, k] + on
                if made < least[j, q]:
                    other[j, q] = least[j, q]
                    least[j, q], best[j, q] = made, k
                elif made < other[j, q]:
                    other[j, q] = made
    return least


@compiled
def turned(between, home, items, count, more):
    """Would a chain that goes on to one more item cost less with its end turned round?"""
    at = items[count - 1]
    for a in range(count - 1):
        one = items[a]
        before = home[one] if a == 0 else between[items[a - 1], one]
        instead = home[at] if a == 0 else between[items[a - 1], at]
        if instead + between[one, more] < before + between[at, more]:
            return True
    return False


@compiled
def every_chain(between, home, step, first, weights, most, rest, gap, chains, visits):
    """Write every chain that costs at most `gap` into a row of `chains`, which hold -1.

    How many, or -1 where they are too many, or so many visits of a chain under way are not enough.
    `rest` is what `ahead` says. No chain is wanted that turning a part of it round makes cheaper.
    """
    n = len(weights)
    found = 0
    left = visits
    inside = np.zeros(n, np.bool_)
    items = np.zeros(n + 1, np.int64)
    onward = np.zeros(n + 1, np.int64)  # the next item to try after each
    cost = np.zeros(n + 1, np.int64)
    used = np.zeros(n + 1, np.int64)
    for top in range(n):
        if weights[top] > most or first[top] + rest[top, most - weights[top]] > gap:
            continue
        depth = 0
        items[0], onward[0], cost[0], used[0] = top, -1, first[top], weights[top]
        inside[top] = True
        while depth >= 0:
            at = items[depth]
            if onward[depth] < 0:  # as it is
                onward[depth] = 0
                left -= 1
                if left < 0:
                    return -1
                if cost[depth] <= gap:
                    if found == len(chains):
                        return -1
                    for a in range(depth + 1):
                        chains[found, a] = items[a]
                    found += 1
            k = onward[depth]
            if k == n:
                inside[at] = False
                depth -= 1
                continue
            onward[depth] = k + 1
            if inside[k] or used[depth] + weights[k] > most:
                continue
            made = cost[depth] + step[at, k]
            if made + rest[k, most - used[depth] - weights[k]] > gap:
                continue
            if turned(between, home, items, depth + 1, k):
                continue
            depth += 1
            items[depth], onward[depth], cost[depth] = k, -1, made
            used[depth] = used[depth - 1] + weights[k]
            inside[k] = True
    return found
