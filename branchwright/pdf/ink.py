"""A display list drawn on a page of reportlab: the shapes that the SVG has, where it has them.

Coordinates of a drawing are points, y down; on the page it lies with its upper left corner at a
place, larger or smaller by a factor. Two decimals: the same list gives the same bytes.
"""

from collections.abc import Hashable
from functools import cache
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
    from reportlab.lib.colors import Color
    from reportlab.pdfgen.canvas import Canvas

SLANT: Final = 0.21  # of italics, about 12 degrees
HALO: Final = 3.0
CODE_SIZE: Final = 0.42  # of the letters around it
ROUND, BUTT = 1, 0
OUTLINED: Final = 1
UPRIGHT: Final = (1.0, 0.0)
Pen = tuple[str, float, str, bool]


class Made(NamedTuple):
    """A line or letters as they stand in the file."""

    code: str

    def getCode(self) -> str:  # noqa: N802 (what the canvas asks for)
        """The same."""
        return self.code


Again = dict[Hashable, Made]


class Ink:
    """Draws on one page; `lost` gathers the characters that no face has.

    `again` holds the lines and letters of the document so far: the pages of circuits are alike.
    """

    def __init__(self, canvas: "Canvas", size: Size, again: Again) -> None:
        self.canvas, self.size, self.again = canvas, size, again
        self.lost: set[str] = set()

    def draw_part(self, part: Part) -> None:
        """A drawing in its place on the page, or what of it lies in its clip."""
        self.part, self.at, self.factor = part, part.at, part.factor
        self.pen: Pen | None = None  # as it is set now, so that it is set only when it changes
        self.fill = ""
        self.canvas.saveState()
        self.canvas.setLineJoin(ROUND)
        if part.clip is not None:
            left, bottom = self._place((part.clip.left, part.clip.bottom))
            right, top = self._place((part.clip.right, part.clip.top))
            path = self.canvas.beginPath()
            path.rect(left, bottom, right - left, top - bottom)
            self.canvas.clipPath(path, stroke=0, fill=0)
        self.draw(part.drawing.root)
        self.canvas.restoreState()

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
                    for inner in shape.shapes:
                        self.draw(inner)
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
                    stroked, filled = self._look(shape.style)
                    self.canvas.rect(*sides, stroke=stroked, fill=filled)
            case Circle():
                radius = round(shape.radius * self.factor, 2)
                self._round("circle", (*self._place(shape.centre), radius), shape.style)

    def _place(self, point: Xy) -> Xy:
        """A point of the drawing on the page, y up."""
        x = self.at[0] + self.factor * point[0]
        return round(x, 2), round(self.size[1] - self.at[1] - self.factor * point[1], 2)

    def _polyline(self, points: tuple[Xy, ...], style: Style, *, closed: bool) -> None:
        stroked, filled = self._look(style)
        first, *rest = placed = tuple(map(self._place, points))
        if (made := self.again.get((placed, closed))) is None:
            path = self.canvas.beginPath()
            path.moveTo(*first)
            for point in rest:
                path.lineTo(*point)
            if closed:
                path.close()
            made = self.again[placed, closed] = Made(path.getCode())
        self.canvas.drawPath(made, stroke=stroked, fill=filled)

    def _round(self, kind: str, numbers: tuple[float, ...], style: Style) -> None:
        """A shape with curves, which paths have under the name of its kind."""
        from reportlab.pdfgen.pathobject import PDFPathObject

        stroked, filled = self._look(style)
        if (made := self.again.get((kind, numbers))) is None:
            code: list[str] = []
            getattr(PDFPathObject(code), kind)(*numbers)
            made = self.again[kind, numbers] = Made("\n".join(code))
        self.canvas.drawPath(made, stroke=stroked, fill=filled)

    def _look(self, style: Style) -> tuple[int, int]:
        """Set pen and fill; whether to stroke and to fill."""
        stroked, filled = style.stroke != "none", style.fill != "none"
        if stroked:
            self._set_pen((style.stroke, style.width, style.dash, style.round_ends))
        if filled:
            self._set_fill(style.fill)
        return int(stroked), int(filled)

    def _set_pen(self, pen: Pen) -> None:
        if pen == self.pen:
            return
        colour, width, dash, round_ends = self.pen = pen
        self.canvas.setStrokeColor(_colour(colour))
        self.canvas.setLineWidth(round(width * self.factor, 2))
        self.canvas.setLineCap(ROUND if round_ends else BUTT)
        self.canvas.setDash([round(float(part) * self.factor, 2) for part in dash.split()])

    def _set_fill(self, colour: str) -> None:
        if colour != self.fill:
            self.fill = colour
            self.canvas.setFillColor(_colour(colour))

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
            self.canvas.saveState()  # how letters are drawn is part of the state
            self._pieces(parts, text, (x, y), squeeze, outlined=True)
            self.canvas.restoreState()
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
        x, y, size = round(at[0], 2), round(at[1], 2), round(size, 2)
        key = piece.face, piece.text, x, y, size, shape, outlined
        if (made := self.again.get(key)) is None:
            line = self.canvas.beginText(x, y)
            if shape != UPRIGHT:
                narrow, slant = shape
                line.setTextTransform(round(narrow, 4), 0, slant, 1, x, y)
            line.setFont(piece.face, size)
            if outlined:
                line.setTextRenderMode(OUTLINED)
            line.textOut(piece.text)
            made = self.again[key] = Made(line.getCode())
        self.canvas.drawText(made)

    def _code(self, part: Piece, at: Xy, size: float, squeeze: float, colour: str) -> None:
        """The box with the number of a character that no face has."""
        self.lost.add(part.text)
        (x, y), wide = at, part.width_em * size * squeeze
        inset = 0.05 * size * squeeze
        self._set_pen((colour, 0.05 * size / self.factor, "", False))
        high = round(ASCENT_EM * size, 2)
        sides = (round(x + inset, 2), round(y - 0.12 * size, 2), round(wide - 2 * inset, 2), high)
        self.canvas.rect(*sides, stroke=1, fill=0)
        for number, digits in enumerate(code_lines(part.text)):
            (found,) = pieces(digits, bold=False)
            small = min(CODE_SIZE * size, 0.84 * wide / (found.width_em * squeeze))
            left = x + (wide - found.width_em * small * squeeze) / 2
            base = y + (0.42 - 0.44 * number) * size
            self._letters(found, (left, base), small, (squeeze, 0.0), outlined=False)


@cache
def _colour(text: str) -> "Color":
    """A colour of the styles as the canvas takes it."""
    from reportlab.lib.colors import Color

    red, green, blue = (int(text[place : place + 2], 16) / 255 for place in (1, 3, 5))
    return Color(round(red, 3), round(green, 3), round(blue, 3))
