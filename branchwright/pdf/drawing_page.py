"""A drawing on pages: as large as the paper lets it, to a scale that is stated, its cautions left
to the foot of the page. What is printed as large as it is keeps its size and its cautions.

A floor plan whose letters would be too small comes without its head, and with its legend on a page
of its own. Where that does not do, the whole shows what names it has room for, and parts that lap
over show all; a text that a part would cut stands on the next one. The sheet of a circuit is then
followed by an enlarged one of where the circuit runs.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import Final

from branchwright.measures import is_metric
from branchwright.pdf.overview import overview
from branchwright.pdf.page import (
    PAPERS,
    SMALL,
    OnPaper,
    Page,
    Part,
    Size,
    body_of,
    drawing_of,
    turned,
)
from branchwright.pdf.scales import scale_for
from branchwright.sheets.clouds import CHANGES
from branchwright.sheets.display import HAIR, Bounds, Drawing, Group, Rect, Text, covered
from branchwright.sheets.floor_legend import draw_scale
from branchwright.sheets.styles import FAINT, SMALL_INK, STRONG, Lettering, Style
from branchwright.sheets.text_size import folded

LARGEST: Final = 1.3
LEAST_LETTERS: Final = 6.0  # points on paper
AROUND: Final = 90.0  # points of the drawing beside what is enlarged
LAP: Final = 130.0  # points of the drawing that two parts have in common
MOST_PARTS: Final = 12
HEAD, LEGEND, SCALE, FOOT = "head", "legend", "scale", "foot"
OFF: Final = 3.0
GOES_ON: Final = Style(FAINT, 0.7, "9 3 2 3")
TOLD_STEP, TOLD_GAP = 11.5, 3.0
BESIDE, ABOVE = 190.0, 46.0  # room for words and the scale, beside a plan or above it
AIR: Final = 10.0
METRIC_PAPERS: Final = ("a4", "a3")
LEGEND_IS_NEXT: Final = "Symbols, runs and circuits: next page."
REST_IS_NEXT: Final = "What finds no room here is shown larger on the pages after it."
REST_BEFORE: Final = "North is up the sheet. Symbols, runs and circuits: legend of the floor plan."


def drawing_pages(
    title: str, drawing: Drawing, on: OnPaper, *, most: float = LARGEST
) -> Iterator[Page]:
    """The page of a drawing."""
    if drawing.true_size:
        yield _true_size(title, drawing, on)
    else:
        bare = _without(drawing, FOOT)
        edges = covered(bare.root)
        yield _page(title, bare, edges, _best_size(edges, on), on, most)


def floor_pages(title: str, drawing: Drawing, on: OnPaper) -> Iterator[Page]:
    """The floor plan: on one page, or its legend on one of its own, or in parts too."""
    (whole,) = drawing_pages(title, drawing, on)
    if _is_large(whole):
        yield whole
        return
    plan = _without(drawing, HEAD, LEGEND, SCALE, FOOT, CHANGES)
    changes = _changes(drawing)
    alone = _told_beside(title, plan, [title, LEGEND_IS_NEXT, *changes], on)
    large = _is_large(alone)
    if not large:
        told = [title, LEGEND_IS_NEXT, REST_IS_NEXT, *changes]
        alone = _told_beside(title, plan, told, on)
    yield alone if large else _overview(alone)
    yield from _legend(f"{title}, legend", drawing, on)
    if not large:
        yield from _in_full(title, plan, covered(plan.root), on)


def circuit_pages(
    title: str, drawing: Drawing, on: OnPaper, about: Bounds | None, told: Sequence[str]
) -> Iterator[Page]:
    """The sheet of a circuit, and where its letters are small a larger one of where it runs.

    `told` is what it feeds, paragraph by paragraph, for a page without head and legend.
    """
    (whole,) = drawing_pages(title, drawing, on)
    if _is_large(whole):
        yield whole
        return
    plan = _without(drawing, HEAD, LEGEND, SCALE, FOOT, CHANGES)
    alone = _told_beside(title, plan, [title, *told, REST_BEFORE, *_changes(drawing)], on)
    if _is_large(alone):
        yield alone
        return
    yield _overview(alone)
    edges = covered(plan.root)
    yield from _in_full(title, plan, _grown(about or edges, edges), on)


def largest_of_all(drawings: Iterable[Drawing], on: OnPaper) -> float:
    """A factor with which each of them fits, for drawings that are to have one scale."""
    edges = [covered(_without(drawing, FOOT).root) for drawing in drawings]
    return min((_most_factor(one, body_of(_best_size(one, on))) for one in edges), default=LARGEST)


def _told_beside(title: str, plan: Drawing, told: Sequence[str], on: OnPaper) -> Page:
    """A plan on a page, with words, scale and north beside it or above it."""
    edges = covered(plan.root)
    ways = []
    for landscape in (True, False):
        size = turned(PAPERS[on.drawings], landscape=landscape)
        left, top, right, bottom = body_of(size)
        column, lines = right - BESIDE, _in_lines(told, BESIDE)
        body, room = Bounds(left, top, column - AIR, bottom), Bounds(column, top, right, bottom)
        if lines[-1][0] <= bottom - top - ABOVE:
            ways.append((size, body, room, lines))
        lines = _in_lines(told, column - AIR - left)
        below = top + max(ABOVE, *(line for line, *_ in lines))
        body, room = Bounds(left, below + AIR, right, bottom), Bounds(left, top, right, below)
        ways.append((size, body, room, lines))
    size, body, room, lines = max(ways, key=lambda way: _most_factor(edges, way[1]))
    page = _page(title, plan, edges, size, on, body=body)
    drawing, layer = drawing_of(size, "")
    layer.add(*(Text((room.left, room.top + line - 2), text, look) for line, text, look in lines))
    points_per_ft = page.parts[0].factor * (plan.points_per_ft or 0.0)
    draw_scale(layer, points_per_ft, room.right - BESIDE, room.bottom - ABOVE, BESIDE)
    return replace(page, parts=(*page.parts, Part(drawing)))


def _changes(drawing: Drawing) -> list[str]:
    """What the numbers of its clouds say, where it has any."""
    return [
        text.text
        for layer in drawing.root.shapes
        if isinstance(layer, Group) and layer.name == CHANGES
        for text in layer.texts()
    ]


def _in_lines(told: Sequence[str], wide: float) -> list[tuple[float, str, Lettering]]:
    """Paragraphs, the first in strong letters: each line with where it ends, from the top."""
    lines = []
    line = 0.0
    for number, words in enumerate(told):
        look = STRONG if number == 0 else SMALL_INK
        for text in folded(words, wide, look.size, look.bold):
            line += TOLD_STEP
            lines.append((line, text, look))
        line += TOLD_GAP
    return lines


def _overview(page: Page) -> Page:
    """The same with the names that have room in letters large enough."""
    plan = page.parts[0]
    shown = replace(plan, drawing=overview(plan.drawing, LEAST_LETTERS / plan.factor))
    return replace(page, parts=(shown, *page.parts[1:]))


def _legend(title: str, drawing: Drawing, on: OnPaper) -> Iterator[Page]:
    """The legend of a floor plan, on one page or several."""
    layers = [one for one in drawing.root.shapes if isinstance(one, Group) and one.name == LEGEND]
    legend = replace(drawing, points_per_ft=None, root=Group(drawing.root.name, list(layers)))
    page = next(drawing_pages(title, legend, on))
    if _is_large(page):
        yield replace(page, begins=False)
    else:
        yield from _in_full(title, legend, covered(legend.root), on)


def _in_full(title: str, drawing: Drawing, part: Bounds, on: OnPaper) -> Iterator[Page]:
    """A part of a drawing in letters large enough, on one page or on the fewest."""
    for count in range(1, MOST_PARTS + 1):
        ways = [
            [_clipped(title, drawing, one, on) for one in _cut(part, across, count // across)]
            for across in range(1, count + 1)
            if count % across == 0
        ]
        pages = max(ways, key=lambda way: way[0].parts[0].factor)
        if _is_large(pages[0]):
            break
    for number, page in enumerate(pages, start=1):
        which = f", part {number} of {len(pages)}" if len(pages) > 1 else ", enlarged"
        yield replace(page, title=f"{title}{which}")


def _is_large(page: Page) -> bool:
    """Whether all letters of its drawing can be read."""
    plan = page.parts[0]
    return plan.factor * _least_size(plan.drawing) >= LEAST_LETTERS - HAIR


def _least_size(drawing: Drawing) -> float:
    sizes = (text.lettering.size for text in drawing.root.texts() if text.text.strip())
    return min(sizes, default=LEAST_LETTERS)


def _clipped(title: str, drawing: Drawing, part: Bounds, on: OnPaper) -> Page:
    """A part of a drawing on a page of its own."""
    page = _page(title, drawing, part, _best_size(part, on), on)
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
    forms = [(form, covered(form.root)) for form in (drawing, _without(drawing, FOOT))]
    for name in (on.paper, on.drawings):
        for form, edges in forms:
            for size in (turned(PAPERS[name], landscape=landscape) for landscape in (False, True)):
                if _most_factor(edges, body_of(size)) >= 1:
                    part = _placed(form, edges, body_of(size), 1.0)
                    return Page(title, size, (part,), "as cut, 1:1")
    form, edges = forms[-1]
    size = _best_size(edges, on)
    factor = _most_factor(edges, body_of(size))
    scale = f"reduced to {int(100 * factor)} %"
    return Page(title, size, (_placed(form, edges, body_of(size), factor),), scale)


def _page(
    title: str,
    drawing: Drawing,
    edges: Bounds,
    size: Size,
    on: OnPaper,
    most: float = LARGEST,
    body: Bounds | None = None,
) -> Page:
    """What lies inside the edges, as large as a scale lets it; in a part of the page's body."""
    body = body or body_of(size)
    factor, scale = min(LARGEST, most, _most_factor(edges, body)), "not to scale"
    if drawing.points_per_ft:
        metric = is_metric() or on.drawings in METRIC_PAPERS
        least = LEAST_LETTERS / _least_size(drawing)
        ppf = drawing.points_per_ft
        factor, scale = scale_for(ppf, factor, metric=metric, least_factor=least)
    return Page(title, size, (_placed(drawing, edges, body, factor),), scale)


def _frame(part: Part, edges: Bounds, size: Size) -> Part:
    """A dashed line around a part: beyond it the drawing goes on; and where the rest is told."""
    left, top, right, bottom = (part.factor * edge for edge in edges)
    x, y = part.at
    around = Bounds(x + left - OFF, y + top - OFF, x + right + OFF, y + bottom + OFF)
    told = Text((around.left, around.top - 4), REST_BEFORE, SMALL)
    return Part(Drawing(*size, "", Group("edges", [Rect(around, GOES_ON), told])))


def _cut(edges: Bounds, across: int, down: int) -> list[Bounds]:
    """Parts of the same size, so many across and down, row by row."""
    columns = _spans(edges.left, edges.right, across)
    rows = _spans(edges.top, edges.bottom, down)
    return [Bounds(left, top, right, bottom) for top, bottom in rows for left, right in columns]


def _spans(low: float, high: float, count: int) -> list[tuple[float, float]]:
    """So many stretches of the same length, which lap over."""
    step = (high - low - LAP) / count
    return [(low + number * step, low + (number + 1) * step + LAP) for number in range(count)]


def _without(drawing: Drawing, *layers: str) -> Drawing:
    """The drawing without its own cautions, which the page has, or other layers."""
    shapes = [
        shape
        for shape in drawing.root.shapes
        if not (isinstance(shape, Group) and shape.name in layers)
    ]
    return replace(drawing, root=Group(drawing.root.name, shapes))


def _best_size(edges: Bounds, on: OnPaper) -> Size:
    """The paper of the drawings, lying or standing."""
    sizes = [turned(PAPERS[on.drawings], landscape=landscape) for landscape in (True, False)]
    return max(sizes, key=lambda size: _most_factor(edges, body_of(size)))


def _most_factor(edges: Bounds, body: Bounds) -> float:
    across = (body.right - body.left) / (edges.right - edges.left)
    return min(across, (body.bottom - body.top) / (edges.bottom - edges.top))


def _placed(drawing: Drawing, edges: Bounds, body: Bounds, factor: float) -> Part:
    """The drawing at the top of what is free, midway between its sides."""
    room = body.right - body.left - factor * (edges.right - edges.left)
    at = (body.left + room / 2 - factor * edges.left, body.top - factor * edges.top)
    return Part(drawing, at, factor)
