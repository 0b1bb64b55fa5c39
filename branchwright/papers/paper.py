"""A paper as data: headings with their units, rows of text and numbers, and what is summed.

Tables of the page are text; a paper keeps numbers as numbers, so that a sheet of calculation can go
on with them. The unit stands in the heading.
"""

from dataclasses import dataclass

Cell = str | int | float | None
Row = tuple[Cell, ...]


@dataclass(frozen=True)
class Field:
    """A heading; `width` in characters on paper; `digits` after the point, None: holds text.

    A column `by_hand` is empty, to be written in.
    """

    name: str
    width: int = 12
    digits: int | None = None
    by_hand: bool = False


@dataclass(frozen=True)
class Sum:
    """A sum under the rows: of one column, from the first row to the last, counted from 0."""

    says: str
    column: int
    first: int
    last: int


@dataclass(frozen=True)
class Paper:
    """A titled paper; `name` is that of its file, `note` a sentence under its title."""

    name: str
    title: str
    fields: tuple[Field, ...]
    rows: tuple[Row, ...]
    note: str = ""
    sums: tuple[Sum, ...] = ()

    def __post_init__(self) -> None:
        """Refuse rows that do not match the headings, and numbers where text belongs."""
        for row in self.rows:
            if len(row) != len(self.fields):
                raise ValueError(f"paper {self.name!r}: {len(row)} cells under {len(self.fields)}")
            for cell, field in zip(row, self.fields, strict=True):
                if cell is not None and isinstance(cell, str) != (field.digits is None):
                    raise ValueError(f"paper {self.name!r}: {cell!r} under {field.name!r}")

    def total(self, of: Sum) -> float:
        """What a sum comes to, to the digits of its column."""
        cells = [row[of.column] for row in self.rows[of.first : of.last + 1]]
        numbers = [cell for cell in cells if isinstance(cell, int | float)]
        return round(sum(numbers), self.fields[of.column].digits or 0)


def whole_sum(says: str, column: int, rows: tuple[Row, ...]) -> tuple[Sum, ...]:
    """The sum of all rows; none without rows."""
    return (Sum(says, column, 0, len(rows) - 1),) if rows else ()
