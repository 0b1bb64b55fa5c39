"""Squares of a sheet: what lies near a place, found without looking at all there is. Points."""

from collections import defaultdict
from collections.abc import Iterator
from math import floor
from typing import Final, Generic, TypeVar

from branchwright.sheets.display import Bounds

SIDE: Final = 40.0

T = TypeVar("T")


class Squares(Generic[T]):
    """Things by the squares of a sheet that their bounds touch."""

    def __init__(self) -> None:
        self._things: list[T] = []
        self._in: dict[tuple[int, int], list[int]] = defaultdict(list)

    def add(self, bounds: Bounds, thing: T) -> None:
        """Put a thing into every square that its bounds touch."""
        for square in _touched(bounds):
            self._in[square].append(len(self._things))
        self._things.append(thing)

    def near(self, bounds: Bounds) -> Iterator[T]:
        """All that may touch a place and some that is beside it, in the order it was added."""
        found: set[int] = set()
        for square in _touched(bounds):
            if square in self._in:
                found.update(self._in[square])
        return map(self._things.__getitem__, sorted(found))


def _touched(bounds: Bounds) -> Iterator[tuple[int, int]]:
    """The squares that a rectangle touches, by how many squares they are from the corner."""
    left, top, right, bottom = (floor(edge / SIDE) for edge in bounds)
    return ((x, y) for x in range(left, right + 1) for y in range(top, bottom + 1))
