"""How items with machines can be dealt to circuits: groups that fit one, and the least number.

A group fits when no two of its items clash and its worst state is within its breaker; whatever
fits with more in it fits with less. Sets of items are bits.
"""

from collections.abc import Callable, Sequence
from typing import Final

MOST_GROUPS: Final = 6_000
MOST_STEPS: Final = 20_000  # of one search for the least number


class Deals:
    """The largest groups of some items that fit; `known` is whether all were found."""

    def __init__(self, items: Sequence[int], fit: Callable[[frozenset[int]], bool]) -> None:
        self.items = tuple(items)
        self.at = {item: place for place, item in enumerate(self.items)}
        self.groups: list[int] = []
        self.known = True
        self._grow(fit)
        self.largest = self._largest_of(self.groups) if self.known else []
        self._least: dict[int, int] = {}
        self._steps = 0

    def _grow(self, fit: Callable[[frozenset[int]], bool]) -> None:
        """Every group that fits, by size."""
        level = [1 << place for place in range(len(self.items))]
        while level:
            self.groups += level
            if len(self.groups) > MOST_GROUPS:
                self.known = False
                return
            there = set(level)
            grown = []
            for group in level:
                for place in range(group.bit_length(), len(self.items)):
                    larger = group | 1 << place
                    if self._all_there(larger, there) and fit(self.named(larger)):
                        grown.append(larger)
            level = grown

    @staticmethod
    def _all_there(group: int, there: set[int]) -> bool:
        """Whether every group with one item less fits."""
        left = group
        while left:
            low = left & -left
            if group ^ low not in there:
                return False
            left ^= low
        return True

    @staticmethod
    def _largest_of(groups: Sequence[int]) -> list[int]:
        """Groups that are in no other, largest first."""
        kept: list[int] = []
        for group in sorted(set(groups), key=lambda one: (-one.bit_count(), one)):
            if not any(group & larger == group for larger in kept):
                kept.append(group)
        return kept

    def named(self, group: int) -> frozenset[int]:
        """The items of a group."""
        return frozenset(item for place, item in enumerate(self.items) if group >> place & 1)

    def least(self, items: frozenset[int]) -> int:
        """The least number of groups that hold some items; less where the search is cut off."""
        wanted = sum(1 << self.at[item] for item in items)
        if wanted not in self._least:
            inside = self._largest_of([group & wanted for group in self.largest if group & wanted])
            self._steps = 0
            count = 0
            while not self._cover(wanted, inside, count):
                count += 1
            self._least[wanted] = count
        return self._least[wanted]

    def _cover(self, wanted: int, inside: Sequence[int], count: int) -> bool:
        """Whether so many groups hold everything wanted; also when the search is cut off."""
        if not wanted:
            return True
        self._steps += 1
        if self._steps > MOST_STEPS:
            return True
        if not count or wanted.bit_count() > count * max(
            (group & wanted).bit_count() for group in inside
        ):
            return False
        rarest = min(
            (1 << place for place in range(len(self.items)) if wanted >> place & 1),
            key=lambda bit: sum(bool(group & bit) for group in inside),
        )
        here = self._largest_of([group & wanted for group in inside if group & rarest])
        return any(self._cover(wanted & ~group, inside, count - 1) for group in here)
