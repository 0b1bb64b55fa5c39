"""The route graph: every way a cable, or a raceway on the surface, can take through a building.

Walls are grids of the places on them, box heights, and ways over and under openings. Ceilings are
planes cut into cells by the lines that matter (walls, areas, blocks to avoid, open doors): every
place sends out rays along both axes to these lines, runs go along the lines, and two places with
nothing between them are joined by one bend. That holds a shortest way square to the axes: any other
can be slid until its straight pieces lie on such lines (Clarkson, Kapoor and Vaidya 1987, from
memory). Whole hundredths of a foot; a node is a point and the sides of masonry it is on.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, pairwise
from typing import Final, Literal

from models.shop import Climate, Opening, Place, Rectangle, Shop, Wall
from models.spaces import under_attic

Xyz = tuple[int, int, int]
Xy = tuple[int, int]
Token = tuple[int, ...]
Node = tuple[int, int, int, Token]
Method = Literal["cable", "cool cable", "surface"]
OVER_HEAD_CFT: Final = 100  # a run passes 1 ft above an opening, over its header: common practice
UNDER_SILL_CFT: Final = 50  # and 6 in below a sill: common practice
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


class RouteGraph:
    """Edges between nodes with what they count as, for one method; `bends` are corners within."""

    def __init__(self, shop: Shop, method: Method) -> None:
        self.shop, self.building, self.method = shop, shop.building, method
        self.feet = shop.routes.foot_counts_as
        self.wall_counts = round(PERCENT * self.feet.wall)
        self.blocks = [Block(a, a.above_ft, a.below_ft) for a in shop.routes.avoid]
        self.walls = [wall for wall in self.building.all_walls if self._usable(wall)]
        self.barriers = list(self._barriers())
        self.edges: dict[tuple[Node, Node], tuple[int, tuple[Xy, ...]]] = {}
        self._strips: dict[tuple[int, int, int], list[int | None]] = {}
        self.xs, self.ys = self._lines()
        self.cells = self._cells()
        self.columns: dict[tuple[int, int, Token], set[int]] = defaultdict(set)
        self.passages = {p.id: self._passage_place(p) for p in shop.routes.passages}
        self.meets: tuple[dict[int, set[int]], dict[int, set[int]]] = ({}, {})
        if set(self.feet.model_dump().values()) != {1.0}:
            self._meet_walls()
        self._add_walls()
        self._add_ceilings()
        self._add_passages()
        self._add_steps()

    # -- what is there

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
            and _on_segment(self._ends(wall), end)
            for wall in self.building.all_walls
        )

    @cached_property
    def _all_ends(self) -> dict[str, tuple[Xy, Xy]]:
        ends = {wall.id: self.building.wall_ends(wall.id) for wall in self.building.all_walls}
        return {
            name: ((hundredths(x0), hundredths(y0)), (hundredths(x1), hundredths(y1)))
            for name, ((x0, y0), (x1, y1)) in ends.items()
        }

    def _ends(self, wall: Wall) -> tuple[Xy, Xy]:
        return self._all_ends[wall.id]

    def _door_sweeps(self) -> Iterator[tuple[int, int, int, int]]:
        """The rectangles under the ceiling that open overhead doors take."""
        for door in self.building.openings:
            if door.travel_ft <= 0 or self.building.is_partition(door.wall):
                continue
            (x0, y0), (x1, y1) = self._ends(self.building.wall(door.wall))
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
            for end in self._ends(wall):
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

    # -- nodes and edges

    def token(self, x: int, y: int, towards: tuple[float, float]) -> Token:
        """On which side of each barrier at a point a run is that comes from `towards`."""
        return tuple(b.side(*towards) for b in self.barriers if b.holds(x, y))

    def node(self, name: str) -> Node:
        """The node of an enclosure."""
        place = self.shop.enclosures[name]
        x, y, z = point_of(self.shop.position(place))
        stands = self.shop.stands_in(place)
        return x, y, z, self.token(x, y, (stands[0] * 100, stands[1] * 100))

    def _add(self, first: Node, last: Node, counts: int, bends: tuple[Xy, ...] = ()) -> None:
        """Join two nodes; of two joints the shorter stays."""
        if first == last:
            return
        key = (first, last) if first < last else (last, first)
        old = self.edges.get(key)
        if old is None or counts < old[0]:
            self.edges[key] = counts, bends
        elif counts == old[0] and bends:
            self.edges[key] = counts, tuple(sorted({*old[1], *bends}))

    # -- walls

    def _passage_place(self, passage: Place) -> Xyz:
        """Where a passage is; without a height at the ceiling."""
        x, y, z = point_of(self.shop.position(passage))
        if passage.height_ft is None:
            z = min(hundredths(c.ceiling_ft) for c in self.building.climates_at(x / 100, y / 100))
        return x, y, z

    def _places_on(self, wall: Wall) -> Iterator[Xyz]:
        for place in self.shop.enclosures.values():
            if place.wall == wall.id:
                yield point_of(self.shop.position(place))
        for passage in self.shop.routes.passages:
            if passage.wall == wall.id:
                yield self.passages[passage.id]

    def _add_walls(self) -> None:
        heights = {
            point_of(self.shop.position(place))[2]
            for place in self.shop.enclosures.values()
            if place.wall is not None
        }
        heights |= {z for _, _, z in self.passages.values()}
        heights |= {cell.z for cell in self.cells.values()}
        for opening in self.building.openings:
            heights.add(hundredths(opening.head_ft) + OVER_HEAD_CFT)
            if opening.sill_ft > 0:
                heights.add(max(0, hundredths(opening.sill_ft) - UNDER_SILL_CFT))
        shared = [self._ends(wall) for wall in self.walls]
        for wall in self.walls:
            self._add_wall(wall, heights, [end for ends in shared for end in ends])
        for (x, y, token), zs in sorted(self.columns.items()):
            for low, high in pairwise(sorted(zs)):
                if not self._riser_blocked(x, y, (low + high) / 2):
                    first, last = (x, y, low, token), (x, y, high, token)
                    self._add(first, last, (high - low) * self.wall_counts)

    def _riser_blocked(self, x: int, y: int, z: float) -> bool:
        """Whether a riser meets an opening of every wall it could be in, or a block."""
        if any(block.covers(x, y, z) for block in self.blocks):
            return True
        walls = [wall for wall in self.walls if _on_segment(self._ends(wall), (x, y))]
        return bool(walls) and all(
            any(_blocks(o, along, along, z) for o in self._openings(wall))
            for wall in walls
            for along in [x if _level(self._ends(wall)) else y]
        )

    def _openings(self, wall: Wall) -> list[Opening]:
        return [o for o in self.building.openings if o.wall == wall.id]

    def _add_wall(self, wall: Wall, heights: set[int], ends: Sequence[Xy]) -> None:
        """The grid of one wall."""
        first, last = self._ends(wall)
        level = _level((first, last))
        axis = 0 if level else 1
        low, high = sorted((first[axis], last[axis]))
        line = first[1 - axis]
        marks = {low, high} | {end[axis] for end in ends if _on_segment((first, last), end)}
        zs = set(heights)
        for x, y, z in self._places_on(wall):
            marks.add(x if level else y)
            zs.add(z)
        for opening in self._openings(wall):
            marks.update(hundredths(value) for value in opening.between)
        for block in self.blocks:
            if block.x[0] <= max(first[0], last[0]) and block.x[1] >= min(first[0], last[0]):
                marks.update(mark for mark in (block.x, block.y)[axis] if low < mark < high)
                zs.update(z for z in block.z if z > 0)
        for edge in (self.xs, self.ys)[axis]:
            if low < edge < high and self._ceiling_changes(edge, line, level):
                marks.add(edge)
        marks.update(m for m in self.meets[1 - axis].get(line, ()) if low < m < high)
        self._add_grid(wall, sorted(marks), sorted(zs), line)

    def _ceiling_changes(self, along: int, line: int, level: bool) -> bool:
        """Whether two ceilings meet over a place of a wall."""
        x, y = (along, line) if level else (line, along)
        return len(self.building.climates_at(x / 100, y / 100)) > 1

    def _add_grid(self, wall: Wall, marks: Sequence[int], zs: Sequence[int], line: int) -> None:
        level = _level(self._ends(wall))
        openings = self._openings(wall)
        masonry = [b for b in self.barriers if b.line == line and b.axis == (0 if level else 1)]
        sides = (-1, 1) if any(b.low <= marks[0] and b.high >= marks[-1] for b in masonry) else (0,)

        def point(mark: int) -> Xy:
            return (mark, line) if level else (line, mark)

        def beside(mark: float, side: int) -> tuple[float, float]:
            return (mark, line + side) if level else (line + side, mark)

        for side in sides:
            for left, right in pairwise(marks):
                middle = (left + right) / 2
                towards = beside(middle, side)
                top = max(
                    hundredths(c.ceiling_ft)
                    for c in self.building.climates_at(*(v / 100 for v in beside(middle, 0)))
                )
                for z in zs:
                    over = z < top and not any(
                        _blocks(o, left, right, z, OVER_HEAD_CFT) for o in openings
                    )
                    if not over or any(b.covers(*beside(middle, 0), z) for b in self.blocks):
                        continue
                    nodes = [(*point(m), z, self.token(*point(m), towards)) for m in (left, right)]
                    self._add(nodes[0], nodes[1], (right - left) * self.wall_counts)
            for number, mark in enumerate(marks):
                x, y = point(mark)
                nexts = [m for m in (number - 1, number + 1) if 0 <= m < len(marks)]
                tokens = {
                    self.token(x, y, beside((mark + marks[other]) / 2, side)) for other in nexts
                }
                tops = {
                    hundredths(c.ceiling_ft) for c in self.building.climates_at(x / 100, y / 100)
                }
                for token in tokens:
                    self.columns[x, y, token].update(z for z in zs if z < max(tops))
                    self.columns[x, y, token].update(tops)

    # -- ceilings

    def _levels(self, x: float, y: float) -> list[tuple[Cell, tuple[float, float]]]:
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

    def _add_piece(self, x0: int, y0: int, x1: int, y1: int) -> bool:
        """A straight piece of ceiling run inside one column or row of cells, where it is free."""
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        axis = 0 if y0 == y1 else 1
        length = abs(x1 - x0) + abs(y1 - y0)
        found = self._levels(x, y)
        for cell, inside in found:
            towards = (x, y + (inside[1] - y) / 9) if axis == 0 else (x + (inside[0] - x) / 9, y)
            first = (x0, y0, cell.z, self.token(x0, y0, towards))
            last = (x1, y1, cell.z, self.token(x1, y1, towards))
            self._add(first, last, length * cell.across[axis])
        return bool(found)

    def _add_ceilings(self) -> None:
        """Rays from every place, the lines they meet, and bends between places."""
        on_x: dict[int, set[int]] = {x: set(self.ys) for x in self.xs}
        on_y: dict[int, set[int]] = {y: set(self.xs) for y in self.ys}
        for x, y, _ in self.columns:
            if x in on_x:
                on_x[x].add(y)
            if y in on_y:
                on_y[y].add(x)
        places = sorted(self._ceiling_places())
        for x, y in places:
            self._add_rays(x, y, on_x, on_y)
        for x, marks in on_x.items():
            for low, high in pairwise(sorted(marks)):
                self._add_piece(x, low, x, high)
        for y, marks in on_y.items():
            for low, high in pairwise(sorted(marks)):
                self._add_piece(low, y, high, y)
        for z in sorted({cell.z for cell in self.cells.values()}):
            at_z = [
                (x, y)
                for x, y in places
                if any(cell.z == z for cell, _ in self._levels(x, y))
                and not any(barrier.holds(x, y) for barrier in self.barriers)
            ]
            for first, last in combinations(at_z, 2):
                self._add_bend(first, last, z)

    def _meet_walls(self) -> None:
        """Where the rays of places meet lines: risers may be worth while there if feet differ."""
        on_x: dict[int, set[int]] = defaultdict(set)
        on_y: dict[int, set[int]] = defaultdict(set)
        for x, y in sorted(self._ceiling_places()):
            self._add_rays(x, y, on_x, on_y)
        self.meets = on_x, on_y

    def _ceiling_places(self) -> set[Xy]:
        """Where places are under or over the ceiling, or have a riser to it."""
        found = {point_of(self.shop.position(p))[:2] for p in self.shop.enclosures.values()}
        return found | {place[:2] for place in self.passages.values()}

    def _add_rays(
        self, x: int, y: int, on_x: dict[int, set[int]], on_y: dict[int, set[int]]
    ) -> None:
        for lines, at, across in ((self.xs, x, on_x), (self.ys, y, on_y)):
            for way in (
                [line for line in lines if line > at],
                [line for line in reversed(lines) if line < at],
            ):
                here = at
                for line in way:
                    if lines is self.xs:
                        free = self._add_piece(here, y, line, y)
                    else:
                        free = self._add_piece(x, here, x, line)
                    if not free:
                        break
                    across[line].add(y if lines is self.xs else x)
                    here = line
        if x in on_x:
            on_x[x].add(y)
        if y in on_y:
            on_y[y].add(x)

    def _add_bend(self, first: Xy, last: Xy, z: int) -> None:
        """Join two places at one ceiling by a straight piece, or by two with a bend."""
        ends = (*first, z, ()), (*last, z, ())
        for corner in ((last[0], first[1]), (first[0], last[1])):
            before, after = self._leg(first, corner, z), self._leg(corner, last, z)
            if before is not None and after is not None:
                bends = () if corner in (first, last) else (corner,)
                self._add(*ends, before + after, bends)

    def _leg(self, start: Xy, end: Xy, z: int) -> int | None:
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
                counts = [c.across[axis] for c, _ in self._levels(*middle) if c.z == z]
                shut = any(b.holds(*map(round, middle)) for b in self.barriers if b.axis == axis)
                found.append(None if shut or not counts else min(counts))
            self._strips[key] = found
        return self._strips[key]

    # -- passages and steps

    def _add_passages(self) -> None:
        """A passage joins both sides of the masonry it goes through."""
        for x, y, z in self.passages.values():
            tokens = sorted({token for (a, b, token) in self.columns if (a, b) == (x, y)})
            tokens += sorted({n[3] for edge in self.edges for n in edge if n[:3] == (x, y, z)})
            for first, last in pairwise(dict.fromkeys(tokens)):
                self._add((x, y, z, first), (x, y, z, last), 0)

    def _add_steps(self) -> None:
        """Where two ceilings meet, runs go from one to the other."""
        levels: dict[tuple[int, int, Token], set[int]] = defaultdict(set)
        ceilings = {cell.z for cell in self.cells.values()}
        for edge in self.edges:
            for x, y, z, token in edge:
                if z in ceilings:
                    levels[x, y, token].add(z)
        for (x, y, token), zs in sorted(levels.items()):
            for low, high in pairwise(sorted(zs)):
                if not any(block.covers(x, y, (low + high) / 2) for block in self.blocks):
                    counts = (high - low) * self.wall_counts
                    self._add((x, y, low, token), (x, y, high, token), counts)


def _level(ends: tuple[Xy, Xy]) -> bool:
    """Whether a wall runs along x."""
    return ends[0][1] == ends[1][1]


def _on_segment(ends: tuple[Xy, Xy], point: Xy) -> bool:
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


def _blocks(opening: Opening, left: int, right: int, z: float, header: int = 0) -> bool:
    """Whether a piece of wall from `left` to `right` at height `z` meets an opening or header."""
    low, high = sorted(hundredths(value) for value in opening.between)
    above_sill = opening.sill_ft == 0 or z > hundredths(opening.sill_ft)
    below_head = z < hundredths(opening.head_ft) + header
    return above_sill and below_head and left < high and right > low
