"""Shortest paths on a route graph: from one enclosure to all, and the straightest of equals.

Distances come from rustworkx, which is some thirty times faster here than a graph library in pure
Python. Of all paths of the least length the one with the fewest bends is taken, and of these the
first in the order of its nodes: only steps that lie on a shortest path are looked at.
"""

from collections.abc import Iterable, Mapping
from heapq import heappop, heappush

import rustworkx as rx

from solver.route_graph import Node, RouteGraph, Xy, Xyz

Step = tuple[int, int, tuple[Xy, ...]]


class Shortest:
    """Shortest paths of one route graph; `without`: points that no path goes through."""

    def __init__(self, graph: RouteGraph, without: Iterable[Xyz] = ()) -> None:
        self.graph, shut = graph, frozenset(without)
        edges = {
            ends: edge
            for ends, edge in graph.edges.items()
            if ends[0][:3] not in shut and ends[1][:3] not in shut
        }
        self.nodes: list[Node] = sorted({node for ends in edges for node in ends})
        self.number = {node: number for number, node in enumerate(self.nodes)}
        self.steps: list[list[Step]] = [[] for _ in self.nodes]
        plain: rx.PyGraph[int, float] = rx.PyGraph(multigraph=False)
        plain.add_nodes_from(range(len(self.nodes)))
        rows = []
        for (first, last), (counts, bends) in edges.items():
            a, b = self.number[first], self.number[last]
            self.steps[a].append((b, counts, bends))
            self.steps[b].append((a, counts, bends))
            rows.append((a, b, float(counts)))
        plain.add_edges_from(rows)
        self._plain = plain
        self._from: dict[int, Mapping[int, float]] = {}

    def _lengths(self, number: int) -> Mapping[int, float]:
        """What every node is away from one."""
        if number not in self._from:
            self._from[number] = rx.dijkstra_shortest_path_lengths(self._plain, number, float)
        return self._from[number]

    def counts(self, start: str, end: str) -> int | None:
        """What the shortest path between two enclosures counts as; None when there is none."""
        first, last = (self.number.get(self.graph.node(name)) for name in (start, end))
        if first is None or last is None:
            return None
        if first == last:
            return 0
        found = self._lengths(first)
        return round(found[last]) if last in found else None

    def path(self, start: str, end: str) -> tuple[Xyz, ...]:
        """The corners of the straightest shortest path; it must exist."""
        first, last = (self.number[self.graph.node(name)] for name in (start, end))
        if first == last:
            return (self.nodes[first][:3],)
        ahead, whole = self._lengths(last), self._lengths(first)[last]
        done: dict[tuple[int, int], tuple[int, int, tuple[Xyz, ...]]] = {}
        heap: list[tuple[int, tuple[Xyz, ...], int, int]] = [(0, (self.nodes[first][:3],), first, 0)]
        gone: dict[int, float] = {first: 0.0}
        while heap:
            bends, corners, at, axis = heappop(heap)
            if (at, axis) in done:
                continue
            done[at, axis] = bends, axis, corners
            if at == last:
                return straightened(corners)
            for to, counts, turns in self.steps[at]:
                if to != last and to not in ahead:
                    continue
                if gone[at] + counts + (0.0 if to == last else ahead[to]) != whole:
                    continue
                gone[to] = gone[at] + counts
                here, there = self.nodes[at][:3], self.nodes[to][:3]
                for turn in turns or (None,):
                    points = (there,) if turn is None else ((*turn, here[2]), there)
                    cost, along = bends, axis
                    for a, b in zip((here, *points), points, strict=False):
                        way = next((i + 1 for i in range(3) if a[i] != b[i]), along)
                        cost += along not in (0, way)
                        along = way
                    if (to, along) not in done:
                        heappush(heap, (cost, (*corners, *points), to, along))
        raise AssertionError("a path of the length found must exist")


def straightened(points: Iterable[Xyz]) -> tuple[Xyz, ...]:
    """A path without repeats and without points in the middle of a straight piece."""
    kept: list[Xyz] = []
    for point in points:
        if kept and kept[-1] == point:
            continue
        if len(kept) > 1 and _straight(kept[-2], kept[-1], point):
            kept[-1] = point
        else:
            kept.append(point)
    return tuple(kept)


def _straight(a: Xyz, b: Xyz, c: Xyz) -> bool:
    """Whether three points of a rectilinear path go straight on along one line."""
    steps = [(q - p, r - q) for p, q, r in zip(a, b, c, strict=True) if p != q or q != r]
    return len(steps) == 1 and steps[0][0] * steps[0][1] > 0
