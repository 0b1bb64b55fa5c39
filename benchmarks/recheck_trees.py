"""Rechecking the prices of trees, and what is claimed beyond them; `recheck.py` says what and why.

Trees of the relaxation may hold a node again and again, but no child is its parent's parent, and
no node is there twice below one parent.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import gcd
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from benchmarks.instances import Instance

Numbers = NDArray[np.int64]
FAR: Final = 1 << 58


class WrongError(Exception):
    """A claim that does not hold."""


@dataclass(frozen=True, eq=False)
class Priced:
    """An instance under prices: nodes but the root, in order."""

    instance: Instance
    capacity: int
    scale: int
    prices: Numbers  # of every node but the root
    sets: list[tuple[list[int], int]]  # positions among those, and the price of the set

    @cached_property
    def weights(self) -> Numbers:
        """What every node demands; see `times`."""
        plain = np.delete(self.instance.weights, self.instance.root)
        return np.where(plain == 0, 1, plain // self.unit * self.times)

    @cached_property
    def unit(self) -> int:
        """What divides all demands."""
        return max(1, gcd(*self.instance.weights.tolist()))

    @cached_property
    def times(self) -> int:
        """A tree must not repeat what demands nothing for ever.

        So a node without demand is given 1, all others so many times their own, and a subtree that
        much more room that the same sets of nodes fit as before. Demands are counted in what
        divides them all.
        """
        plain = np.delete(self.instance.weights, self.instance.root)
        return 1 + int((plain == 0).sum())

    @cached_property
    def room(self) -> int:
        """What a subtree may demand."""
        return self.capacity // self.unit * self.times + self.times - 1

    @cached_property
    def edges(self) -> Numbers:
        """Distances between nodes."""
        root = self.instance.root
        return np.delete(np.delete(self.instance.distances, root, 0), root, 1)

    @cached_property
    def home(self) -> Numbers:
        """Distances from the root."""
        return np.delete(self.instance.distances[self.instance.root], self.instance.root)

    @cached_property
    def steps(self) -> tuple[Numbers, Numbers]:
        """What edges cost less the prices of what they enter: from node to node, from the root."""
        step = self.scale * self.edges - self.prices
        first = self.scale * self.home - self.prices
        for members, price in self.sets:
            inside = np.isin(np.arange(len(self.prices)), members)
            first = first - price * inside
            step = step - price * (inside[None, :] & ~inside[:, None])
        return step, first

    @cached_property
    def paid(self) -> int:
        """What all trees together pay at least."""
        if any(price < 0 for _, price in self.sets):
            raise WrongError("a set's price is below 0")
        total = int(self.prices.sum())
        for members, price in self.sets:
            total += price * -(-int(self.weights[members].sum()) // self.room)
        return total

    @cached_property
    def tables(self) -> "Tables":
        """The cheapest trees."""
        return Tables(self.steps[0], self.weights, self.room)

    def rate(self) -> tuple[int, int]:
        """The least cost of a tree per unit of its demand, if below 0: cost and demand."""
        by_weight = (self.tables.any_children + self.steps[1][:, None]).min(axis=0)
        best = (0, 1)
        for weight in range(1, self.room + 1):
            cost = int(by_weight[weight])
            if cost * best[1] < best[0] * weight:
                best = cost, weight
        return best

    def bound(self) -> int:
        """What the prices prove, rounded up to a whole unit of cost."""
        cost, weight = self.rate()
        return -(-(self.paid + int(self.weights.sum()) * cost // weight) // self.scale)

    def levelled(self) -> "Priced":
        """The same with the rate in the prices, rounded down: no tree costs less than 0."""
        cost, weight = self.rate()
        prices = self.prices + (cost // weight) * self.weights
        return Priced(self.instance, self.capacity, self.scale, prices, self.sets)

    def groups(self, below: int) -> Iterator[list[int]]:
        """All groups that a plan below a cost can hold; some more than once.

        Trees under way: nodes with their parents, all children of `open[-1]` up to a number
        chosen, those of the other open ones not yet.
        """
        step, first = self.steps
        gap = self.scale * (below - 1) - self.paid

        def more(
            tree: dict[int, int], waiting: list[tuple[int, int]], at: int, child: int, cost: int
        ) -> Iterator[list[int]]:
            used = int(self.weights[list(tree)].sum()) - sum(
                int(self.weights[node]) for node, _ in waiting
            )
            for new in range(child, len(self.prices)):
                if new in tree or self._dearer(tree, at, new):
                    continue
                opened = [*waiting, (new, at)]
                made = cost + int(step[at, new])
                rest = self.room - used
                if made + self.tables.least(opened, at, new + 1, rest) <= gap:
                    yield from more({**tree, new: at}, opened, at, new + 1, made)
            if waiting:
                yield from more(tree, waiting[:-1], waiting[-1][0], 0, cost)
            elif cost <= gap:
                yield sorted(tree)

        for top in range(len(self.prices)):
            if self.weights[top] <= self.room:
                yield from more({top: -1}, [], top, 0, int(first[top]))

    def _dearer(self, tree: dict[int, int], at: int, new: int) -> bool:
        """Would the tree with this edge cost less with another edge in place of one it has?"""
        edge = int(self.edges[at, new])
        if self.home[new] < edge:
            return True
        dearest = {at: edge}  # edge on the way to the new node, from `at` outwards
        todo = [at]
        while todo:
            node = todo.pop()
            near = [tree[node], *(other for other, up in tree.items() if up == node)]
            for other in near:
                if other == -1:
                    if self.home[new] < max(dearest[node], int(self.home[node])):
                        return True
                elif other not in dearest:
                    dearest[other] = max(dearest[node], int(self.edges[node, other]))
                    if self.edges[other, new] < dearest[other]:
                        return True
                    todo.append(other)
        return False


class Tables:
    """The least costs of trees by demand, all in numpy; trees repeat as the module says."""

    def __init__(self, step: Numbers, weights: Numbers, most: int) -> None:
        n = len(weights)
        every = np.arange(n)
        low = np.full((n + 1, n, most + 1), FAR)  # children of lower number than k: [k, j, q]
        low[0, every, np.minimum(weights, most)] = np.where(weights <= most, 0, FAR)
        high = np.full((n + 1, n, most + 1), FAR)  # children from number k on
        high[:, :, 0] = 0
        but = np.full((n, n, most + 1), FAR)  # any children but p: [p, j, q]
        hanging = np.full((n, n, most + 1), FAR)  # branch k below j: [k, j, q]
        for q in range(1, most + 1):
            parts = np.arange(q)
            for k in range(n):
                joined = low[k][:, q - parts] + hanging[k][:, parts]
                least = np.where(every == k, FAR, joined.min(axis=1))
                low[k + 1, :, q] = np.minimum(np.minimum(low[k, :, q], least), FAR)
            for p in range(n):
                joined = low[p][:, q - parts] + high[p + 1][:, parts]
                but[p, :, q] = np.minimum(joined.min(axis=1), FAR)
            for k in range(n):
                branch = np.minimum(but[:, k, q] + step[:, k], FAR)
                hanging[k, :, q] = np.where(every == k, FAR, branch)
            for k in range(n - 1, -1, -1):
                joined = high[k + 1][:, q - parts - 1] + hanging[k][:, parts + 1]
                high[k, :, q] = np.minimum(np.minimum(high[k + 1, :, q], joined.min(axis=1)), FAR)
        self.any_children, self.but = low[n], but
        self.high = np.minimum.accumulate(high, axis=2)  # of at most this demand
        self.most = most

    def least(self, opened: list[tuple[int, int]], at: int, child: int, rest: int) -> int:
        """What open nodes and further children of one cost at least, within a demand."""
        total = self.high[child, at, : rest + 1]
        for node, parent in opened:
            one = self.but[parent, node]
            total = np.array(
                [int((total[: q + 1] + one[q::-1]).min()) for q in range(rest + 1)], np.int64
            )
        return int(min(total.min(), FAR))


def excluded(priced: Priced, below: int) -> bool:
    """Is there no plan below a cost?"""
    priced = priced.levelled()
    found = sorted({tuple(group) for group in priced.groups(below)})
    n = len(priced.prices)
    if {node for group in found for node in group} != set(range(n)):
        return True  # nothing would hold some node
    costs = np.array([tree_cost(priced, group) for group in found], float)
    rows = [node for group in found for node in group]
    columns = [number for number, group in enumerate(found) for _ in group]
    holds = csr_array((np.ones(len(rows)), (rows, columns)), shape=(n, len(found)))
    answer = milp(
        costs,
        constraints=[
            LinearConstraint(holds, 1, 1),
            LinearConstraint(costs[None, :], -np.inf, below - 0.5),
        ],
        integrality=np.ones(len(found)),
        bounds=Bounds(0, 1),
    )
    return int(answer.status) == 2  # infeasible


def tree_cost(priced: Priced, group: Sequence[int]) -> int:
    """The cheapest tree over some nodes and the root. Prim 1957."""
    reach = {node: int(priced.home[node]) for node in group}
    cost = 0
    while reach:
        node = min(reach, key=lambda one: (reach[one], one))
        cost += reach.pop(node)
        reach = {o: min(way, int(priced.edges[node, o])) for o, way in reach.items()}
    return cost
