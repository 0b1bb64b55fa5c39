"""The building on paper: feet to points, walls with their outer side, room for runs in walls.

The outline is the inner face of the walls. A wall is drawn as a band on its outer side, wide
enough to show every run that lies in it side by side; that band is not to scale.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from branchwright.sheets.display import Bounds, Xy
from models.shop import Building

NEAR_FT: Final = 0.02
LANE: Final = 4.4
FIRST_LANE: Final = 5.0
LEAST_BAND: Final = 9.0
MARGIN: Final = 86.0
PLOT_WIDTH, PLOT_HEIGHT = 760.0, 600.0
BOXES_BEFORE_GROWING, GROWTH_PER_BOX = 20, 8.0


@dataclass(frozen=True)
class Side:
    """One wall on paper; `outward` points away from the room, `along` from its first corner."""

    id: str
    start: Xy
    end: Xy
    along: Xy
    outward: Xy

    @property
    def level(self) -> bool:
        """Whether it lies left to right on paper."""
        return self.along[1] == 0

    def holds(self, first: Xy, last: Xy, near: float) -> bool:
        """Whether a piece between two points lies on this wall's inner face."""
        across = 1 if self.level else 0
        line, along = self.start[across], 1 - across
        low, high = sorted((self.start[along], self.end[along]))
        middle = (first[along] + last[along]) / 2
        on_line = abs(first[across] - line) <= near and abs(last[across] - line) <= near
        return on_line and low - near <= middle <= high + near


@dataclass(frozen=True)
class Frame:
    """Where the building lies on the sheet. `top_left` is where its west and north ends meet."""

    building: Building
    scale: float
    top_left: Xy
    sides: tuple[Side, ...]
    west_ft: float
    north_ft: float
    margin: float

    @classmethod
    def of(cls, building: Building, boxes: int, zoom: float, at: Xy, band: float) -> "Frame":
        """Fit a building with this many boxes; `at` is the corner of the plot on the sheet."""
        xs = [x for x, _ in building.corners]
        ys = [y for _, y in building.corners]
        grown = zoom * (1 + GROWTH_PER_BOX * max(0, boxes - BOXES_BEFORE_GROWING) / PLOT_WIDTH)
        wide, deep = max(xs) - min(xs), max(ys) - min(ys)
        scale = grown * min(PLOT_WIDTH / max(wide, 1), PLOT_HEIGHT / max(deep, 1))
        margin = MARGIN + band
        top_left = (at[0] + margin, at[1] + margin)
        bare = cls(building, scale, top_left, (), min(xs), max(ys), margin)
        return replace(bare, sides=bare._sides())

    def _sides(self) -> tuple[Side, ...]:
        """Every wall; corners run counter-clockwise, so the room is at the left hand."""
        sides = []
        for wall in self.building.walls:
            start, end = (self.at(*corner) for corner in self.building.wall_ends(wall.id))
            length = abs(end[0] - start[0]) + abs(end[1] - start[1]) or 1.0
            along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
            sides.append(Side(wall.id, start, end, along, (-along[1], along[0])))
        return tuple(sides)

    def at(self, x_ft: float, y_ft: float) -> Xy:
        """A place of the shop on paper."""
        x = self.top_left[0] + (x_ft - self.west_ft) * self.scale
        return x, self.top_left[1] + (self.north_ft - y_ft) * self.scale

    @property
    def bounds(self) -> Bounds:
        """The inner faces' outermost rectangle."""
        points = [side.start for side in self.sides]
        xs, ys = [x for x, _ in points], [y for _, y in points]
        return Bounds(min(xs), min(ys), max(xs), max(ys))

    @property
    def plot(self) -> Bounds:
        """The building with its margin, where labels may stand."""
        left, top, right, bottom = self.bounds
        m = self.margin
        return Bounds(left - m, top - m, right + m, bottom + m)

    def side_of(self, first: Xy, last: Xy) -> Side | None:
        """The wall that a piece lies on, if any."""
        near = NEAR_FT * self.scale
        return next((side for side in self.sides if side.holds(first, last, near)), None)

    def side(self, wall: str | None) -> Side | None:
        """The wall with this id."""
        return next((side for side in self.sides if side.id == wall), None)


def shifted(point: Xy, direction: Xy, distance: float) -> Xy:
    """A point moved along a direction."""
    return point[0] + direction[0] * distance, point[1] + direction[1] * distance


def around(point: Xy, half_width: float, half_height: float) -> Bounds:
    """A rectangle about a centre."""
    x, y = point
    return Bounds(x - half_width, y - half_height, x + half_width, y + half_height)


def distance(first: Xy, last: Xy) -> float:
    """Distance of two points."""
    return float(((first[0] - last[0]) ** 2 + (first[1] - last[1]) ** 2) ** 0.5)


def point_along(points: Sequence[Xy], length: float) -> tuple[Xy, Xy]:
    """The point at a distance from the start of a polyline, and the direction there."""
    for first, last in itertools.pairwise(points):
        step = distance(first, last)
        if step and length <= step:
            way = ((last[0] - first[0]) / step, (last[1] - first[1]) / step)
            return shifted(first, way, length), way
        length -= step
    first, last = points[-2], points[-1]
    step = distance(first, last) or 1.0
    return last, ((last[0] - first[0]) / step, (last[1] - first[1]) / step)


def polyline_length(points: Sequence[Xy]) -> float:
    """Length of a polyline."""
    return sum(distance(a, b) for a, b in itertools.pairwise(points))
