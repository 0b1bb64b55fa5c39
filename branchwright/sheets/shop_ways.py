"""The ways of a shop on paper: every piece once, by what it lies in, and raceways as pale tubes."""

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.display import Line, Polyline, Shape, Xy
from branchwright.sheets.floor_frame import Frame, shifted
from branchwright.sheets.shop_rooms import BAND
from solver.survey import Survey

SURFACE_OFF: Final = 4.0


class DrawnWays:
    """The shortest ways of a survey at one scale; `lines` are known once they are drawn."""

    def __init__(self, found: Survey, frame: Frame) -> None:
        self.found, self.frame = found, frame
        self.lines: list[tuple[Xy, Xy]] = []

    def shapes(self) -> Iterator[Shape]:
        """Every piece of the shortest ways once, by where it lies; raceways as pale tubes."""
        tubes = self.tubes()
        for style in (styles.CASING_EDGE, styles.CASING_BODY):
            yield from (Polyline(points, style) for points in tubes)
        pieces: dict[tuple[str, int, float], list[tuple[float, float]]] = defaultdict(list)
        for one in self.found.reached:
            for piece in self.found.ways.sections(one.way) if one.way else ():
                first, last = (self.frame.at(*point[:2]) for point in (piece.start, piece.end))
                if abs(first[0] - last[0]) + abs(first[1] - last[1]) < 0.01:
                    continue
                first, last = self._moved(first, last, piece.lies)
                axis = 0 if abs(first[1] - last[1]) < 0.01 else 1
                low, high = sorted((first[axis], last[axis]))
                pieces[piece.lies, axis, round(first[1 - axis], 2)].append((low, high))
        for (lies, axis, line), spans in sorted(pieces.items()):
            for low, high in _merged(spans):
                first, last = (
                    ((low, line), (high, line)) if axis == 0 else ((line, low), (line, high))
                )
                self.lines.append((first, last))
                yield Line(first, last, styles.LIES[lies])

    def tubes(self) -> list[tuple[Xy, ...]]:
        """Every raceway that is seen from above."""
        paths = [route.path for route in self.found.ways.raceways.values()]
        tubes = [self._tube([(x / 100, y / 100) for x, y, _ in path]) for path in paths]
        return [tube for tube in tubes if len(tube) > 1]

    def _moved(self, first: Xy, last: Xy, lies: str) -> tuple[Xy, Xy]:
        """A piece along an outer wall: into the band when in the wall, off it on the surface."""
        side = self.frame.side_of(first, last)
        if side is None or lies in ("attic", "in ceiling", "underground"):
            return first, last
        off = BAND / 2 if lies == "in wall" else -SURFACE_OFF
        return shifted(first, side.outward, off), shifted(last, side.outward, off)

    def _tube(self, path: list[Xy]) -> tuple[Xy, ...]:
        """A raceway seen from above, off the wall that it lies on."""
        spots = [self.frame.at(*point) for point in path]
        moved: list[Xy] = []
        for first, last in pairwise(spots):
            if abs(first[0] - last[0]) + abs(first[1] - last[1]) >= 0.01:
                moved += self._moved(first, last, "on surface")
        return tuple(moved)


def _merged(spans: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Spans joined where they touch."""
    low, high = sorted(spans)[0]
    for begin, end in sorted(spans)[1:]:
        if begin > high + 0.01:
            yield low, high
            low, high = begin, end
        else:
            high = max(high, end)
    yield low, high
