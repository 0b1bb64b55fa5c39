"""How long it takes to read and to route the demo shops, and the same shortest paths by networkx.

    python -m benchmarks.routes

Seconds in one run on this machine; the last column is networkx's time for the lengths from every
enclosure on the same graph, over ours.
"""

import time
from itertools import combinations, pairwise
from pathlib import Path

import networkx as nx

from models.shop_file import read_shop
from solver.routes import Ways

SCENARIOS = Path(__file__).resolve().parent.parent / "scenarios"


def measure(path: Path) -> str:
    """One row: reading, the graphs, every length, every path, networkx over ours."""
    marks = [time.perf_counter()]
    shop = read_shop(path)
    marks.append(time.perf_counter())
    ways = Ways(shop)
    graph = ways.cable.graph
    marks.append(time.perf_counter())
    pairs = list(combinations(ways.names, 2))
    for start, end in pairs:
        ways.cable_counts(start, end)
    marks.append(time.perf_counter())
    for start, end in pairs:
        ways.between(start, end)
    marks.append(time.perf_counter())
    plain: nx.Graph[tuple[int, int, int, tuple[int, ...]]] = nx.Graph()
    for (first, last), (counts, _) in graph.edges.items():
        plain.add_edge(first, last, weight=counts)
    began = time.perf_counter()
    for name in ways.names:
        if graph.node(name) in plain:
            nx.single_source_dijkstra_path_length(plain, graph.node(name))
    other = time.perf_counter() - began
    read, build, lengths, paths = (b - a for a, b in pairwise(marks))
    return (
        f"{path.stem:28} {len(shop.boxes):4} {len(pairs):6} {read:7.2f} {build:7.2f} {lengths:8.2f}"
        f" {paths:7.2f} {other / lengths:9.0f} ×"
    )


def main() -> None:
    """Print the table."""
    print(f"{'shop':28} boxes  pairs    read  graphs  lengths   paths   networkx")
    for path in sorted(SCENARIOS.glob("*.yaml")):
        print(measure(path))


if __name__ == "__main__":
    main()
