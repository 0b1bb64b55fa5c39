"""The trees of circuits with optional junction boxes, on public Steiner problems in graphs.

    python -m benchmarks steiner --data DIR [--rows b01,b05]

DIR holds optima.csv and STP files (format 1.0; T. Koch, A. Martin, S. Voß, SteinLib, 2001).
Terminals are boxes, all other nodes places where a junction box may be, runs cost the shortest way;
the panel stands at the first terminal, whose home run costs nothing. What is run is
`solver.tree.best_tree`, as for every circuit of a shop. Gaps to the published optimum in %, the one
without any junction box beside it; seconds of the processor.
"""

import argparse
import csv
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import fmean
from time import process_time
from typing import Final

import numpy as np
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from benchmarks.instances import InstanceError
from solver.tree import NO_WAY, Costs, Tree, best_tree, spanning_edges

PANEL: Final = "panel"


@dataclass(frozen=True)
class Graph:
    """Nodes from 1, edges with whole weights, and the nodes that must be joined."""

    nodes: int
    edges: tuple[tuple[int, int, int], ...]
    terminals: tuple[int, ...]

    def costs(self) -> dict[str, dict[str, int]]:
        """The cost of every run: the shortest way between two nodes, none from one to itself."""
        rows, columns, weights = (np.array(part) for part in zip(*self.edges, strict=True))
        shape = (self.nodes, self.nodes)
        graph = csr_array((weights.astype(float), (rows - 1, columns - 1)), shape=shape)
        apart = dijkstra(graph, directed=False)
        names = [self.name(node) for node in range(1, self.nodes + 1)]
        costs = {
            a: {b: int(way) for b, way in zip(names, row, strict=True) if np.isfinite(way)}
            for a, row in zip(names, apart, strict=True)
        }
        first = self.name(self.terminals[0])
        costs[PANEL] = {b: 0 if b == first else NO_WAY for b in names}
        return costs

    def name(self, node: int) -> str:
        """A node as a box."""
        return f"{node:04d}"


def read_graph(path: Path) -> Graph:
    """A file in STP format; refuses counts that do not fit, and edges that are there twice."""
    edges: dict[tuple[int, int], int] = {}
    terminals: list[int] = []
    said: dict[str, int] = {}
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise InstanceError(path, 1, f"cannot be read: {error}") from None
    for number, line in enumerate(lines, 1):
        words = line.split()
        try:
            match words:
                case ["E", a, b, weight]:
                    pair = (min(int(a), int(b)), max(int(a), int(b)))
                    if pair in edges or pair[0] == pair[1]:
                        raise InstanceError(path, number, f"edge {a}, {b} is no new one")
                    edges[pair] = int(weight)
                case ["T", node]:
                    terminals.append(int(node))
                case [("Nodes" | "Edges" | "Terminals") as key, count]:
                    said[key] = int(count)
        except ValueError:
            raise InstanceError(path, number, f"{line.strip()!r} has no whole number") from None
    found = {"Edges": len(edges), "Terminals": len(terminals)}
    for kind, there in found.items():
        if said.get(kind) != there or not there:
            message = f"{kind}: {said.get(kind)} are announced, {there} are there"
            raise InstanceError(path, len(lines), message)
    nodes = said.get("Nodes", 0)
    if min(terminals) < 1 or max([*terminals, *(b for _, b in edges)]) > nodes:
        raise InstanceError(path, len(lines), f"a node is beyond the {nodes} announced")
    return Graph(nodes, tuple((a, b, w) for (a, b), w in edges.items()), tuple(terminals))


def joined(graph: Graph, costs: Costs, junctions: bool = True) -> Tree:
    """The tree of the graph's terminals, with junction boxes or without."""
    boxes = [graph.name(node) for node in graph.terminals]
    others = [node for node in range(1, graph.nodes + 1) if node not in graph.terminals]
    optional = [graph.name(node) for node in others] if junctions else []
    tree = best_tree(
        PANEL, boxes, optional, costs, lambda nodes: spanning_edges(nodes, costs), lambda _: 0
    )
    if tree is None:
        raise ValueError("the terminals do not join up")
    return tree


@dataclass(frozen=True)
class Row:
    """What was reached on one graph."""

    name: str
    terminals: int
    optimum: int
    value: int
    plain: int  # without junction boxes
    seconds: float

    def gap(self, value: int) -> float:
        """How much dearer than the optimum [%]."""
        return 100 * (value / self.optimum - 1)


def rows(folder: Path, names: str) -> list[Row]:
    """All rows of optima.csv, or those that are named."""
    found = []
    with (folder / "optima.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if names and row["instance"] not in names.split(","):
                continue
            graph = read_graph(folder / f"{row['instance']}.stp")
            costs = graph.costs()
            plain = joined(graph, costs, junctions=False).cost
            began = process_time()
            value = joined(graph, costs).cost
            seconds = process_time() - began
            optimum = int(row["best_known"])
            found.append(Row(row["instance"], len(graph.terminals), optimum, value, plain, seconds))
    return found


def table(results: Sequence[Row]) -> str:
    """A line for each row, then the mean gaps."""
    lines = ["| graph | terminals | optimum | value | gap | without junction boxes | seconds |"]
    lines.append("| --- |" + " ---: |" * 6)
    for row in results:
        gaps = f"{row.gap(row.value):.2f} % | {row.plain} ({row.gap(row.plain):.2f} %)"
        cells = f"{row.name} | {row.terminals} | {row.optimum} | {row.value}"
        lines.append(f"| {cells} | {gaps} | {row.seconds:.2f} |")
    mean = fmean(row.gap(row.value) for row in results)
    plain = fmean(row.gap(row.plain) for row in results)
    exact = sum(row.value == row.optimum for row in results)
    lines.append(
        f"| mean, {exact} of {len(results)} optimal | | | | {mean:.2f} % | {plain:.2f} % | |"
    )
    return "\n".join(lines)


def main(arguments: Sequence[str]) -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks steiner")
    parser.add_argument("--data", type=Path, required=True, help="a folder with optima.csv")
    parser.add_argument("--rows", default="", help="names, with commas; else all")
    options = parser.parse_args(arguments)
    try:
        found = rows(options.data, options.rows)
    except (InstanceError, OSError, ValueError) as error:
        sys.exit(str(error))
    if not found:
        sys.exit("optima.csv has none of these rows")
    print(table(found))
