"""A price book: a dated CSV file with one price for each key of the takeoff. US dollars, no tax.

First come lines `# name: …`, `# date: …` and `# invented: yes` or `no`, then the header
`key,item,unit,price_usd` and one row for each key. `unit` is `ft` or `each`: that is what planning
counts with. More rows of a key that has `ft` say how it is sold: `250 ft` a whole length, `cut ft`
a foot of what is cut to length. Further columns are the owner's own. The book that comes with
branchwright is invented: use it to try things out.
"""

import csv
import hashlib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from importlib.resources import files
from pathlib import Path
from typing import Final

COLUMNS: Final = ("key", "item", "unit", "price_usd")
HEAD: Final = ("name", "date", "invented")
UNITS: Final = ("ft", "each")
CUT: Final = "cut ft"
LONGEST_FT: Final = 10_000
INVENTED_BOOK: Final = "invented.csv"
LARGEST_BOOK_BYTES: Final = 1024 * 1024
_LENGTH: Final = re.compile(r"([1-9][0-9]{0,4}) ft")
_PRICE: Final = re.compile(r"[0-9]{1,6}(?:\.[0-9]{1,2})?")


class PriceBookError(ValueError):
    """A price book that cannot be read, or that lacks a price."""


@dataclass(frozen=True)
class Price:
    """What one foot or one piece costs, and the line that says so."""

    item: str
    unit: str
    cents: int
    line: int


@dataclass(frozen=True)
class Sold:
    """How a key is sold: whole lengths [ft] with what one costs [cents], and a foot cut to length.

    `cut_cents` is None where only whole lengths are sold.
    """

    lengths: tuple[tuple[int, int], ...]
    cut_cents: int | None


@dataclass(frozen=True)
class PriceBook:
    """Prices by takeoff key, with where they come from; `rows` are all, by key and unit."""

    file: str
    name: str
    dated: str
    invented: bool
    sha256: str
    prices: Mapping[str, Price]
    rows: Mapping[tuple[str, str], Price] = field(default_factory=dict)

    @classmethod
    def read(cls, path: Path | None = None) -> "PriceBook":
        """Read a price book; without a path, the invented one that comes along."""
        if path is None:
            book = files("models").joinpath("prices", INVENTED_BOOK)
            return cls.parse(book.read_text(encoding="utf-8"), INVENTED_BOOK)
        try:
            with path.open("rb") as file:
                content = file.read(LARGEST_BOOK_BYTES + 1)
        except OSError as error:
            reason = error.strerror or type(error).__name__
            says = f"{path}: cannot be read ({reason}): check `prices.book` in the shop file"
            raise PriceBookError(says) from None
        if len(content) > LARGEST_BOOK_BYTES:
            raise PriceBookError(f"{path}: larger than {LARGEST_BOOK_BYTES} bytes: is it a CSV?")
        try:
            return cls.parse(content.decode("utf-8-sig"), str(path))
        except UnicodeDecodeError as error:
            line = content[: error.start].count(b"\n") + 1
            raise PriceBookError(f"{path}:{line}: not UTF-8: save it as UTF-8") from None

    @classmethod
    def parse(cls, text: str, file: str) -> "PriceBook":
        """Read a price book from its text; `file` is the name in messages."""
        head: dict[str, str] = {}
        rows: dict[tuple[str, str], Price] = {}
        header: list[str] | None = None
        for line, cells in _rows(text, file):
            place = f"{file}:{line}"
            if cells[0].startswith("#"):
                name, _, value = ",".join(cells).rstrip(",").lstrip("# ").partition(":")
                head.setdefault(name.strip().lower(), value.strip())
            elif header is None:
                header = _header(cells, place)
            elif len(cells) > len(header):
                says = f"{len(cells)} cells under {len(header)} headings: is a comma in a price?"
                raise PriceBookError(f"{place}: {says} Write 2.50, or put quotes around a text")
            else:
                key, price = _price(dict(zip(header, cells, strict=False)), line, place)
                row = key, price.unit if price.unit not in UNITS else ""
                if row in rows:
                    first = rows[row].line
                    raise PriceBookError(f"{place}: {key!r} is in line {first} too: keep one")
                rows[row] = price
        _check_head(head, file)
        prices = {key: price for (key, unit), price in rows.items() if not unit}
        _check_sold(rows, prices, file)
        if not prices:
            raise PriceBookError(f"{file}: no prices: write {','.join(COLUMNS)} and a row per key")
        sha256 = hashlib.sha256(text.encode()).hexdigest()
        invented = head["invented"] == "yes"
        return cls(file, head["name"], head["date"], invented, sha256, prices, rows)

    def price(self, key: str) -> Price:
        """The price of a takeoff key; PriceBookError when the book has none."""
        if key in self.prices:
            return self.prices[key]
        near = get_close_matches(key, self.prices, n=2)
        closest = f" (closest: {', '.join(map(repr, near))})" if near else ""
        raise PriceBookError(
            f"{self.file}: no price for {key!r}{closest}: add a row with this key to the price book"
        )

    def cents(self, key: str) -> int:
        r"""Price of one foot or one piece. [cents]

        >>> PriceBook.parse(
        ...     "# name: mine\n# date: 2026-01-15\n# invented: yes\n"
        ...     "key,item,unit,price_usd\nswitch,toggle,each,2.50\n", "mine.csv"
        ... ).cents("switch")
        250
        """
        return self.price(key).cents

    def sold(self, key: str) -> Sold:
        """How a key is sold that is counted in feet; by the foot at its price where no row says.

        Raises PriceBookError for a key that the book does not have.
        """
        price = self.price(key)
        whole, cut = [], None
        for (name, unit), row in self.rows.items():
            if name == key and unit == CUT:
                cut = row.cents
            elif name == key and unit:
                whole.append((_feet(unit), row.cents))
        return Sold(tuple(sorted(whole)), cut if whole or cut is not None else price.cents)


def book_path(shop_file: Path, book: str | None) -> Path | None:
    """Where the price book of a shop file is: beside it; None for the invented book."""
    return None if book is None else shop_file.parent / book


def _rows(text: str, file: str) -> Iterator[tuple[int, list[str]]]:
    """Rows with something in them, and their lines."""
    reader = csv.reader(text.splitlines(), strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise PriceBookError(f"{file}:{reader.line_num}: {error}: check the quotes") from None


def _header(cells: list[str], place: str) -> list[str]:
    """The names of the columns."""
    if missing := [column for column in COLUMNS if column not in cells]:
        raise PriceBookError(f"{place}: no column {missing[0]!r}: begin with {','.join(COLUMNS)}")
    if len(set(cells)) < len(cells):
        raise PriceBookError(f"{place}: a column is here twice: name each column once")
    return cells


def _price(row: Mapping[str, str], line: int, place: str) -> tuple[str, Price]:
    """One row: its key and its price."""
    for column in COLUMNS:
        if not row.get(column):
            raise PriceBookError(f"{place}: {column} is empty: fill it in, or take the row out")
    key, item, unit, price = (row[column] for column in COLUMNS)
    if unit not in (*UNITS, CUT) and not 0 < _feet(unit) <= LONGEST_FT:
        says = f"is none of {', '.join(UNITS)}, {CUT} or a length like 250 ft, to {LONGEST_FT} ft"
        raise PriceBookError(f"{place}: {key!r}: unit {unit!r} {says}")
    if not _PRICE.fullmatch(price):
        says = "is no price: write dollars and whole cents, like 0.75"
        raise PriceBookError(f"{place}: {key!r}: {price!r} {says}")
    dollars, _, cents = price.partition(".")
    return key, Price(item, unit, int(dollars) * 100 + int(cents.ljust(2, "0")), line)


def _feet(unit: str) -> int:
    """The length that a unit names [ft]; 0 for other units."""
    found = _LENGTH.fullmatch(unit)
    return int(found[1]) if found else 0


def _check_sold(
    rows: Mapping[tuple[str, str], Price], prices: Mapping[str, Price], file: str
) -> None:
    """What is sold in lengths has a price for each foot."""
    for (key, unit), row in rows.items():
        if unit and (key not in prices or prices[key].unit != "ft"):
            says = (
                f"{key!r} is sold as {unit}, and has no row with unit ft: planning counts by that"
            )
            raise PriceBookError(f"{file}:{row.line}: {says}: add one")


def _check_head(head: Mapping[str, str], file: str) -> None:
    """Name, date and whether the prices are invented."""
    for word in HEAD:
        if not head.get(word):
            raise PriceBookError(f"{file}: `# {word}: …` is missing: write it above the header")
    try:
        date.fromisoformat(head["date"])
    except ValueError:
        says = "is no date: write it like 2026-01-15"
        raise PriceBookError(f"{file}: date {head['date']!r} {says}") from None
    if head["invented"] not in ("yes", "no"):
        says = "is neither yes nor no: say whether the prices are invented"
        raise PriceBookError(f"{file}: invented {head['invented']!r} {says}")
