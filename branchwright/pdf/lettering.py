"""The letters of a PDF: two faces of DejaVu Sans, and no character lost without a word.

A character that neither face has is drawn as a small box with its number in two lines, as wide as
it was measured, and named at the foot of its page. Italics are the upright face, slanted.
"""

from dataclasses import dataclass
from functools import cache, lru_cache
from importlib import resources
from typing import TYPE_CHECKING, Final

from branchwright.pdf.reading_order import drawn_order
from branchwright.sheets.text_size import FULL_EM, text_width
from branchwright.words import clean

if TYPE_CHECKING:
    from reportlab.pdfbase.ttfonts import TTFont

REGULAR, BOLD = "DejaVuSans", "DejaVuSans-Bold"
CODE_DIGITS: Final = 6


@dataclass(frozen=True)
class Piece:
    """A stretch of a line in one face, or a single character that no face has (`face` empty)."""

    face: str
    text: str
    width_em: float


@cache
def faces() -> "dict[str, TTFont]":
    """Both faces, known to reportlab by their names."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = resources.files("branchwright.pdf") / "fonts"
    made = {}
    for name in (REGULAR, BOLD):
        with resources.as_file(folder / f"{name}.ttf") as path:
            made[name] = TTFont(name, str(path), asciiReadable=True)
        pdfmetrics.registerFont(made[name])
    return made


@cache
def _glyph_widths(face: str) -> dict[str, float]:
    """Of each character that a face has, its advance width [em]."""
    known = faces()[face].face
    return {chr(code): known.charWidths[code] / 1000 for code in known.charToGlyph}


@lru_cache(maxsize=20_000)
def pieces(text: str, bold: bool) -> tuple[Piece, ...]:
    """A line in the order it is drawn in, parted by face.

    >>> [(piece.face, piece.text) for piece in pieces("saw \U0001fa9a", bold=True)]
    [('DejaVuSans-Bold', 'saw '), ('', '🪚')]
    """
    found: list[Piece] = []
    order = (BOLD, REGULAR) if bold else (REGULAR, BOLD)
    ordered, usual = drawn_order(clean(text)), _glyph_widths(order[0])
    if ordered and usual.keys() >= set(ordered):
        return (Piece(order[0], ordered, sum(map(usual.__getitem__, ordered))),)
    for char in ordered:
        face = next((face for face in order if char in _glyph_widths(face)), "")
        wide = _glyph_widths(face)[char] if face else max(FULL_EM, text_width(char, 1.0))
        last = found[-1] if found else None
        if last and face and last.face == face:
            found[-1] = Piece(face, last.text + char, last.width_em + wide)
        else:
            found.append(Piece(face, char, wide))
    return tuple(found)


def code_lines(char: str) -> tuple[str, str]:
    """The number of a character, in the two lines that its box shows.

    >>> code_lines("\U0001fa9a")
    ('01F', 'A9A')
    """
    digits = f"{ord(char):0{CODE_DIGITS}X}"
    return digits[: CODE_DIGITS // 2], digits[CODE_DIGITS // 2 :]
