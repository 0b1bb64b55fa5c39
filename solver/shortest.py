"""Shortest paths on a route graph: from one enclosure to all, and the straightest of equals.

Distances come from rustworkx, which is some thirty times faster here than a graph library in pure
Python. Of all paths of the least length the one with the fewest bends is taken, and of these the
first in the order of its nodes: only steps that lie on a shortest path are looked at.
"""

from array import array
from collections.abc import Iterable, Iterator
from heapq import heappop, heappush
from math import inf
from typing import Final, NamedTuple

import rustworkx as rx

from solver.floor import Node, Xy, Xyz
from solver.route_graph import RouteGraph

MANY: Final = 10**6  # bends
State = tuple[int, int]  # a node, and the axis of the last piece that leads to it


class Step(NamedTuple):
    """A step to a node: what it counts as, its first and last axis (0: none), and its corner."""

    to: int
    counts: int
    first_axis: int
    last_axis: int
    corner: Xy | None


Came = tuple[State, Xy | None]


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
            self.steps[a] += _steps(first, last, b, counts, bends)
            self.steps[b] += _steps(last, first, a, counts, bends)
            rows.append((a, b, float(counts)))
        plain.add_edges_from(rows)
        self._plain = plain
        self._from: dict[int, array[float]] = {}
        self._ahead: dict[int, dict[int, list[Step]]] = {}

    def _lengths(self, number: int) -> "array[float]":
        """What every node is away from one; infinite where no path leads."""
        if number not in self._from:
            lengths = array("d", [inf]) * len(self.nodes)
            found = rx.dijkstra_shortest_path_lengths(self._plain, number, float)
            for to, length in found.items():
                lengths[to] = length
            lengths[number] = 0.0
            self._from[number] = lengths
        return self._from[number]

    def counts(self, start: str, end: str) -> int | None:
        """What the shortest path between two enclosures counts as; None when there is none."""
        first, last = (self.number.get(self.graph.node(name)) for name in (start, end))
        if first is None or last is None:
            return None
        length = self._lengths(first)[last]
        return None if length == inf else round(length)

    def path(self, start: str, end: str) -> tuple[Xyz, ...]:
        """The corners of the straightest shortest path; it must exist."""
        first, last = (self.number[self.graph.node(name)] for name in (start, end))
        if first == last:
            return (self.nodes[first][:3],)
        points = self._points(first, last)
        assert points, "a path of the length found must exist"
        return straightened(points)

    def _points(self, first: int, last: int, fewer: int = MANY) -> list[Xyz] | None:
        """The points of the straightest shortest path between two nodes; None where it has not
        fewer bends than so many.
        """
        found = self._straightest(first, last, fewer)
        if found is None:
            return None
        state, came = found
        points = [self.nodes[last][:3]]
        while state[0] != first:
            state, corner = came[state]
            here = self.nodes[state[0]][:3]
            points += [here] if corner is None else [(*corner, here[2]), here]
        return points[::-1]

    def _steps_ahead(self, at: int, last: int) -> list[Step]:
        """The steps from a node that lie on a shortest path to another."""
        known = self._ahead.setdefault(last, {})
        if at not in known:
            left = self._lengths(last)
            here = left[at]
            known[at] = [step for step in self.steps[at] if step.counts + left[step.to] == here]
        return known[at]

    def _straightest(
        self, first: int, last: int, fewer: int
    ) -> tuple[State, dict[State, Came]] | None:
        """The end of a path with the fewest bends, and for each state the step before it; None
        where it has not fewer bends than so many.
        """
        bends: dict[State, int] = {(first, 0): 0}
        came: dict[State, Came] = {}
        done: set[State] = set()
        heap: list[tuple[int, float, int, int]] = [(0, 0.0, first, 0)]
        while heap:
            turned, ahead, at, axis = heappop(heap)
            if at == last:
                return (at, axis), came
            if (at, axis) in done:
                continue
            gone = -ahead
            done.add((at, axis))
            for step in self._steps_ahead(at, last):
                more = turned + (axis not in (step.first_axis, 0) and step.first_axis != 0)
                more += step.corner is not None
                state = step.to, step.last_axis or axis
                if more < bends.get(state, fewer):
                    bends[state] = more
                    came[state] = (at, axis), step.corner
                    heappush(heap, (more, -gone - step.counts, *state))
        return None


def _steps(
    here: Node, there: Node, to: int, counts: int, corners: tuple[Xy, ...]
) -> Iterator[Step]:
    """The steps that an edge allows in one direction, one for each corner it may have."""
    for corner in corners or (None,):
        middle = there[:3] if corner is None else (*corner, here[2])
        first_axis = _axis(here[:3], middle)
        last_axis = first_axis if corner is None else _axis(middle, there[:3])
        yield Step(to, counts, first_axis, last_axis, corner)


def _axis(start: Xyz, end: Xyz) -> int:
    """The axis of a straight piece, 1 to 3; 0 when it has no length."""
    return next((axis + 1 for axis in range(3) if start[axis] != end[axis]), 0)


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
