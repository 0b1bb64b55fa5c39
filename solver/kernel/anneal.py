"""Search: simulated annealing over whole groups, compiled.

Moves take an item or the branch behind it to the group of a near item, exchange items and
branches of two groups, take an item on while another of that group goes on to a third (an
ejection chain), or open a group. A group may weigh too much for a while: every unit over its
limit is paid for, the dearer the colder. Each feasible group that an accepted move makes joins
the pool.

Kirkpatrick, Gelatt & Vecchi 1983; moves as in Ahuja, Orlin & Sharma 2001, 2003.
"""

from collections.abc import Sequence
from math import log
from typing import Final

import numpy as np

from solver.kernel.compiled import compiled
from solver.kernel.orders import MOST_ORDERED, best_order
from solver.kernel.problem import Problem

LOOK: Final = 1024  # moves between two steps of cooling
PROBES: Final = 8
ROOT: Final = -1
KNOWN: Final = 1 << 16  # groups whose costs are remembered
KNOWN_MASK: Final = np.uint64(KNOWN - 1)


@compiled
def draw(state):
    """The next whole number at random: xorshift, Marsaglia 2003."""
    x = state[0]
    x ^= x << np.uint64(13)
    x ^= x >> np.uint64(7)
    x ^= x << np.uint64(17)
    state[0] = x
    return x


@compiled
def below(state, most):
    """A whole number at random below another."""
    return np.int64(((draw(state) >> np.uint64(33)) * np.uint64(most)) >> np.uint64(31))


@compiled
def share(state):
    """A number at random from 0 up to 1, never 0."""
    return (np.float64(draw(state) >> np.uint64(12)) + 0.5) / 4503599627370496.0


@compiled
def tree(between, home, items, count, parent, key, left):
    """Cost of the cheapest tree over items and root; `parent[a]` is an item, or ROOT. Prim."""
    for a in range(count):
        left[a] = a
        key[a] = home[items[a]]
        parent[a] = ROOT
    cost = 0
    remaining = count
    while remaining > 0:
        at = 0
        for b in range(1, remaining):
            if key[left[b]] < key[left[at]]:
                at = b
        a = left[at]
        cost += key[a]
        remaining -= 1
        left[at] = left[remaining]
        row = between[items[a]]
        for b in range(remaining):
            c = left[b]
            step = row[items[c]]
            if step < key[c]:
                key[c] = step
                parent[c] = items[a]
    return cost


@compiled
def chain(between, home, items, count):
    """Cost of a short chain from the root; `items` is put in its order.

    Cheapest insertion, then turning parts round and moving items while that helps.
    """
    cost = np.int64(0)
    for a in range(count):  # cheapest place of the item that stands at a
        item = items[a]
        best, place = home[item] + (between[item, items[0]] - home[items[0]] if a else 0), 0
        for b in range(a):
            more = between[items[b], item]
            if b + 1 < a:
                more += between[item, items[b + 1]] - between[items[b], items[b + 1]]
            if more < best:
                best, place = more, b + 1
        for b in range(a, place, -1):
            items[b] = items[b - 1]
        items[place] = item
        cost += best
    better = True
    while better:
        better = False
        for a in range(count):  # turn a … b round
            before = items[a - 1]
            for b in range(a + 1, count):
                one, two = items[a], items[b]
                gain = (
                    (home[one] - home[two])
                    if a == 0
                    else (between[before, one] - between[before, two])
                )
                if b + 1 < count:
                    gain += between[two, items[b + 1]] - between[one, items[b + 1]]
                if gain > 0:
                    c, d = a, b
                    while c < d:
                        items[c], items[d] = items[d], items[c]
                        c += 1
                        d -= 1
                    cost -= gain
                    better = True
        for a in range(count):  # move one item elsewhere
            item = items[a]
            into = home[item] if a == 0 else between[items[a - 1], item]
            spared = into
            if a + 1 < count:
                after = items[a + 1]
                spared += between[item, after]
                spared -= home[after] if a == 0 else between[items[a - 1], after]
            for b in range(count + 1):  # before the item at b
                if a <= b <= a + 1:
                    continue
                more = home[item] if b == 0 else between[items[b - 1], item]
                if b < count:
                    more += between[item, items[b]]
                    more -= home[items[b]] if b == 0 else between[items[b - 1], items[b]]
                if more < spared:
                    if b < a:
                        for c in range(a, b, -1):
                            items[c] = items[c - 1]
                        items[b] = item
                    else:
                        for c in range(a, b - 1):
                            items[c] = items[c + 1]
                        items[b - 1] = item
                    cost -= spared - more
                    better = True
                    break
    return cost


@compiled
def keep(names, costs, bits, names_of, items, count, cost):
    """Keep a group in the pool: an open table by the exclusive or of its items' names."""
    name = np.uint64(0)
    for a in range(count):
        name ^= names_of[items[a]]
    size = np.uint64(len(names) - 1)
    for probe in range(PROBES):
        at = np.int64((name + np.uint64(probe)) & size)
        if names[at] == name:
            return
        if names[at] == 0:
            names[at] = name
            costs[at] = cost
            for a in range(count):
                item = items[a]
                bits[at, item >> 6] |= np.uint64(1) << np.uint64(item & 63)
            return


@compiled
def beyond_limits(load, most):
    """How much a group weighs over its limits, all resources together."""
    total = 0
    for r in range(len(most)):
        total += max(0, load[r] - most[r])
    return total


@compiled
def behind(parent, members, count, first, inside):
    """Mark the branch behind an item of a tree in `inside`."""
    for a in range(count):
        inside[members[a]] = False
    inside[first] = True
    more = True
    while more:
        more = False
        for a in range(count):
            item = members[a]
            if not inside[item] and parent[item] != ROOT and inside[parent[item]]:
                inside[item] = True
                more = True


@compiled
def leaving(parent, members, count, first, chains, after, inside, gone):
    """What leaves a group: the branch behind an item, the rest of its chain; how many.

    Of a chain `after` leaves the item itself where it is.
    """
    if not chains:
        behind(parent, members, count, first, inside)
    found = 0
    on = False
    for a in range(count):
        item = members[a]
        if chains:
            on = on or (item == first and not after)
            out = on
            on = on or item == first
        else:
            out = inside[item]
        inside[item] = False
        if out:
            gone[found] = item
            found += 1
    return found


@compiled
def part(members, count, where, parts, gone, gone_count, inside, made, made_count):
    """The groups as they would be: what leaves one goes to the next, and back, or to the third."""
    for p in range(parts):
        at = where[p]
        made_count[p] = 0
        for a in range(gone_count[p]):
            inside[gone[p, a]] = True
        for a in range(count[at]):
            item = members[at, a]
            if not inside[item]:
                made[p, made_count[p]] = item
                made_count[p] += 1
        for a in range(gone_count[p]):
            inside[gone[p, a]] = False
    for p in range(2):
        to = (p + 1) % parts
        for a in range(gone_count[p]):
            made[to, made_count[to]] = gone[p, a]
            made_count[to] += 1


@compiled
def anneal(
    between,
    home,
    weights,
    most,
    chains,
    limit,
    near,
    start,
    moves,
    hot,
    cold,
    price,
    seed,
    names_of,
    names,
    costs,
    bits,
):
    """The best groups met, as the group's number of every item, and their cost.

    `start` numbers every item's group; `limit` groups at most (0: any number); `price` is the least
    paid per unit over a limit. A result that nothing feasible was met is a cost of -1.
    """
    n, resources = weights.shape
    places = n + 1
    state = np.array(
        [np.uint64(seed) * np.uint64(2685821657736338717) + np.uint64(88172645463325252)]
    )
    for _ in range(8):
        draw(state)
    members = np.zeros((places, n), np.int32)
    count = np.zeros(places, np.int32)
    cost = np.zeros(places, np.int64)
    load = np.zeros((places, resources), np.int64)
    extra = np.zeros(places, np.int64)  # weight over the limits
    name = np.zeros(places, np.uint64)
    group = start.copy()
    parent = np.full(n, ROOT, np.int32)
    for item in range(n):
        g = group[item]
        members[g, count[g]] = item
        count[g] += 1
        load[g] += weights[item]
        name[g] ^= names_of[item]
    key = np.zeros(n, np.int64)
    left = np.zeros(n, np.int32)
    made = np.zeros((3, n), np.int32)
    made_parent = np.zeros((3, n), np.int32)
    made_count = np.zeros(3, np.int32)
    made_cost = np.zeros(3, np.int64)
    made_load = np.zeros((3, resources), np.int64)
    made_over = np.zeros(3, np.int64)
    made_name = np.zeros(3, np.uint64)
    where = np.zeros(3, np.int32)
    gone = np.zeros((3, n), np.int32)  # what leaves the first group, the second; nothing the third
    gone_count = np.zeros(3, np.int32)
    inside = np.zeros(n, np.bool_)
    known = np.zeros((KNOWN, 2), np.uint64)  # names and costs of groups priced lately
    used = 0
    total = np.int64(0)
    beyond = np.int64(0)
    for g in range(places):
        if count[g]:
            if chains:
                cost[g] = chain(between, home, members[g], count[g])
            else:
                cost[g] = tree(between, home, members[g], count[g], made_parent[0], key, left)
                for a in range(count[g]):
                    parent[members[g, a]] = made_parent[0, a]
            extra[g] = beyond_limits(load[g], most)
            used += 1
            total += cost[g]
            beyond += extra[g]
    best = group.copy()
    least = np.int64(-1)
    if beyond == 0 and (limit == 0 or used <= limit):
        least = total
    cooling = (cold / hot) ** (LOOK / moves)
    heat = hot
    penalty = price
    kept_from = moves // 3  # groups met while it is hot are poor
    adaptive = price < 1e5
    reach = near.shape[1]
    for step in range(moves):
        if step % LOOK == 0:
            heat *= cooling
            if adaptive:
                penalty *= 1.08 if beyond else 1.0 / 1.08
                penalty = max(penalty, 0.02 * heat)
        item = below(state, n)
        look = min(below(state, reach), below(state, reach))
        other = near[item, look]
        g, h = group[item], group[other]
        kind = below(state, 100)
        fresh = kind < 4
        if g == h and not fresh:
            continue
        parts = 2
        if fresh:
            if count[g] == 1:
                continue
            h = 0
            while count[h]:
                h += 1
            kind = 0 if kind < 2 else 40
        third = -1
        gone[0, 0] = item
        gone_count[0], gone_count[1] = 1, 0
        if kind < 88:
            if 30 <= kind < 52 or kind >= 76:
                gone_count[0] = leaving(
                    parent, members[g], count[g], item, chains, False, inside, gone[0]
                )
            if 52 <= kind < 66 or kind >= 82:
                gone[1, 0] = other
                gone_count[1] = 1
            elif 66 <= kind < 76:
                gone[1, 0] = members[h, below(state, count[h])]
                gone_count[1] = 1
            elif kind >= 76:
                gone_count[1] = leaving(
                    parent, members[h], count[h], other, chains, True, inside, gone[1]
                )
        else:  # an ejection chain: item to h, one of h to a third group
            out = members[h, below(state, count[h])]
            gone[1, 0] = out
            gone_count[1] = 1
            next_to = near[out, min(below(state, reach), below(state, reach))]
            third = group[next_to]
            if third == g or third == h:
                third = -1  # an exchange, then
            else:
                parts = 3
        where[0], where[1], where[2] = g, h, third
        for p in range(parts):
            made_name[p] = name[where[p]]
            made_load[p] = load[where[p]]
            made_count[p] = count[where[p]] - gone_count[p]
        for p in range(2):
            to = (p + 1) % parts
            made_count[to] += gone_count[p]
            for a in range(gone_count[p]):
                one = gone[p, a]
                made_name[p] ^= names_of[one]
                made_name[to] ^= names_of[one]
                for r in range(resources):
                    made_load[p, r] -= weights[one, r]
                    made_load[to, r] += weights[one, r]
        new_beyond = beyond
        new_used = used
        old_cost = np.int64(0)
        for p in range(parts):
            made_over[p] = beyond_limits(made_load[p], most)
            new_beyond += made_over[p] - extra[where[p]]
            new_used += (1 if made_count[p] else 0) - (1 if count[where[p]] else 0)
            old_cost += cost[where[p]]
        paid = penalty * (new_beyond - beyond)
        if limit:
            paid += 20.0 * hot * (max(0, new_used - limit) - max(0, used - limit))
        threshold = -heat * log(share(state))
        if paid - old_cost > threshold:
            continue
        change = -old_cost
        every = True
        for p in range(parts):
            at = np.int64(made_name[p] & KNOWN_MASK)
            if known[at, 0] == made_name[p]:
                change += np.int64(known[at, 1])
            else:
                every = False
        if every and paid + change > threshold:
            continue
        change = -old_cost
        part(members, count, where, parts, gone, gone_count, inside, made, made_count)
        for p in range(parts):
            if chains:
                made_cost[p] = chain(between, home, made[p], made_count[p])
            else:
                made_cost[p] = tree(
                    between, home, made[p], made_count[p], made_parent[p], key, left
                )
            change += made_cost[p]
            at = np.int64(made_name[p] & KNOWN_MASK)
            known[at, 0] = made_name[p]
            known[at, 1] = np.uint64(made_cost[p])
        if paid + change > threshold:
            continue
        for p in range(parts):
            at = where[p]
            count[at] = made_count[p]
            cost[at] = made_cost[p]
            extra[at] = made_over[p]
            load[at] = made_load[p]
            name[at] = made_name[p]
            for a in range(made_count[p]):
                one = made[p, a]
                members[at, a] = one
                group[one] = at
                parent[one] = made_parent[p, a]
            if made_count[p] and made_over[p] == 0 and (step > kept_from or change < 0):
                keep(names, costs, bits, names_of, made[p], made_count[p], made_cost[p])
        total += change
        beyond = new_beyond
        used = new_used
        if beyond == 0 and (limit == 0 or used <= limit) and (least < 0 or total < least):
            least = total
            for a in range(n):
                best[a] = group[a]
    return best, least


def costs_of(problem: Problem, groups: Sequence[Sequence[int]]) -> list[int]:
    """What each group costs, in the order of `ordered` where it is a chain."""
    if problem.chains:
        return [problem.chain_cost(ordered(problem, group)) for group in groups]
    longest = max((len(group) for group in groups), default=0)
    parent, left = np.zeros(longest, np.int32), np.zeros(longest, np.int32)
    key = np.zeros(longest, np.int64)
    costs = []
    for group in groups:
        items = np.array(group, np.int32)
        costs.append(int(tree(problem.between, problem.home, items, len(items), parent, key, left)))
    return costs


def ordered(problem: Problem, group: Sequence[int]) -> list[int]:
    """A chain's items in their order, the best of all where they are few; a tree's as they are."""
    items = np.array(group, np.int32)
    if problem.chains and len(items) <= MOST_ORDERED:
        best_order(problem.between, problem.home, items)
    elif problem.chains:
        chain(problem.between, problem.home, items, len(items))
    found: list[int] = items.tolist()
    return found
