"""Labels and lines of the door card that read otherwise than an older plan's: what to print again.

A label is the same when everything on it is, whatever else of the plan changed. Drawn as large as
they are printed: labels like those of the whole set, lines of the card to be stuck over the old.
"""

from collections.abc import Iterable, Iterator
from typing import Final, Literal, NamedTuple

from branchwright import cautions
from branchwright.papers.at_the_panel import DoorLine, door_lines
from branchwright.papers.cover_labels import cover_labels
from branchwright.papers.door_card import HALF, MARGIN, WIDTH, door_cell, row_height
from branchwright.papers.label_sheet import sheets_of
from branchwright.papers.paper import Field, Paper, Row
from branchwright.sheets import styles
from branchwright.sheets.display import Drawing, Text
from branchwright.sheets.sheet import shop_name, violation_count
from branchwright.sheets.text_size import fitted, wrapped
from branchwright.words import clean, plain
from models.plan import PanelPlan, Plan

FIELDS = (
    Field("What", 16), Field("At", 16), Field("Do", 12), Field("Says now", 52),
    Field("Said before", 52),
)  # fmt: skip
LABEL, LINE = "cover label", "directory line"
TITLE: Final = "Cover-plate labels to print again"
TOP: Final = 62.0
HIGHEST: Final = 600.0  # of the strips of a sheet
GAP: Final = 10.0
FOOT_LINE: Final = 9.5
SMALL: Final = styles.Lettering(7.5)
Do = Literal["print", "take away"]


class Reprint(NamedTuple):
    """A label or line that changed; `after` is None where it is only taken away."""

    what: str
    at: str
    before: str
    after: str | None


class _Line(NamedTuple):
    """A line of a panel's door card, with the row it stands in."""

    panel: str
    line: DoorLine
    pair: tuple[DoorLine, DoorLine]


def reprint(old: Plan, new: Plan) -> Paper:
    """A row for each label and line to print, and for each to take away."""
    rows = tuple(map(_row, (*_labels(old, new), *_lines(old, new))))
    note = "Only what reads otherwise than before; every other label stays where it is."
    return Paper("reprint", "Reprint", FIELDS, rows, note)


def _row(one: Reprint) -> Row:
    do: Do = "print" if one.after is not None else "take away"
    return one.what, one.at, do, one.after or "", one.before


def _labels(old: Plan, new: Plan) -> Iterator[Reprint]:
    before, after = (_by_place(cover_labels(plan).rows) for plan in (old, new))
    for place, row in after.items():
        was = before.pop(place, None)
        if was != row:
            yield Reprint(LABEL, place[1], _label_words(was) if was else "", _label_words(row))
    for place, row in before.items():
        yield Reprint(LABEL, place[1], _label_words(row), None)


def _by_place(rows: Iterable[Row]) -> dict[tuple[str, str, int], Row]:
    """Rows by box and place; a place with several labels counts them."""
    found: dict[tuple[str, str, int], Row] = {}
    for row in rows:
        box, at = str(row[0]), str(row[1])
        count = sum(key[:2] == (box, at) for key in found)
        found[box, at, count] = row
    return found


def _label_words(row: Row) -> str:
    """All that a label says in print: also its small line."""
    *_, volts, _, circuit, says = row
    return f"{says} · circuit {circuit} · {volts} V"


def _lines(old: Plan, new: Plan) -> Iterator[Reprint]:
    before = {(one.panel, one.line[0]): one for one in _cards(old)}
    for one in _cards(new):
        was = before.pop((one.panel, one.line[0]), None)
        if was is None or was.line != one.line:
            at = f"{one.panel}, space {one.line[0]}"
            yield Reprint(LINE, at, _line_words(was.line) if was else "", _line_words(one.line))
    for (panel, number), was in before.items():
        yield Reprint(LINE, f"{panel}, space {number}", _line_words(was.line), None)


def _cards(plan: Plan) -> Iterator[_Line]:
    """Every line of every door card."""
    for panel in plan.panels:
        yield from _card(plan, panel)


def _card(plan: Plan, panel: PanelPlan) -> Iterator[_Line]:
    lines = door_lines(plan, panel)
    for pair in zip(lines[::2], lines[1::2], strict=True):
        for line in pair:
            yield _Line(clean(panel.id), line, pair)


def _line_words(line: DoorLine) -> str:
    _, says, amps = line
    return says if amps is None else f"{says} · {plain(amps, 1)} A"


def reprint_drawings(old: Plan, new: Plan) -> list[Drawing]:
    """The labels on sheets of thirty, then the lines of the door cards."""
    before = _by_place(cover_labels(old).rows)
    rows = tuple(
        row for place, row in _by_place(cover_labels(new).rows).items() if before.get(place) != row
    )
    was = {(one.panel, one.line[0]): one.line for one in _cards(old)}
    lines = [one for one in _cards(new) if was.get((one.panel, one.line[0])) != one.line]
    return [*sheets_of(new, rows, TITLE), *_strips(new, lines)]


def _strips(plan: Plan, lines: list[_Line]) -> list[Drawing]:
    """Lines of the door cards, two beside each other, as high as they are on the card."""
    drawn: list[Drawing] = []
    rest = list(lines)
    while rest:
        drawing = Drawing(WIDTH, 0.0, "Lines of the door card to print again", true_size=True)
        head = drawing.layer("head")
        title = "Door-card lines to print again"
        head.add(Text((MARGIN, MARGIN + 14), title, styles.TITLE))
        name = fitted(shop_name(plan), WIDTH - 2 * MARGIN, styles.SMALL.size)
        head.add(Text((MARGIN, MARGIN + 29), name, styles.SMALL))
        layer = drawing.layer("lines")
        y = TOP
        while rest and y < HIGHEST:
            row, rest = rest[:2], rest[2:]
            for column, one in enumerate(row):
                x = MARGIN + column * HALF
                where = fitted(f"panel {one.panel}", HALF, SMALL.size)
                layer.add(Text((x, y + 8), where, SMALL))
                layer.add(*door_cell(one.line, (x, y + 12), row_height(one.pair)))
            y += 12 + max(row_height(one.pair) for one in row) + GAP
        drawing.height = _foot(drawing, plan, y)
        drawn.append(drawing)
    return drawn


def _foot(drawing: Drawing, plan: Plan, y: float) -> float:
    """The cautions below; returns where they end."""
    layer = drawing.layer("foot")
    room = WIDTH - 2 * MARGIN
    told = [line for one in cautions.CAUTIONS for line in wrapped(one, room, SMALL.size, 2)]
    told += [cautions.DO_NOT_BUILD] * bool(violation_count(plan))
    for number, line in enumerate(told):
        layer.add(Text((MARGIN, y + 10 + FOOT_LINE * number), line, SMALL))
    return y + 12 + FOOT_LINE * len(told)
