"""A paper on the terminal: as many columns as the width holds in comfort, the rest under each row.

A column that goes under the rows keeps its heading, so nothing is left out but empty columns. Long
texts go first, the last of them before the others; numbers go last. Widths in characters.
"""

from collections.abc import Iterator, Sequence
from typing import Any, Final

from rich.cells import cell_len
from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table as RichTable
from rich.text import Text

from branchwright import cautions
from branchwright.papers.paper import Cell, Field, Paper, Row

GAP: Final = 2
COMFORT, STRETCH = 18, 0.3  # a longer text wants so much of what it has beyond
SHORT: Final = 30
INDENT: Final = 4


def paper_report(out: Console, paper: Paper, violations: int) -> None:
    """Print one paper: title, note, rows, sums, cautions."""
    if violations:
        out.print(f"[bold red]{cautions.DO_NOT_BUILD}[/bold red]")
    out.print(f"[bold]{escape(paper.title)}[/bold]")
    out.print(escape(paper.note))
    out.print()
    if paper.rows:
        _Layout(paper, out.width).print(out)
    else:
        out.print("None.")
    for one in paper.sums:
        field = paper.fields[one.column]
        told = _text(paper.total(one), field)
        out.print(f"[bold]{escape(one.says)}: {told}[/bold] {escape(_unit(field))}")
    out.print()
    for caution in cautions.CAUTIONS:
        out.print(f"[dim]{escape(caution)}[/dim]")


def paper_document(paper: Paper) -> dict[str, Any]:
    """The same for programs, numbers as numbers."""
    return {
        "name": paper.name,
        "title": paper.title,
        "note": paper.note,
        "fields": [{"name": field.name, "digits": field.digits} for field in paper.fields],
        "rows": [list(row) for row in paper.rows],
        "sums": [{"says": one.says, "total": paper.total(one)} for one in paper.sums],
    }


def _unit(field: Field) -> str:
    """The unit that a heading names."""
    return field.name.partition("[")[2].rstrip("]")


class _Layout:
    """Which columns of a paper stand side by side, and how wide."""

    def __init__(self, paper: Paper, width: int) -> None:
        self.paper, self.width = paper, width
        self.cells = [_texts(row, paper.fields) for row in paper.rows]
        used = [i for i in range(len(paper.fields)) if any(row[i] for row in self.cells)]
        self.natural = {i: self._widest(i) for i in used}
        self.beside, self.under = list(used), list[int]()
        while len(self.beside) > 1 and self._needed() > width:
            longest = max(self.beside[1:], key=self._goes_under)
            self.beside.remove(longest)
            self.under = sorted((*self.under, longest))
        self.widths = self._widths()

    def _widest(self, i: int) -> int:
        """The longest line of a column, or the longest word of its heading."""
        heading = max(map(cell_len, self.paper.fields[i].name.split()))
        return max(heading, *(cell_len(row[i]) for row in self.cells))

    def _goes_under(self, i: int) -> tuple[bool, bool, int, int]:
        """Texts before numbers; of long ones the last, of short ones the longest."""
        long = self.natural[i] > SHORT
        length = i if long else self.natural[i]
        return self.paper.fields[i].digits is None, long, length, i

    def _comfort(self, i: int) -> int:
        """The least width at which a column reads well."""
        most = self.natural[i]
        if self.paper.fields[i].digits is not None or most <= COMFORT:
            return most
        words = (cell_len(word) for row in self.cells for word in row[i].split())
        return max(COMFORT + round(STRETCH * (most - COMFORT)), min(most, max(words)))

    def _needed(self) -> int:
        return sum(map(self._comfort, self.beside)) + GAP * (len(self.beside) - 1)

    def _widths(self) -> dict[int, int]:
        """Comfort for each column; what is left goes first to those that want the least more."""
        widths = {i: self._comfort(i) for i in self.beside}
        left = self.width - self._needed()
        wanted = {i: self.natural[i] - widths[i] for i in self.beside}
        for i in sorted(wanted, key=lambda i: (wanted[i], i)):
            more = max(0, min(left, wanted[i]))
            widths[i], left = widths[i] + more, left - more
        return widths

    def print(self, out: Console) -> None:
        """Headings, then the rows; a first cell that repeats is told once."""
        heads = [self.paper.fields[i].name for i in self.beside]
        out.print(self._grid([heads], style="bold"))
        rule = "-" if out.options.ascii_only else "─"
        out.print(rule * min(self.width, sum(self.widths.values()) + GAP * (len(self.widths) - 1)))
        before = ""
        rows: list[list[str]] = []
        for row in self.cells:
            shown = [row[i] for i in self.beside]
            if shown[0] == before and len(shown) > 1:
                shown[0] = ""
            before = row[self.beside[0]]
            rows.append(shown)
            if told := list(self._below(row)):
                out.print(self._grid(rows))
                rows = []
                for line in told:
                    out.print(Padding(line, (0, 0, 0, INDENT)))
        if rows:
            out.print(self._grid(rows))

    def _grid(self, rows: Sequence[Sequence[str]], style: str = "") -> RichTable:
        """Rows side by side at the widths of this layout."""
        grid = RichTable.grid(padding=(0, GAP, 0, 0), pad_edge=False)
        for i in self.beside:
            right = self.paper.fields[i].digits is not None
            width = min(self.widths[i], self.width)
            grid.add_column(
                width=width, justify="right" if right else "left", overflow="fold", style=style
            )
        for row in rows:
            grid.add_row(*map(escape, row))
        return grid

    def _below(self, row: Sequence[str]) -> Iterator[Text]:
        """What goes under a row: long texts on lines of their own, short ones together."""
        short: list[tuple[str, str]] = []
        for i in self.under:
            name, text = self.paper.fields[i].name, row[i]
            if not text:
                continue
            if cell_len(text) <= SHORT:
                short.append((name, text))
                continue
            if short:
                yield _told(short)
                short = []
            yield _told([(name, text)])
        if short:
            yield _told(short)


def _told(pairs: Sequence[tuple[str, str]]) -> Text:
    """Headings and values in a line."""
    text = Text()
    for number, (name, value) in enumerate(pairs):
        text.append("   " if number else "").append(f"{name}: ", "dim").append(value)
    return text


def _texts(row: Row, fields: Sequence[Field]) -> list[str]:
    return [_text(cell, field) for cell, field in zip(row, fields, strict=True)]


def _text(cell: Cell, field: Field) -> str:
    """A cell to read: numbers to the digits of their column."""
    if cell is None or isinstance(cell, str):
        return cell or ""
    return f"{cell:.{field.digits or 0}f}"
