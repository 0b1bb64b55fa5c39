"""Routes of large shops: pairs of places are not joined ahead, the two ends alone are when asked.

`RouteGraph` joins every two places that one bend under a ceiling joins, and of places there may be
a thousand. A shortest path needs such a joint only from the place above its one end to the place
above its other: any other piece of it can be slid onto a ray or a line that is in the graph. The
lengths are those of the whole graph; of paths as short and as straight another may be taken.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import inf
from typing import Final, NamedTuple

from models.shop import Shop
from solver.floor import Method, Xy, Xyz
from solver.route_graph import RouteGraph
from solver.shortest import MANY, Shortest, straightened

MOST_BOXES: Final = 120  # of a shop that is looked at as a whole


def is_large(shop: Shop) -> bool:
    """Whether boxes are so many that a shop is planned district by district."""
    return len(shop.boxes) > MOST_BOXES


class Joint(NamedTuple):
    """Two nodes under one ceiling, what the path over them counts as, and corners it may have."""

    counts: float
    first: int
    last: int
    corners: tuple[Xy, ...]


class SparseGraph(RouteGraph):
    """A route graph without joints between places; `bend` tells of one."""

    def __init__(self, shop: Shop, method: Method) -> None:
        super().__init__(shop, method)
        self._bends: dict[tuple[Xy, Xy, int], tuple[int, tuple[Xy, ...]] | None] = {}

    def _join(self, places: Sequence[Xy]) -> None:
        """Pairs of places are joined when they are asked for."""

    def ceilings_over(self, x: int, y: int) -> list[int]:
        """The heights of ceilings at which a place may be joined to others by one bend."""
        if any(barrier.holds(x, y) for barrier in self.barriers):
            return []
        return sorted({cell.z for cell, _ in self.levels(x, y)})

    def bend(self, first: Xy, last: Xy, z: int) -> tuple[int, tuple[Xy, ...]] | None:
        """Two places at one ceiling joined by a straight piece, or by two with a bend.

        What it counts as, and the corners it may have; None where nothing joins them so.
        """
        if (first, last, z) not in self._bends:
            self._bends[first, last, z] = self._bend(first, last, z)
        return self._bends[first, last, z]

    def _bend(self, first: Xy, last: Xy, z: int) -> tuple[int, tuple[Xy, ...]] | None:
        best: tuple[int, tuple[Xy, ...]] | None = None
        for corner in dict.fromkeys(((first[0], last[1]), (last[0], first[1]))):
            before, after = self.leg(first, corner, z), self.leg(corner, last, z)
            if before is None or after is None:
                continue
            counts = before + after
            corners = () if corner in (first, last) else (corner,)
            if best is None or counts < best[0]:
                best = counts, corners
            elif counts == best[0]:
                best = counts, (*best[1], *corners)
        return best


class SparseShortest(Shortest):
    """Shortest paths on a sparse graph and over the joint of their two ends."""

    graph: SparseGraph

    def __init__(self, graph: SparseGraph, without: Iterable[Xyz] = ()) -> None:
        super().__init__(graph, without)
        self._places: dict[str, tuple[int, dict[int, int]] | None] = {}
        self._risers: dict[tuple[int, int], list[Xyz]] = {}

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

    def _joints(self, start: str, end: str) -> Iterator[Joint]:
        """Paths over two places under one ceiling."""
        one, two = self._place(start), self._place(end)
        if one is None or two is None:
            return
        before, after = self._lengths(one[0]), self._lengths(two[0])
        for z, first in one[1].items():
            last = two[1].get(z, first)
            if first == last or inf in (before[first], after[last]):
                continue
            bend = self.graph.bend(self.nodes[first][:2], self.nodes[last][:2], z)
            if bend is not None:
                yield Joint(before[first] + bend[0] + after[last], first, last, bend[1])

    def counts(self, start: str, end: str) -> int | None:
        """What the shortest path between two enclosures counts as; None when there is none."""
        plain = super().counts(start, end)
        found = [round(joint.counts) for joint in self._joints(start, end)]
        return min(found if plain is None else [plain, *found], default=None)

    def path(self, start: str, end: str) -> tuple[Xyz, ...]:
        """The corners of the straightest shortest path; it must exist."""
        first, last = (self.number[self.graph.node(name)] for name in (start, end))
        if first == last:
            return (self.nodes[first][:3],)
        joints = list(self._joints(start, end))
        plain = self._lengths(last)[first]
        least = min([plain, *(joint.counts for joint in joints)])
        found = [
            straightened([*before, *([(*corner, before[-1][2])] if corner else []), *after])
            for joint in joints
            if joint.counts == least
            for before in [self._up(first, joint.first)]
            for after in [self._up(last, joint.last)[::-1]]
            for corner in joint.corners or (None,)
        ]
        best = min(found, key=len, default=None)
        if plain == least:
            points = self._points(first, last, MANY if best is None else len(best) - 2)
            best = straightened(points) if points else best
        assert best, "a path of the length found must exist"
        return best

    def _up(self, place: int, under: int) -> list[Xyz]:
        """The points of the path from a place to one above it, under the ceiling."""
        if (place, under) not in self._risers:
            points = self._points(place, under)
            assert points, "both are at the ends of a path"
            self._risers[place, under] = points
        return self._risers[place, under]
