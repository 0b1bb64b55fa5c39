"""A table as plain text cells: the one form that page and terminal both print."""

from collections.abc import Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True)
class Column:
    """A heading; numbers stand to the right."""

    name: str
    right: bool = False


@dataclass(frozen=True)
class Table:
    """A titled table. `foot` is a last row of sums, `note` a sentence under the title.

    `shares` gives per row the part of a limit that is used (0 to 1 and above), to draw as a bar.
    `marks` gives per row a word for its look: `violation`, `warning`, `existing`, `quiet`.
    """

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""
    foot: tuple[str, ...] = ()
    shares: tuple[float | None, ...] = ()
    marks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse rows that do not match the headings."""
        for row in (*self.rows, *((self.foot,) if self.foot else ())):
            if len(row) != len(self.columns):
                raise ValueError(
                    f"table {self.title!r}: a row of {len(row)} cells under"
                    f" {len(self.columns)} headings: {row!r}"
                )

    @property
    def anchor(self) -> str:
        """A name for links inside a page."""
        return self.title.lower().replace(" ", "-")

    def only(self, keep: Sequence[int]) -> "Table":
        """The same with some of its columns."""

        def cut(row: tuple[str, ...]) -> tuple[str, ...]:
            return tuple(row[i] for i in keep)

        heads = tuple(self.columns[i] for i in keep)
        foot = cut(self.foot) if self.foot else ()
        return replace(self, columns=heads, rows=tuple(map(cut, self.rows)), foot=foot)

    def used_columns(self) -> list[int]:
        """Columns where some row says something; empty ones are not worth paper."""
        return [i for i in range(len(self.columns)) if any(row[i] for row in self.rows)]


def columns(*names: str) -> tuple[Column, ...]:
    """Headings from their names; a leading `>` sets a column to the right.

    >>> columns("Item", ">Cost")
    (Column(name='Item', right=False), Column(name='Cost', right=True))
    """
    return tuple(Column(name.removeprefix(">"), name.startswith(">")) for name in names)
