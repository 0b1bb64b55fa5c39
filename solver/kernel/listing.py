"""Every tree that could be in a better plan, compiled: no longer a relaxation.

Given prices under which no tree of `arbs.py` costs less than 0, a plan that costs at most `gap`
more than they prove holds only trees that cost at most `gap` themselves. Trees grow from their top
item; each item's children come in the order of their numbers, and the last item met goes on first.
What is left to add costs at least what the tables of `arbs.py` say, within the weight that is left.
Only cheapest trees over their own items and the root are wanted: no edge is added that closes a
circle with a cheaper one left out.
"""

from typing import Final

import numpy as np

from solver.kernel.arbs import NEVER
from solver.kernel.compiled import compiled

NONE: Final = -1


@compiled
def every_tree(between, home, step, first, weights, most, after, without, gap, bits, visits):
    """Fill rows of `bits` with the items of every such tree; how many, or -1: too many of them.

    At most so many `visits` of a tree under way. A set of items may come more than once.
    """
    n = len(home)
    words = bits.shape[1]
    one = np.uint64(1)
    found = 0
    left = visits
    deep = n + 2
    # the open items: which, below which item, the one that was open before, and what all cost
    entry_item = np.zeros(deep, np.int64)
    entry_above = np.zeros(deep, np.int64)
    entry_link = np.zeros(deep, np.int64)
    entry_least = np.zeros((deep, most + 1), np.int64)
    dearest = np.zeros((n, n), np.int64)  # edge on the way between two items of the tree
    dearest_home = np.zeros(n, np.int64)
    inside = np.zeros(n, np.bool_)
    order = np.zeros(n, np.int64)
    # a frame: the item that gets children, its parent, the next child, open items, cost, weight
    frames = np.zeros((2 * deep, 5), np.int64)
    frame_cost = np.zeros(2 * deep, np.int64)
    no_more = np.zeros(most + 1, np.int64)
    for top in range(n):
        if weights[top] > most:
            continue
        inside[:] = False
        inside[top] = True
        order[0] = top
        size = 1
        dearest_home[top] = home[top]
        dearest[top, top] = 0
        entries = 0
        depth = 0
        frames[0, 0], frames[0, 1], frames[0, 2] = top, n, 0
        frames[0, 3], frames[0, 4] = NONE, weights[top]
        frame_cost[0] = first[top]
        # a frame's next child n: leave its item; n + 1: go back
        while depth >= 0:
            item, above, child = frames[depth, 0], frames[depth, 1], frames[depth, 2]
            link, used = frames[depth, 3], frames[depth, 4]
            cost = frame_cost[depth]
            if child > n:  # go back; what the frame added is taken away
                depth -= 1
                if depth >= 0 and frames[depth, 2] <= n:  # it was added as a child
                    entries -= 1
                    size -= 1
                    inside[order[size]] = False
                continue
            left -= 1
            if left < 0:
                return -1
            if child == n:  # leave the item as it is
                frames[depth, 2] = n + 1
                if link == NONE:
                    if cost <= gap:
                        if found == len(bits):
                            return -1
                        for w in range(words):
                            bits[found, w] = 0
                        for a in range(size):
                            bits[found, order[a] >> 6] |= one << np.uint64(order[a] & 63)
                        found += 1
                    continue
                depth += 1
                next_one = entry_item[link]
                frames[depth, 0], frames[depth, 1] = next_one, entry_above[link]
                frames[depth, 2], frames[depth, 3] = 0, entry_link[link]
                frames[depth, 4] = used + weights[next_one]
                frame_cost[depth] = cost
                continue
            frames[depth, 2] = child + 1
            if inside[child] or child == above:
                continue
            edge = between[item, child]
            fits = home[child] >= max(edge, dearest_home[item])
            for a in range(size):
                other = order[a]
                if not fits:
                    break
                fits = between[other, child] >= max(edge, dearest[item, other])
            if not fits:
                continue
            # what all open items cost at least, with this one, by the weight there is for them
            rest = most - used
            new = entries
            below = no_more if link == NONE else entry_least[link]
            for q in range(rest + 1):
                least = NEVER
                for part in range(weights[child], q + 1):
                    if without[item, child, part] < NEVER and below[q - part] < NEVER:
                        least = min(least, without[item, child, part] + below[q - part])
                entry_least[new, q] = least
            least = NEVER
            for q in range(rest + 1):
                if after[item, child + 1, q] < NEVER and entry_least[new, rest - q] < NEVER:
                    least = min(least, after[item, child + 1, q] + entry_least[new, rest - q])
            made = cost + step[item, child]
            if least >= NEVER or made + least > gap:
                continue
            entry_item[new], entry_above[new], entry_link[new] = child, item, link
            entries += 1
            for a in range(size):
                other = order[a]
                way = max(edge, dearest[item, other])
                dearest[child, other] = way
                dearest[other, child] = way
            dearest[child, child] = 0
            dearest_home[child] = max(edge, dearest_home[item])
            order[size] = child
            inside[child] = True
            size += 1
            depth += 1
            frames[depth, 0], frames[depth, 1] = item, above
            frames[depth, 2], frames[depth, 3] = child + 1, new
            frames[depth, 4] = used
            frame_cost[depth] = made
    return found
