"""Text and tables one below the other, from page to page, each with the headings of its table."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

from branchwright.pdf.grid import PAD, Grid, GridSum, column_widths, runs_on, set_row
from branchwright.pdf.page import Page, Part, Size, body_of, drawing_of, turned
from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Group, Line, Rect, Text
from branchwright.sheets.styles import Lettering, Style
from branchwright.sheets.text_size import folded, text_width
from branchwright.words import clean

LEADING: Final = 1.28
TITLE: Final = Lettering(17.0, bold=True)
AGAIN: Final = Lettering(10.0, bold=True, fill=styles.SOFT)
HEADING: Final = Lettering(11.0, bold=True)
BODY: Final = Lettering(8.5)
NOTE: Final = Lettering(8.0, fill=styles.SOFT)
HEAD_FILL: Final = Style(fill=styles.WALL)
ROW_LINE: Final = Style(styles.FAINT, 0.5)
SUM_LINE: Final = Style(styles.INK, 0.9)
INDENT: Final = 12.0
HEADING_ROOM: Final = 100.0  # with a note and the first rows under it
ROW_PAD_EM: Final = 0.305  # above and below the letters of a row
SIZES: Final = (8.5, 8.0, 7.5, 7.0)
ENOUGH: Final = 0.3  # of the way from the least widths to the widest
TOGETHER: Final = 3  # rows at the end of a table or list, so that none stands alone on a page


@dataclass
class Flow:
    """Pages in the making; `y` is where the next thing goes."""

    title: str
    paper: Size
    landscape: bool = False
    pages: list[Page] = field(default_factory=list)
    y: float = 0.0

    def __post_init__(self) -> None:
        """Begin with a page under the title."""
        self.title = clean(self.title)
        self.size = turned(self.paper, landscape=self.landscape)
        self.body = body_of(self.size)
        self.layer = self._page()
        self._line(self.title, TITLE)
        self.y += 4

    @property
    def width(self) -> float:
        """From margin to margin."""
        return self.body.right - self.body.left

    @property
    def filled(self) -> float:
        """How much of the last page is filled."""
        return (self.y - self.body.top) / (self.body.bottom - self.body.top)

    def _page(self) -> Group:
        """A new page; all but the first repeat the title in small."""
        drawing, self.layer = drawing_of(self.size, self.title)
        begins = not self.pages
        self.pages.append(Page(self.title, self.size, (Part(drawing),), begins=begins))
        self.y = self.body.top
        if len(self.pages) > 1:
            self._line(f"{self.title}, continued", AGAIN)
            self.y += 4
        return self.layer

    def room(self, height: float) -> None:
        """Go to a new page where this height is not left."""
        if self.y + height > self.body.bottom and self.y > self.body.top + 30:
            self._page()

    def _line(self, text: str, look: Lettering, indent: float = 0.0) -> None:
        """A text in as many lines as it takes."""
        for line in folded(text, self.width - indent, look.size, look.bold):
            self.room(LEADING * look.size)
            self.y += LEADING * look.size
            base = self.y - 0.28 * look.size
            self.layer.add(Text((self.body.left + indent, base), line, look))

    def heading(self, text: str) -> None:
        """A heading, and room for something under it."""
        self.room(HEADING_ROOM)
        self.y += 8
        self._line(text, HEADING)
        self.y += 3

    def paragraph(self, text: str, look: Lettering = BODY) -> None:
        """A sentence or more."""
        self._line(text, look)
        self.y += 3

    def items(self, texts: Sequence[str], none: str) -> None:
        """Each with a tick box before it, or a word where there is none."""
        if not texts:
            self.paragraph(none)
        step = LEADING * BODY.size
        lines = [len(folded(text, self.width - INDENT, BODY.size)) for text in texts]
        for number, text in enumerate(texts):
            rest = lines[number:] if number >= len(texts) - TOGETHER else [min(3, lines[number])]
            self.room(sum(step * count + 3 for count in rest))
            top = self.y + 0.3 * BODY.size
            left = self.body.left
            square = Bounds(left, top, left + 6.5, top + 6.5)
            self.layer.add(Rect(square, Style(styles.SOFT, 0.7)))
            self._line(text, BODY, INDENT)
            self.y += 2.5

    def table(self, grid: Grid, largest: float = SIZES[0]) -> None:
        """A table in letters up to a size, its rows kept whole as far as a page holds one."""
        table = _SetTable.of(grid, self.width, largest)
        most = int((self.body.bottom - self.body.top - 40 - table.head_height) / table.step) - 1
        self.room(table.head_height + 3 * table.step)
        self._head(table)
        sums = (table.step + 2 * table.pad) * len(grid.sums)
        rows = [
            set_row(row, table.widths, table.size, on=runs_on(grid.heads, row)) for row in grid.rows
        ]
        ends = [table.height(cells) for cells in rows[-TOGETHER:]]
        for left, row in zip(reversed(range(len(rows))), rows, strict=True):
            under = sums + sum(ends[len(ends) - left :]) if left < TOGETHER else 0.0
            cells = row
            while any(cells):
                now, cells = [cell[:most] for cell in cells], [cell[most:] for cell in cells]
                self._row(table, now, 0.0 if any(cells) else under)
        for one in grid.sums:
            self._sum(one, table.widths, table.size)
        self.y += 8

    def _head(self, table: "_SetTable") -> None:
        if not any(table.heads):
            return
        left, right = self.body.left, self.body.right
        self.layer.add(Rect(Bounds(left, self.y, right, self.y + table.head_height), HEAD_FILL))
        self._cells(table, table.heads, Lettering(table.size, bold=True))
        self.y += table.head_height

    def _row(self, table: "_SetTable", cells: list[list[str]], under: float) -> None:
        """A row, and room for what must stand `under` it: the last rows and sums go together."""
        height = table.height(cells)
        if self.y + height + under > self.body.bottom:
            self._page()
            self._head(table)
        self._cells(table, cells, Lettering(table.size))
        self.y += height
        ends = (self.body.left, self.y), (self.body.right, self.y)
        self.layer.add(Line(*ends, ROW_LINE))

    def _cells(self, table: "_SetTable", cells: list[list[str]], look: Lettering) -> None:
        """The lines of a row's cells, from `y` down."""
        x = self.body.left
        for head, lines, wide in zip(table.grid.heads, cells, table.widths, strict=True):
            for number, line in enumerate(lines):
                base = self.y + table.pad + look.size * (0.95 + LEADING * number)
                if head.right:
                    self.layer.add(Text((x + wide - PAD, base), line, look, "end"))
                else:
                    self.layer.add(Text((x + PAD, base), line, look))
            x += wide

    def _sum(self, one: GridSum, widths: list[float], size: float) -> None:
        """A sum under its column, its words before it, or over it where none is before."""
        before = sum(widths[: one.column])
        end = self.body.left + before + widths[one.column]
        look = Lettering(size, bold=True)
        room = end - self.body.left - 2 * PAD - text_width(one.value, size, True) - 6
        lines = folded(one.says, max(room, 60.0), size, True)
        pad = ROW_PAD_EM * size
        height = LEADING * size * len(lines) + 2 * pad
        self.room(height)
        for number, line in enumerate(lines):
            base = self.y + pad + size * (0.95 + LEADING * number)
            self.layer.add(Text((self.body.left + PAD, base), line, look))
        base = self.y + pad + 0.95 * size
        self.layer.add(Text((end - PAD, base), one.value, look, "end"))
        self.y += height
        self.layer.add(Line((self.body.left, self.y), (self.body.right, self.y), SUM_LINE))


@dataclass(frozen=True)
class _SetTable:
    """A table with its letters and columns settled; `heads` are the lines of its headings."""

    grid: Grid
    size: float
    widths: list[float]
    heads: list[list[str]]

    @classmethod
    def of(cls, grid: Grid, room: float, largest: float) -> "_SetTable":
        """The largest letters with which the columns are wide enough."""
        for size in (size for size in SIZES if size <= largest):
            widths, part = column_widths(grid, size, room)
            if part >= ENOUGH:
                break
        names = [head.name for head in grid.heads]
        return cls(grid, size, widths, set_row(names, widths, size, bold=True))

    @property
    def step(self) -> float:
        """From line to line."""
        return LEADING * self.size

    @property
    def head_height(self) -> float:
        """Room of the headings."""
        return self.height(self.heads) if any(self.heads) else 0.0

    @property
    def pad(self) -> float:
        """Above and below the letters of a row."""
        return ROW_PAD_EM * self.size

    def height(self, cells: list[list[str]]) -> float:
        """Room of a row."""
        return self.step * max(1, *map(len, cells)) + 2 * self.pad


def lies_better(grid: Grid, paper: Size) -> bool:
    """Whether a table asks for paper that lies: standing, its columns would be too narrow."""
    standing = body_of(turned(paper, landscape=False))
    room = standing.right - standing.left
    return bool(grid.rows) and column_widths(grid, SIZES[1], room)[1] < ENOUGH
