"""Routes: the ways a cable or a raceway can take between two enclosures.

The building becomes one graph on the lines that matter (places of enclosures, corners, edges of
openings): wall runs at box heights and over openings, risers, and ceiling runs. A cable stays off
masonry and out of openings; a raceway may lie on any wall. Shortest paths count length first and
bends second; one Dijkstra per enclosure. Lengths are whole hundredths of a foot.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Literal, cast

import networkx as nx

from models.shop import Opening, Raceway, Shop, Wall

Xyz = tuple[int, int, int]
_LENGTH_WEIGHT = 10_000  # one hundredth of a foot outweighs any number of bends
OVER_HEAD_CFT = 100  # a run passes 1 ft above an opening, over its header: common practice
CABLE_WALLS = frozenset({"wood stud", "metal stud"})


def hundredths(length_ft: float) -> int:
    """A length in whole hundredths of a foot."""
    return round(length_ft * 100)


@dataclass(frozen=True)
class Way:
    """One way between two enclosures, in the direction asked for."""

    method: Literal["cable", "raceway"]
    path: tuple[Xyz, ...]
    length_cft: int
    ambient_c: float
    raceways: tuple[str, ...] = ()
    via: tuple[str, ...] = ()

    def reversed(self) -> "Way":
        """The same way from the other end."""
        return Way(
            self.method,
            self.path[::-1],
            self.length_cft,
            self.ambient_c,
            self.raceways[::-1],
            self.via[::-1],
        )


class Building:
    """The route graph of a shop's building, and the shortest paths on it."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.ceiling = hundredths(shop.building.ceiling_ft)
        self.places: dict[str, Xyz] = {
            name: _hundredths3(shop.position(place))
            for name, place in sorted(shop.enclosures.items())
        }
        self.xs, self.ys = self._lines()
        boxes = {z for _, _, z in self.places.values()}
        over = {hundredths(o.head_ft) + OVER_HEAD_CFT for o in shop.building.openings}
        self.heights = sorted({z for z in boxes | over if z < self.ceiling} | {self.ceiling})
        ceiling = list(self._ceiling_edges())
        cable = [
            e
            for w in shop.building.walls
            if w.construction in CABLE_WALLS
            for e in self._wall_edges(w)
        ]
        masonry = [
            e
            for w in shop.building.walls
            if w.construction not in CABLE_WALLS
            for e in self._wall_edges(w)
        ]
        self.cable_graph = _directed_lines([*ceiling, *cable])
        self.raceway_graph = _directed_lines([*ceiling, *cable, *masonry])

    def _lines(self) -> tuple[list[int], list[int]]:
        """The x and the y values that paths may turn at."""
        points = [*self.shop.building.corners]
        xs = {hundredths(x) for x, _ in points} | {x for x, _, _ in self.places.values()}
        ys = {hundredths(y) for _, y in points} | {y for _, y, _ in self.places.values()}
        for opening in self.shop.building.openings:
            (x0, _), (x1, _) = self.shop.building.wall_ends(opening.wall)
            (ys if x0 == x1 else xs).update(hundredths(value) for value in opening.between)
        return sorted(xs), sorted(ys)

    def _inside(self, x: float, y: float) -> bool:
        """Whether a point lies inside the outline or on it (walls square to the axes)."""
        corners = [(hundredths(a), hundredths(b)) for a, b in self.shop.building.corners]
        crossings = False
        for (x0, y0), (x1, y1) in pairwise([*corners, corners[0]]):
            if min(x0, x1) <= x <= max(x0, x1) and min(y0, y1) <= y <= max(y0, y1):
                return True
            if x0 == x1 and x0 > x and min(y0, y1) <= y < max(y0, y1):
                crossings = not crossings
        return crossings

    def _under_door_travel(self, x: float, y: float) -> bool:
        """Whether an open overhead door hangs there; only surface runs must keep clear."""
        if self.shop.building.ceiling_runs != "surface":
            return False
        return any(
            box[0] < x < box[2] and box[1] < y < box[3] for box in map(self._travel, self._doors())
        )

    def _doors(self) -> Iterator[Opening]:
        return (o for o in self.shop.building.openings if o.travel_ft > 0)

    def _travel(self, door: Opening) -> tuple[float, float, float, float]:
        """The rectangle under the ceiling that an open overhead door takes."""
        (x0, y0), (x1, y1) = self.shop.building.wall_ends(door.wall)
        low, high = sorted(hundredths(v) for v in door.between)
        reach = hundredths(door.travel_ft)
        if y0 == y1:
            inwards = reach if x1 > x0 else -reach
            y = hundredths(y0)
            return low, min(y, y + inwards), high, max(y, y + inwards)
        inwards = -reach if y1 > y0 else reach
        x = hundredths(x0)
        return min(x, x + inwards), low, max(x, x + inwards), high

    def _ceiling_edges(self) -> Iterator[tuple[Xyz, Xyz]]:
        """Runs over the ceiling, between neighbouring grid points inside the outline."""
        z = self.ceiling
        across = [((x0, y), (x1, y)) for y in self.ys for x0, x1 in pairwise(self.xs)]
        along = [((x, y0), (x, y1)) for x in self.xs for y0, y1 in pairwise(self.ys)]
        for (x0, y0), (x1, y1) in [*across, *along]:
            middle = (x0 + x1) / 2, (y0 + y1) / 2
            ends_inside = self._inside(x0, y0) and self._inside(x1, y1)
            if ends_inside and self._inside(*middle) and not self._under_door_travel(*middle):
                yield (x0, y0, z), (x1, y1, z)

    def _wall_edges(self, wall: Wall) -> Iterator[tuple[Xyz, Xyz]]:
        """Runs along one wall at box heights, and risers, clear of its openings."""
        (x0, y0), (x1, y1) = self.shop.building.wall_ends(wall.id)
        east_west = y0 == y1
        low, high = sorted((x0, x1) if east_west else (y0, y1))
        lines = self.xs if east_west else self.ys
        marks = [mark for mark in lines if hundredths(low) <= mark <= hundredths(high)]
        fixed = hundredths(y0 if east_west else x0)
        openings = [o for o in self.shop.building.openings if o.wall == wall.id]

        def point(mark: int, z: int) -> Xyz:
            return (mark, fixed, z) if east_west else (fixed, mark, z)

        for z in self.heights[:-1]:
            for left, right in pairwise(marks):
                if not any(_blocks(o, left, right, z) for o in openings):
                    yield point(left, z), point(right, z)
        for mark in marks:
            for lower, upper in pairwise(self.heights):
                if not any(_blocks(o, mark, mark, lower) for o in openings):
                    yield point(mark, lower), point(mark, upper)

    def paths(self, graph: "nx.Graph[tuple[Xyz, int]]", start: str) -> dict[str, tuple[Xyz, ...]]:
        """Shortest path from one enclosure to every other it can reach."""
        source = (self.places[start], 0)
        if source not in graph:
            return {}
        found: dict[tuple[Xyz, int], list[tuple[Xyz, int]]]
        _, found = nx.single_source_dijkstra(graph, source)  # type: ignore[assignment]
        return {
            name: _corners(found[place, 0])
            for name, place in self.places.items()
            if name != start and (place, 0) in found
        }

    def ambient_c(self, path: Iterable[Xyz]) -> float:
        """The hottest space a path crosses [°C]."""
        ambient = self.shop.building.ambient
        over = self.shop.building.ceiling_runs == "attic" and any(
            z == self.ceiling for _, _, z in path
        )
        return max(ambient.attic_c, ambient.room_c) if over else ambient.room_c


def _hundredths3(point: tuple[float, float, float]) -> Xyz:
    x, y, z = point
    return hundredths(x), hundredths(y), hundredths(z)


def _blocks(opening: Opening, left: int, right: int, z: int) -> bool:
    """Whether a piece of wall from `left` to `right` at height `z` meets an opening."""
    low, high = sorted(hundredths(value) for value in opening.between)
    return z < hundredths(opening.head_ft) and left < high and right > low


def _directed_lines(edges: Iterable[tuple[Xyz, Xyz]]) -> "nx.Graph[tuple[Xyz, int]]":
    """The graph with one layer per axis, so that a bend costs a little.

    Layer 0 of every point is its entry: joined to the other layers at no cost.
    """
    graph: nx.Graph[tuple[Xyz, int]] = nx.Graph()
    for a, b in edges:
        axis = next(i for i in range(3) if a[i] != b[i]) + 1
        length = sum(abs(p - q) for p, q in zip(a, b, strict=True))
        graph.add_edge((a, axis), (b, axis), weight=length * _LENGTH_WEIGHT)
        for point in (a, b):
            graph.add_edge((point, 0), (point, axis), weight=1)
    return graph


def _corners(nodes: Iterable[tuple[Xyz, int]]) -> tuple[Xyz, ...]:
    """A path's points without repeats and without points in the middle of a straight piece."""
    points: list[Xyz] = []
    for point, _ in nodes:
        if points and points[-1] == point:
            continue
        if len(points) > 1 and _straight(points[-2], points[-1], point):
            points[-1] = point
        else:
            points.append(point)
    return tuple(points)


def _straight(a: Xyz, b: Xyz, c: Xyz) -> bool:
    """Whether three points of a rectilinear path go straight on along one line."""
    steps = [(q - p, r - q) for p, q, r in zip(a, b, c, strict=True) if p != q or q != r]
    return len(steps) == 1 and steps[0][0] * steps[0][1] > 0


def path_length_cft(path: Iterable[Xyz]) -> int:
    """Length of a rectilinear path in hundredths of a foot."""
    return sum(abs(p - q) for a, b in pairwise(path) for p, q in zip(a, b, strict=True))


@dataclass(frozen=True)
class RacewayRoute:
    """A raceway as it lies: from its first end to its second."""

    raceway: Raceway
    path: tuple[Xyz, ...]

    @property
    def length_cft(self) -> int:
        """Length of the raceway."""
        return path_length_cft(self.path)


class Ways:
    """All ways between enclosures: the shortest cable, and chains of raceways."""

    def __init__(self, shop: Shop) -> None:
        self.building = Building(shop)
        self.names = tuple(self.building.places)
        self.raceways = self._lay(shop.routes.raceways)
        self._found: dict[tuple[str, str], list[Way]] = {}
        for name in self.names:
            self._add_cables(name)
        self._add_raceways()

    def between(self, start: str, end: str) -> tuple[Way, ...]:
        """The ways from one enclosure to another, cable first."""
        return tuple(self._found.get((start, end), ()))

    def along_walls(self, start: str, end: str) -> Way:
        """Where something unknown most likely lies: any wall or ceiling, else straight through."""
        places = self.building.places
        path = self.building.paths(self.building.raceway_graph, start).get(end)
        if path is None:
            (x, y, z), (to_x, to_y, _) = places[start], places[end]
            path = _corners((p, 0) for p in ((x, y, z), (to_x, y, z), (to_x, to_y, z), places[end]))
        return Way("raceway", path, path_length_cft(path), self.building.ambient_c(path))

    def _lay(self, raceways: Iterable[Raceway]) -> Mapping[str, RacewayRoute]:
        laid = {}
        for raceway in raceways:
            first, second = raceway.ends
            paths = self.building.paths(self.building.raceway_graph, first)
            if second in paths:
                laid[raceway.id] = RacewayRoute(raceway, paths[second])
        return laid

    def _add_cables(self, start: str) -> None:
        paths = self.building.paths(self.building.cable_graph, start)
        for end, path in paths.items():
            if start < end:
                way = Way("cable", path, path_length_cft(path), self.building.ambient_c(path))
                self._add(start, end, way)

    def _add(self, start: str, end: str, way: Way) -> None:
        self._found.setdefault((start, end), []).append(way)
        self._found.setdefault((end, start), []).append(way.reversed())

    def _add_raceways(self) -> None:
        """Every simple chain of raceways between two enclosures, shortest first."""
        graph: nx.MultiGraph[str] = nx.MultiGraph()
        for name, route in sorted(self.raceways.items()):
            graph.add_edge(*route.raceway.ends, key=name)
        for start, end in combinations(sorted(graph), 2):
            found = cast(
                Iterable[list[tuple[str, str, str]]], nx.all_simple_edge_paths(graph, start, end)
            )
            chains = [self._chain(start, [key for _, _, key in edges]) for edges in found]
            panels = {panel.id for panel in self.building.shop.supply.panels}
            chains = [way for way in chains if not panels & set(way.via)]
            for way in sorted(chains, key=lambda way: (way.length_cft, way.raceways)):
                self._add(start, end, way)

    def _chain(self, start: str, raceways: list[str]) -> Way:
        """The way through several raceways in a row."""
        path: list[Xyz] = [self.building.places[start]]
        via: list[str] = []
        at = start
        for name in raceways:
            route = self.raceways[name]
            ends = route.raceway.ends
            piece = route.path if ends[0] == at else route.path[::-1]
            at = ends[1] if ends[0] == at else ends[0]
            path.extend(piece[1:])
            via.append(at)
        points = _corners((point, 0) for point in path)
        length = sum(self.raceways[name].length_cft for name in raceways)
        ambient = self.building.ambient_c(points)
        return Way("raceway", points, length, ambient, tuple(raceways), tuple(via[:-1]))
