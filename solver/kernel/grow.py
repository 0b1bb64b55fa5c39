"""Growing groups by what their items are worth, compiled.

Given what the relaxation pays for every item, groups grow from every seed item by one item after
another. Among groups that hold the seed, the best few of every step of weight go on; an estimate
(the nearest item of the group, or the root) chooses, the exact cost decides. Nothing is proved: a
group that has to pass a poor one is missed. Made for pricing columns (Lübbecke & Desrosiers
2005); the widened dynamic programming by weight is that of a knapsack.
"""

from typing import Final

import numpy as np

from solver.kernel.anneal import chain, keep, tree
from solver.kernel.compiled import compiled

TOP: Final = 1e-6
NEVER: Final = -1e12  # worth of an item that no group may hold


@compiled
def placed(names, values, count, wide, name, guess):
    """Where a group goes among those of its weight; -1 when it is there or worse than all."""
    worst = -1
    for d in range(count):
        if names[d] == name:
            values[d] = min(values[d], guess)
            return -1
        if worst < 0 or values[d] > values[worst]:
            worst = d
    if count < wide:
        return count
    return -1 if guess >= values[worst] - TOP else worst


@compiled
def read(bits, items):
    """The items of a row of bits; how many."""
    size = 0
    for item in range(len(items)):
        if (bits[item >> 6] >> np.uint64(item & 63)) & np.uint64(1):
            items[size] = item
            size += 1
    return size


@compiled
def grow(
    between,
    home,
    weights,
    most,
    chains,
    worth,
    seeds,
    steps,
    wide,
    below,
    names_of,
    names,
    costs,
    bits,
):
    """Grow from every seed; groups that cost less than their worth, by `below` at least, are kept.

    `steps` of the first resource's limit are told apart, `wide` groups go on from each. The result
    is the best reduced cost met from each seed.
    """
    n = len(home)
    words = bits.shape[1]
    one = np.uint64(1)
    best = np.zeros(len(seeds))
    held = np.zeros((steps + 1, wide, words), np.uint64)
    held_name = np.zeros((steps + 1, wide), np.uint64)
    held_value = np.zeros((steps + 1, wide))
    done = np.zeros((steps + 1, wide), np.bool_)
    count = np.zeros(steps + 1, np.int32)
    entry = np.zeros(steps + 1)  # no guess from this on is among the best
    nearest = np.zeros(n, np.int64)
    items = np.zeros(n, np.int32)
    parent = np.zeros(n, np.int32)
    key = np.zeros(n, np.int64)
    left = np.zeros(n, np.int32)
    weight = np.zeros(len(most), np.int64)
    grown = np.zeros(words, np.uint64)  # under way; a better one may take its place
    for s in range(len(seeds)):
        seed = seeds[s]
        for step in range(steps + 1):
            count[step] = 0
            entry[step] = np.inf
        first = weights[seed, 0] * steps // most[0]
        for w in range(words):
            held[first, 0, w] = 0
        held[first, 0, seed >> 6] = one << np.uint64(seed & 63)
        held_name[first, 0] = names_of[seed]
        held_value[first, 0] = home[seed] - worth[seed]
        done[first, 0] = False
        count[first] = 1
        for step in range(first, steps + 1):
            again = True
            while again:
                again = False
                for c in range(count[step]):
                    if done[step, c]:
                        continue
                    done[step, c] = True
                    again = True
                    size = read(held[step, c], items)
                    paid = 0.0
                    for r in range(len(most)):
                        weight[r] = 0
                    for a in range(size):
                        paid += worth[items[a]]
                        for r in range(len(most)):
                            weight[r] += weights[items[a], r]
                    grown[:] = held[step, c]
                    name = held_name[step, c]
                    if chains:
                        cost = chain(between, home, items, size)
                    else:
                        cost = tree(between, home, items, size, parent, key, left)
                    value = cost - paid
                    best[s] = min(best[s], value)
                    if value < -below:
                        keep(names, costs, bits, names_of, items, size, cost)
                    nearest[:] = home
                    for a in range(size):
                        row = between[items[a]]
                        for item in range(n):
                            nearest[item] = min(nearest[item], row[item])
                    for item in range(n):
                        if worth[item] <= NEVER:
                            continue
                        if (grown[item >> 6] >> np.uint64(item & 63)) & one:
                            continue
                        fits = True
                        for r in range(len(most)):
                            fits = fits and weight[r] + weights[item, r] <= most[r]
                        if not fits:
                            continue
                        guess = value + nearest[item] - worth[item]
                        at = (weight[0] + weights[item, 0]) * steps // most[0]
                        if guess >= entry[at] - TOP:
                            continue
                        new = name ^ names_of[item]
                        place = placed(held_name[at], held_value[at], count[at], wide, new, guess)
                        if place < 0:
                            continue
                        if place == count[at]:
                            count[at] += 1
                        for w in range(words):
                            held[at, place, w] = grown[w]
                        held[at, place, item >> 6] |= one << np.uint64(item & 63)
                        held_name[at, place] = new
                        held_value[at, place] = guess
                        done[at, place] = False
                        if count[at] == wide:
                            entry[at] = held_value[at].max()
    return best
