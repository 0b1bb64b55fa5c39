"""Rechecking a result and its certificate, with code that shares only the reading of instances.

    python -m benchmarks recheck FILE CERTIFICATE

FILE is the instance, CERTIFICATE what `capacitated-tree --certificate` wrote: nodes are numbered
from 0, prices are in 1/scale of a unit of cost. Checked are

- the plan: a tree to the root, no subtree over the capacity, and its cost;
- the prices: all trees together pay every node's price once, and the price of a set for each
  subtree that its demand makes enter it at least. An edge costs its own cost less the price of the
  node it leads to and of the sets it enters. If no tree within the capacity costs less than r per
  unit of its demand (r ≤ 0), no plan costs less than all prices and r times all demand;
- what is claimed beyond the prices: all groups that a plan below the claimed bound could hold are
  listed anew, and HiGHS (by SciPy) says that no choice of them is one.

Trees of the relaxation may hold a node again and again, but no child is its parent's parent, and
no node is there twice below one parent.
"""

import argparse
import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from benchmarks.instances import Instance, InstanceError, read_tree

Numbers = NDArray[np.int64]
FAR: Final = 1 << 58


class WrongError(Exception):
    """A claim that does not hold."""


def plan_cost(instance: Instance, capacity: int, parents: Sequence[int | None]) -> int:
    """What a plan costs; raises where it is none."""
    if len(parents) != len(instance.weights) or parents[instance.root] is not None:
        raise WrongError("every node but the root has a parent")
    load: dict[int, int] = {}
    cost = 0
    for node, parent in enumerate(parents):
        if parent is None:
            if node != instance.root:
                raise WrongError(f"node {node} has no parent")
            continue
        cost += int(instance.distances[node, parent])
        top, steps = node, 0
        while (up := parents[top]) != instance.root:
            if up is None or steps > len(parents):
                raise WrongError(f"node {node} does not lead to the root")
            top, steps = up, steps + 1
        load[top] = load.get(top, 0) + int(instance.weights[node])
    worst = max(load.values())
    if worst > capacity:
        raise WrongError(f"a subtree demands {worst}, more than {capacity}")
    return cost


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
        return np.where(plain == 0, 1, plain * self.times)

    @cached_property
    def times(self) -> int:
        """A tree must not repeat what demands nothing for ever.

        So a node without demand is given 1, all others so many times their own, and a subtree that
        much more room that the same sets of nodes fit as before.
        """
        plain = np.delete(self.instance.weights, self.instance.root)
        return 1 + int((plain == 0).sum())

    @cached_property
    def room(self) -> int:
        """What a subtree may demand."""
        return self.capacity * self.times + self.times - 1

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
    costs = np.array([_tree_cost(priced, group) for group in found], float)
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


def _tree_cost(priced: Priced, group: Sequence[int]) -> int:
    """The cheapest tree over some nodes and the root. Prim 1957."""
    reach = {node: int(priced.home[node]) for node in group}
    cost = 0
    while reach:
        node = min(reach, key=lambda one: (reach[one], one))
        cost += reach.pop(node)
        reach = {o: min(way, int(priced.edges[node, o])) for o, way in reach.items()}
    return cost


def recheck(instance: Instance, found: dict[str, Any]) -> list[str]:
    """What was checked, in sentences; raises at the first claim that does not hold."""
    capacity, root = int(found["capacity"]), instance.root
    cost = plan_cost(instance, capacity, found["parents"])
    if cost != found["value"]:
        raise WrongError(f"the plan costs {cost}, not {found['value']}")
    told = [f"the plan costs {cost}, and each of its subtrees demands {capacity} at most"]
    place = {node: node - (node > root) for node in range(len(instance.weights)) if node != root}
    prices = np.array([found["prices"][node] for node in place], np.int64)
    sets = [([place[node] for node in one["nodes"]], one["price"]) for one in found["sets"]]
    priced = Priced(instance, capacity, found["scale"], prices, sets)
    proved = max(priced.bound(), _tree_cost(priced, range(len(prices))))
    told.append(f"prices and the plain spanning tree prove that no plan costs less than {proved}")
    bound = int(found["bound"])
    if bound > proved:
        if not excluded(priced, bound):
            raise WrongError(f"that no plan costs less than {bound} does not follow")
        told.append(f"of all groups that would be needed no choice costs less than {bound}")
    if found["proved"] == "global" and bound < cost:
        raise WrongError("said to be proved, with a bound below its cost")
    return told


def main(arguments: Sequence[str]) -> None:
    """Recheck a certificate; ends with status 1 where a claim does not hold."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks recheck")
    parser.add_argument("file", type=Path)
    parser.add_argument("certificate", type=Path)
    options = parser.parse_args(arguments)
    try:
        found = json.loads(options.certificate.read_text(encoding="utf-8"))
        for sentence in recheck(read_tree(options.file), found):
            print(sentence)
    except (InstanceError, OSError, KeyError, ValueError, WrongError) as error:
        sys.exit(f"not confirmed: {error}")
