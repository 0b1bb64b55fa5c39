"""Symbols of the floor plan: simple shapes of our own after what the trade draws on paper.

A receptacle is a circle with a line for each place to plug in; 240 V fills the half towards the
room. Symbols of one place are set one behind the other so that none hides another.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Circle, Line, Polyline, Rect, Shape, Text, Xy
from branchwright.sheets.floor_frame import Frame, Side, around, shifted
from models.plan import BoxPlan, PanelPlan, Plan

R: Final = 7.5
YOKE_STEP: Final = 16.0
PANEL_HALF_WIDTH_FT, PANEL_DEPTH = 0.6, 13.0
STACKED_AT_MOST: Final = 6
CEILING_NEAR_FT: Final = 0.05


@dataclass(frozen=True)
class Placed:
    """A symbol on paper: its middle, the wall it stands on and the room it takes."""

    id: str
    middle: Xy
    side: Side | None
    bounds: Bounds
    outdoors: bool = False


def place_symbols(plan: Plan, frame: Frame, band: float) -> dict[str, Placed]:
    """Where each panel and box is drawn, by id: panels first, then boxes in the plan's order."""
    placed: dict[str, Placed] = {}
    for panel in plan.panels:
        spot = frame.at(*panel.place[:2])
        side = frame.side_of(spot, spot)
        half = max(PANEL_HALF_WIDTH_FT * frame.scale, 15.0)
        placed[panel.id] = _beside(panel.id, spot, side, (half, PANEL_DEPTH / 2), placed, 0.0)
    for box in plan.boxes:
        spot = frame.at(*box.place[:2])
        ceiling_ft = frame.building.climate_at(*box.place[:2]).ceiling_ft
        hangs = box.place[2] >= ceiling_ft - CEILING_NEAR_FT
        side = frame.side(box.wall) or (None if hangs else frame.side_of(spot, spot))
        half = R + YOKE_STEP / 2 * max(0, len(box.yokes) - 1)
        outdoors = box.location == "wet"
        out = band if outdoors else 0.0
        placed[box.id] = _beside(box.id, spot, side, (half, R), placed, out)
    return placed


def _beside(
    key: str, spot: Xy, side: Side | None, half: Xy, placed: dict[str, Placed], out: float
) -> Placed:
    """Set a symbol against its wall, or behind what already stands there."""
    for step in range(STACKED_AT_MOST):
        if side:
            off = half[1] + 2.5 + step * (2 * half[1] + 3)
            middle = shifted(spot, side.outward, out + off if out else -off)
            size = half if side.level else (half[1], half[0])
        else:
            middle, size = (spot[0] + step * (2 * half[0] + 3), spot[1]), half
        found = Placed(key, middle, side, around(middle, *size), out > 0)
        if not any(found.bounds.overlaps(other.bounds, 1.0) for other in placed.values()):
            break
    return found


def draw_panel(panel: PanelPlan, placed: Placed) -> Iterator[Shape]:
    """A rectangle, half filled."""
    left, top, right, bottom = placed.bounds
    yield Rect(placed.bounds, styles.PANEL)
    yield Polyline(((left, bottom), (right, bottom), (right, top)), styles.SYMBOL_SOLID, True)


def draw_box(box: BoxPlan, placed: Placed) -> Iterator[Shape]:
    """The symbols of a box: one for each yoke, or one for what kind of box it is."""
    if box.kind == "luminaire":
        yield from draw_luminaire(placed.middle)
    elif box.kind in ("junction", "pull") or not box.yokes:
        yield from draw_letter(placed.middle, "J" if box.kind != "pull" else "P")
    else:
        along: Xy = (1.0, 0.0) if placed.side is None or placed.side.level else (0.0, 1.0)
        first = -(len(box.yokes) - 1) / 2
        for index, yoke in enumerate(box.yokes):
            middle = shifted(placed.middle, along, (first + index) * YOKE_STEP)
            yield from draw_yoke(yoke.device, yoke.configuration, middle, along)


def draw_yoke(device: str, configuration: str | None, middle: Xy, along: Xy) -> Iterator[Shape]:
    """A receptacle, a switch or a hard-wired outlet."""
    if device == "switch":
        yield from draw_letter(middle, "S" + (configuration or "").removesuffix("-way"))
        return
    if device == "blank":
        yield Circle(middle, R, styles.SYMBOL)
        yield Circle(middle, R / 2.6, styles.SYMBOL_SOLID)
        return
    across: Xy = (along[1], along[0])
    yield Circle(middle, R, styles.SYMBOL)
    for offset in (-2.6, 2.6) if device == "duplex" else (0.0,):
        point = shifted(middle, along, offset)
        reach = (R**2 - offset**2) ** 0.5
        ends = shifted(point, across, -reach), shifted(point, across, reach)
        yield Line(*ends, styles.SYMBOL_LINE)
    if configuration and is_240_volt(configuration):
        yield Line(shifted(middle, along, -R), shifted(middle, along, R), styles.SYMBOL_LINE)


def is_240_volt(configuration: str) -> bool:
    """Whether a receptacle is one of the 240 V or 120/240 V series.

    >>> is_240_volt("L6-30R"), is_240_volt("5-20R"), is_240_volt("14-50R")
    (True, False, True)
    """
    return configuration.removeprefix("L").split("-")[0] in ("6", "10", "14")


def draw_luminaire(middle: Xy) -> Iterator[Shape]:
    """A circle with four rays."""
    yield Circle(middle, R * 0.62, styles.SYMBOL)
    for way in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)):
        yield Line(
            shifted(middle, way, R * 0.62), shifted(middle, way, R * 1.1), styles.SYMBOL_LINE
        )


def draw_letter(middle: Xy, letter: str) -> Iterator[Shape]:
    """A small square with a letter, and lower beside it the number that some letters have."""
    x, y = middle
    shift = 3.4 if len(letter) > 1 else 0.0
    yield Rect(around(middle, R if shift else R * 0.9, R * 0.9), styles.SYMBOL, 1.5)
    yield Text((x - shift, y + 3.4 - shift / 4), letter[0], styles.SYMBOL_LETTER, "middle")
    if shift:
        yield Text((x + shift, y + 5.4), letter[1:], styles.SYMBOL_LETTER, "middle")


def draw_marker(index: int, middle: Xy) -> Iterator[Shape]:
    """A circuit's mark."""
    shape, look = styles.marker_style(index)
    x, y = middle
    r = 2.9
    if shape == "circle":
        yield Circle(middle, r, look)
    elif shape == "square":
        yield Rect(around(middle, r * 0.9, r * 0.9), look)
    elif shape == "triangle":
        yield Polyline(((x, y - r * 1.15), (x + r * 1.1, y + r), (x - r * 1.1, y + r)), look, True)
    elif shape == "diamond":
        s = r * 1.3
        yield Polyline(((x, y - s), (x + s, y), (x, y + s), (x - s, y)), look, True)
    else:
        a, b = r * 1.25, r * 0.45
        cross = (
            (-b, -a), (b, -a), (b, -b), (a, -b), (a, b), (b, b),
            (b, a), (-b, a), (-b, b), (-a, b), (-a, -b), (-b, -b),
        )  # fmt: skip
        yield Polyline(tuple((x + dx, y + dy) for dx, dy in cross), look, True)
