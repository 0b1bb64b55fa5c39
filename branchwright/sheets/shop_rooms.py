"""The rooms of a shop on paper: walls, partitions, openings, areas, zones, places to avoid."""

from collections.abc import Iterator
from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Group, Line, Polyline, Rect, Shape, Xy
from branchwright.sheets.floor_building import (
    draw_dimensions,
    draw_opening,
    draw_walls,
    opening_place,
)
from branchwright.sheets.floor_frame import Frame, Side, shifted
from models.shop import (
    WORKING_SPACE_DEPTH_FT,
    WORKING_SPACE_WIDTH_FT,
    Panel,
    Rectangle,
    Shop,
)
from models.wall_reach import bare_stretches

BAND: Final = 13.0
PARTITION_HALF: Final = 3.5
HATCH_STEP: Final = 7.0


class Rooms:
    """The building of a shop at one scale."""

    def __init__(self, shop: Shop, frame: Frame) -> None:
        self.shop, self.frame, self.building = shop, frame, shop.building

    def draw(self, layer: Group) -> None:
        """Walls, partitions, areas, zones, openings, places to avoid."""
        layer.add(*draw_walls(self.frame, BAND))
        for wall in self.building.walls:
            if wall.construction == "masonry":
                layer.add(*hatch(self._band(self.frame.side(wall.id))))
        for area in self.building.areas:
            layer.add(Rect(self.rectangle(area), styles.AREA_EDGE))
        for zone in self.building.zones:
            layer.add(Rect(self.rectangle(zone), styles.ZONE))
        for avoid in self.shop.routes.avoid:
            bounds = self.rectangle(avoid)
            left, top, right, bottom = bounds
            layer.add(Rect(bounds, styles.KEEP_OUT))
            layer.add(Line((left, top), (right, bottom), styles.KEEP_OUT))
            layer.add(Line((left, bottom), (right, top), styles.KEEP_OUT))
        layer.add(*self.partitions())
        for opening in self.building.openings:
            if place := opening_place(self.frame, opening, BAND):
                layer.add(*draw_opening(self.frame, opening, *place))
            else:
                layer.add(Rect(self.partition(opening.wall, opening.between), styles.OPENING))
        for stretch in bare_stretches(self.shop):
            layer.add(self._bare(stretch.wall, stretch.faces, stretch.begin_ft, stretch.end_ft))
        for panel in self.shop.supply.panels:
            layer.add(self.working_space(panel))
        layer.add(*draw_dimensions(self.frame))

    def partitions(self) -> Iterator[Shape]:
        """The bodies of the partitions; masonry is hatched."""
        for partition in self.building.partitions:
            bounds = self.partition(partition.id)
            yield Rect(bounds, styles.PARTITION)
            if partition.construction == "masonry":
                yield from hatch(bounds)

    def rectangle(self, rectangle: Rectangle) -> Bounds:
        """A rectangle of the floor on paper."""
        left, bottom = self.frame.at(*rectangle.low)
        right, top = self.frame.at(*rectangle.high)
        return Bounds(left, top, right, bottom)

    def _band(self, side: Side | None) -> Bounds:
        """The band of an outer wall."""
        assert side is not None
        first, last = side.start, shifted(side.end, side.outward, BAND)
        return bounds_of(first, last)

    def partition(self, wall_id: str, between: Xy | None = None) -> Bounds:
        """The body of a partition, or of an opening in it."""
        (x0, y0), (x1, y1) = self.building.wall_ends(wall_id)
        if between is not None:
            (x0, x1) = between if y0 == y1 else (x0, x1)
            (y0, y1) = between if x0 == x1 else (y0, y1)
        bounds = bounds_of(self.frame.at(x0, y0), self.frame.at(x1, y1))
        wide = PARTITION_HALF + (0.3 if between else 0.0)
        if bounds.right - bounds.left > bounds.bottom - bounds.top:
            return Bounds(bounds.left, bounds.top - wide, bounds.right, bounds.bottom + wide)
        return Bounds(bounds.left - wide, bounds.top, bounds.right + wide, bounds.bottom)

    def working_space(self, panel: Panel) -> Polyline:
        """Floor to keep free before a panel (NEC 110.26(A))."""
        assert panel.wall is not None
        x, y, _ = self.shop.position(panel)
        dx, dy = self.building.facing(panel.wall, panel.faces)
        half, deep = WORKING_SPACE_WIDTH_FT / 2, WORKING_SPACE_DEPTH_FT
        corners = ((half, 0.0), (half, deep), (-half, deep), (-half, 0.0))
        points = (self.frame.at(x + dy * a + dx * b, y + dx * a + dy * b) for a, b in corners)
        return Polyline(tuple(points), styles.WORKING_SPACE, True)

    def _bare(self, wall_id: str, faces: str, begin: float, end: float) -> Line:
        """A stretch of wall without a receptacle in reach, on its room side."""
        (x0, y0), (_, y1) = self.building.wall_ends(wall_id)
        step = {"north": (0, -1), "south": (0, 1), "east": (1, 0), "west": (-1, 0)}[faces]
        level = y0 == y1
        points = ((begin, y0), (end, y0)) if level else ((x0, begin), (x0, end))
        off = 3.0 if not self.building.is_partition(wall_id) else PARTITION_HALF + 2.5
        first, last = (shifted(self.frame.at(*point), step, off) for point in points)
        return Line(first, last, styles.BARE_WALL)


def hatch(bounds: Bounds) -> Iterator[Shape]:
    """Slanting strokes over a wall: masonry."""
    left, top, right, bottom = bounds
    level = right - left > bottom - top
    deep = (bottom - top) if level else (right - left)
    long = (right - left) if level else (bottom - top)
    for number in range(int((long - deep) / HATCH_STEP) + 1):
        step = number * HATCH_STEP
        if level:
            yield Line((left + step, bottom), (left + step + deep, top), styles.HATCH)
        else:
            yield Line((left, top + step + deep), (right, top + step), styles.HATCH)


def bounds_of(first: Xy, last: Xy) -> Bounds:
    """The rectangle between two points."""
    xs, ys = sorted((first[0], last[0])), sorted((first[1], last[1]))
    return Bounds(xs[0], ys[0], xs[1], ys[1])
