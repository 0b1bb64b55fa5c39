"""The code book: what is asked of a workshop's wiring, and which rules here hold the plan to it.

Each row of `code_book.csv` is one thing that the code asks, or that the trade has made its habit:
its sections, how the editions differ, the rules that hold it, and what is left open because a
shop file and a plan do not say it. No check takes a limit from here. The words of a row are ours.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

from models.formulas.editions import EDITIONS
from models.tables import Row, parse_table

FILE: Final = "code_book.csv"
EMPTY: Final = "-"
SAME: Final = "same"  # as in `sections`
NOT_THERE: Final = "none"  # the edition does not ask it
OPEN_BECAUSE: Final = ("not worked out", "not stated", "on the spot")
LAWS: Final = ("code text", "maker", "common practice")

# Rules of law or habit that answer to no row: what they ask goes beyond the list above.
OWN_RULES: Final = frozenset(
    {"after-changeovers", "cable-way", "later-circuits", "service-room", "splices"}
)


@dataclass(frozen=True)
class Entry:
    """One thing that is asked. `open_because` and `left_open` are empty when rules hold it all."""

    id: str
    subject: str
    sections: str
    editions: Mapping[int, str]
    asks: str
    held_by: tuple[str, ...]
    open_because: str
    left_open: str
    law: str
    basis: str

    @classmethod
    def of(cls, row: Row) -> "Entry":
        """Read a row; what is open begins with the reason: `on the spot: staples`."""
        reason, _, what = _filled(row, "missing").partition(": ")
        return cls(
            id=row.text("id"),
            subject=row.text("subject"),
            sections=_filled(row, "sections"),
            editions=MappingProxyType({year: row.text(f"edition_{year}") for year in EDITIONS}),
            asks=row.text("asks"),
            held_by=tuple(_filled(row, "held_by").split()),
            open_because=reason,
            left_open=what,
            law=row.text("law"),
            basis=row.text("basis"),
        )

    def is_in(self, edition: int) -> bool:
        """Whether an edition asks it."""
        return self.editions[edition] != NOT_THERE

    def section_in(self, edition: int) -> str:
        """Where an edition has it; empty for what no code asks."""
        section = self.editions[edition].partition(": ")[0]
        return self.sections if section in (SAME, NOT_THERE) else section

    def differs_in(self, edition: int) -> str:
        """How an edition has it in words; empty where nothing was noted."""
        return self.editions[edition].partition(": ")[2]


def _filled(row: Row, column: str) -> str:
    """Text of a cell, nothing for a dash."""
    text = row.text(column)
    return "" if text == EMPTY else text


@cache
def code_book() -> tuple[Entry, ...]:
    """Every row of the book.

    >>> entry = next(entry for entry in code_book() if entry.id == "bundling-24in")
    >>> entry.section_in(2017), entry.section_in(2023), entry.held_by
    ('310.15(B)(3)(a)', '310.15(C)(1)', ('cables-bundled', 'existing-heated'))
    """
    text = files(__package__).joinpath(FILE).read_text(encoding="utf-8")
    return tuple(map(Entry.of, parse_table(text, FILE)))
