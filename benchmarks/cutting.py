"""The cutting kernel on public one-dimensional bin packing files with proved optima.

    python -m benchmarks cutting --data DIR

DIR holds optima.csv and the files: the number of items, the capacity, a weight a line. A row for
each: what is published, lengths found, bound, seconds of the processor.
"""

import argparse
import csv
from collections.abc import Iterator, Sequence
from pathlib import Path
from time import process_time
from typing import NamedTuple

from solver.kernel.cutting import Stock, cut


class Packing(NamedTuple):
    """A public file and its published optimum."""

    name: str
    capacity: int
    weights: tuple[int, ...]
    optimum: int


def read_packings(folder: Path) -> Iterator[Packing]:
    """All files that optima.csv names, in its order."""
    with (folder / "optima.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            name = row["instance"]
            numbers = [int(word) for word in (folder / f"{name}.txt").read_text().split()]
            count, capacity, *weights = numbers
            if len(weights) != count:
                raise ValueError(f"{name}.txt: {count} items announced, {len(weights)} there")
            yield Packing(name, capacity, tuple(weights), int(row["best_known"]))


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks cutting")
    parser.add_argument("--data", type=Path, required=True, help="folder with optima.csv")
    asked = parser.parse_args(arguments)
    print(f"{'file':20} {'optimum':>8} {'found':>6} {'bound':>6} {'cpu s':>7}")
    seconds, met = [], 0
    for packing in read_packings(asked.data):
        began = process_time()
        found = cut(packing.weights, [Stock(packing.capacity, 1)])
        seconds.append(process_time() - began)
        met += found.cost == packing.optimum
        row = f"{packing.name:20} {packing.optimum:8} {found.cost:6} {found.bound:6}"
        print(f"{row} {seconds[-1]:7.2f}", flush=True)
    mean = sum(seconds) / len(seconds)
    print(f"{met} of {len(seconds)} at the optimum; {mean:.2f} s each, {max(seconds):.2f} at most")
