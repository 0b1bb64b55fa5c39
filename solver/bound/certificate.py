"""The certificate of a bound: what the rows of the relaxation are worth, in whole numbers.

It names rows, not their contents: whoever rechecks it builds the rows from the shop by himself. A
row is named by what it asks for, a list of words and numbers, a set of places as a list in order.
Prices are whole millionths of the first objective for a unit of a row; the bound is in whole units
of that objective (`solver.candidate`).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from models.plan import Plan

CERTIFICATE_FORMAT: Final = "branchwright-bound/1"
Key = tuple[Any, ...]


@dataclass(frozen=True)
class Certificate:
    """A bound, and the prices of rows that show it."""

    bound: int
    prices: Mapping[Key, int]

    def document(self, plan: Plan) -> dict[str, Any]:
        """The certificate of a plan, as JSON holds it."""
        return {
            "format": CERTIFICATE_FORMAT,
            "tool": plan.made_by.tool,
            "shop_sha256": plan.source.sha256,
            "price_book_sha256": plan.made_by.price_book.sha256,
            "tables_sha256": plan.made_by.tables_sha256,
            "bound": self.bound,
            "prices": [[named(key), price] for key, price in self.prices.items()],
        }


def named(key: Key) -> list[Any]:
    """The name of a row, as JSON holds it."""
    return [sorted(part) if isinstance(part, frozenset) else part for part in key]
