"""The pool: every good group that searching and growing met, with its cost, in arrays.

A group is a row of bits and has a 64-bit name, the exclusive or of its items' names; rows are
kept in the order of their names, so that the pool does not depend on who met a group first.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray

from solver.kernel.problem import Whole

Bits = NDArray[np.uint64]
Numbers = NDArray[np.float64]
WORD: Final = 64
NAMES_SEED: Final = 20_260


def item_names(size: int) -> Bits:
    """A 64-bit name of every item, the same in every run."""
    return np.random.default_rng(NAMES_SEED).integers(1, 2**63, size).astype(np.uint64)


class Table(NamedTuple):
    """Where compiled code puts the groups it meets: open addressing by name, 0 where empty."""

    names: Bits
    costs: Whole
    bits: Bits

    @classmethod
    def empty(cls, size: int, log2: int) -> "Table":
        """Room for 2**log2 groups of so many items."""
        rows, words = 1 << log2, -(-size // WORD)
        return cls(
            np.zeros(rows, np.uint64), np.zeros(rows, np.int64), np.zeros((rows, words), np.uint64)
        )


def bits_of(size: int, groups: Sequence[Sequence[int]]) -> Bits:
    """Groups as rows of bits."""
    bits = np.zeros((len(groups), -(-size // WORD)), np.uint64)
    for row, group in enumerate(groups):
        for item in group:
            bits[row, item // WORD] |= np.uint64(1) << np.uint64(item % WORD)
    return bits


def table_of(size: int, groups: Sequence[Sequence[int]], costs: Sequence[int]) -> Table:
    """A table of just these groups."""
    names_of = item_names(size)
    names = [np.bitwise_xor.reduce(names_of[list(group)]) for group in groups]
    return Table(np.array(names, np.uint64), np.array(costs, np.int64), bits_of(size, groups))


class Pool:
    """Groups in the order of their names."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.names = np.zeros(0, np.uint64)
        self.costs = np.zeros(0, np.int64)
        self.bits = np.zeros((0, -(-size // WORD)), np.uint64)
        self._index()

    def __len__(self) -> int:
        return len(self.names)

    def add(self, tables: Sequence[Table]) -> None:
        """Add what tables hold; of groups met twice the cheaper one."""
        found = [table.names != 0 for table in tables]
        names = np.concatenate(
            [self.names, *(t.names[f] for t, f in zip(tables, found, strict=True))]
        )
        costs = np.concatenate(
            [self.costs, *(t.costs[f] for t, f in zip(tables, found, strict=True))]
        )
        bits = np.concatenate([self.bits, *(t.bits[f] for t, f in zip(tables, found, strict=True))])
        order = np.lexsort((costs, names))
        names, costs, bits = names[order], costs[order], bits[order]
        first = np.concatenate(([True], names[1:] != names[:-1])) if len(names) else order == 0
        self.names, self.costs, self.bits = names[first], costs[first], bits[first]
        self._index()

    def keep(self, rows: NDArray[np.intp]) -> None:
        """Forget all other groups."""
        rows = np.sort(rows)
        self.names, self.costs, self.bits = self.names[rows], self.costs[rows], self.bits[rows]
        self._index()

    def _index(self) -> None:
        inside = np.unpackbits(self.bits.view(np.uint8), axis=1, bitorder="little")[:, : self.size]
        self.rows, self.items = np.nonzero(inside)
        self.starts = np.searchsorted(self.rows, np.arange(len(self) + 1))

    def group(self, row: int) -> list[int]:
        """The items of one group, in order."""
        found: list[int] = self.items[self.starts[row] : self.starts[row + 1]].tolist()
        return found

    def reduced(self, worth: Numbers) -> Numbers:
        """What every group costs beyond what its items are worth."""
        if not len(self):
            return np.zeros(0)
        paid = np.add.reduceat(worth[self.items], self.starts[:-1])
        return np.asarray(self.costs - paid)

    def within(self, group: Sequence[int]) -> NDArray[np.intp]:
        """The rows of groups of these items only."""
        outside = ~bits_of(self.size, [group])[0]
        return np.flatnonzero(~(self.bits & outside).any(axis=1))

    def part(self, items: Sequence[int]) -> "Pool":
        """The groups of these items only, in a pool of their own that numbers items from 0."""
        rows = self.within(items)
        local = np.full(self.size, -1)
        local[list(items)] = np.arange(len(items))
        groups = [local[self.group(row)].tolist() for row in rows.tolist()]
        pool = Pool(len(items))
        pool.add([table_of(len(items), groups, self.costs[rows].tolist())])
        return pool

    def find(self, groups: Sequence[Sequence[int]], names_of: Bits) -> NDArray[np.intp]:
        """The rows of groups that are there."""
        names = [np.bitwise_xor.reduce(names_of[list(group)]) for group in groups]
        rows = np.searchsorted(self.names, np.array(names, np.uint64))
        return np.asarray(rows, np.intp)
