"""What changed since an older plan: the list that the numbers of the clouds refer to.

Circuit by circuit in words, with the sheets that show each number; as a paper, and drawn.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Final

from branchwright.changes_words import change_words, thing_words
from branchwright.papers.paper import Field, Paper
from branchwright.sheets import styles
from branchwright.sheets.display import Drawing, Shape, Text
from branchwright.sheets.sheet import (
    SHEET_MARGIN,
    draw_foot,
    draw_head,
    foot_height,
    shop_name,
    violation_count,
)
from branchwright.sheets.text_size import fitted, wrapped
from branchwright.words import clean, machine_words
from models.compare.changes import Change
from models.plan import Plan

FIELDS = (
    Field("Number", 8, 0), Field("Circuit", 10), Field("What", 20), Field("How", 70),
    Field("Sheets", 40),
)  # fmt: skip
NOTE: Final = (
    "Numbers as in the triangles on the drawings; ids are those of the newer plan, of what is gone"
    " those of the older. Amperes, fill and loads that follow are not listed: compare tells them."
)
WIDTH: Final = 900.0
TOP: Final = 92.0
HIGHEST: Final = 1000.0
COLUMNS: Final = (("NO.", 22.0), ("WHAT", 58.0), ("HOW", 210.0), ("SHEETS", 650.0))
ROW, HEADING_ROW = 13.0, 24.0
MOST_LINES: Final = 12
NOTHING: Final = "Nothing that can be pointed at is otherwise."


@dataclass(frozen=True)
class Listed:
    """A numbered change in words, with the titles of the sheets that show it."""

    change: Change
    thing: str
    how: str
    sheets: str


def listed(
    old: Plan, new: Plan, found: Sequence[Change], shown: Mapping[int, Sequence[str]]
) -> list[Listed]:
    """The changes in words; `shown` names the sheets of each number."""
    names = machine_words(old) | machine_words(new)
    return [
        Listed(
            one, thing_words(one), change_words(one, names), sheet_words(shown.get(one.number, ()))
        )
        for one in found
    ]


def sheet_words(titles: Sequence[str]) -> str:
    """The sheets that show a number.

    >>> sheet_words(["Floor plan", "Circuit C4", "Circuit C5"])
    'Floor plan; Circuit C4, C5'
    """
    told = []
    for kind, group in groupby(titles, key=_kind):
        several = list(group)
        first, *more = several
        told.append(", ".join([first, *(title.removeprefix(kind) for title in more)]))
    return "; ".join(told)


def _kind(title: str) -> str:
    """What sheets of one kind begin with: "Circuit ", "Elevation, "."""
    return next(
        (kind for kind in ("Circuit ", "Panel ", "Elevation, ") if title.startswith(kind)), title
    )


def changes_paper(rows: Sequence[Listed], since: str) -> Paper:
    """A row for each change."""
    cells = tuple(
        (one.change.number, clean(one.change.circuit or ""), one.thing, one.how, one.sheets)
        for one in rows
    )
    return Paper("changes", "Changes", FIELDS, cells, f"What changed since {since}. {NOTE}")


def changes_drawings(plan: Plan, rows: Sequence[Listed], since: str) -> list[Drawing]:
    """The list on as many sheets as it takes."""
    blocks = list(_blocks(plan, rows))
    drawn: list[Drawing] = []
    while blocks or not drawn:
        layer_shapes: list[Shape] = []
        y = TOP
        while blocks and (y == TOP or y + blocks[0].height <= HIGHEST):
            block = blocks.pop(0)
            layer_shapes += block.at(y)
            y += block.height
        if not rows:
            layer_shapes.append(Text((SHEET_MARGIN, y + 4), NOTHING, styles.BODY))
            y += HEADING_ROW
        bottom = y + 14
        height = bottom + foot_height() + SHEET_MARGIN
        drawing = Drawing(WIDTH, height, f"What changed since {since}")
        name = f"{shop_name(plan)} · since {since}"
        draw_head(drawing.layer("head"), name, "What changed", WIDTH, violation_count(plan))
        layer = drawing.layer("changes")
        layer.add(*(Text((x, TOP - 8), words, styles.HEADING) for words, x in COLUMNS))
        layer.add(*layer_shapes)
        draw_foot(drawing.layer("foot"), (SHEET_MARGIN, bottom), WIDTH)
        drawn.append(drawing)
    return drawn


@dataclass(frozen=True)
class _Block:
    """A change on paper, under the heading of its circuit where it is the first."""

    heading: str
    cells: tuple[tuple[str, ...], ...]

    @property
    def height(self) -> float:
        """Room that it takes."""
        lines = max(len(cell) for cell in self.cells)
        return ROW * lines + 5 + (HEADING_ROW if self.heading else 0)

    def at(self, y: float) -> Iterator[Shape]:
        """Its texts from a height on."""
        if self.heading:
            y += HEADING_ROW
            room = WIDTH - 2 * SHEET_MARGIN
            cut = fitted(self.heading, room, styles.STRONG.size, True)
            yield Text((SHEET_MARGIN, y - 6), cut, styles.STRONG)
        for index, (lines, (_, x)) in enumerate(zip(self.cells, COLUMNS, strict=True)):
            look = styles.CLOUD_WORDS if index == 0 else styles.SMALL_INK
            for number, line in enumerate(lines):
                yield Text((x, y + 9 + ROW * number), line, look)


def _blocks(plan: Plan, rows: Sequence[Listed]) -> Iterator[_Block]:
    says = {circuit.id: f"{clean(circuit.id)} · {clean(circuit.says)}" for circuit in plan.circuits}
    ends = [x for _, x in COLUMNS[1:]] + [WIDTH - SHEET_MARGIN + 8]
    before: str | None = None
    for one in rows:
        gone = one.change.kind == "circuit" and one.change.fate == "gone"
        heading = says.get(
            one.change.circuit or "", "Circuits that are gone" if gone else "Beside circuits"
        )
        texts = (str(one.change.number), one.thing, one.how, one.sheets)
        cells = tuple(
            tuple(wrapped(text, end - x - 10, styles.SMALL_INK.size, MOST_LINES)) or ("",)
            for text, (_, x), end in zip(texts, COLUMNS, ends, strict=True)
        )
        yield _Block("" if heading == before else heading, cells)
        before = heading
