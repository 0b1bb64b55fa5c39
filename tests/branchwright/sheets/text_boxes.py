"""What a test asks of the texts of a drawing: where they are clipped, overlap, are run through or
lie on the way of a door, which lines to them go through a working space, and which texts are cut.

Boxes of texts are measured by the advance widths of the widest face that pages name, so that what
is apart here is apart in the others too.
"""

import bisect
import itertools
from collections.abc import Iterator
from typing import Final

from branchwright.sheet_set import framed
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Polyline, Shape, Text, Xy
from branchwright.sheets.styles import DOOR_SWEEP, WORKING_SPACE
from branchwright.sheets.text_size import ELLIPSIS
from models.plan import Plan

RUNS: Final = "runs"
LEADERS: Final = "leaders"
ON_SYMBOLS: Final = "symbols"  # their letters stand on paper of their own, over the runs
ABOVE_CAPITALS_EM, BELOW_BASE_EM = 0.2, 0.16  # of the measured box, where few letters have ink
LEAST_THROUGH: Final = 0.5  # points


def faults(drawing: Drawing) -> list[str]:
    """Everything that is wrong with the texts of a drawing, in words."""
    shapes = list(_flat(drawing.root, ""))
    texts = [(layer, s) for layer, s in shapes if isinstance(s, Text) and s.text.strip()]
    told = [f"clipped: {t.text}" for _, t in texts if not t.bounds.inside(drawing.bounds)]
    told += [f"overlap: {one.text} / {other.text}" for one, other in _overlapping(texts)]
    runs = [ends for layer, shape in shapes if layer == RUNS for ends in _straight(shape)]
    runs.sort(key=_lowest)
    for layer, text in texts:
        box = _ink(text)
        last = bisect.bisect(runs, box.bottom, key=_lowest)
        near = (ends for ends in runs[:last] if max(ends[0][1], ends[1][1]) > box.top)
        if layer != ON_SYMBOLS and any(_through(*ends, box) for ends in near):
            told.append(f"a run goes through: {text.text}")
    told += [f"on the way of a door: {text.text}" for text in _on_doors(shapes, texts)]
    told += [f"a leader goes through a working space at {spot}" for spot in _led_through(shapes)]
    return told


def cut_words(drawing: Drawing) -> list[str]:
    """Texts that are not there whole, which names of reasonable length are to be."""
    return [f"cut: {text.text}" for text in drawing.root.texts() if ELLIPSIS in text.text]


def _on_doors(shapes: list[tuple[str, Shape]], texts: list[tuple[str, Text]]) -> Iterator[Text]:
    """Texts over the dashed line that an overhead door reaches to."""
    ways = [p for _, p in shapes if isinstance(p, Polyline) and p.style == DOOR_SWEEP]
    edges = [ends for way in ways for ends in _straight(way)]
    for layer, text in texts:
        if layer != ON_SYMBOLS and any(_through(*ends, text.bounds) for ends in edges):
            yield text


def _led_through(shapes: list[tuple[str, Shape]]) -> Iterator[Xy]:
    """Where leaders begin that go through a working space, be it for a short way."""
    spaces = [p.points for _, p in shapes if isinstance(p, Polyline) and p.style == WORKING_SPACE]
    for layer, line in shapes:
        if layer == LEADERS and isinstance(line, Line):
            for corners in spaces:
                (left, right), (top, bottom) = (
                    (min(places), max(places)) for places in zip(*corners, strict=True)
                )
                if _through(line.start, line.end, Bounds(left, top, right, bottom)):
                    yield round(line.start[0]), round(line.start[1])


def _lowest(ends: tuple[Xy, Xy]) -> float:
    """Where a piece begins, from the top of the sheet."""
    return min(ends[0][1], ends[1][1])


def _flat(shape: Shape, layer: str) -> Iterator[tuple[str, Shape]]:
    """Shapes without their groups, each with the name of its layer."""
    if isinstance(shape, Group):
        for inner in shape.shapes:
            yield from _flat(inner, shape.name or layer)
    else:
        yield layer, shape


def _overlapping(texts: list[tuple[str, Text]]) -> Iterator[tuple[Text, Text]]:
    """Pairs whose boxes share area; from the left, so that far ones are never compared."""
    ordered = sorted((text.bounds, n) for n, (_, text) in enumerate(texts))
    for place, (bounds, n) in enumerate(ordered):
        for other, m in ordered[place + 1 :]:
            if other.left >= bounds.right:
                break
            if bounds.overlaps(other):
                yield texts[n][1], texts[m][1]


def _straight(shape: Shape) -> Iterator[tuple[Xy, Xy]]:
    """The straight pieces of a line; marks and arrows, which are filled, are none."""
    if isinstance(shape, Line):
        yield shape.start, shape.end
    elif isinstance(shape, Polyline) and not shape.closed:
        yield from itertools.pairwise(shape.points)


def _ink(text: Text) -> Bounds:
    """The part of a text's box that letters fill."""
    left, top, right, bottom = text.bounds
    size = text.lettering.size
    return Bounds(left, top + ABOVE_CAPITALS_EM * size, right, bottom - BELOW_BASE_EM * size)


def _through(start: Xy, end: Xy, box: Bounds) -> bool:
    """Whether a level, upright or slanted line lies in a box for more than a hair.

    Cut at the box's four edges one after the other (Sutherland and Hodgman's way).
    """
    low, high = 0.0, 1.0
    for axis, (near, far) in enumerate(((box.left, box.right), (box.top, box.bottom))):
        step = end[axis] - start[axis]
        if abs(step) < 1e-9:
            if not near < start[axis] < far:
                return False
            continue
        first, last = sorted(((near - start[axis]) / step, (far - start[axis]) / step))
        low, high = max(low, first), min(high, last)
    length = ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5
    return (high - low) * length > LEAST_THROUGH


def all_drawings(plan: Plan) -> Iterator[tuple[str, Drawing]]:
    """Every drawing of a set under its file's name, with title block."""
    for _, drawn in framed(plan, "0" * 64):
        yield drawn.anchor, drawn.drawing
