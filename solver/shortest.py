"""Shortest paths on a route graph: from one enclosure to all, and the straightest of equals.

Distances come from rustworkx, which is some thirty times faster here than a graph library in pure
Python. Two places may also be joined by one bend under a ceiling: such joints are as many as pairs
of places, so they are no edges but asked for. Of all paths of the least length one with the fewest
bends is taken: only steps that lie on a shortest path are looked at.
"""

from array import array
from collections.abc import Iterable, Iterator
from heapq import heappop, heappush
from typing import Final, NamedTuple

import rustworkx as rx

from solver.floor import Node, Xy, Xyz
from solver.route_graph import RouteGraph

State = tuple[int, int]  # a node, and the axis of the last piece that leads to it
Step = tuple[int, int, int]  # to a node, what it counts as, its axis (0: no length)
FAR: Final = 2**31 - 1  # no path
MANY: Final = 10**6  # bends


class Joint(NamedTuple):
    """Two nodes under one ceiling, what the path over them counts as, and corners it may have."""

    counts: int
    first: int
    last: int
    corners: tuple[Xy, ...]


class Shortest:
    """Shortest paths of one route graph; `without`: points that no path goes through."""

    def __init__(self, graph: RouteGraph, without: Iterable[Xyz] = ()) -> None:
        self.graph, shut = graph, frozenset(without)
        edges = {
            ends: counts
            for ends, counts in graph.edges.items()
            if ends[0][:3] not in shut and ends[1][:3] not in shut
        }
        self.nodes: list[Node] = sorted({node for ends in edges for node in ends})
        self.number = {node: number for number, node in enumerate(self.nodes)}
        self.steps: list[list[Step]] = [[] for _ in self.nodes]
        plain: rx.PyGraph[int, float] = rx.PyGraph(multigraph=False)
        plain.add_nodes_from(range(len(self.nodes)))
        rows = []
        for (first, last), counts in edges.items():
            a, b = self.number[first], self.number[last]
            axis = _axis(first[:3], last[:3])
            self.steps[a].append((b, counts, axis))
            self.steps[b].append((a, counts, axis))
            rows.append((a, b, float(counts)))
        plain.add_edges_from(rows)
        self._plain = plain
        self._from: dict[int, array[int]] = {}
        self._places: dict[str, tuple[int, dict[int, int]] | None] = {}

    def _place(self, name: str) -> tuple[int, dict[int, int]] | None:
        """The node of an enclosure, and its nodes under ceilings by their heights."""
        if name not in self._places:
            node = self.graph.node(name)
            x, y, _, _ = node
            under = {
                z: self.number[x, y, z, ()]
                for z in self.graph.ceilings_over(x, y)
                if (x, y, z, ()) in self.number
            }
            known = node in self.number
            self._places[name] = (self.number[node], under) if known else None
        return self._places[name]

    def _there(self, name: str) -> tuple[int, dict[int, int]]:
        """The same of an enclosure that some path leads to."""
        place = self._place(name)
        assert place is not None
        return place

    def _lengths(self, number: int) -> "array[int]":
        """What every node is away from one; `FAR` where no path leads."""
        if number not in self._from:
            lengths = array("i", [FAR]) * len(self.nodes)
            found = rx.dijkstra_shortest_path_lengths(self._plain, number, float)
            for to, length in found.items():
                lengths[to] = int(length)
            lengths[number] = 0
            self._from[number] = lengths
        return self._from[number]

    def _joints(self, start: str, end: str) -> Iterator[Joint]:
        """Paths over two places under one ceiling."""
        one, two = self._there(start), self._there(end)
        before, after = self._lengths(one[0]), self._lengths(two[0])
        for z, first in one[1].items():
            last = two[1].get(z, first)
            if first == last or FAR in (before[first], after[last]):
                continue
            bend = self.graph.bend(self.nodes[first][:2], self.nodes[last][:2], z)
            if bend is not None:
                counts = before[first] + bend[0] + after[last]
                yield Joint(counts, first, last, bend[1])

    def counts(self, start: str, end: str) -> int | None:
        """What the shortest path between two enclosures counts as; None when there is none."""
        one, two = self._place(start), self._place(end)
        if one is None or two is None:
            return None
        straight = self._lengths(one[0])[two[0]]
        least = min([straight, *(joint.counts for joint in self._joints(start, end))])
        return None if least == FAR else least

    def path(self, start: str, end: str) -> tuple[Xyz, ...]:
        """The corners of the straightest shortest path; it must exist."""
        one, two = self._there(start), self._there(end)
        joints = list(self._joints(start, end))
        whole = self._lengths(one[0])[two[0]]
        least = min([whole, *(joint.counts for joint in joints)])
        best: tuple[Xyz, ...] | None = None
        for joint in joints:
            if joint.counts == least:
                before = self._straightest(one[0], joint.first)
                after = self._straightest(joint.last, two[0])
                assert before is not None
                assert after is not None
                z = before[-1][2]
                for x, y in joint.corners or (before[-1][:2],):
                    found = straightened([*before, (x, y, z), *after])
                    best = found if best is None or len(found) < len(best) else best
        if whole == least:
            fewer = MANY if best is None else len(best) - 2
            plain = self._straightest(one[0], two[0], fewer)
            best = straightened(plain) if plain else best
        assert best, "a path of the length found must exist"
        return best

    def _straightest(self, first: int, last: int, fewer: int = MANY) -> list[Xyz] | None:
        """The points of a shortest path with the fewest bends; None without one with fewer."""
        if first == last:
            return [self.nodes[first][:3]]
        left = self._lengths(last)
        whole = left[first]
        bends: dict[State, int] = {(first, 0): 0}
        came: dict[State, State] = {}
        done: set[State] = set()
        heap: list[tuple[int, int, int, int]] = [(0, 0, first, 0)]
        while heap:
            turned, ahead, at, axis = heappop(heap)
            if at == last:
                return self._back(first, (at, axis), came)
            if (at, axis) in done:
                continue
            gone = -ahead
            done.add((at, axis))
            for to, counts, along in self.steps[at]:
                if gone + counts + left[to] != whole:
                    continue
                more = turned + (axis not in (along, 0) and along != 0)
                state = to, along or axis
                if more < bends.get(state, fewer):
                    bends[state] = more
                    came[state] = at, axis
                    heappush(heap, (more, -gone - counts, *state))
        return None

    def _back(self, first: int, state: State, came: dict[State, State]) -> list[Xyz]:
        """The points of a path that was found, from its first node."""
        points = [self.nodes[state[0]][:3]]
        while state[0] != first:
            state = came[state]
            points.append(self.nodes[state[0]][:3])
        return points[::-1]


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
