"""Rechecking chains: as `recheck.py` does trees, with what is different.

A plan's nodes have one child each, the root as many as chains are allowed. Every chain pays the
opening price more, and all together get it back for as many as are allowed. Chains of the
relaxation may come back to a node only by way of one that does not remember it; the certificate
says what each remembers. What is claimed beyond the prices is decided in whole numbers: every
node in turn by each of the chains that hold it, as long as all cost little enough.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from benchmarks.recheck_trees import Numbers, Priced, WrongError


def check_chains(parents: Sequence[int | None], root: int, most: int) -> None:
    """Raises where a plan is not made of chains, or of too many."""
    children: dict[int, int] = {}
    for parent in parents:
        if parent is not None:
            children[parent] = children.get(parent, 0) + 1
    if children.get(root, 0) > most:
        raise WrongError(f"{children[root]} chains, more than {most}")
    for node, count in children.items():
        if node != root and count > 1:
            raise WrongError(f"node {node} has {count} children, a chain has one")


@dataclass(frozen=True, eq=False)
class PricedChains(Priced):
    """An instance of chains under prices."""

    opening: int
    chains: int
    memories: list[list[int]]  # of every position, the positions that it remembers

    @cached_property
    def steps(self) -> tuple[Numbers, Numbers]:
        """What edges cost less the prices of what they enter; from the root with the opening."""
        step, first = super().steps
        return step, first + self.opening

    @cached_property
    def paid(self) -> int:
        """What all chains together pay at least."""
        if self.opening < 0:
            raise WrongError("the opening price is below 0")
        return super().paid - self.opening * self.chains

    def rate(self) -> tuple[int, int]:
        """The least cost of a chain of the relaxation per unit of its demand, if below 0."""
        step, first = (part.tolist() for part in self.steps)
        weights, n = self.weights.tolist(), len(self.weights)
        remembered = [
            sum(1 << other for other in {node, *self.memories[node]}) for node in range(n)
        ]
        # of chains by demand: the last node and what is remembered, and the least cost
        by_weight: list[dict[tuple[int, int], int]] = [{} for _ in range(self.room + 1)]
        for node in range(n):
            if weights[node] <= self.room:
                by_weight[weights[node]][node, 1 << node] = first[node]
        best = (0, 1)
        for weight, found in enumerate(by_weight):
            for (last, memory), cost in found.items():
                if cost * best[1] < best[0] * weight:
                    best = cost, weight
                for node in range(n):
                    heavier = weight + weights[node]
                    if memory >> node & 1 or heavier > self.room:
                        continue
                    key = node, memory & remembered[node] | 1 << node
                    made = cost + step[last][node]
                    if made < by_weight[heavier].get(key, made + 1):
                        by_weight[heavier][key] = made
        return best

    def levelled(self) -> "PricedChains":
        """The same with the rate in the prices, rounded down: no chain costs less than 0."""
        cost, weight = self.rate()
        prices = self.prices + (cost // weight) * self.weights
        return PricedChains(
            self.instance, self.capacity, self.scale, prices, self.sets,
            self.opening, self.chains, self.memories,
        )  # fmt: skip

    @cached_property
    def onward(self) -> Numbers:
        """What going on from a node costs at least within a demand: [demand, node], 0 or less."""
        step = self.steps[0]
        onward = np.zeros((self.room + 1, len(self.weights)), np.int64)
        for rest in range(1, self.room + 1):
            for node, weight in enumerate(self.weights.tolist()):
                if weight <= rest:
                    onward[rest] = np.minimum(
                        onward[rest],
                        np.where(
                            np.arange(len(self.weights)) == node,
                            0,
                            step[:, node] + onward[rest - weight, node],
                        ),
                    )
        return onward

    def all_chains(self, below: int) -> Iterator[tuple[int, list[int]]]:
        """All chains that a plan below a cost can hold, with their cost under the prices."""
        step, first = self.steps
        gap = self.scale * (below - 1) - self.paid

        def more(chain: list[int], cost: int, rest: int) -> Iterator[tuple[int, list[int]]]:
            if cost <= gap:
                yield cost, chain
            for node in range(len(self.weights)):
                left = rest - int(self.weights[node])
                if left < 0 or node in chain:
                    continue
                made = cost + int(step[chain[-1], node])
                if made + int(self.onward[left, node]) <= gap:
                    yield from more([*chain, node], made, left)

        for node in range(len(self.weights)):
            left = self.room - int(self.weights[node])
            if left >= 0 and first[node] + self.onward[left, node] <= gap:
                yield from more([node], int(first[node]), left)


def no_chains_below(priced: PricedChains, below: int) -> bool:
    """Is there no plan below a cost?

    The chains of one would cost little enough under the prices, all together, and by themselves; of
    chains of the same nodes the least of both is taken.
    """
    priced = priced.levelled()
    gap = priced.scale * (below - 1) - priced.paid
    least: dict[int, tuple[int, int]] = {}
    for cost, chain in priced.all_chains(below):
        nodes = sum(1 << node for node in chain)
        plain = int(priced.home[chain[0]] + priced.edges[chain[:-1], chain[1:]].sum())
        old = least.get(nodes, (cost, plain))
        least[nodes] = min(cost, old[0]), min(plain, old[1])
    holding: list[list[int]] = [[] for _ in priced.weights]
    for nodes in sorted(least, key=lambda one: (least[one], one)):
        for node in range(len(priced.weights)):
            if nodes >> node & 1:
                holding[node].append(nodes)
    everything = (1 << len(priced.weights)) - 1

    def possible(done: int, cost: int, plain: int, chains: int) -> bool:
        if done == everything:
            return True
        if chains == 0:
            return False
        fewest: list[int] | None = None
        for node, options in enumerate(holding):
            if done >> node & 1:
                continue
            fitting = [
                one
                for one in options
                if not one & done and cost + least[one][0] <= gap and plain + least[one][1] < below
            ]
            if fewest is None or len(fitting) < len(fewest):
                fewest = fitting
        assert fewest is not None
        return any(
            possible(done | one, cost + least[one][0], plain + least[one][1], chains - 1)
            for one in fewest
        )

    return not possible(0, 0, 0, priced.chains)
