"""The door card of a panel at the size it is printed: 7 in wide, odd spaces left, even right.

What a space feeds is told in full as far as ten lines hold it; the directory has the rest.
"""

from collections.abc import Iterable, Iterator
from typing import Final

from branchwright import cautions
from branchwright.papers.at_the_panel import DoorLine, door_lines
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Drawing, Line, Rect, Shape, Text, Xy
from branchwright.sheets.sheet import shop_name
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import fitted, wrapped
from branchwright.words import clean, plain
from models.plan import PanelPlan, Plan

WIDTH: Final = 504.0
MARGIN: Final = 22.0
HALF: Final = (WIDTH - 2 * MARGIN) / 2
NUMBER, AMPS = 26.0, 30.0
TOP: Final = 58.0
LINE: Final = 9.6
PAD: Final = 7.0
MOST_LINES: Final = 10
SMALL: Final = Lettering(8.0)
FOOT: Final = Lettering(7.0, fill=styles.SOFT)
FOOT_LINE: Final = 9.0
FOOT_LINES: Final = 2


def door_card_drawing(plan: Plan, panel: PanelPlan) -> Drawing:
    """Draw the card of one panel."""
    shapes = list(_rows(plan, panel))
    bottom = max((s.bounds.bottom for s in shapes if isinstance(s, Rect)), default=TOP)
    foot = [
        line
        for caution in cautions.CAUTIONS
        for line in wrapped(caution, WIDTH - 2 * MARGIN, FOOT.size, FOOT_LINES)
    ]
    height = bottom + 16 + FOOT_LINE * len(foot)
    says = f"Door card of panel {panel.id}"
    drawing = Drawing(WIDTH, height, says, true_size=True)
    head = drawing.layer("head")
    title = fitted(f"Panel {clean(panel.id)}", HALF, styles.TITLE.size, True)
    head.add(Text((MARGIN, MARGIN + 14), title, styles.TITLE))
    name = fitted(shop_name(plan), WIDTH - 2 * MARGIN, styles.SMALL.size)
    head.add(Text((MARGIN, MARGIN + 29), name, styles.SMALL))
    drawing.layer("spaces").add(*shapes)
    layer = drawing.layer("foot")
    for number, line in enumerate(foot):
        layer.add(Text((MARGIN, bottom + 14 + FOOT_LINE * number), line, FOOT))
    return drawing


def _rows(plan: Plan, panel: PanelPlan) -> Iterator[Shape]:
    """A row for each pair of spaces, as high as the longer of its texts."""
    y = TOP
    lines = door_lines(plan, panel)
    for pair in zip(lines[::2], lines[1::2], strict=True):
        height = row_height(pair)
        for column, line in enumerate(pair):
            yield from door_cell(line, (MARGIN + column * HALF, y), height)
        y += height


def row_height(pair: Iterable[DoorLine]) -> float:
    """The height of a row of the card, by the longer of its texts."""
    return 2 * PAD + LINE * max(1, *(len(_told(line)) for line in pair)) - 2


def door_cell(line: DoorLine, at: Xy, height: float) -> Iterator[Shape]:
    """One space of the card: number, what it feeds, amperes."""
    (x, y), (number, _, amps) = at, line
    yield Rect(Bounds(x, y, x + HALF, y + height), styles.SYMBOL)
    yield Text((x + NUMBER - 5, y + PAD + 7), number, styles.STRONG, "end")
    yield Line((x + NUMBER, y), (x + NUMBER, y + height), styles.RULE)
    for order, text in enumerate(_told(line)):
        yield Text((x + NUMBER + 5, y + PAD + 6.5 + LINE * order), text, SMALL)
    if amps is not None:
        yield Text((x + HALF - 5, y + PAD + 6.5), f"{plain(amps, 1)} A", SMALL, "end")


def _told(line: DoorLine) -> list[str]:
    """What a space feeds, in lines."""
    return wrapped(line[1], HALF - NUMBER - AMPS - 10, SMALL.size, MOST_LINES)
