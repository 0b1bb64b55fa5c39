"""Sheets of cells beside and below each other: one width, head, legend and cautions. Points."""

from collections.abc import Iterable
from typing import Final

from branchwright.sheets.display import Drawing, Group, Shape
from branchwright.sheets.sheet import (
    SHEET_MARGIN,
    draw_foot,
    draw_head,
    foot_height,
    shop_name,
    violation_count,
)
from models.plan import Plan

WIDTH: Final = 1000.0
TOP: Final = 92.0
GUTTER: Final = 28.0  # between two columns
LEFT: Final = SHEET_MARGIN
ROOM: Final = WIDTH - 2 * SHEET_MARGIN
HALF: Final = (ROOM - GUTTER) / 2


def column_left(column: int) -> float:
    """Where the first or the second of two columns begins."""
    return LEFT + column * (HALF + GUTTER)


def one_of(title: str, number: int, of: int) -> str:
    """The title of a sheet of several.

    >>> one_of("Make-up of boxes", 2, 3), one_of("Make-up of boxes", 1, 1)
    ('Make-up of boxes, 2 of 3', 'Make-up of boxes')
    """
    return f"{title}, {number} of {of}" if of > 1 else title


def cell_sheet(
    plan: Plan,
    title: str,
    says: str,
    cells: Group,
    legend: tuple[float, float, Iterable[Shape]],
    points_per_ft: float | None = None,
    holds: tuple[str, ...] = (),
) -> Drawing:
    """A sheet of cells; of the legend where it begins, its height, and its shapes."""
    top, high, shapes = legend
    bottom = top + high
    height = bottom + foot_height() + SHEET_MARGIN
    drawing = Drawing(WIDTH, height, says, points_per_ft=points_per_ft, holds=holds)
    draw_head(drawing.layer("head"), shop_name(plan), title, WIDTH, violation_count(plan))
    drawing.root.add(cells)
    drawing.layer("legend").add(*shapes)
    draw_foot(drawing.layer("foot"), (LEFT, bottom), WIDTH)
    return drawing
