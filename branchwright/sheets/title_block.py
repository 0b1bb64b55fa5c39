"""The title block along the foot of each drawing of a set: sheet, shop, edition, plan, and a stop.

It is added below a drawing, so that a drawing made for the page stays as it is.
"""

from dataclasses import dataclass, replace
from typing import Final

from branchwright.cautions import DO_NOT_BUILD, violations
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Rect, Text
from branchwright.sheets.sheet import HASH_DIGITS, SHEET_MARGIN, shop_name
from branchwright.sheets.text_size import fitted
from models.plan import Plan

HEIGHT: Final = 40.0
STOP_HEIGHT: Final = 34.0
CODE, MARK = 84.0, 118.0  # wide enough for what stands there
SHEET_SHARE: Final = 0.45  # of the rest


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
    frame = Bounds(SHEET_MARGIN, top, width - SHEET_MARGIN, top + HEIGHT)
    layer.add(Rect(frame, styles.SYMBOL))
    cells = (("SHEET", title), ("SHOP", block.shop), ("CODE", block.edition), ("PLAN", block.mark))
    x = frame.left
    rest = frame.right - frame.left - CODE - MARK
    widths = (SHEET_SHARE * rest, (1 - SHEET_SHARE) * rest, CODE, MARK)
    for (heading, says), wide in zip(cells, widths, strict=True):
        if x > frame.left:
            layer.add(Line((x, frame.top), (x, frame.bottom), styles.SYMBOL_LINE))
        layer.add(Text((x + 8, frame.top + 13), heading, styles.HEADING))
        cut = fitted(says, wide - 16, styles.STRONG.size, True)
        layer.add(Text((x + 8, frame.top + 30), cut, styles.STRONG))
        x += wide
    root = Group(drawing.root.name, [*drawing.root.shapes, layer])
    return replace(drawing, height=frame.bottom + SHEET_MARGIN, root=root)
