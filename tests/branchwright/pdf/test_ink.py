"""In a PDF: what comes again stands there the same, and letters as the library sets them."""

import io
from collections.abc import Callable, Iterable

import pytest
from reportlab.pdfgen.canvas import Canvas

from branchwright.pdf.ink import Again, Ink
from branchwright.pdf.lettering import REGULAR, faces
from branchwright.pdf.page import Page, Part
from branchwright.sheet_set import _Made as Made
from branchwright.sheets.display import Drawing, Group, Text
from branchwright.sheets.styles import Lettering

PRINTABLE = "".join(map(chr, range(ord("!"), 0x7F)))


def canvas_and_said() -> tuple[Canvas, list[str]]:
    """A canvas, and what is put on it."""
    faces()
    said: list[str] = []
    canvas = Canvas(io.BytesIO())
    canvas.addLiteral = said.append
    return canvas, said


def said_of(pages: Iterable[Page], again: Callable[[], Again]) -> tuple[list[str], list[set[str]]]:
    """What is put on pages, and the characters that each has no letter for."""
    canvas, said = canvas_and_said()
    lost = []
    for page in pages:
        ink = Ink(canvas, page.size, again())
        for part in page.parts:
            ink.draw_part(part)
        lost.append(ink.lost)
    return said, lost


@pytest.mark.parametrize("name", ["table saw", "🪚 saw 🔥", "מסור שולחן"])
def test_what_comes_again_is_drawn_as_the_first_time(name, renamed):
    """The sheets of circuits share groups, but not with the pen they come upon."""
    pages = Made(renamed(name)).pages("circuits")
    kept, alone = Again(), []

    def new() -> Again:
        alone.append(Again())
        return alone[-1]

    said, lost = said_of(pages, lambda: kept)
    assert (said, lost) == said_of(pages, new)
    assert any(lost) == ("🪚" in name)
    assert len(kept.groups) < sum(len(one.groups) for one in alone)


@pytest.mark.parametrize("text", [PRINTABLE, "12 AWG (3.3 mm²) \\ café", "a\\(b"])
def test_letters_stand_there_as_the_library_sets_them(text):
    canvas, said = canvas_and_said()
    drawing = Drawing(900, 100, "", Group("", [Text((10, 30), text, Lettering(9))]))
    Ink(canvas, (900, 100), Again()).draw_part(Part(drawing))
    line = Canvas(io.BytesIO()).beginText(10, 70)
    line.setFont(REGULAR, 9)
    line.textOut(text)
    assert said[0].splitlines()[-2] == line.getCode()
