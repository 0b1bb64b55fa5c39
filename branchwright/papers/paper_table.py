"""A paper as a table of text: numbers with the digits of their column, sums as rows at the end."""

from typing import Final

from branchwright.papers.paper import Cell, Field, Paper
from branchwright.sheets.table import Column, Table

SUM: Final = "sum"
CENTS: Final = 2


def paper_table(paper: Paper) -> Table:
    """The table that page and terminal print; rows of sums are marked as such."""
    columns = tuple(Column(field.name, field.digits is not None) for field in paper.fields)
    rows = [tuple(map(cell_words, row, paper.fields)) for row in paper.rows]
    for of in paper.sums:
        cells = [""] * len(columns)
        cells[0] = of.says
        cells[of.column] = cell_words(paper.total(of), paper.fields[of.column])
        rows.append(tuple(cells))
    marks = ("",) * len(paper.rows) + (SUM,) * len(paper.sums)
    return Table(paper.title, columns, tuple(rows), note=paper.note, marks=marks)


def cell_words(cell: Cell, field: Field) -> str:
    """A cell as it is read: thousands parted; zeros that say nothing left out, but for cents.

    >>> cell_words(1234.5, Field("Cost [USD]", digits=2)), cell_words(20.0, Field("A", digits=1))
    ('1,234.50', '20')
    >>> cell_words(5, Field("Quantity", digits=2))
    '5'
    """
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    digits = 0 if isinstance(cell, int) else field.digits or 0
    whole, _, part = f"{cell:,.{digits}f}".partition(".")
    kept = part[:CENTS] + part[CENTS:].rstrip("0") if digits >= CENTS else part.rstrip("0")
    return f"{whole}.{kept}" if kept else whole
