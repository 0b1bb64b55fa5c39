"""Pages as one PDF: numbered through, with bookmarks, the same bytes for the same pages."""

import io
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from branchwright.cautions import DO_NOT_BUILD
from branchwright.pdf.ink import Again, Ink
from branchwright.pdf.lettering import BOLD, faces
from branchwright.pdf.page import Page, Part, foot_of
from branchwright.sheets import styles
from branchwright.sheets.display import Drawing, Group
from branchwright.sheets.title_block import Block

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

ACROSS: Final = 0.72  # of the diagonal
THROUGH: Final = 0.11  # how strong


def pdf_bytes(title: str, pages: Sequence[Page], block: Block) -> bytes:
    """The bytes of the file; no clock, no random marks."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    rl_config.useA85 = 0  # bytes as they are: smaller, and quicker written
    faces()
    file = io.BytesIO()
    canvas = Canvas(file, invariant=1, pageCompression=1, pdfVersion=(1, 4))
    canvas.setTitle(f"{block.shop}: {title}")
    canvas.setSubject(block.line)
    canvas.setAuthor("")
    canvas.setCreator("branchwright")
    again = Again()
    for number, page in enumerate(pages, start=1):
        canvas.setPageSize(page.size)
        ink = Ink(canvas, page.size, again)
        for part in page.parts:
            ink.draw_part(part)
        foot = Group("", list(foot_of(page, block, number, len(pages), ink.lost)))
        ink.draw_part(Part(Drawing(*page.size, "", foot)))
        if block.stop:
            _stop_across(canvas, page)
        if page.begins:
            canvas.bookmarkPage(f"page-{number}")
            canvas.addOutlineEntry(page.title, f"page-{number}")
        canvas.showPage()
    canvas.save()
    return file.getvalue()


def _stop_across(canvas: "Canvas", page: Page) -> None:
    """DO NOT BUILD from corner to corner; what lies under it stays readable."""
    from reportlab.pdfbase.pdfmetrics import stringWidth

    wide, high = page.size
    diagonal = math.hypot(wide, high)
    size = ACROSS * diagonal / stringWidth(DO_NOT_BUILD, BOLD, 1.0)
    canvas.saveState()
    canvas.translate(wide / 2, high / 2)
    canvas.rotate(round(math.degrees(math.atan2(high, wide)), 3))
    canvas.setFillColor(styles.ALERT)
    canvas.setFillAlpha(THROUGH)
    canvas.setFont(BOLD, round(size, 2))
    canvas.drawCentredString(0, round(-size / 3, 2), DO_NOT_BUILD)
    canvas.restoreState()
