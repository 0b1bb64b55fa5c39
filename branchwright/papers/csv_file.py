"""A paper as CSV (RFC 4180, UTF-8, lines ended by LF): headings, then rows, nothing else.

Text that a program for tables could take for a formula gets an apostrophe before it; numbers are
written as numbers. With a violation each row begins with DO NOT BUILD, so that sorting, filtering
or cutting the file keeps it.
"""

import csv
import io
from typing import Final

from branchwright.cautions import DO_NOT_BUILD
from branchwright.papers.paper import Cell, Field, Paper

STARTS_FORMULA: Final = tuple("=+-@\t\r\n＝＋－＠")


def guarded(text: str) -> str:
    """A text that no program for tables takes for a formula.

    >>> guarded("=1+1"), guarded("  -saw"), guarded("saw")
    ("'=1+1", "'  -saw", 'saw')
    """
    return f"'{text}" if text.lstrip(" \u00a0").startswith(STARTS_FORMULA) else text


def csv_text(paper: Paper, violations: int) -> str:
    """The text of the file."""
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    stamp = [DO_NOT_BUILD] if violations else []
    writer.writerow([*stamp, *(field.name for field in paper.fields)])
    for row in paper.rows:
        writer.writerow([*stamp, *map(_written, row, paper.fields)])
    return file.getvalue()


def _written(cell: Cell, field: Field) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return guarded(cell)
    return str(cell) if isinstance(cell, int) else _number(cell, field.digits or 0)


def _number(value: float, digits: int) -> str:
    """Digits of a number; never rounded, so that it reads back as the plan has it."""
    text = f"{value:.{digits}f}"
    return text if float(text) == value else repr(value)
