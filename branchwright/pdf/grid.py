"""A table set for paper: text cells of a `Paper` or a `Table`, and how wide each column becomes.

Nothing is cut: a cell takes as many lines as it needs. Widths are in points.
"""

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from branchwright.papers.paper import Paper
from branchwright.papers.paper_table import cell_words
from branchwright.sheets.display import HAIR
from branchwright.sheets.table import Table
from branchwright.sheets.text_size import folded, text_width, unbroken
from branchwright.words import clean, plain

CHARACTER_EM: Final = 0.6  # of one that `Field.width` counts
WIDEST_EM: Final = 46.0
WORD_EM: Final = 8.5  # of a column, where its texts are longer
WRITTEN_EM: Final = 5.5
PAD: Final = 4.0
RAGGED: Final = 1.06  # of the room that lines broken at words take
USED: Final = "Used"


@dataclass(frozen=True)
class Head:
    """A column: its heading, whether it stands to the right, and the width it may grow to [em]."""

    name: str
    right: bool
    most_em: float
    by_hand: bool = False


@dataclass(frozen=True)
class GridSum:
    """A sum under the rows: words up to its column, and what it comes to."""

    says: str
    column: int
    value: str


@dataclass(frozen=True)
class Grid:
    """A table in text cells."""

    heads: tuple[Head, ...]
    rows: tuple[tuple[str, ...], ...]
    sums: tuple[GridSum, ...] = ()


def grid_of_paper(paper: Paper) -> Grid:
    """A paper: columns that say nothing left out, but for those that are written in by hand."""
    used = [
        place
        for place, one in enumerate(paper.fields)
        if one.by_hand or not paper.rows or any(row[place] not in (None, "") for row in paper.rows)
    ]
    fields = [paper.fields[place] for place in used]
    heads = tuple(
        Head(one.name, one.digits is not None, one.width * CHARACTER_EM, one.by_hand)
        for one in fields
    )
    rows = tuple(
        tuple(clean(cell_words(row[place], paper.fields[place])) for place in used)
        for row in paper.rows
    )
    sums = tuple(
        GridSum(clean(one.says), used.index(one.column), cell_words(paper.total(one), of))
        for one, of in ((one, paper.fields[one.column]) for one in paper.sums)
    )
    return Grid(heads, rows, sums)


def grid_of_table(table: Table) -> Grid:
    """A table of the page: columns that say nothing left out, shares of a limit in percent."""
    used = table.used_columns()
    heads = [Head(table.columns[i].name, table.columns[i].right, WIDEST_EM) for i in used]
    rows = [[row[i] for i in used] for row in table.rows]
    if any(share is not None for share in table.shares):
        heads.append(Head(USED, True, WIDEST_EM))
        for row, share in zip(rows, table.shares, strict=True):
            row.append("" if share is None else f"{plain(100 * share, 0)} %")
    rows += [[table.foot[i] for i in used]] if table.foot else []
    return Grid(tuple(heads), tuple(tuple(map(clean, row)) for row in rows))


def column_widths(grid: Grid, size: float, room: float) -> tuple[list[float], float]:
    """The width of each column, and how far between the least (0) and all it asks for (1) they are.

    Below 0 words must be broken.
    """
    asked, least, worded = zip(*_needs(grid, size), strict=True)
    whole, small = sum(asked), sum(least)
    if whole <= room:
        text = [0.0 if head.right else wide for head, wide in zip(grid.heads, asked, strict=True)]
        more = (room - whole) / (sum(text) or 1.0)
        return [wide + more * part for wide, part in zip(asked, text, strict=True)], 1.0
    part = (room - small) / (whole - small) if whole > small else -1.0
    if part >= 0:
        start = _whole_words(least, worded, room)
        return _dealt(grid, size, (start, asked), room), part
    return [low * room / small for low in least], part


def _whole_words(least: Sequence[float], worded: Sequence[float], room: float) -> list[float]:
    """The least widths, and where there is room for it those that break no word."""
    widths = list(least)
    extra = (high - low for low, high in zip(least, worded, strict=True))
    for place, more in sorted(enumerate(extra), key=lambda one: one[1]):
        if 0 < more <= room - sum(widths):
            widths[place] += more
    return widths


def _dealt(
    grid: Grid, size: float, ends: tuple[Sequence[float], Sequence[float]], room: float
) -> list[float]:
    """Widths between these ends, so that rows are low.

    Again and again the column gets more in which the least width saves the most lines.
    """
    least, asked = ends
    widths = list(least)
    free = [place for place, (low, high) in enumerate(zip(least, asked, strict=True)) if high > low]
    stays = ((row, runs_on(grid.heads, row)) for row in grid.rows)
    rows = Counter(
        tuple(0.0 if place == on else text_width(row[place], size) for place in free)
        for row, on in stays
    )
    while True:
        left = room - sum(widths)
        saves: list[tuple[float, float, int]] = []
        needs = _needed(rows, [widths[place] for place in free])
        for place, need in zip(free, needs, strict=True):
            lines = 0
            for wide, count in sorted(need):
                lines += count
                more = wide - widths[place]
                if more <= left and wide <= asked[place]:
                    saves.append((lines / more, more, place))
        if not saves:
            break
        _, more, place = max(saves)
        widths[place] += more
    part = left / (sum(asked) - sum(widths) or 1.0)
    return [wide + part * (high - wide) for wide, high in zip(widths, asked, strict=True)]


def _needed(
    rows: Counter[tuple[float, ...]], widths: Sequence[float]
) -> list[list[tuple[float, int]]]:
    """Of each column the widths with which cells that make their rows high take a line less."""
    needs: list[list[tuple[float, int]]] = [[] for _ in widths]
    for row, count in rows.items():
        lines = [_lines(text, wide - 2 * PAD) for text, wide in zip(row, widths, strict=True)]
        high = max(lines)
        for place, took in enumerate(lines):
            if took == high > 1:
                less = row[place] if took == 2 else RAGGED * row[place] / (took - 1)
                needs[place].append((less + 2 * PAD, count))
    return needs


def _lines(text: float, room: float) -> int:
    """About how many lines a text of a width takes."""
    return 1 if text <= room + HAIR else math.ceil(RAGGED * text / room - HAIR)


def _needs(grid: Grid, size: float) -> Iterator[tuple[float, float, float]]:
    """Of each column what its texts ask for on one line, what it can do with, and what it needs
    for no word to be broken.
    """
    for place, head in enumerate(grid.heads):
        cells = dict.fromkeys(row[place] for row in grid.rows)
        longest = max((text_width(cell, size) for cell in cells), default=0.0)
        words = {word for cell in cells for word in unbroken(cell)}
        word = max((text_width(word, size) for word in words), default=0.0)
        heading = max(text_width(part, size, True) for part in head.name.split(" "))
        if head.by_hand:
            heading = max(heading, WRITTEN_EM * size)
        least = longest if head.right else min(longest, max(word, WORD_EM * size))
        least = max(min(least, 2 * WORD_EM * size), heading) + 2 * PAD
        asked = max(least, min(longest, head.most_em * size) + 2 * PAD)
        yield asked, least, min(asked, max(least, word + 2 * PAD))


def set_row(
    cells: Sequence[str], widths: Sequence[float], size: float, *, bold: bool = False, on: int = -1
) -> list[list[str]]:
    """The lines of each cell, those of the one that runs `on` as far as the right edge."""
    rooms = [sum(widths[place:]) if place == on else wide for place, wide in enumerate(widths)]
    return [
        folded(cell, wide - 2 * PAD, size, bold) if cell else []
        for cell, wide in zip(cells, rooms, strict=True)
    ]


def runs_on(heads: Sequence[Head], row: Sequence[str]) -> int:
    """The place of a row's last text where nothing follows and nothing is to be written in, or -1:
    it goes on over the empty columns.
    """
    last = max((place for place, cell in enumerate(row) if cell), default=-1)
    after = heads[last + 1 :]
    free = last >= 0 and after and not heads[last].right and not any(one.by_hand for one in after)
    return last if free else -1
