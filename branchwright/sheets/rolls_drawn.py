"""Rolls and sticks as bars: which piece is cut of which, to scale, and what is left, hatched.

Every bar is one roll or stick as it is sold, from its free end at the left; pieces are cut in the
order drawn. What finds no room in its piece stands below the bar under the same mark. Each kind has
a scale of its own, told by the length above it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import groupby
from typing import Final

from branchwright.measures import cut_length, length_words, sold_length
from branchwright.sheets import styles
from branchwright.sheets.cell_sheet import HALF, LEFT, ROOM, TOP, cell_sheet, column_left, one_of
from branchwright.sheets.cut_rolls import INCHES, Roll, rolls
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Rect, Shape, Text, Thing, Xy
from branchwright.sheets.flow import MOST_HEIGHT, in_sheets
from branchwright.sheets.styles import Lettering
from branchwright.sheets.text_size import ASCENT_EM, DESCENT_EM, folded, set_within, text_width
from branchwright.words import clean, joined
from models.plan import Plan

NUMBERS: Final = 30.0  # of rolls, left of their bars
HEADING: Final = 24.0
BAR: Final = 30.0
UNDER: Final = 12.5  # from line to line below a bar
AFTER: Final = 12.0
PAD: Final = 3.0
STICK_FT: Final = 20.0  # and shorter: few pieces, two beside each other
HATCH_STEP: Final = 6.0
LEGEND: Final = 50.0
OF: Final = Lettering(9.5, bold=True)
LENGTH: Final = Lettering(8.5)
ORDER: Final = Lettering(8.0, bold=True)
LEAST_HEADING: Final = 4.5
ORDER_STEP: Final = 9.4


def rolls_drawn(plan: Plan) -> list[Drawing]:
    """Draw all rolls and sticks; two beside each other where their pieces have room for that."""
    rows: list[list[_Bar]] = []
    for _, cut in groupby(rolls(plan), key=lambda roll: roll.line.key + (roll.line.colour or "")):
        kind = list(cut)
        beside = all(_Bar(roll, HALF).tells_all for roll in kind)
        wide = HALF if beside or (kind[0].line.package_ft or 0) <= STICK_FT else ROOM
        bars = [_Bar(roll, wide) for roll in kind]
        step = 2 if wide == HALF else 1
        rows += [bars[start : start + step] for start in range(0, len(bars), step)]
    sheets = in_sheets(rows, MOST_HEIGHT - HEADING)
    return [_sheet(plan, sheet, n, len(sheets)) for n, sheet in enumerate(sheets, start=1)]


def _sheet(plan: Plan, rows: Sequence[Sequence["_Bar"]], number: int, of: int) -> Drawing:
    layer = Group("bars")
    y = TOP
    for place, row in enumerate(rows):
        if row[0].begins or place == 0:
            layer.add(*_heading(row[0].heading, (LEFT, y)))
            y += HEADING
        for column, bar in enumerate(row):
            layer.add(*bar.shapes((column_left(column), y)))
        y += max(bar.bar_height for bar in row)
    says = f"What is cut of {sum(map(len, rows))} rolls and sticks"
    title = one_of("Rolls and sticks", number, of)
    return cell_sheet(plan, title, says, layer, (y, LEGEND, _legend((LEFT, y))))


def _heading(says: str, at: Xy) -> Iterator[Text]:
    """What the bars below are of; a long name is set smaller."""
    strong = styles.STRONG
    lines, size = set_within(says, ROOM, HEADING - 8, (strong.size, LEAST_HEADING), strong.bold)
    for number, line in enumerate(lines, start=1):
        base = 12.0 if len(lines) == 1 else (ASCENT_EM + DESCENT_EM) * size * number
        yield Text((at[0], at[1] + base), line, replace(strong, size=size))


@dataclass(frozen=True)
class _Bar:
    """A roll or stick on paper, its number and bar `wide` together."""

    roll: Roll
    wide: float

    @property
    def begins(self) -> bool:
        """Whether it is the first of its kind, which has the heading."""
        return self.roll.place == 1

    @property
    def heading(self) -> str:
        """What it is one of."""
        line = self.roll.line
        sold = sold_length(clean(line.package), line.package_ft)
        kind = joined(filter(None, (line.item, line.colour)), " ")
        return f"{kind} · {line.packages} of {sold}"

    @property
    def height(self) -> float:
        """Room on paper, with the heading of its kind where it has that."""
        return self.bar_height + (HEADING if self.begins else 0)

    @property
    def bar_height(self) -> float:
        """Room of the bar and what stands below it."""
        return BAR + UNDER * len(self.below) + AFTER

    @property
    def tells_all(self) -> bool:
        """Whether every piece holds its words."""
        return not self.below

    @cached_property
    def ends(self) -> list[float]:
        """Where each piece ends, from the left end of the bar."""
        at, ends = 0, []
        for piece in self.roll.pieces:
            at += piece.length_in
            ends.append(at * self._per_inch)
        return ends

    @property
    def _per_inch(self) -> float:
        return (self.wide - NUMBERS) / self.roll.length_in

    @cached_property
    def below(self) -> list[str]:
        """What found no room in the bar, in lines."""
        told = [
            f"{self.roll.mark(order)}\u00a0{clean(piece.of)}\u00a0{_length(piece.length_in)}"
            for order, piece in enumerate(self.roll.pieces, start=1)
            if not self._holds(order, (clean(piece.of), _length(piece.length_in)))
        ]
        if self.roll.left_in and not self._left_holds:
            told.append(f"left over:\u00a0{_length(self.roll.left_in)}")
        words = "  ·  ".join(told)
        return folded(words, self.wide - NUMBERS, LENGTH.size) if told else []

    def _holds(self, order: int, words: tuple[str, str]) -> bool:
        """Whether a piece has room for the run or raceway, and its length under it."""
        before = self.ends[order - 2] if order > 1 else 0.0
        room = self.ends[order - 1] - before - 2 * PAD
        return text_width(words[0], OF.size, True) <= room >= text_width(words[1], LENGTH.size)

    @property
    def _left_words(self) -> str:
        return f"left over {length_words(self.roll.left_in / INCHES)}"

    @property
    def _left_holds(self) -> bool:
        room = self.roll.left_in * self._per_inch - 4 * PAD
        return text_width(self._left_words, LENGTH.size) <= room

    def shapes(self, at: Xy) -> Iterator[Shape]:
        """Number, pieces, what is left, and what stands below."""
        x, top = at
        left, bottom = x + NUMBERS, top + BAR
        yield Text((left - 7, top + BAR / 2 + 4), str(self.roll.number), styles.STRONG, "end")
        start = left
        for order, (piece, end) in enumerate(zip(self.roll.pieces, self.ends, strict=True), 1):
            box = Bounds(start, top, left + end, bottom)
            words = clean(piece.of), _length(piece.length_in)
            drawn = list(self._piece(order, box, words))
            yield Group("", drawn, about=Thing("piece", self.roll.mark(order)))
            start = box.right
        if self.roll.left_in:
            yield from self._left_over(Bounds(start, top, x + self.wide, bottom))
        for number, line in enumerate(self.below, start=1):
            yield Text((left, bottom + UNDER * number - 1), line, LENGTH)

    def _piece(self, order: int, box: Bounds, words: tuple[str, str]) -> Iterator[Shape]:
        """One piece: what it is for and its length, or its order where these have no room."""
        yield Rect(box, styles.PIECE)
        middle = (box.left + box.right) / 2
        if self._holds(order, words):
            yield Text((middle, box.top + 12), words[0], OF, "middle")
            yield Text((middle, box.top + 24), words[1], LENGTH, "middle")
            return
        told = [str(order)]
        room = box.right - box.left - 1.5
        if text_width(told[0], ORDER.size, True) > room:
            told = list(told[0])  # its digits, one below the other
        if max(text_width(line, ORDER.size, True) for line in told) <= room:
            first = box.top + BAR / 2 + 3 - ORDER_STEP * (len(told) - 1) / 2
            for number, line in enumerate(told):
                yield Text((middle, first + ORDER_STEP * number), line, ORDER, "middle")

    def _left_over(self, box: Bounds) -> Iterator[Shape]:
        """The rest, hatched, with its length where there is room."""
        yield Rect(box, styles.LEFT_OVER)
        yield from hatched(box, HATCH_STEP)
        if self._left_holds:
            middle = (box.left + box.right) / 2
            told = Text((middle, box.top + BAR / 2 + 3), self._left_words, LENGTH, "middle")
            around = told.bounds
            yield Rect(
                Bounds(around.left - PAD, around.top - 1, around.right + PAD, around.bottom + 1),
                styles.PAPER_PATCH,
            )
            yield told


def hatched(box: Bounds, step: float) -> Iterator[Line]:
    """Slanted lines across a rectangle, within it."""
    left, top, right, bottom = box
    high, at = bottom - top, left - (bottom - top) + step
    while at < right:
        start = (max(at, left), bottom - max(0.0, left - at))
        stop = (min(at + high, right), top + max(0.0, at + high - right))
        yield Line(start, stop, styles.HATCH)
        at += step


def _length(length_in: int) -> str:
    """A length whose words stay together."""
    return cut_length(length_in / INCHES).replace(" ", "\u00a0")


def _legend(at: Xy) -> Iterator[Shape]:
    """How the bars are read."""
    x, y = at[0], at[1] + 8
    box = Bounds(x, y, x + 60, y + 15)
    yield Rect(box, styles.LEFT_OVER)
    yield from hatched(box, HATCH_STEP)
    yield Text((x + 68, y + 11), "left over", styles.SMALL)
    notes = (
        "The number left of a bar is that of the roll or stick in the cutting plan. Pieces are to"
        " scale, and cut from the left end on: mark both ends before the next cut.",
        "Where a piece shows only its order, the line below the bar says what it is. What is bought"
        " by the foot is cut as the pull list says.",
    )
    yield Text((x + 140, y + 4), notes[0], LENGTH)
    yield Text((x + 140, y + 16), notes[1], LENGTH)
