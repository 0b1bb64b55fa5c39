"""Pages of a set size, in points: what lies where on them, and what each says of itself below.

A page holds drawings, each with its upper left corner at a place and by a factor; under them stand
the cautions and the title block, as large on every page.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from branchwright.cautions import CAUTIONS, DO_NOT_BUILD
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Drawing, Group, Rect, Shape, Text, Xy
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import fitted, folded, text_width
from branchwright.sheets.title_block import (
    SMALL_HEIGHT,
    Block,
    small_cell_width,
    title_cells,
    whole_in_small_cell,
)
from branchwright.words import clean

Size = tuple[float, float]

PAPERS: Final[dict[str, Size]] = {
    "letter": (612.0, 792.0),
    "a4": (595.28, 841.89),
    "tabloid": (792.0, 1224.0),
    "a3": (841.89, 1190.55),
}
MARGIN: Final = 36.0
SMALL: Final = Lettering(7.0, fill=styles.SOFT)
SMALL_STEP: Final = 8.5
CELLS_HEIGHT: Final = SMALL_HEIGHT
STOP_HEIGHT: Final = 24.0
GAP: Final = 6.0
SHEET_SHARE: Final = 0.55


@dataclass(frozen=True)
class OnPaper:
    """The names of the papers that tables and drawings come on."""

    paper: str = "letter"
    drawings: str = "tabloid"


USUAL_PAPER: Final = OnPaper()


@dataclass(frozen=True)
class Part:
    """A drawing on a page: the place of its upper left corner, and how much larger it is drawn.

    With `clip`, in points of the drawing, that part alone, and the texts that lie wholly in it.
    """

    drawing: Drawing
    at: Xy = (0.0, 0.0)
    factor: float = 1.0
    clip: Bounds | None = None


@dataclass(frozen=True)
class Page:
    """A page; `scale` in words where it is a drawing, `begins` where no page before it is of it."""

    title: str
    size: Size
    parts: tuple[Part, ...]
    scale: str = ""
    begins: bool = True


def turned(size: Size, *, landscape: bool) -> Size:
    """The paper, lying or standing."""
    short, long = sorted(size)
    return (long, short) if landscape else (short, long)


def caution_lines(width: float) -> list[str]:
    """The cautions in lines for the foot of a page."""
    return folded(" ".join(CAUTIONS), width - 2 * MARGIN, SMALL.size)


def body_of(size: Size) -> Bounds:
    """What a page has free for its content; room for a stop is kept on every page."""
    wide, high = size
    foot = CELLS_HEIGHT + STOP_HEIGHT + SMALL_STEP * (len(caution_lines(wide)) + 1) + GAP
    return Bounds(MARGIN, MARGIN, wide - MARGIN, high - MARGIN - foot)


def foot_of(page: Page, block: Block, number: int, count: int, lost: set[str]) -> Iterator[Shape]:
    """A stop where that holds, the title block, the cautions, and the characters not shown."""
    wide, high = page.size
    told = caution_lines(wide)
    facts = {"CODE": block.edition, "PLAN": block.mark, "SCALE": page.scale}
    facts["PAGE"] = f"{number} of {count}"
    last = [(name, says, small_cell_width(says)) for name, says in facts.items() if says]
    rest = wide - 2 * MARGIN - sum(width for *_, width in last)
    shares = (SHEET_SHARE * rest, (1 - SHEET_SHARE) * rest)
    first = [("SHEET", clean(page.title), shares[0]), ("SHOP", block.shop, shares[1])]
    if lost:
        told = [fitted(lost_words(lost), wide - 2 * MARGIN, SMALL.size), *told]
    if not whole_in_small_cell(block.shop, shares[1]):
        told = [block.shop, *told]
    top = high - MARGIN - CELLS_HEIGHT - SMALL_STEP * len(told) - GAP / 2
    if block.stop:
        band = Bounds(MARGIN, top - STOP_HEIGHT + 4, wide - MARGIN, top - 4)
        yield Rect(band, styles.BANNER, 3)
        at = (wide / 2, band.bottom - 3.3)
        says = f"{DO_NOT_BUILD}: {block.stop}"
        yield Text(at, says, Lettering(13.0, bold=True, fill=styles.ALERT), "middle")
    frame = Bounds(MARGIN, top, wide - MARGIN, top + CELLS_HEIGHT)
    yield from title_cells(frame, [*first, *last], small=True)
    for line, words in enumerate(told, start=1):
        whole = text_width(words, SMALL.size)
        size = SMALL.size * min(1.0, (wide - 2 * MARGIN) / whole)
        yield Text((MARGIN, frame.bottom + SMALL_STEP * line), words, replace(SMALL, size=size))


def lost_words(lost: set[str]) -> str:
    """The characters that the letters here do not have, by number and name."""
    import unicodedata

    named = (
        f"U+{ord(char):04X} {unicodedata.name(char, '').lower()}".strip() for char in sorted(lost)
    )
    return f"Shown by their numbers, for want of a letter: {', '.join(named)}"


def drawing_of(size: Size, says: str) -> tuple[Drawing, Group]:
    """An empty page to draw on, and its layer."""
    drawing = Drawing(*size, says, true_size=True)
    return drawing, drawing.layer("body")
