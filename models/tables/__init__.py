"""Published tables, one CSV file each: printed order, printed digits, unit last in a column name.

Every row ends with `source` (standard and table) and `basis`, which says how the row was checked:
`confirmed` against a public reprint, `cross-checked` against geometry or other published figures,
or `from memory`. A column whose name ends in a unit holds positive numbers; every other column
holds text. A cell may be blank only in a number column, where the printed table is blank too.
"""

import csv
import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files
from math import isfinite
from typing import Final

UNITS: Final = frozenset(
    {
        "amps",
        "c",
        "cmil",
        "count",
        "factor",
        "ft2",
        "in",
        "in2",
        "in3",
        "hp",
        "kft",
        "kw",
        "min",
        "percent",
        "va",
    }
)
BASES: Final = ("confirmed", "cross-checked", "from memory")

Cell = str | float | None


class TableError(ValueError):
    """A table file that cannot be read, with the file and the line."""


class NotInTableError(LookupError):
    """A value that the published table does not list."""


@dataclass(frozen=True)
class Row:
    """One row of a published table and the line it stands on."""

    file: str
    line: int
    cells: Mapping[str, Cell]

    def text(self, column: str) -> str:
        """Text of a cell; a number column gives an error."""
        value = self.cells[column]
        if not isinstance(value, str):
            raise TableError(f"{self.file}:{self.line}: {column} is a number column, not text")
        return value

    def number(self, column: str) -> float:
        """Number in a cell; a blank cell gives an error."""
        value = self.number_or_none(column)
        if value is None:
            raise TableError(f"{self.file}:{self.line}: {column} is blank, a number is needed")
        return value

    def number_or_none(self, column: str) -> float | None:
        """Number in a cell, or None where the printed table is blank."""
        value = self.cells[column]
        if isinstance(value, str):
            raise TableError(f"{self.file}:{self.line}: {column} is a text column, not a number")
        return value

    def whole(self, column: str) -> int:
        """Whole number in a cell, such as a breaker rating."""
        value = self.number(column)
        if value != int(value):
            raise TableError(f"{self.file}:{self.line}: {column} {value} is not a whole number")
        return int(value)


def _cell(column: str, text: str, place: str) -> Cell:
    """One cell as its column wants it: a positive number, None for a blank, or text."""
    if column.rsplit("_", 1)[-1] not in UNITS:
        if not text.strip():
            raise TableError(f"{place}: {column} is blank; write what the table prints")
        return text
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        raise TableError(f"{place}: {column} {text!r} is not a number") from None
    if not isfinite(value) or value <= 0:
        raise TableError(f"{place}: {column} {text!r} is not a positive number")
    return value


def parse_table(text: str, file: str) -> tuple[Row, ...]:
    """Rows of a table given as text; `file` is the name used in error messages."""
    reader = csv.reader(text.splitlines(), strict=True)
    rows: list[Row] = []
    try:
        header = next(reader, [])
        if header[-2:] != ["source", "basis"] or len(set(header)) != len(header):
            raise TableError(f"{file}:1: the header must name each column once, last source, basis")
        for values in reader:
            place = f"{file}:{reader.line_num}"
            if len(values) != len(header):
                raise TableError(f"{place}: {len(values)} cells under {len(header)} columns")
            named = zip(header, values, strict=True)
            cells = {column: _cell(column, value, place) for column, value in named}
            if cells["basis"] not in BASES:
                known = ", ".join(BASES)
                raise TableError(f"{place}: basis {cells['basis']!r} is not one of {known}")
            rows.append(Row(file, reader.line_num, cells))
    except csv.Error as error:
        raise TableError(f"{file}:{reader.line_num}: {error}") from None
    if not rows:
        raise TableError(f"{file}: no rows under the header")
    return tuple(rows)


@cache
def read_table(name: str) -> tuple[Row, ...]:
    """Every row of a published table, in printed order.

    >>> [row.text("awg") for row in read_table("box_allowances")]
    ['18', '16', '14', '12', '10', '8', '6']
    """
    file = f"{name}.csv"
    return parse_table(files(__name__).joinpath(file).read_text(encoding="utf-8"), file)


@cache
def lookup(name: str, **keys: str | float) -> Row:
    """The first row whose cells equal `keys`; NotInTableError names the column that fails.

    >>> lookup("ampacity", awg="12", material="copper").whole("at_60c_amps")
    20
    >>> lookup("conductors", awg="6", stranding="solid")
    Traceback (most recent call last):
    models.tables.NotInTableError: conductors: no stranding 'solid' for awg '6'; listed: 'stranded'
    """
    rows = read_table(name)
    passed: list[str] = []
    for column, wanted in keys.items():
        found = tuple(row for row in rows if row.cells[column] == wanted)
        if not found:
            given = f" for {', '.join(passed)}" if passed else ""
            listed = dict.fromkeys(row.cells[column] for row in rows)
            raise NotInTableError(
                f"{name}: no {column} {wanted!r}{given}; {_offer(wanted, listed)}"
            )
        passed.append(f"{column} {wanted!r}")
        rows = found
    return rows[0]


def _offer(wanted: str | float, listed: Mapping[Cell, None]) -> str:
    """The values to use instead: the closest if any is close, else all that are listed."""
    texts = [value for value in listed if isinstance(value, str)]
    long = len(str(wanted)) > 3  # two or three characters are close to anything
    near = get_close_matches(str(wanted), texts, n=2) if long else []
    names = ", ".join(f"{value:g}" if isinstance(value, float) else repr(value) for value in listed)
    return f"closest: {', '.join(map(repr, near))}" if near else f"listed: {names}"


@cache
def tables_hash() -> str:
    """SHA-256 over the names and texts of all table files in name order, for provenance."""
    digest = hashlib.sha256()
    tables = (path for path in files(__name__).iterdir() if path.name.endswith(".csv"))
    for path in sorted(tables, key=lambda path: path.name):
        digest.update(f"{path.name}\n{path.read_text(encoding='utf-8')}\n".encode())
    return digest.hexdigest()
