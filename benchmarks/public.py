"""The kernel beside simpler ways on public capacitated-tree instances, all for the same time.

    python -m benchmarks public --data DIR [--seconds S] [--rows te40-2:10,cm100r1:200]
                                [--csv FILE] [--picture FILE]

DIR holds optima.csv and the instances. A table, and if asked for its CSV and a picture of the gaps.
Gaps are to the best known value, the bound's too, in %; seconds by the clock and of processors. No
gap where a way found nothing in its time. The savings rule proves nothing, and needs no time.
"""

import argparse
import csv
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from time import monotonic, process_time
from typing import Final

from benchmarks.capacitated_tree import solved
from benchmarks.instances import InstanceError, Known, read_known, read_tree
from benchmarks.rivals import RIVALS
from branchwright.sheets.display import Circle, Drawing, Line, Polyline, Shape, Text, Xy
from branchwright.sheets.styles import CIRCUIT_COLOURS, FAINT, PAPER, SOFT, Lettering, Style

SECONDS: Final = 30.0
KERNEL: Final = "kernel"
WAYS: Final = (KERNEL, *RIVALS)
SMALL: Final = Lettering(size=10.0)
LEFT, TOP, ROW, WIDE, RIGHT = 110.0, 44.0, 18.0, 420.0, 40.0
MOST: Final = 20.0  # % that the picture reaches to; what is beyond is put at its edge
COLUMNS: Final = [
    "instance", "capacity", "best_known", "way", "value", "gap", "bound", "bound_gap", "seconds",
    "cpu_seconds",
]  # fmt: skip


@dataclass(frozen=True)
class Result:
    """What one way reached on one row."""

    known: Known
    way: str
    value: int | None
    bound: int
    seconds: float
    cpu_seconds: float

    @property
    def gap(self) -> float | None:
        """How much dearer than the best known value [%]."""
        return None if self.value is None else 100 * (self.value / self.known.value - 1)

    def row(self) -> dict[str, object]:
        """As a row of the CSV."""
        return {
            "instance": self.known.instance,
            "capacity": self.known.capacity,
            "best_known": f"{self.known.value:g}",
            "way": self.way,
            "value": "" if self.value is None else self.value,
            "gap": "" if self.gap is None else f"{self.gap:.2f}",
            "bound": self.bound,
            "bound_gap": f"{100 * (1 - self.bound / self.known.value):.2f}",
            "seconds": f"{self.seconds:.1f}",
            "cpu_seconds": f"{self.cpu_seconds:.1f}",
        }


def run(folder: Path, known: Known, way: str, seconds: float) -> Result:
    """One way on one row."""
    instance = read_tree(folder / f"{known.instance}.txt")
    began, cpu = monotonic(), process_time()
    value: int | None
    if way == KERNEL:
        line = solved(instance, known.capacity, seconds, 0, None).line
        value, bound = line["value"], line["bound"]
    else:
        problem = instance.problem(known.capacity)
        found = RIVALS[way](problem, seconds)
        value, bound = None, 0
        if found is not None:
            value, bound = problem.cost(found.parents), found.bound
            if any(not problem.may(frozenset(one)) for one in problem.branches(found.parents)):
                raise ValueError(f"{way}: a subtree is over the capacity")
    return Result(known, way, value, bound, monotonic() - began, process_time() - cpu)


def asked_for(folder: Path, rows: str) -> list[Known]:
    """The rows of optima.csv that were asked for; all where none were named."""
    every = read_known(folder)
    if not rows:
        return every
    named = {f"{one.instance}:{one.capacity}": one for one in every}
    missing = [row for row in rows.split(",") if row not in named]
    if missing:
        raise ValueError(f"optima.csv has no row {missing[0]}; a row is NAME:CAPACITY")
    return [named[row] for row in rows.split(",")]


def table(results: Sequence[Result]) -> str:
    """Rows of text: gap and bound of every way."""
    lines = ["| row | best known |" + "".join(f" {way} |" for way in WAYS)]
    lines.append("| --- |" + " --- |" * (1 + len(WAYS)))
    for known in dict.fromkeys(result.known for result in results):
        cells = [f"{known.instance}, {known.capacity}", f"{known.value:g}"]
        for way in WAYS:
            one = next(r for r in results if r.known == known and r.way == way)
            gap = "nothing" if one.gap is None else f"{one.value} ({one.gap:.2f} %)"
            cells.append(f"{gap}, ≥ {one.bound}, {one.seconds:.0f} s")
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


def _mark(way: int, at: Xy) -> Shape:
    """Ways are told apart by shape, and by colour."""
    x, y = at
    style = Style(CIRCUIT_COLOURS[way], 1.2, fill=CIRCUIT_COLOURS[way] if way == 0 else PAPER)
    if way < 2:
        return Circle(at, 4.0, style)
    if way == 2:
        return Polyline(((x - 4, y + 4), (x, y - 4), (x + 4, y + 4)), style, closed=True)
    return Polyline(((x - 4, y), (x, y - 4), (x + 4, y), (x, y + 4)), style, closed=True)


def picture(results: Sequence[Result]) -> Drawing:
    """A row per instance and capacity, a mark per way at its gap."""
    rows = list(dict.fromkeys(result.known for result in results))
    height = TOP + ROW * len(rows) + 30.0
    sheet = Drawing(
        LEFT + WIDE + RIGHT, height, "Gaps to the best known value, each way in the same time"
    )
    grid, marks = sheet.layer("grid"), sheet.layer("marks")
    bottom = TOP + ROW * len(rows)
    for percent in range(0, int(MOST) + 1, 5):
        x = LEFT + WIDE * percent / MOST
        grid.add(Line((x, TOP - 6), (x, bottom), Style(FAINT, 0.8)))
        label = f"{percent} %" if percent < MOST else f"{percent} % and more"
        grid.add(Text((x, bottom + 14), label, SMALL, "middle"))
    for number, way in enumerate(WAYS):
        x = LEFT + 130.0 * number
        marks.add(_mark(number, (x, 16.0)), Text((x + 9, 20.0), way, SMALL))
    for number, known in enumerate(rows):
        y = TOP + ROW * number + ROW / 2
        grid.add(Text((LEFT - 10, y + 4), f"{known.instance}, {known.capacity}", SMALL, "end"))
        grid.add(Line((LEFT, y), (LEFT + WIDE, y), Style(SOFT, 0.3)))
        for one in reversed(results):
            if one.known == known and one.gap is not None:
                x = LEFT + WIDE * min(one.gap, MOST) / MOST
                marks.add(_mark(WAYS.index(one.way), (x, y)))
    return sheet


def main(arguments: Sequence[str]) -> None:
    """Run what the arguments ask for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks public")
    parser.add_argument("--data", type=Path, required=True, help="a folder with optima.csv")
    parser.add_argument("--seconds", type=float, default=SECONDS, help="for each way")
    parser.add_argument("--rows", default="", help="NAME:CAPACITY, with commas; else all")
    parser.add_argument("--csv", type=Path, help="a file to write")
    parser.add_argument("--picture", type=Path, help="an SVG to write")
    options = parser.parse_args(arguments)
    try:
        results = [
            run(options.data, known, way, options.seconds)
            for known in asked_for(options.data, options.rows)
            for way in WAYS
        ]
    except (InstanceError, OSError, ValueError) as error:
        sys.exit(str(error))
    print(table(results))
    if options.csv is not None:
        with options.csv.open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
            writer.writeheader()
            writer.writerows(result.row() for result in results)
    if options.picture is not None:
        options.picture.write_text(picture(results).svg() + "\n", encoding="utf-8")
