"""Results on public instances: a CSV that grows row by row, tables by row and by set, a picture.

Gaps are to the best known value, the bound's too, in %; seconds by the clock and of processors.
`met` is when the value was first met [s], where a way can tell. No gap where a way found nothing.
"""

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass, fields
from pathlib import Path
from statistics import fmean, median
from typing import Final

from branchwright.sheets.display import Circle, Drawing, Line, Polyline, Shape, Text, Xy
from branchwright.sheets.styles import CIRCUIT_COLOURS, FAINT, PAPER, SOFT, Lettering, Style

SMALL: Final = Lettering(size=10.0)
LEFT, TOP, ROW, WIDE, RIGHT = 110.0, 44.0, 18.0, 420.0, 40.0
MOST: Final = 20.0  # % that the picture reaches to; what is beyond is put at its edge
SETS: Final = {
    "te16": "trees, n = 16",
    "tc40": "trees, n = 40",
    "te40": "trees, n = 40",
    "tc80": "trees, n = 80",
    "te80": "trees, n = 80",
    "cm50": "trees, uneven, n = 49",
    "cm100": "trees, uneven, n = 99",
    "cm200": "trees, uneven, n = 199",
}
OTHERS: Final = "chains, n = 21 and 31"


@dataclass(frozen=True)
class Result:
    """What one way reached on one row within a limit of seconds."""

    instance: str
    capacity: int
    best_known: float
    way: str
    limit: float
    value: float | None
    bound: float
    proved: bool
    seconds: float
    met: float | None
    cpu_seconds: float

    @property
    def gap(self) -> float | None:
        """How much dearer than the best known value [%]."""
        return None if self.value is None else 100 * (self.value / self.best_known - 1)

    @property
    def bound_gap(self) -> float:
        """How far below the best known value nothing is excluded [%]."""
        return 100 * (1 - self.bound / self.best_known)

    @property
    def key(self) -> tuple[str, int, str]:
        """One result of each is kept."""
        return self.instance, self.capacity, self.way

    @property
    def row(self) -> tuple[str, int, float]:
        """The row of optima.csv."""
        return self.instance, self.capacity, self.best_known

    @property
    def set(self) -> str:
        """The set its instance belongs to."""
        return SETS.get(re.split(r"-|(?<=\d)r", self.instance)[0], OTHERS)

    def cells(self) -> dict[str, object]:
        """As a row of the CSV."""
        rounded = {"seconds": 1, "met": 1, "cpu_seconds": 1}
        cells: dict[str, object] = {}
        for name in COLUMNS:
            value = getattr(self, name)
            if value is None:
                cells[name] = ""
            elif isinstance(value, bool):
                cells[name] = "yes" if value else "no"
            elif name in ("gap", "bound_gap"):
                cells[name] = f"{round(value, 3) + 0.0:.3f}"
            elif name in rounded:
                cells[name] = f"{value:.1f}"
            else:
                cells[name] = f"{value:.9g}" if isinstance(value, float) else value
        return cells


COLUMNS: Final = [field.name for field in fields(Result)] + ["gap", "bound_gap"]


def read_results(path: Path) -> list[Result]:
    """The results of a CSV; none where there is no such file."""
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return [
            Result(
                row["instance"],
                int(row["capacity"]),
                float(row["best_known"]),
                row["way"],
                float(row["limit"]),
                float(row["value"]) if row["value"] else None,
                float(row["bound"]),
                row["proved"] == "yes",
                float(row["seconds"]),
                float(row["met"]) if row["met"] else None,
                float(row["cpu_seconds"]),
            )
            for row in csv.DictReader(file)
        ]


def append_result(path: Path, result: Result) -> None:
    """Put a result at the end of a CSV."""
    new = not path.exists()
    with path.open("a", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        if new:
            writer.writeheader()
        writer.writerow(result.cells())


def table(results: Sequence[Result]) -> str:
    """A line for every row: what each way reached."""
    ways = list(dict.fromkeys(result.way for result in results))
    by_key = {result.key: result for result in results}
    lines = ["| row | best known |" + "".join(f" {way} |" for way in ways)]
    lines.append("| --- |" + " --- |" * (1 + len(ways)))
    for instance, capacity, best_known in dict.fromkeys(result.row for result in results):
        cells = [f"{instance}, {capacity}", f"{best_known:g}"]
        for way in ways:
            one = by_key.get((instance, capacity, way))
            if one is None:
                cells.append("not run")
                continue
            gap = (
                "nothing" if one.gap is None else f"{one.value:g} ({round(one.gap, 2) + 0.0:.2f} %)"
            )
            cells.append(f"{gap}, ≥ {one.bound:g}, {one.seconds:.0f} s")
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


def summary(results: Sequence[Result]) -> str:
    """A line for every set and way: gaps, what was proved, and how long it took, in the median."""
    lines = [
        "| set | way | limit | rows | gap, mean | gap, worst | best met | proved "
        "| bound's gap | seconds | value met after |",
        "| --- | --- |" + " ---: |" * 9,
    ]
    for name in dict.fromkeys([*SETS.values(), OTHERS]):
        for way in dict.fromkeys(result.way for result in results):
            some = [one for one in results if one.set == name and one.way == way]
            if not some:
                continue
            gaps = [one.gap for one in some if one.gap is not None]
            met = [one.met for one in some if one.met is not None]
            missing = f"nothing on {len(some) - len(gaps)}" if len(gaps) < len(some) else ""
            bounds = round(fmean(one.bound_gap for one in some), 2) + 0.0
            cells = [
                name,
                way,
                f"{max(one.limit for one in some):g} s",
                str(len(some)),
                f"{fmean(gaps):.3f} %" if gaps else "",
                ", ".join(filter(None, [f"{max(gaps):.2f} %" if gaps else "", missing])),
                str(sum(gap < 0.0005 for gap in gaps)),
                str(sum(one.proved for one in some)),
                f"{bounds:.2f} %" if any(one.bound for one in some) else "none",
                f"{median(one.seconds for one in some):.1f}",
                f"{median(met):.1f}" if met else "",
            ]
            lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


def dearer(results: Sequence[Result], way: str) -> list[tuple[Result, Result]]:
    """Where a way is dearer than another in the same time: both results."""
    by_key = {result.key: result for result in results}
    found = []
    for other in results:
        own = by_key.get((other.instance, other.capacity, way))
        if own is None or other.value is None or other.way == way:
            continue
        if own.value is None or own.value > other.value:
            found.append((own, other))
    return found


def _mark(way: int, at: Xy) -> Shape:
    """Ways are told apart by shape, and by colour."""
    x, y = at
    style = Style(CIRCUIT_COLOURS[way], 1.2, fill=CIRCUIT_COLOURS[way] if way == 0 else PAPER)
    if way < 2:
        return Circle(at, 4.0, style)
    if way == 2:
        return Polyline(((x - 4, y + 4), (x, y - 4), (x + 4, y + 4)), style, closed=True)
    return Polyline(((x - 4, y), (x, y - 4), (x + 4, y), (x, y + 4)), style, closed=True)


def picture(results: Sequence[Result], ways: Sequence[str]) -> Drawing:
    """A row per instance and capacity, a mark per way at its gap; the ways in this order."""
    rows = list(dict.fromkeys(result.row for result in results))
    bottom = TOP + ROW * len(rows)
    title = "Gaps to the best known value, each way within its limit of time"
    sheet = Drawing(LEFT + WIDE + RIGHT, bottom + 30.0, title)
    grid, marks = sheet.layer("grid"), sheet.layer("marks")
    for percent in range(0, int(MOST) + 1, 5):
        x = LEFT + WIDE * percent / MOST
        grid.add(Line((x, TOP - 6), (x, bottom), Style(FAINT, 0.8)))
        label = f"{percent} %" if percent < MOST else f"{percent} % and more"
        grid.add(Text((x, bottom + 14), label, SMALL, "middle"))
    for number, way in enumerate(ways):
        x = LEFT + 88.0 * number
        marks.add(_mark(number, (x, 16.0)), Text((x + 9, 20.0), way, SMALL))
    for number, row in enumerate(rows):
        y = TOP + ROW * number + ROW / 2
        grid.add(Text((LEFT - 26, y + 4), f"{row[0]}, {row[1]}", SMALL, "end"))  # marks left of 0 %
        grid.add(Line((LEFT, y), (LEFT + WIDE, y), Style(SOFT, 0.3)))
        for one in reversed(results):
            if one.row == row and one.gap is not None:
                x = LEFT + WIDE * min(one.gap, MOST) / MOST
                marks.add(_mark(ways.index(one.way), (x, y)))
    return sheet
