"""Public instances with published optima: one file as a JSON line, or a folder as a table.

    python -m benchmarks capacitated-tree FILE --capacity Q [--seconds S] [--seed N]
                                           [--certificate CERTIFICATE]
    python -m benchmarks capacitated-tree [--data DIR] [--seconds S] [--only tc40,te40]

The table is CSV: a row per instance and capacity, then the averages of each class. The gap is to
the best known value of optima.csv, the bound's to the same; both in %. FILE may end in .vrp:
chains, as many as --chains says. `parents` are 0-based node numbers, null at the root.
"""

import argparse
import csv
import json
import os
import re
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from benchmarks.instances import Instance, InstanceError, Known, read_chains, read_known, read_tree

if TYPE_CHECKING:
    from solver.kernel.certificate import Certificate
    from solver.kernel.problem import Problem

SECONDS: Final = 60.0
FOLDER: Final = "BRANCHWRIGHT_BENCHMARK_DATA"
COLUMNS: Final = [
    "instance", "capacity", "value", "best_known", "gap", "bound", "bound_gap", "proved", "seconds",
    "seconds_to_value",
]  # fmt: skip


class Solved(NamedTuple):
    """What is printed of one instance, when its value was first met [s], and the certificate."""

    line: dict[str, Any]
    met: float
    certificate: dict[str, Any]


def solved(
    instance: Instance, capacity: int, seconds: float, seed: int, chains: int | None
) -> Solved:
    """Solve one instance."""
    from solver.kernel.portfolio import Portfolio, State

    problem = instance.problem(capacity, chains)
    heaviest = int(problem.weights.max())
    if heaviest > capacity:
        raise ValueError(f"a node demands {heaviest}, more than the capacity of {capacity}")
    met = {0: 0.0}

    def told(state: State) -> None:
        if state.value not in met:
            met[state.value] = state.seconds

    state = Portfolio(problem, seed).run(seconds, told=told)
    if not state.groups:
        raise ValueError(f"nothing that fits was found in {state.seconds:.0f} s")
    groups = state.ordered(problem)
    parents = problem.parents(groups)
    if any(not problem.may(frozenset(branch)) for branch in problem.branches(parents)):
        raise ValueError("what was found is over the capacity")
    value = problem.cost(parents)
    scale = instance.scale
    line = {
        "instance": instance.name,
        "capacity": capacity,
        "value": value if scale == 1 else value / scale,
        "bound": state.bound if scale == 1 else state.bound / scale,
        "proved": "global" if state.proved else "none",
        "seconds": round(state.seconds, 2),
        "parents": instance.parents(parents),
    }
    return Solved(line, met[state.value], _certificate(instance, problem, line, state.certificate))


def _certificate(
    instance: Instance, problem: "Problem", line: dict[str, Any], prices: "Certificate | None"
) -> dict[str, Any]:
    """What `recheck.py` needs; without prices only the spanning tree proves anything."""
    from solver.kernel.certificate import Certificate
    from solver.kernel.walks import memories

    others = instance.others
    prices = prices or Certificate(1, [0] * len(others), [])
    of_nodes = [0] * len(instance.weights)
    for node, price in zip(others, prices.items, strict=True):
        of_nodes[node] = price
    sets = [{"nodes": [others[one] for one in held], "price": p} for held, p in prices.sets]
    found = {**line, "scale": prices.scale, "prices": of_nodes, "sets": sets}
    if problem.chains:
        remembered: list[list[int]] = [[] for _ in instance.weights]
        for node, items in zip(others, memories(problem).tolist(), strict=True):
            remembered[node] = [others[item] for item in items]
        found |= {"chains": problem.groups, "opening": prices.opening, "memories": remembered}
    return found


def kind(name: str) -> str:
    """The class of an instance: its name up to the first - or r."""
    return re.split(r"-|(?<=\d)r", name)[0]


def table(folder: Path, options: argparse.Namespace) -> None:
    """A row for each known value, then averages."""
    writer = csv.DictWriter(sys.stdout, COLUMNS, lineterminator="\n")
    writer.writeheader()
    averages: dict[str, list[dict[str, Any]]] = {}
    for known in read_known(folder):
        if not any(known.instance.startswith(one) for one in options.only.split(",")):
            continue
        if options.capacity not in (None, known.capacity):
            continue
        row = _row(folder, known, options)
        writer.writerow(row)
        sys.stdout.flush()
        averages.setdefault(kind(known.instance), []).append(row)
    for name, rows in averages.items():
        mean = {
            column: round(sum(row[column] for row in rows) / len(rows), 3)
            for column in ("gap", "bound_gap", "seconds", "seconds_to_value")
        }
        proved = sum(row["proved"] == "global" for row in rows)
        writer.writerow(
            {"instance": f"average of {name}", "proved": f"{proved} of {len(rows)}", **mean}
        )


def _row(folder: Path, known: Known, options: argparse.Namespace) -> dict[str, Any]:
    suffix, read = (".txt", read_tree) if known.chains is None else (".vrp", read_chains)
    instance = read(folder / f"{known.instance}{suffix}")
    found = solved(instance, known.capacity, options.seconds, options.seed, known.chains)
    line = found.line
    return {
        **{column: line[column] for column in ("capacity", "value", "bound", "proved", "seconds")},
        "instance": known.instance,
        "best_known": known.value,
        "gap": round(100 * (line["value"] / known.value - 1), 3),
        "bound_gap": round(100 * (1 - line["bound"] / known.value), 3),
        "seconds_to_value": round(found.met, 2),
    }


def main(arguments: Sequence[str]) -> None:
    """Run what the arguments ask for."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks capacitated-tree")
    parser.add_argument("file", nargs="?", type=Path)
    parser.add_argument("--capacity", type=int)
    parser.add_argument("--seconds", type=float, default=SECONDS)
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--chains", type=int, help="of a .vrp file: at most so many")
    parser.add_argument("--certificate", type=Path, help="a file to write, for `recheck`")
    parser.add_argument("--only", default="", help="names begin with one of these, with commas")
    parser.add_argument("--data", type=Path, help=f"a folder with optima.csv; else {FOLDER}/cmst")
    options = parser.parse_args(arguments)
    try:
        if options.file is None:
            folder = options.data or Path(os.environ.get(FOLDER, "")) / "cmst"
            if not (folder / "optima.csv").is_file():
                parser.error(f"{folder} holds no optima.csv: say --data, or set {FOLDER}")
            table(folder, options)
            return
        if options.capacity is None or options.capacity < 1:
            parser.error("--capacity says what a subtree may weigh: a whole number from 1")
        chains = options.file.suffix == ".vrp"
        if chains and options.chains is None:
            parser.error("--chains says how many chains a .vrp file may have")
        instance = (read_chains if chains else read_tree)(options.file)
        found = solved(instance, options.capacity, options.seconds, options.seed, options.chains)
        if options.certificate is not None:
            options.certificate.write_text(json.dumps(found.certificate), encoding="utf-8")
        print(json.dumps(found.line))
    except (InstanceError, ValueError) as error:
        sys.exit(str(error))
