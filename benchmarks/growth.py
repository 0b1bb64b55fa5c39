"""How time and memory grow with the size of a shop.

    python -m benchmarks growth [--most N] [--seed N] [--effort N] [--csv FILE]

Invented halls (`benchmarks.halls`) of 50 to N receptacles, each planned in a process of its own, so
that its peak memory can be told. Seconds are those that the processor worked, so that what else the
machine does counts little; those up to the first whole plan are told apart, and so are those of the
second process, which works out what no plan costs less than; the gap is to that. The last lines fit
seconds and MiB by powers of the receptacles: the slopes of straight lines through their logarithms.
"""

import argparse
import csv
import json
import resource
import subprocess
import sys
from collections.abc import Sequence
from math import log
from pathlib import Path
from statistics import linear_regression
from time import process_time
from typing import Any, Final

from benchmarks.halls import hall
from benchmarks.quality import KIB_PER_MIB, ROOT
from models.price_book import PriceBook
from models.shop_file import parse_shop
from solver.plan import plan_shop
from solver.progress import Event
from solver.solve import DEFAULT_EFFORT, Control

SIZES: Final = (50, 100, 200, 400, 700, 1000)
FITTED: Final = ("first_s", "total_s", "peak_mib")
COLUMNS: Final = {
    "receptacles": 11, "panels": 6, "circuits": 8, "cost_usd": 10, "violations": 10, "read_s": 7,
    "first_s": 8, "total_s": 8, "peak_mib": 8, "gap_percent": 11, "bound_s": 8, "bound_mib": 9,
}  # fmt: skip


def measure(receptacles: int, seed: int, effort: int) -> dict[str, Any]:
    """Read and plan a hall in this process: what comes of it, seconds of work, MiB at most."""
    text = json.dumps(hall(seed, receptacles).canonical(), indent=1)
    began = process_time()
    shop = parse_shop(text)
    read = process_time() - began
    first: list[float] = []

    def listen(event: Event) -> None:
        if event.best is not None and not first:
            first.append(process_time() - began)

    plan = plan_shop(shop, PriceBook.read(), Control(effort, listen=listen)).plan
    total = process_time() - began
    found = () if plan is None else plan.findings
    beside = resource.getrusage(resource.RUSAGE_CHILDREN)
    return {
        "receptacles": sum(1 for _ in shop.receptacles()),
        "panels": len(shop.supply.panels),
        "circuits": None if plan is None else len(plan.circuits),
        "cost_usd": None if plan is None else plan.totals.material_cost_usd,
        "violations": sum(finding.severity == "violation" for finding in found),
        "read_s": read,
        "first_s": first[0] if first else total,
        "total_s": total,
        "peak_mib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / KIB_PER_MIB,
        "gap_percent": None
        if plan is None or plan.objective.gap is None
        else 100 * plan.objective.gap,
        "bound_s": beside.ru_utime + beside.ru_stime,
        "bound_mib": beside.ru_maxrss / KIB_PER_MIB,
    }


def in_child(receptacles: int, seed: int, effort: int) -> dict[str, Any]:
    """The same in a process of its own."""
    command = [sys.executable, "-m", "benchmarks.growth", "--measure", str(receptacles)]
    done = subprocess.run(
        [*command, "--seed", str(seed), "--effort", str(effort)],
        cwd=ROOT, check=True, capture_output=True, text=True,
    )  # fmt: skip
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer


def slope(rows: Sequence[dict[str, Any]], column: str) -> float:
    """The power of the receptacles that a column grows by.

    >>> slope([{"receptacles": n, "s": 3 * n**2} for n in (50, 100, 400)], "s")
    2.0
    """
    sizes = [log(row["receptacles"]) for row in rows]
    found = linear_regression(sizes, [log(row[column]) for row in rows])
    return round(found.slope, 9)


def row_text(row: dict[str, Any]) -> str:
    """A row in columns."""
    cells = []
    for column, width in COLUMNS.items():
        value = row[column]
        text = "none" if value is None else f"{value:.2f}" if value != int(value) else f"{value}"
        cells.append(f"{text:>{width}}")
    return " ".join(cells)


def main(arguments: Sequence[str]) -> None:
    """Print the table and the slopes."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks growth")
    parser.add_argument("--most", type=int, default=SIZES[-1], help="receptacles of the largest")
    parser.add_argument("--seed", type=int, default=1, help="of the halls")
    parser.add_argument("--effort", type=int, default=DEFAULT_EFFORT)
    parser.add_argument("--csv", type=Path)
    parser.add_argument("--measure", type=int, help=argparse.SUPPRESS)
    asked = parser.parse_args(arguments)
    if asked.measure is not None:
        print(json.dumps(measure(asked.measure, asked.seed, asked.effort)))
        return
    print(" ".join(f"{column:>{width}}" for column, width in COLUMNS.items()))
    rows = []
    for size in sorted({*(size for size in SIZES if size < asked.most), asked.most}):
        rows.append(in_child(size, asked.seed, asked.effort))
        print(row_text(rows[-1]), flush=True)
    for column in FITTED if len(rows) > 1 else ():
        print(f"{column} grows as receptacles to the power of {slope(rows, column):.2f}")
    if asked.csv:
        with asked.csv.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)


if __name__ == "__main__":
    main(sys.argv[1:])
