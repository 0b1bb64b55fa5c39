"""The building on the floor plan: wall bands, openings, dimensions, panel working space."""

from collections.abc import Iterator
from typing import Final

from branchwright.measures import length_words
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Line, Polyline, Rect, Shape, Text, Xy
from branchwright.sheets.floor_frame import Frame, Side, shifted
from models.plan import PanelPlan
from models.shop import WORKING_SPACE_DEPTH_FT, WORKING_SPACE_WIDTH_FT, Opening

TICK: Final = 4.0
DIMENSION_INSET: Final = 14.0


def draw_walls(frame: Frame, band: float) -> Iterator[Shape]:
    """The wall bands: outer face filled, the room cut out of it."""
    inner = tuple(side.start for side in frame.sides)
    yield Polyline(tuple(outer_corners(frame, band)), styles.WALL_BAND_EDGED, True)
    yield Polyline(inner, styles.ROOM, True)


def outer_corners(frame: Frame, band: float) -> Iterator[Xy]:
    """Corners of the outer face; walls meet square, or go straight on."""
    for index, side in enumerate(frame.sides):
        before = frame.sides[index - 1]
        corner = shifted(side.start, side.outward, band)
        straight_on = before.outward == side.outward
        yield corner if straight_on else shifted(corner, before.outward, band)


def opening_place(frame: Frame, opening: Opening, band: float) -> tuple[Side, Bounds] | None:
    """The wall of an opening and the piece of band that it takes."""
    side = frame.side(opening.wall)
    if side is None:
        return None
    corners = [
        frame.at(place, frame.north_ft) if side.level else frame.at(frame.west_ft, place)
        for place in opening.between
    ]
    if side.level:
        low, high = sorted(corner[0] for corner in corners)
        near, far = sorted((side.start[1], side.start[1] + side.outward[1] * band))
        return side, Bounds(low, near, high, far)
    low, high = sorted(corner[1] for corner in corners)
    near, far = sorted((side.start[0], side.start[0] + side.outward[0] * band))
    return side, Bounds(near, low, far, high)


def draw_opening(frame: Frame, opening: Opening, side: Side, gap: Bounds) -> Iterator[Shape]:
    """A gap in the band; a window keeps its panes, an overhead door shows how far it reaches."""
    yield Rect(gap, styles.OPENING)
    left, top, right, bottom = gap
    if opening.kind == "window":
        for part in (0.35, 0.65):
            across, down = left + (right - left) * part, top + (bottom - top) * part
            ends = (
                ((left, down), (right, down)) if side.level else ((across, top), (across, bottom))
            )
            yield Line(*ends, styles.OPENING_LINE)
    if opening.travel_ft:
        reach = -opening.travel_ft * frame.scale
        near = (left, side.start[1]) if side.level else (side.start[0], top)
        far = (right, side.start[1]) if side.level else (side.start[0], bottom)
        points = (near, shifted(near, side.outward, reach), shifted(far, side.outward, reach), far)
        yield Polyline(points, styles.DOOR_SWEEP)


def door_ways(frame: Frame, band: float) -> Iterator[Polyline]:
    """The way that each overhead door takes."""
    for opening in frame.building.openings:
        if place := opening_place(frame, opening, band):
            shapes = draw_opening(frame, opening, *place)
            yield from (shape for shape in shapes if isinstance(shape, Polyline))


def working_space(frame: Frame, panel: PanelPlan) -> Polyline | None:
    """Floor to keep free before a panel: 30 in wide, 36 in deep (NEC 110.26(A))."""
    spot = frame.at(*panel.place[:2])
    side = frame.side_of(spot, spot)
    if side is None:
        return None
    half = WORKING_SPACE_WIDTH_FT / 2 * frame.scale
    depth = -WORKING_SPACE_DEPTH_FT * frame.scale
    near, far = shifted(spot, side.along, -half), shifted(spot, side.along, half)
    points = (near, shifted(near, side.outward, depth), shifted(far, side.outward, depth), far)
    return Polyline(points, styles.WORKING_SPACE, True)


def draw_dimensions(frame: Frame) -> Iterator[Shape]:
    """Overall width below and depth at the left, outside of everything else."""
    left, top, right, bottom = frame.bounds
    plot = frame.plot
    y, x = plot.bottom - DIMENSION_INSET, plot.left + DIMENSION_INSET
    yield Line((left, y), (right, y), styles.DIMENSION)
    yield Line((x, top), (x, bottom), styles.DIMENSION)
    for end in (left, right):
        yield Line((end - TICK, y + TICK), (end + TICK, y - TICK), styles.DIMENSION_TICK)
    for end in (top, bottom):
        yield Line((x - TICK, end + TICK), (x + TICK, end - TICK), styles.DIMENSION_TICK)
    wide_ft, deep_ft = (right - left) / frame.scale, (bottom - top) / frame.scale
    middle = ((left + right) / 2, y + 3.4)
    for at, length_ft in ((middle, wide_ft), ((x, (top + bottom) / 2 + 3.4), deep_ft)):
        text = Text(at, length_words(length_ft), styles.SMALL, "middle")
        box = text.bounds
        yield Rect(Bounds(box.left - 4, box.top, box.right + 4, box.bottom), styles.PAPER_PATCH)
        yield text
