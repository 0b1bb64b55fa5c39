"""The title block along the foot of each drawing of a set: sheet, shop, edition, plan, and a stop.

It is added below a drawing, so that a drawing made for the page stays as it is.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from branchwright.cautions import DO_NOT_BUILD, violations
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Rect, Shape, Text
from branchwright.sheets.sheet import HASH_DIGITS, SHEET_MARGIN, shop_name
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import ASCENT_EM, DESCENT_EM, folded, set_within, text_width
from models.plan import Plan

HEIGHT: Final = 40.0
STOP_HEIGHT: Final = 34.0
CODE, MARK = 84.0, 118.0  # wide enough for what stands there
SHEET_SHARE: Final = 0.45  # of the rest
SMALL_HEIGHT: Final = 30.0
INSET: Final = 0.2  # of the usual height
UNDER_HEADING: Final = 0.39  # of the usual height, where the text under a heading may begin
LEAST_AIR: Final = 1.0
LEAST: Final = 0.6  # of the usual letters, for what is long
SMALL_HEADING: Final = Lettering(6.0, bold=True, fill=styles.SOFT)
SMALL_STRONG: Final = Lettering(8.5, bold=True)
SMALL_PAD: Final = 15.0


@dataclass(frozen=True)
class Block:
    """What every sheet of one set says of its plan; `stop` counts the violations in words."""

    shop: str
    edition: str
    mark: str
    stop: str

    @classmethod
    def of(cls, plan: Plan, plan_sha256: str) -> "Block":
        """Of a plan and the hash of its file."""
        count = len(violations(plan.findings))
        stop = f"{count} violation{'s' if count > 1 else ''}" if count else ""
        edition = f"NEC {plan.made_by.edition}"
        return cls(shop_name(plan), edition, plan_sha256[:HASH_DIGITS], stop)

    @property
    def line(self) -> str:
        """The same in one line."""
        return f"{self.shop} · {self.edition} · plan {self.mark}"


def with_title_block(drawing: Drawing, title: str, block: Block) -> Drawing:
    """The drawing with its title block below, and DO NOT BUILD across it where that holds."""
    stop = STOP_HEIGHT if block.stop else 0.0
    top = drawing.height + stop
    width = drawing.width
    layer = Group("title block")
    if block.stop:
        band = Bounds(SHEET_MARGIN, drawing.height, width - SHEET_MARGIN, top - 6)
        layer.add(Rect(band, styles.BANNER, 3))
        says = f"{DO_NOT_BUILD}: {block.stop}"
        at = (width / 2, drawing.height + 20.5)
        layer.add(Text(at, says, styles.ALERT_TEXT, "middle"))
    cells = (("SHEET", title), ("SHOP", block.shop), ("CODE", block.edition), ("PLAN", block.mark))
    rest = width - 2 * SHEET_MARGIN - CODE - MARK
    widths = (SHEET_SHARE * rest, (1 - SHEET_SHARE) * rest, CODE, MARK)
    texts = zip((title, block.shop), widths, strict=False)
    high = max(HEIGHT, *(_height_for(says, room) for says, room in texts))
    frame = Bounds(SHEET_MARGIN, top, width - SHEET_MARGIN, top + high)
    wide = [(*cell, room) for cell, room in zip(cells, widths, strict=True)]
    layer.add(*title_cells(frame, wide))
    root = Group(drawing.root.name, [*drawing.root.shapes, layer])
    return replace(drawing, height=frame.bottom + SHEET_MARGIN, root=root)


def title_cells(
    frame: Bounds, cells: Iterable[tuple[str, str, float]], *, small: bool = False
) -> Iterator[Shape]:
    """Cells beside each other: of each a heading, what it says, and its width.

    What is too long for a line is set smaller, in several lines if need be.
    """
    heading, strong = (SMALL_HEADING, SMALL_STRONG) if small else (styles.HEADING, styles.STRONG)
    high = SMALL_HEIGHT if small else HEIGHT
    inset = INSET * high
    top = frame.top + UNDER_HEADING * high
    yield Rect(frame, styles.SYMBOL)
    x = frame.left
    for name, says, wide in cells:
        if x > frame.left:
            yield Line((x, frame.top), (x, frame.bottom), styles.SYMBOL_LINE)
        yield Text((x + inset, frame.top + 0.325 * high), name, heading)
        lines, size = _set(says, wide - 2 * inset, frame.bottom - top, strong)
        look = replace(strong, size=size)
        line_high = (ASCENT_EM + DESCENT_EM) * size
        base = frame.top + 0.75 * high if len(lines) == 1 else top + ASCENT_EM * size
        for number, line in enumerate(lines):
            yield Text((x + inset, base + line_high * number), line, look)
        x += wide


def whole_in_small_cell(says: str, wide: float) -> bool:
    """Whether a small cell of this width shows all of what it says."""
    room = wide - 2 * INSET * SMALL_HEIGHT
    lines, _ = _set(says, room, (1 - UNDER_HEADING) * SMALL_HEIGHT, SMALL_STRONG)
    return "".join(lines).replace(" ", "") == says.replace(" ", "")


def _set(says: str, room: float, high: float, look: Lettering) -> tuple[list[str], float]:
    """What a cell says, in lines, and their size."""
    return set_within(says, room, high - LEAST_AIR, (look.size, LEAST * look.size), look.bold)


def _height_for(says: str, wide: float) -> float:
    """How high a cell must be for what it says in its least letters."""
    size = LEAST * styles.STRONG.size
    lines = folded(says, wide - 2 * INSET * HEIGHT, size, bold=True)
    return UNDER_HEADING * HEIGHT + LEAST_AIR + (ASCENT_EM + DESCENT_EM) * size * len(lines) + 0.01


def small_cell_width(says: str) -> float:
    """How wide a small cell must be for what it says."""
    return text_width(says, SMALL_STRONG.size, True) + SMALL_PAD
