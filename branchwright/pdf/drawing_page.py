"""A drawing on pages: as large as the paper lets it, to a scale that is stated, its cautions left
to the foot of the page. What is printed as large as it is keeps its size and its cautions.

A floor plan whose letters would be too small comes whole and then in parts, which lap over; a text
that a part would cut stands on the next one. The sheet of a circuit is then followed by an enlarged
one of where the circuit runs.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Final

from branchwright.measures import is_metric
from branchwright.pdf.page import PAPERS, SMALL, OnPaper, Page, Part, Size, body_of, turned
from branchwright.pdf.scales import scale_for
from branchwright.sheets.display import Bounds, Drawing, Group, Rect, Text, covered
from branchwright.sheets.styles import FAINT, Style

LARGEST: Final = 1.3
LEAST: Final = 0.62  # of a drawing with parts: its letters of 9.5 points are then of 6
LEAST_ENLARGED, WORTH = 0.5, 1.25
AROUND: Final = 90.0  # points of the drawing beside what is enlarged
LAP: Final = 130.0  # points of the drawing that two parts have in common
MOST_PARTS: Final = 6
FOOT: Final = "foot"
OFF: Final = 3.0
PART_OF: Final = "North is up the sheet. Symbols, runs and circuits are on the sheet of the whole."
GOES_ON: Final = Style(FAINT, 0.7, "9 3 2 3")
METRIC_PAPERS: Final = ("a4", "a3")


def drawing_pages(
    title: str,
    drawing: Drawing,
    on: OnPaper,
    *,
    in_parts: bool = False,
    about: Bounds | None = None,
    most: float = LARGEST,
) -> Iterator[Page]:
    """The page of a drawing; where its letters are small, with `in_parts` those of its parts, and
    of what it is `about` an enlarged one.
    """
    if drawing.true_size:
        yield _true_size(title, drawing, on)
        return
    bare = _without_foot(drawing)
    edges = covered(bare.root)
    size = _best_size(edges, on)
    yield _page(title, bare, edges, size, on, most)
    small = _most_factor(edges, size)
    if in_parts and small < LEAST:
        parts = _parts(edges, on)
        for number, part in enumerate(parts, start=1):
            yield _clipped(f"{title}, part {number} of {len(parts)}", bare, part, on)
    if about is not None and small < LEAST_ENLARGED:
        part = _grown(about, edges)
        if _most_factor(part, _best_size(part, on)) > WORTH * small:
            yield _clipped(f"{title}, enlarged", bare, part, on)


def largest_of_all(drawings: Iterable[Drawing], on: OnPaper) -> float:
    """A factor with which each of them fits, for drawings that are to have one scale."""
    edges = [covered(_without_foot(drawing).root) for drawing in drawings]
    return min((_most_factor(one, _best_size(one, on)) for one in edges), default=LARGEST)


def _clipped(title: str, drawing: Drawing, part: Bounds, on: OnPaper) -> Page:
    """A part of a drawing on a page of its own."""
    page = _page(title, drawing, part, _best_size(part, on), on, LARGEST)
    shown = replace(page.parts[0], clip=part)
    return replace(page, parts=(shown, _frame(shown, part, page.size)), begins=False)


def _grown(about: Bounds, edges: Bounds) -> Bounds:
    """With some of what lies around it, inside of the whole."""
    left, top, right, bottom = about
    return Bounds(
        max(edges.left, left - AROUND), max(edges.top, top - AROUND),
        min(edges.right, right + AROUND), min(edges.bottom, bottom + AROUND),
    )  # fmt: skip


def _true_size(title: str, drawing: Drawing, on: OnPaper) -> Page:
    """On the paper of the tables, if it fits there, if need be without its own cautions."""
    forms = [(form, covered(form.root)) for form in (drawing, _without_foot(drawing))]
    for name in (on.paper, on.drawings):
        for form, edges in forms:
            for size in (turned(PAPERS[name], landscape=landscape) for landscape in (False, True)):
                if _most_factor(edges, size) >= 1:
                    return Page(title, size, (_placed(form, edges, size, 1.0),), "as cut, 1:1")
    form, edges = forms[-1]
    size = _best_size(edges, on)
    factor = _most_factor(edges, size)
    scale = f"reduced to {int(100 * factor)} %"
    return Page(title, size, (_placed(form, edges, size, factor),), scale)


def _page(
    title: str, drawing: Drawing, edges: Bounds, size: Size, on: OnPaper, most: float
) -> Page:
    """What lies inside the edges, as large as a scale lets it."""
    factor, scale = min(LARGEST, most, _most_factor(edges, size)), "not to scale"
    if drawing.points_per_ft:
        metric = is_metric() or on.drawings in METRIC_PAPERS
        factor, scale = scale_for(drawing.points_per_ft, factor, metric=metric)
    return Page(title, size, (_placed(drawing, edges, size, factor),), scale)


def _parts(edges: Bounds, on: OnPaper) -> list[Bounds]:
    """The fewest parts, beside each other or one below the other, that are large enough."""
    for count in range(2, MOST_PARTS + 1):
        ways = [_cut(edges, count, 0), _cut(edges, count, 1)]
        best = max(ways, key=lambda way: _most_factor(way[0], _best_size(way[0], on)))
        if _most_factor(best[0], _best_size(best[0], on)) >= LEAST:
            break
    return best


def _frame(part: Part, edges: Bounds, size: Size) -> Part:
    """A dashed line around a part: beyond it the drawing goes on; and where the rest is told."""
    left, top, right, bottom = (part.factor * edge for edge in edges)
    x, y = part.at
    around = Bounds(x + left - OFF, y + top - OFF, x + right + OFF, y + bottom + OFF)
    told = Text((around.left, around.top - 4), PART_OF, SMALL)
    return Part(Drawing(*size, "", Group("edges", [Rect(around, GOES_ON), told])))


def _cut(edges: Bounds, count: int, axis: int) -> list[Bounds]:
    """Parts of the same size along an axis, 0 for side by side."""
    low, high = edges[axis], edges[axis + 2]
    step = (high - low - LAP) / count
    parts = []
    for number in range(count):
        sides = list(edges)
        sides[axis], sides[axis + 2] = low + number * step, low + (number + 1) * step + LAP
        parts.append(Bounds(*sides))
    return parts


def _without_foot(drawing: Drawing) -> Drawing:
    """The drawing without its own cautions, which the page has."""
    shapes = [
        shape
        for shape in drawing.root.shapes
        if not (isinstance(shape, Group) and shape.name == FOOT)
    ]
    return replace(drawing, root=Group(drawing.root.name, shapes))


def _best_size(edges: Bounds, on: OnPaper) -> Size:
    """The paper of the drawings, lying or standing."""
    sizes = [turned(PAPERS[on.drawings], landscape=landscape) for landscape in (True, False)]
    return max(sizes, key=lambda size: _most_factor(edges, size))


def _most_factor(edges: Bounds, size: Size) -> float:
    body = body_of(size)
    across = (body.right - body.left) / (edges.right - edges.left)
    return min(across, (body.bottom - body.top) / (edges.bottom - edges.top))


def _placed(drawing: Drawing, edges: Bounds, size: Size, factor: float) -> Part:
    """The drawing at the top of the page, midway between the margins."""
    body = body_of(size)
    room = body.right - body.left - factor * (edges.right - edges.left)
    at = (body.left + room / 2 - factor * edges.left, body.top - factor * edges.top)
    return Part(drawing, at, factor)
