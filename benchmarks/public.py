"""The kernel beside simpler ways on public capacitated-tree instances, all for the same time.

    python -m benchmarks public --data DIR [--seconds S] [--rows te40-2:10,cm100r1:200]
                                [--only tc40,te40] [--ways kernel] [--csv FILE] [--picture FILE]
    python -m benchmarks public --csv FILE [--picture FILE]

DIR holds optima.csv and the instances: trees, or chains where optima.csv says how many. Rows run
one after the other, and each is added to FILE as soon as it is known; what FILE has already is not
run again. Without --data the table and the picture are of FILE as it is. The kernel ends early
where its value is proved. The savings rule proves nothing, and needs no time; only the kernel
knows chains.
"""

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path
from time import monotonic, process_time
from typing import Final

from benchmarks.capacitated_tree import solved
from benchmarks.instances import InstanceError, Known, read_chains, read_known, read_tree
from benchmarks.results import (
    Result,
    append_result,
    dearer,
    picture,
    read_results,
    summary,
    table,
)
from benchmarks.rivals import RIVALS

SECONDS: Final = 30.0
KERNEL: Final = "kernel"
WAYS: Final = (KERNEL, *RIVALS)


def run(folder: Path, known: Known, way: str, seconds: float) -> Result:
    """One way on one row."""
    suffix, read = (".txt", read_tree) if known.chains is None else (".vrp", read_chains)
    instance = read(folder / f"{known.instance}{suffix}")
    began, cpu = monotonic(), process_time()
    value: float | None
    met = None
    if way == KERNEL:
        found = solved(instance, known.capacity, seconds, 0, known.chains)
        value, bound, met = found.line["value"], found.line["bound"], found.met
    else:
        problem = instance.problem(known.capacity)
        plan = RIVALS[way](problem, seconds)
        value, bound = None, 0
        if plan is not None:
            value, bound = problem.cost(plan.parents), plan.bound
            if any(not problem.may(frozenset(one)) for one in problem.branches(plan.parents)):
                raise ValueError(f"{way}: a subtree is over the capacity")
    return Result(
        known.instance, known.capacity, known.value, way, seconds, value, bound,
        value is not None and bound >= value, monotonic() - began, met, process_time() - cpu,
    )  # fmt: skip


def asked_for(folder: Path, rows: str, only: str) -> list[Known]:
    """The rows of optima.csv that were asked for; all where none were named."""
    every = read_known(folder)
    if not rows:
        return [one for one in every if one.instance.startswith(tuple(only.split(",")))]
    named = {f"{one.instance}:{one.capacity}": one for one in every}
    missing = [row for row in rows.split(",") if row not in named]
    if missing:
        raise ValueError(f"optima.csv has no row {missing[0]}; a row is NAME:CAPACITY")
    return [named[row] for row in rows.split(",")]


def run_all(options: argparse.Namespace, results: list[Result]) -> None:
    """Run what is asked for and not among the results yet; they grow."""
    ways = options.ways.split(";") if options.ways else list(WAYS)
    unknown = [way for way in ways if way not in WAYS]
    if unknown:
        raise ValueError(f"no way is called {unknown[0]!r}; there are {'; '.join(WAYS)}")
    done = {result.key for result in results}
    for known in asked_for(options.data, options.rows, options.only):
        for way in ways:
            key = known.instance, known.capacity, way
            if key in done or (known.chains is not None and way != KERNEL):
                continue
            result = run(options.data, known, way, options.seconds)
            results.append(result)
            if options.csv is not None:
                append_result(options.csv, result)


def main(arguments: Sequence[str]) -> None:
    """Run what the arguments ask for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks public")
    parser.add_argument("--data", type=Path, help="a folder with optima.csv")
    parser.add_argument("--seconds", type=float, default=SECONDS, help="for each way")
    parser.add_argument("--rows", default="", help="NAME:CAPACITY, with commas; else all")
    parser.add_argument("--only", default="", help="names begin with one of these, with commas")
    parser.add_argument("--ways", default="", help=f"with semicolons: {';'.join(WAYS)}; else all")
    parser.add_argument("--csv", type=Path, help="a file to read, and to add to")
    parser.add_argument("--picture", type=Path, help="an SVG to write")
    options = parser.parse_args(arguments)
    try:
        results = [] if options.csv is None else read_results(options.csv)
        if options.data is not None:
            run_all(options, results)
    except (InstanceError, OSError, ValueError) as error:
        sys.exit(str(error))
    print(table(results))
    print()
    print(summary(results))
    for own, other in dearer(results, KERNEL):
        row = f"{own.instance}, {own.capacity}"
        print(f"Dearer than {other.way}: {row}: {own.value} for {other.value}")
    if options.picture is not None:
        options.picture.write_text(picture(results, WAYS).svg() + "\n", encoding="utf-8")
