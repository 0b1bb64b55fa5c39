"""All papers as one XLSX workbook, a worksheet each: filters, pages to print, sums as formulas.

Text goes in as text and numbers as numbers; the only formulas are sums of our own cells. Every page
repeats title, cautions and headings. Dates inside are fixed: the same plan gives the same bytes.
"""

import io
import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any, Final

from branchwright import cautions
from branchwright.papers.paper import Cell, Field, Paper
from branchwright.sheets.title_block import Block

TITLE_ROW, SHOP_ROW, CAUTION_ROW, NOTE_ROW, HEAD_ROW = range(5)
LONGEST: Final = 32_767  # characters in a cell
LETTER_SIZE: Final = 1  # the format's number for Letter paper
LINE_POINTS, MOST_POINTS = 15.0, 409.0  # of a row; the format knows none higher
CREATED: Final = datetime(2000, 1, 1)
PLAINLY: Final = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}
CELL_EDGE: Final = {"border": 1, "border_color": "#a3abb6", "valign": "top", "text_wrap": True}
LEFT: Final = {"align": "left", "indent": 1}


def workbook_bytes(papers: Sequence[Paper], block: Block) -> bytes:
    """The bytes of the file."""
    import xlsxwriter

    file = io.BytesIO()
    with xlsxwriter.Workbook(file, PLAINLY) as book:
        book.set_properties({"title": "Wiring papers", "created": CREATED})
        looks = _Looks(book)
        for paper in papers:
            _write(book.add_worksheet(paper.title[:31]), paper, block, looks)
    return file.getvalue()


class _Looks:
    """The formats of a workbook."""

    def __init__(self, book: Any) -> None:
        self.title = book.add_format({"bold": True, "font_size": 15})
        self.stop = book.add_format({"bold": True, "font_size": 15, "font_color": "#a51d1d"})
        self.small = book.add_format({"font_size": 9, "text_wrap": True, "valign": "top"})
        head = {**CELL_EDGE, "bold": True, "bg_color": "#eceef1"}
        self.head = book.add_format({**head, **LEFT})
        self.number_head = book.add_format({**head, "align": "right"})
        self.text = book.add_format({**CELL_EDGE, **LEFT})
        self.strong = book.add_format({"bold": True})
        self.numbers = {
            digits: (
                book.add_format({**CELL_EDGE, "num_format": shape}),
                book.add_format({**CELL_EDGE, "num_format": shape, "bold": True}),
            )
            for digits, shape in enumerate(("#,##0", "#,##0.0", "#,##0.00", "0.000", "#,##0.00##"))
        }


def _write(sheet: Any, paper: Paper, block: Block, looks: _Looks) -> None:
    last = len(paper.fields) - 1
    title = f"{cautions.DO_NOT_BUILD}: {block.stop}   " if block.stop else ""
    _put(sheet, TITLE_ROW, 0, title + paper.title, looks.stop if block.stop else looks.title)
    told = " ".join(cautions.CAUTIONS)
    wide = sum(field.width for field in paper.fields)
    for row, text in ((SHOP_ROW, block.line), (CAUTION_ROW, told), (NOTE_ROW, paper.note)):
        sheet.merge_range(row, 0, row, last, "", looks.small)
        _put(sheet, row, 0, text, looks.small)
        sheet.set_row(row, 12.5 * (1 + int(1.05 * len(text) / wide)))
    for column, field in enumerate(paper.fields):
        sheet.set_column(column, column, field.width)
        look = looks.head if field.digits is None else looks.number_head
        _put(sheet, HEAD_ROW, column, field.name, look)
    sheet.set_row(HEAD_ROW, _height(paper.fields, [field.name for field in paper.fields]))
    for number, cells in enumerate(paper.rows, start=HEAD_ROW + 1):
        for column, (cell, field) in enumerate(zip(cells, paper.fields, strict=True)):
            look = (
                looks.text
                if field.digits is None
                else looks.numbers[0 if isinstance(cell, int) else field.digits][0]
            )
            _put(sheet, number, column, cell, look)
        sheet.set_row(number, _height(paper.fields, cells))
    end = _sums(sheet, paper, looks)
    sheet.autofilter(HEAD_ROW, 0, max(HEAD_ROW + len(paper.rows), HEAD_ROW + 1), last)
    sheet.freeze_panes(HEAD_ROW + 1, 0)
    _page(sheet, end, last, block)


def _height(fields: Sequence[Field], cells: Iterable[Cell]) -> float:
    """Height of a row whose texts wrap in their columns: not every program finds it. [points]"""
    lines = 1
    for cell, field in zip(cells, fields, strict=True):
        if isinstance(cell, str) and len(cell) + 1 > field.width:
            lines = max(lines, len(textwrap.wrap(cell, max(4, field.width - 1))))
    return min(MOST_POINTS, LINE_POINTS * lines)


def _sums(sheet: Any, paper: Paper, looks: _Looks) -> int:
    """Sums below the rows, one blank row between, which filters leave alone; the last row."""
    from xlsxwriter.utility import xl_col_to_name

    row = HEAD_ROW + len(paper.rows)
    for number, one in enumerate(paper.sums, start=row + 2):
        field = paper.fields[one.column]
        letter = xl_col_to_name(one.column)
        first, final = (HEAD_ROW + 2 + place for place in (one.first, one.last))
        _put(sheet, number, 0, one.says, looks.strong)
        sheet.write_formula(
            number, one.column, f"=SUM({letter}{first}:{letter}{final})",
            looks.numbers[field.digits or 0][1], paper.total(one),
        )  # fmt: skip
        row = number
    return row


def _page(sheet: Any, end: int, last: int, block: Block) -> None:
    """How it prints: landscape Letter, one page wide, head and headings on each page."""
    sheet.set_landscape()
    sheet.set_paper(LETTER_SIZE)
    sheet.set_margins(0.5, 0.5, 0.6, 0.6)
    sheet.fit_to_pages(1, 0)
    sheet.print_area(0, 0, end, last)
    sheet.repeat_rows(TITLE_ROW, HEAD_ROW)
    stop = f"&C&B{cautions.DO_NOT_BUILD}" if block.stop else ""
    sheet.set_footer(f"&Lplan {block.mark}{stop}&R&A, &P of &N")


def _put(sheet: Any, row: int, column: int, cell: Cell, look: Any) -> None:
    """A cell: text as text, a number as a number, nothing as an empty cell."""
    if cell is None or cell == "":
        sheet.write_blank(row, column, None, look)
    elif isinstance(cell, str):
        sheet.write_string(row, column, cell[:LONGEST], look)
    else:
        sheet.write_number(row, column, cell, look)
