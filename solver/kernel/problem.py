"""A problem of the kernel: items to be put in groups, each group a tree or a chain from one root.

Everything is an array of whole numbers. Items are 0 … n-1; `between[i, j]` is what the edge of two
items costs, `home[i]` what the edge of an item and the root costs, with whatever opening a group
costs. A group costs its cheapest tree over its items and the root, or its chain from the root. An
item weighs something of every resource; a group may hold `most` of each. At most `groups` groups.

A group's tree may reach the root more than once: it is then several groups in one, each paid for,
so nothing is gained or lost by that, and `parents` tells them apart.

A shop is such a problem as soon as its load rule is written as weights: resources are amperes at
the worst state, outlets, and so on; an exact check of each chosen group still has the last word.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

Whole = NDArray[np.int64]
Group = frozenset[int]
FAR: Final = 1 << 40


@dataclass(frozen=True, eq=False)
class Problem:
    """Items, edges, weights and limits; trees, or chains."""

    between: Whole  # n x n, symmetric, zero diagonal
    home: Whole  # n
    weights: Whole  # n x resources
    most: Whole  # resources
    chains: bool = False
    groups: int | None = None

    @property
    def size(self) -> int:
        """How many items there are."""
        return len(self.home)

    def may(self, group: Group) -> bool:
        """May these items be one group?"""
        return bool((self.weights[sorted(group)].sum(axis=0) <= self.most).all())

    def weighing(self) -> "Problem":
        """The same problem of one resource with no item that weighs 0: the same sets are allowed.

        Weights are divided by what divides them all. With z items of weight 0 these weigh 1, others
        z + 1 times as much, and a group may hold z beyond that many times its limit.
        """
        unit = max(1, int(np.gcd.reduce(self.weights[:, 0])))
        idle = self.weights[:, 0] == 0
        times = int(idle.sum()) + 1
        weights = np.where(idle, 1, self.weights[:, 0] // unit * times)
        most = self.most // unit * times + times - 1
        return replace(self, weights=weights[:, None], most=most)

    def parents(self, groups: Sequence[Sequence[int]]) -> list[int | None]:
        """Every item's neighbour on its way to the root; None for the root itself.

        A chain's items come in their order; a tree's in any. Prim 1957.
        """
        parents: list[int | None] = [None] * self.size
        for group in groups:
            if self.chains:
                for before, item in pairwise(group):
                    parents[item] = before
                continue
            reach: dict[int, tuple[int, int | None]] = {
                item: (int(self.home[item]), None) for item in group
            }
            while reach:
                item = min(reach, key=lambda one: (reach[one][0], one))
                parents[item] = reach.pop(item)[1]
                for other, (cost, _) in reach.items():
                    if self.between[item, other] < cost:
                        reach[other] = (int(self.between[item, other]), item)
        return parents

    def cost(self, parents: Sequence[int | None]) -> int:
        """What a forest towards the root costs."""
        return sum(
            int(self.home[item] if parent is None else self.between[item, parent])
            for item, parent in enumerate(parents)
        )

    def chain_cost(self, chain: Sequence[int]) -> int:
        """What a chain costs, its items in their order."""
        return int(self.home[chain[0]]) + sum(int(self.between[a, b]) for a, b in pairwise(chain))

    def branches(self, parents: Sequence[int | None]) -> list[list[int]]:
        """The items behind each edge of the root, nearest the root first; refuses a circle."""
        behind: dict[int | None, list[int]] = {}
        for item, parent in enumerate(parents):
            behind.setdefault(parent, []).append(item)
        found = []
        for first in behind.get(None, []):
            branch = [first]
            for item in branch:
                branch += behind.get(item, [])
            found.append(branch)
        if sum(map(len, found)) != self.size:
            raise ValueError("some items do not lead to the root")
        return found
