"""What every drawn sheet carries: a head with its name and the shop's, a foot with the cautions."""

from typing import Final

from branchwright import cautions
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Group, Line, Rect, Text, Xy
from branchwright.sheets.text_size import fitted, text_width
from branchwright.words import clean
from models.plan import Plan

SHEET_MARGIN: Final = 22.0
CAUTION_STEP: Final = 13.5
HASH_DIGITS: Final = 12


def shop_name(plan: Plan) -> str:
    """The shop's name as the plan carries it."""
    return clean(str(plan.source.shop.get("name", "")))


def violation_count(plan: Plan) -> int:
    """How many findings forbid building."""
    return len(cautions.violations(plan.findings))


def draw_head(layer: Group, name: str, title: str, width: float, violations: int = 0) -> None:
    """Title and shop at the left; DO NOT BUILD across the right when there is a violation."""
    x, right = SHEET_MARGIN, width - SHEET_MARGIN
    banner = 0.0
    if violations:
        text = f"{cautions.DO_NOT_BUILD}: {violations} violation{'s' if violations > 1 else ''}"
        banner = text_width(text, styles.ALERT_TEXT.size, True) + 28
        layer.add(Rect(Bounds(right - banner, x, right, x + 32), styles.BANNER, 4))
        layer.add(Text((right - banner / 2, x + 22.5), text, styles.ALERT_TEXT, "middle"))
    room = right - x - banner - 16
    layer.add(Text((x, x + 17), title, styles.TITLE))
    cut = fitted(clean(name), room, styles.BODY.size)
    layer.add(Text((x, x + 36), cut, styles.coloured(styles.BODY, styles.SOFT)))
    layer.add(Line((x, x + 50), (right, x + 50), styles.RULE))


def foot_height() -> float:
    """Room that the cautions take."""
    return 18 + CAUTION_STEP * len(cautions.CAUTIONS)


def draw_foot(layer: Group, at: Xy, width: float) -> None:
    """The cautions, one to a line."""
    x, y = at
    layer.add(Line((x, y + 6), (width - SHEET_MARGIN, y + 6), styles.RULE))
    for index, caution in enumerate(cautions.CAUTIONS):
        text = fitted(caution, width - 2 * x, styles.SMALL.size)
        layer.add(Text((x, y + 23 + CAUTION_STEP * index), text, styles.SMALL))
