"""The floor of a building seen from above, for one method: lines, cells, and what is in the way.

Ceilings are cut into cells by the lines that matter: walls, areas, blocks to avoid, open doors. A
masonry partition is a barrier: a point on it has two sides. Whole hundredths of a foot.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Final, Literal

from models.shop import Climate, Rectangle, Shop, Wall
from models.spaces import under_attic

Xyz = tuple[int, int, int]
Xy = tuple[int, int]
Token = tuple[int, ...]
Node = tuple[int, int, int, Token]
Method = Literal["cable", "cool cable", "surface"]
PERCENT: Final = 100


def hundredths(length_ft: float) -> int:
    """A length in whole hundredths of a foot."""
    return round(length_ft * 100)


def point_of(point: tuple[float, float, float]) -> Xyz:
    """A point in whole hundredths of a foot."""
    x, y, z = point
    return hundredths(x), hundredths(y), hundredths(z)


@dataclass(frozen=True)
class Cell:
    """A piece of floor with one ceiling; `free` when runs may lie at that ceiling."""

    z: int
    across: tuple[int, int]  # what a foot along x, along y counts as [%]
    free: bool


@dataclass(frozen=True)
class Barrier:
    """A masonry partition that no run crosses but at a passage. `axis` runs along it."""

    axis: int
    line: int
    low: int
    high: int
    shut_low: bool
    shut_high: bool

    def holds(self, x: int, y: int) -> bool:
        """Whether a point lies on it; not at an end that stands free."""
        along, off = (x, y) if self.axis == 0 else (y, x)
        if off != self.line:
            return False
        return (
            self.low < along < self.high
            or (along == self.low and self.shut_low)
            or (along == self.high and self.shut_high)
        )

    def side(self, x: float, y: float) -> int:
        """The side a point is on: -1, 0 on its line, 1."""
        off = y if self.axis == 0 else x
        return (off > self.line) - (off < self.line)


class Block:
    """A block of space that nothing goes through."""

    def __init__(self, rectangle: Rectangle, above_ft: float, below_ft: float) -> None:
        (x0, y0), (x1, y1) = rectangle.low, rectangle.high
        self.x, self.y = (hundredths(x0), hundredths(x1)), (hundredths(y0), hundredths(y1))
        self.z = (hundredths(above_ft), hundredths(below_ft))

    def covers(self, x: float, y: float, z: float) -> bool:
        """Whether a point on a wall lies in it or on its edge."""
        return (
            self.x[0] <= x <= self.x[1]
            and self.y[0] <= y <= self.y[1]
            and self.z[0] < z < self.z[1]
        )

    def covers_ceiling(self, x: float, y: float, z: int) -> bool:
        """Whether a point of a ceiling lies inside it."""
        return (
            self.x[0] < x < self.x[1] and self.y[0] < y < self.y[1] and self.z[0] <= z <= self.z[1]
        )


class Floor:
    """Lines, cells and barriers of a building for one method."""

    def __init__(self, shop: Shop, method: Method) -> None:
        self.shop, self.building, self.method = shop, shop.building, method
        self.feet = shop.routes.foot_counts_as
        self.blocks = [Block(a, a.above_ft, a.below_ft) for a in shop.routes.avoid]
        self.walls = [wall for wall in self.building.all_walls if self._usable(wall)]
        self.barriers = list(self._barriers())
        self._strips: dict[tuple[int, int, int], list[int | None]] = {}
        self.xs, self.ys = self._lines()
        self.cells = self._cells()

    def _usable(self, wall: Wall) -> bool:
        """Cable goes in studs; a raceway lies on any wall."""
        return self.method == "surface" or wall.construction != "masonry"

    def _barriers(self) -> Iterator[Barrier]:
        """Masonry partitions; over a ceiling with an attic cable passes above them."""
        for wall in self.building.partitions:
            attic = under_attic(self.building, wall)
            if wall.construction != "masonry" or (self.method != "surface" and attic):
                continue
            first, last = ((hundredths(x), hundredths(y)) for x, y in (wall.start, wall.end))
            axis = 0 if first[1] == last[1] else 1
            (low, end_low), (high, end_high) = sorted(
                ((first[axis], first), (last[axis], last)), key=lambda end: end[0]
            )
            yield Barrier(
                axis,
                first[1 - axis],
                low,
                high,
                self._abuts(wall.id, end_low),
                self._abuts(wall.id, end_high),
            )

    def _abuts(self, wall_id: str, end: Xy) -> bool:
        """Whether a masonry partition ends at a wall that no run passes behind."""
        return any(
            wall.id != wall_id
            and (self.method == "surface" or wall.construction == "masonry")
            and on_segment(self.ends(wall), end)
            for wall in self.building.all_walls
        )

    @cached_property
    def _all_ends(self) -> dict[str, tuple[Xy, Xy]]:
        ends = {wall.id: self.building.wall_ends(wall.id) for wall in self.building.all_walls}
        return {
            name: ((hundredths(x0), hundredths(y0)), (hundredths(x1), hundredths(y1)))
            for name, ((x0, y0), (x1, y1)) in ends.items()
        }

    def ends(self, wall: Wall) -> tuple[Xy, Xy]:
        """Where a wall begins and ends."""
        return self._all_ends[wall.id]

    def _door_sweeps(self) -> Iterator[tuple[int, int, int, int]]:
        """The rectangles under the ceiling that open overhead doors take."""
        for door in self.building.openings:
            if door.travel_ft <= 0 or self.building.is_partition(door.wall):
                continue
            (x0, y0), (x1, y1) = self.ends(self.building.wall(door.wall))
            low, high = sorted(hundredths(value) for value in door.between)
            reach = hundredths(door.travel_ft)
            if y0 == y1:
                inwards = reach if x1 > x0 else -reach
                yield low, min(y0, y0 + inwards), high, max(y0, y0 + inwards)
            else:
                inwards = -reach if y1 > y0 else reach
                yield min(x0, x0 + inwards), low, max(x0, x0 + inwards), high

    def _lines(self) -> tuple[list[int], list[int]]:
        """The x and the y of every line that a ceiling run may have to follow."""
        xs, ys = set(), set()
        for wall in self.building.all_walls:
            for end in self.ends(wall):
                xs.add(end[0])
                ys.add(end[1])
        for area in self.building.areas:
            for x, y in (area.low, area.high):
                xs.add(hundredths(x))
                ys.add(hundredths(y))
        for block in self.blocks:
            xs.update(block.x)
            ys.update(block.y)
        for left, bottom, right, top in self._door_sweeps():
            xs.update((left, right))
            ys.update((bottom, top))
        return sorted(xs), sorted(ys)

    def _cells(self) -> dict[tuple[int, int], Cell]:
        """The cells inside the outline, by the number of their column and row."""
        sweeps = list(self._door_sweeps())
        cells = {}
        for column, (x0, x1) in enumerate(pairwise(self.xs)):
            for row, (y0, y1) in enumerate(pairwise(self.ys)):
                x, y = (x0 + x1) / 2, (y0 + y1) / 2
                if self.building.holds(x / 100, y / 100):
                    climate = self.building.climate_at(x / 100, y / 100)
                    cells[column, row] = self._cell(climate, x, y, sweeps)
        return cells

    def _cell(
        self, climate: Climate, x: float, y: float, sweeps: Iterable[tuple[int, int, int, int]]
    ) -> Cell:
        z = hundredths(climate.ceiling_ft)
        surface = self.method == "surface" or climate.ceiling_runs == "surface"
        swept = surface and any(a < x < c and b < y < d for a, b, c, d in sweeps)
        blocked = any(block.covers_ceiling(x, y, z) for block in self.blocks)
        attic = self.method == "cool cable" and climate.ceiling_runs == "attic"
        along: float = self.feet.ceiling
        across = along * (1.0 if surface else self.feet.across_joists)
        along_x = across if climate.joists == "north-south" else along
        along_y = across if climate.joists == "east-west" else along
        percent = round(PERCENT * along_x), round(PERCENT * along_y)
        return Cell(z, percent, not (swept or blocked or attic))

    def token(self, x: int, y: int, towards: tuple[float, float]) -> Token:
        """On which side of each barrier at a point a run is that comes from `towards`."""
        return tuple(b.side(*towards) for b in self.barriers if b.holds(x, y))

    def levels(self, x: float, y: float) -> list[tuple[Cell, tuple[float, float]]]:
        """The free cells at a point, each with a point inside it."""
        found = []
        for column in _between(self.xs, x):
            for row in _between(self.ys, y):
                cell = self.cells.get((column, row))
                if cell is not None and cell.free:
                    middle = (
                        (self.xs[column] + self.xs[column + 1]) / 2,
                        (self.ys[row] + self.ys[row + 1]) / 2,
                    )
                    found.append((cell, middle))
        return found

    def leg(self, start: Xy, end: Xy, z: int) -> int | None:
        """What a straight piece of ceiling run counts as; None when it is not free."""
        axis = 0 if start[1] == end[1] else 1
        low, high = sorted((start[axis], end[axis]))
        if low == high:
            return 0
        if any(
            bar.axis != axis and low <= bar.line <= high and bar.holds(*_at(axis, bar.line, start))
            for bar in self.barriers
        ):
            return None
        lines = (self.xs, self.ys)[axis]
        counts = self._strip(axis, start[1 - axis], z)
        total = 0
        for number in range(bisect_right(lines, low) - 1, bisect_left(lines, high)):
            share = counts[number]
            if share is None:
                return None
            total += (min(high, lines[number + 1]) - max(low, lines[number])) * share
        return total

    def _strip(self, axis: int, at: int, z: int) -> list[int | None]:
        """What a hundredth of a foot counts as along a line, column by column; None: not free."""
        key = axis, at, z
        if key not in self._strips:
            found: list[int | None] = []
            for a, b in pairwise((self.xs, self.ys)[axis]):
                middle = ((a + b) / 2, at) if axis == 0 else (at, (a + b) / 2)
                counts = [c.across[axis] for c, _ in self.levels(*middle) if c.z == z]
                shut = any(b.holds(*map(round, middle)) for b in self.barriers if b.axis == axis)
                found.append(None if shut or not counts else min(counts))
            self._strips[key] = found
        return self._strips[key]


def level_wall(ends: tuple[Xy, Xy]) -> bool:
    """Whether a wall runs along x."""
    return ends[0][1] == ends[1][1]


def on_segment(ends: tuple[Xy, Xy], point: Xy) -> bool:
    """Whether a point lies on a wall, its ends included."""
    return all(
        min(ends[0][axis], ends[1][axis]) <= point[axis] <= max(ends[0][axis], ends[1][axis])
        for axis in (0, 1)
    )


def _at(axis: int, along: int, start: Xy) -> Xy:
    """A point of the straight piece from `start` along an axis."""
    return (along, start[1]) if axis == 0 else (start[0], along)


def _between(lines: Sequence[int], at: float) -> list[int]:
    """The columns, by the number of their first line, that a value lies in; two on a line."""
    low, high = bisect_left(lines, at), bisect_right(lines, at)
    found = [low - 1] if low == high else [low - 1, low]
    return [number for number in found if 0 <= number < len(lines) - 1]
