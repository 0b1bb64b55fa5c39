"""The planner against other groupings, shop by shop, as one table.

Every way has the same shop, routes, builds, prices, exact checks and time limit; only the grouping
differs. Each goes through the same selection (spaces, raceways, boxes); a grouping that these do
not hold has no plan. Variants: multiwire pairs at ordinary prices of two-pole GFCI breakers, at
dear ones, and none. Costs in USD, times in seconds of this run on this machine.
"""

import argparse
import csv
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from time import monotonic
from typing import Final

from benchmarks.arcs import by_arcs
from benchmarks.generate import generated
from benchmarks.groupings import Grouping, along_the_walls, one_each, savings
from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.candidate import MONEY, Candidate
from solver.circuit import Circuits
from solver.pool import make_pool
from solver.refusal import Refusal
from solver.selection import Selection
from solver.solve import Control

SCENARIOS: Final = Path(__file__).resolve().parent.parent / "scenarios"
WAYS: Final[dict[str, Grouping]] = {
    "one circuit a yoke": one_each,
    "along the walls": along_the_walls,
    "savings": savings,
    "arc model": by_arcs,
}
PLANNER: Final = "planner"
GENERATED: Final = ((1, 20), (2, 40))  # seed, boxes
VARIANTS: Final = {"pairs cheap": (True, 1), "pairs dear": (True, 4), "no pairs": (False, 1)}
PAIR_GFCI: Final = re.compile(r"breaker .* 2-pole GFCI")


@dataclass(frozen=True)
class Row:
    """One way on one shop; no cost: no plan."""

    shop: str
    variant: str
    way: str
    cost_usd: float | None
    seconds: float
    ratio: float | None = None


def circuits_of(shop: Shop, book: PriceBook) -> Circuits:
    """A fresh view of a shop, with nothing remembered."""
    return Circuits.of(shop, book)


def priced(book: PriceBook, times: int) -> PriceBook:
    """The same book with two-pole GFCI breakers so many times as dear: one of its own."""
    if times == 1:
        return book
    prices = {
        key: replace(price, cents=times * price.cents) if PAIR_GFCI.fullmatch(key) else price
        for key, price in book.prices.items()
    }
    mark = sha256(f"{book.sha256} {times}".encode()).hexdigest()
    return replace(book, prices=prices, sha256=mark)


def cost_of(circuits: Circuits, groups: Sequence[frozenset[int]], control: Control) -> float | None:
    """Cost of fixed groups in their best builds and boxes, USD; None when they do not fit."""
    pool: list[Candidate] = []
    for group in groups:
        made = circuits.candidates(group)
        if isinstance(made, Refusal):
            return None
        pool += made
    return _selected(circuits, pool, control)


def planner(circuits: Circuits, control: Control) -> float | None:
    """Pool and selection, as `branchwright plan` does it."""
    pool = make_pool(circuits, control)
    first = next(iter(pool.firsts), ())
    return _selected(circuits, pool.candidates, control, first, pool.alike)


def _selected(
    circuits: Circuits,
    pool: Sequence[Candidate],
    control: Control,
    first: Sequence[Candidate] = (),
    alike: Mapping[int, int] | None = None,
) -> float | None:
    shop, ways, catalogue = circuits.shop, circuits.ways, circuits.catalogue
    selection = Selection(shop, ways, catalogue, pool, alike=alike)
    start = Selection(shop, ways, catalogue, first).solve(control) if first else None
    if start is not None:
        selection.hint(start)
    found = selection.solve(control) or start
    if found is None:
        return None
    return found.value / MONEY


def compare(shop: Shop, name: str, variant: str, book: PriceBook, seconds: float) -> list[Row]:
    """Every way on one shop, each from nothing, the planner last.

    The least cost is compared, whatever the shop would rather minimize.
    """
    shop = changed(shop, [("prices.minimize", "cost")])
    rows = []
    for way in (*WAYS, PLANNER):
        began = monotonic()
        control = Control(seconds=seconds)
        circuits = circuits_of(shop, book)
        if way == PLANNER:
            cost = planner(circuits, control)
        else:
            cost = cost_of(circuits, WAYS[way](circuits, began + seconds), control)
        rows.append(Row(name, variant, way, cost, monotonic() - began))
    own = rows[-1].cost_usd
    return [
        replace(row, ratio=row.cost_usd / own) if row.cost_usd is not None and own else row
        for row in rows
    ]


def table(rows: Sequence[Row]) -> str:
    """The rows in columns."""
    lines = [f"{'shop':28} {'variant':12} {'way':18} {'cost USD':>10} {'seconds':>8} {'ratio':>7}"]
    for row in rows:
        cost = "no plan" if row.cost_usd is None else f"{row.cost_usd:.2f}"
        ratio = "" if row.ratio is None else f"{row.ratio:.3f}"
        lines.append(
            f"{row.shop:28} {row.variant:12} {row.way:18} {cost:>10} {row.seconds:8.2f} {ratio:>7}"
        )
    return "\n".join(lines)


def write_csv(path: Path, rows: Sequence[Row]) -> None:
    """The rows as a CSV file; no plan is an empty cost."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(("shop", "variant", "way", "cost_usd", "seconds", "ratio"))
        for row in rows:
            writer.writerow(
                (row.shop, row.variant, row.way, row.cost_usd, round(row.seconds, 2), row.ratio)
            )


def main(arguments: Sequence[str]) -> None:
    """`python -m benchmarks shops [--seconds S] [--csv FILE] [SHOP ...]`."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks shops")
    parser.add_argument("--seconds", type=float, default=20.0, help="limit of each way")
    parser.add_argument("--csv", type=Path)
    parser.add_argument("shops", nargs="*", type=Path)
    asked = parser.parse_args(arguments)
    files = asked.shops or sorted(SCENARIOS.glob("*.yaml"))
    shops = [(path.stem, read_shop(path)) for path in files]
    if not asked.shops:
        shops += [(f"generated {n}/{boxes}", generated(n, boxes)) for n, boxes in GENERATED]
    rows: list[Row] = []
    for name, shop in shops:
        for variant, (pairs, times) in VARIANTS.items():
            varied = changed(shop, [("code.multiwire", pairs)])
            rows += compare(varied, name, variant, priced(PriceBook.read(), times), asked.seconds)
    print(table(rows))
    if asked.csv:
        write_csv(asked.csv, rows)
