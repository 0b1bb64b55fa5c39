"""Cover-plate labels to cut out, at the size they are printed: 2-1/4 by 3/4 in, thirty on a sheet,
which fits Letter and A4.
"""

from collections.abc import Iterator
from typing import Final

from branchwright import cautions
from branchwright.papers.cover_labels import cover_labels
from branchwright.papers.paper import Row
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Drawing, Group, Rect, Shape, Text, Thing
from branchwright.sheets.sheet import shop_name, violation_count
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import fitted, text_width, wrapped
from branchwright.words import plain
from models.plan import Plan

LABEL: Final = (162.0, 54.0)
IN_A_ROW, ON_A_SHEET = 3, 30
MARGIN: Final = 22.0
WIDTH: Final = 2 * MARGIN + IN_A_ROW * LABEL[0]
TOP: Final = 62.0
PAD: Final = 6.0
LARGE: Final = Lettering(13.0, bold=True)
SMALL: Final = Lettering(7.5)
STOP: Final = Lettering(8.5, bold=True, fill=styles.ALERT)
FOOT_LINE: Final = 9.5


def label_sheets(plan: Plan) -> list[Drawing]:
    """Draw all labels, box by box."""
    return sheets_of(plan, cover_labels(plan).rows, "Cover-plate labels")


def sheets_of(plan: Plan, rows: tuple[Row, ...], title: str) -> list[Drawing]:
    """Draw the labels of some rows of the paper of labels."""
    return [
        _sheet(plan, rows[first : first + ON_A_SHEET], title)
        for first in range(0, len(rows), ON_A_SHEET)
    ]


def _sheet(plan: Plan, rows: tuple[Row, ...], title: str) -> Drawing:
    bottom = TOP + -(-len(rows) // IN_A_ROW) * LABEL[1]
    room = WIDTH - 2 * MARGIN
    foot = [line for told in cautions.CAUTIONS for line in wrapped(told, room, SMALL.size, 2)]
    height = bottom + 16 + FOOT_LINE * len(foot)
    says = f"{len(rows)} cover-plate labels"
    holds = tuple(str(row[0]) for row in rows)
    drawing = Drawing(WIDTH, height, says, true_size=True, holds=holds)
    head = drawing.layer("head")
    head.add(Text((MARGIN, MARGIN + 14), title, styles.TITLE))
    name = fitted(shop_name(plan), room, styles.SMALL.size)
    head.add(Text((MARGIN, MARGIN + 29), name, styles.SMALL))
    layer = drawing.layer("labels")
    stop = bool(violation_count(plan))
    for number, row in enumerate(rows):
        line, column = divmod(number, IN_A_ROW)
        drawn = list(_label(row, MARGIN + column * LABEL[0], TOP + line * LABEL[1], stop))
        layer.add(Group("", drawn, about=Thing("box", str(row[0]))))
    layer = drawing.layer("foot")
    for number, told in enumerate(foot):
        layer.add(Text((MARGIN, bottom + 14 + FOOT_LINE * number), told, SMALL))
    return drawing


def _label(row: Row, x: float, y: float, stop: bool) -> Iterator[Shape]:
    """One label: panel and space, amperes; where to reset; what it is stuck on, for the hand."""
    wide, high = LABEL
    _, at, panel, space, amps, volts, reset, circuit, _ = row
    room = wide - 2 * PAD
    yield Rect(Bounds(x, y, x + wide, y + high), styles.CUT)
    first = f"{panel} {space} · {plain(float(amps or 0), 1)} A"
    yield Text((x + PAD, y + 17), fitted(first, room, LARGE.size, True), LARGE)
    if reset:
        second = fitted(f"reset GFCI: {reset}", room, SMALL.size)
        yield Text((x + PAD, y + 31), second, SMALL)
    if stop:
        yield Text((x + PAD, y + 45), cautions.DO_NOT_BUILD, STOP)
    else:
        third = f"{at} · circuit {circuit} · {volts} V"
        if text_width(third, SMALL.size) > room:
            third = fitted(f"{at} · {circuit} · {volts} V", room, SMALL.size)
        yield Text((x + PAD, y + 45), third, styles.coloured(SMALL, styles.SOFT))
