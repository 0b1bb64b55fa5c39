"""A display list drawn on a page of reportlab: the shapes that the SVG has, where it has them.

Coordinates of a drawing are points, y down; on the page it lies with its upper left corner at a
place, larger or smaller by a factor. Two decimals: the same list gives the same bytes.
"""

from collections.abc import Hashable
from dataclasses import dataclass, field
from functools import cache, lru_cache
from typing import TYPE_CHECKING, Final, NamedTuple

from branchwright.pdf.lettering import Piece, code_lines, pieces
from branchwright.pdf.page import Part, Size
from branchwright.sheets.display import (
    Circle,
    Group,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
    Xy,
    covered,
)
from branchwright.sheets.styles import PAPER, Style
from branchwright.sheets.text_size import ASCENT_EM

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

SLANT: Final = 0.21  # of italics, about 12 degrees
HALO: Final = 3.0
CODE_SIZE: Final = 0.42  # of the letters around it
ROUND, BUTT = 1, 0
OUTLINED: Final = 1
SAVE, RESTORE = "q", "Q"
ESCAPED: Final = str.maketrans({char: f"\\{char}" for char in "()\\"})
PAINTED: Final = {  # a path, by whether it is stroked and filled
    (False, False): "n", (True, False): "S", (False, True): "f*", (True, True): "B*",
}  # fmt: skip
UPRIGHT: Final = (1.0, 0.0)
Pen = tuple[str, float, str, bool]


class Before(NamedTuple):
    """A group that was drawn: what of it stands in the file, and how it left pen and fill."""

    group: Group  # kept, so that no other takes its id
    code: str
    pen: Pen | None
    fill: str
    lost: frozenset[str]


@dataclass
class Again:
    """What of a document may come again on its pages: groups, curves, letters."""

    groups: dict[Hashable, Before] = field(default_factory=dict)
    curves: dict[Hashable, str] = field(default_factory=dict)
    letters: dict[Hashable, str] = field(default_factory=dict)


class Ink:
    """Draws on one page; `lost` gathers the characters that no face has.

    `again` holds what the document has so far: the pages of circuits share most of their groups.
    """

    def __init__(self, canvas: "Canvas", size: Size, again: Again) -> None:
        self.canvas, self.size, self.again = canvas, size, again
        self.lost: set[str] = set()

    def draw_part(self, part: Part) -> None:
        """A drawing in its place on the page, or what of it lies in its clip."""
        self.part, self.at, self.factor = part, part.at, part.factor
        self.pen: Pen | None = None  # as it is set now, so that it is set only when it changes
        self.fill = ""
        self.code = [SAVE, f"{ROUND} j"]
        if part.clip is not None:
            left, bottom = self._place((part.clip.left, part.clip.bottom))
            right, top = self._place((part.clip.right, part.clip.top))
            self.code.append(f"n {_numbers(left, bottom, right - left, top - bottom)} re W* n")
        self.draw(part.drawing.root)
        self.code.append(RESTORE)
        self.canvas.addLiteral("\n".join(self.code))

    def _cut(self, shape: Group | Text) -> bool:
        """Whether the clip would cut a text, or one of a label that stands together."""
        texts = shape.shapes if isinstance(shape, Group) else [shape]
        clip = self.part.clip
        return clip is not None and any(
            isinstance(text, Text) and not text.bounds.inside(clip) for text in texts
        )

    def draw(self, shape: Shape) -> None:
        """One shape, or all of a group; nothing of what lies wholly outside of the clip."""
        clip = self.part.clip
        if clip is not None and not isinstance(shape, Group) and not covered(shape).overlaps(clip):
            return
        match shape:
            case Group():
                if shape.name or not self._cut(shape):
                    self._group(shape)
            case Text():
                if not self._cut(shape):
                    self._text(shape)
            case Line():
                self._polyline((shape.start, shape.end), shape.style, closed=False)
            case Polyline():
                self._polyline(shape.points, shape.style, closed=shape.closed)
            case Rect():
                left, bottom = self._place((shape.bounds.left, shape.bounds.bottom))
                right, top = self._place((shape.bounds.right, shape.bounds.top))
                sides = (left, bottom, round(right - left, 2), round(top - bottom, 2))
                if radius := round(shape.radius * self.factor, 2):
                    self._round("roundRect", (*sides, radius), shape.style)
                else:
                    self.code.append(f"n {_numbers(*sides)} re {self._look(shape.style)}")
            case Circle():
                radius = round(shape.radius * self.factor, 2)
                self._round("circle", (*self._place(shape.centre), radius), shape.style)

    def _group(self, group: Group) -> None:
        """All of a group: what stands there already where it comes again in the same place."""
        key = id(group), self.size, self.at, self.factor, self.part.clip, self.pen, self.fill
        if (before := self.again.groups.get(key)) is None:
            code, lost, self.code, self.lost = self.code, self.lost, [], set()
            for inner in group.shapes:
                self.draw(inner)
            told = "\n".join(self.code)
            before = Before(group, told, self.pen, self.fill, frozenset(self.lost))
            self.again.groups[key] = before
            self.code, self.lost = code, lost
        self.code += [before.code] * bool(before.code)
        self.pen, self.fill = before.pen, before.fill
        self.lost |= before.lost

    def _place(self, point: Xy) -> Xy:
        """A point of the drawing on the page, y up."""
        x = self.at[0] + self.factor * point[0]
        return round(x, 2), round(self.size[1] - self.at[1] - self.factor * point[1], 2)

    def _polyline(self, points: tuple[Xy, ...], style: Style, *, closed: bool) -> None:
        painted = self._look(style)
        first, *rest = (_numbers(*self._place(point)) for point in points)
        path = [f"n {first} m", *(f"{point} l" for point in rest), *["h"] * closed]
        self.code += [" ".join(path), painted]

    def _round(self, kind: str, numbers: tuple[float, ...], style: Style) -> None:
        """A shape with curves, which paths have under the name of its kind."""
        from reportlab.pdfgen.pathobject import PDFPathObject

        painted = self._look(style)
        if (curves := self.again.curves.get((kind, numbers))) is None:
            code: list[str] = []
            getattr(PDFPathObject(code), kind)(*numbers)
            curves = self.again.curves[kind, numbers] = "\n".join(code)
        self.code += [curves, painted]

    def _look(self, style: Style) -> str:
        """Set pen and fill; what paints a path so."""
        stroked, filled = style.stroke != "none", style.fill != "none"
        if stroked:
            self._set_pen((style.stroke, style.width, style.dash, style.round_ends))
        if filled:
            self._set_fill(style.fill)
        return PAINTED[stroked, filled]

    def _set_pen(self, pen: Pen) -> None:
        if pen != self.pen:
            self.pen = pen
            self.code.append(_pen(pen, self.factor))

    def _set_fill(self, colour: str) -> None:
        if colour != self.fill:
            self.fill = colour
            self.code.append(f"{_colour(colour)} rg")

    def _text(self, text: Text) -> None:
        """A line in the box that was measured for it, narrower letters where it would not fit."""
        parts = pieces(text.text, text.lettering.bold)
        size = text.lettering.size * self.factor
        width = size * sum(part.width_em for part in parts)
        box = text.bounds
        room = self.factor * (box.right - box.left)
        squeeze = min(1.0, room / width) if width > room + 0.01 else 1.0
        x, y = self._place(text.at)
        x -= {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * width * squeeze
        if text.lettering.halo:
            self._set_pen((PAPER, HALO, "", False))
            self.code.append(SAVE)  # how letters are drawn is part of the state
            self._pieces(parts, text, (x, y), squeeze, outlined=True)
            self.code.append(RESTORE)
        self._set_fill(text.lettering.fill)
        self._pieces(parts, text, (x, y), squeeze, outlined=False)

    def _pieces(
        self, parts: tuple[Piece, ...], text: Text, at: Xy, squeeze: float, *, outlined: bool
    ) -> None:
        x, y = at
        size = text.lettering.size * self.factor
        slant = SLANT if text.lettering.italic else 0.0
        for part in parts:
            if part.face:
                self._letters(part, (x, y), size, (squeeze, slant), outlined=outlined)
            elif not outlined:
                self._code(part, (x, y), size, squeeze, text.lettering.fill)
            x += part.width_em * size * squeeze

    def _letters(
        self, piece: Piece, at: Xy, size: float, shape: tuple[float, float], *, outlined: bool
    ) -> None:
        """A piece of one face; `shape` is how narrow and how slanted its letters are."""
        place = _numbers(round(at[0], 2), round(at[1], 2))
        narrow, slant = shape
        turned = (
            f"{_numbers(round(narrow, 4), 0, slant, 1)} {place} Tm " if shape != UPRIGHT else ""
        )
        mode = f"{OUTLINED} Tr " if outlined else ""
        shown = self._shown(piece, round(size, 2))
        self.code.append(f"BT 1 0 0 1 {place} Tm {turned}{mode}{shown}")

    def _shown(self, piece: Piece, size: float) -> str:
        """The face, its size and the letters, as far as the end of the text.

        ASCII stands in the file as it is, other characters by codes given as they first come.
        """
        if piece.text.isascii():
            before, after = self._typeset(piece.face, " ", size).split("( )")
            return f"{before}({piece.text.translate(ESCAPED)}){after}"
        return self._typeset(piece.face, piece.text, size)

    def _typeset(self, face: str, text: str, size: float) -> str:
        if (shown := self.again.letters.get((face, text, size))) is None:
            line = self.canvas.beginText()
            line.setFont(face, size)
            line.textOut(text)
            _, _, shown = line.getCode().partition(" Tm ")
            self.again.letters[face, text, size] = shown
        return shown

    def _code(self, part: Piece, at: Xy, size: float, squeeze: float, colour: str) -> None:
        """The box with the number of a character that no face has."""
        self.lost.add(part.text)
        (x, y), wide = at, part.width_em * size * squeeze
        inset = 0.05 * size * squeeze
        self._set_pen((colour, 0.05 * size / self.factor, "", False))
        high = round(ASCENT_EM * size, 2)
        sides = (round(x + inset, 2), round(y - 0.12 * size, 2), round(wide - 2 * inset, 2), high)
        self.code.append(f"n {_numbers(*sides)} re {PAINTED[True, False]}")
        for number, digits in enumerate(code_lines(part.text)):
            (found,) = pieces(digits, bold=False)
            small = min(CODE_SIZE * size, 0.84 * wide / (found.width_em * squeeze))
            left = x + (wide - found.width_em * small * squeeze) / 2
            base = y + (0.42 - 0.44 * number) * size
            self._letters(found, (left, base), small, (squeeze, 0.0), outlined=False)


@cache
def _pen(pen: Pen, factor: float) -> str:
    """What sets a pen: colour, width, ends, dashes."""
    colour, width, dash, round_ends = pen
    dashes = _numbers(*(round(float(part) * factor, 2) for part in dash.split()))
    wide, ends = _numbers(round(width * factor, 2)), ROUND if round_ends else BUTT
    return f"{_colour(colour)} RG\n{wide} w\n{ends} J\n[{dashes}] 0 d"


@cache
def _colour(text: str) -> str:
    """A colour of the styles as red, green and blue."""
    return _numbers(*(round(int(text[at : at + 2], 16) / 255, 3) for at in (1, 3, 5)))


def _numbers(*values: float) -> str:
    """Numbers as they stand in the file."""
    return " ".join(map(_number, values))


@lru_cache(maxsize=100_000)
def _number(value: float) -> str:
    from reportlab.lib.rl_accel import fp_str

    said: str = fp_str(value)
    return said
