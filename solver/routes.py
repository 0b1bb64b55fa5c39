"""Routes: the ways a cable or a raceway can take between two enclosures.

A cable takes the way that counts least, and where that lies in a hot attic or in a passage there
are others besides: round the attic, round the passage. Raceways lie as the shop says. Lengths are
whole hundredths of a foot.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import islice, pairwise, product
from typing import TYPE_CHECKING, Final, Literal

from models.shop import Raceway, Shop
from models.spaces import Laid, Section, hottest_c, sections
from solver.floor import Method, Xyz, hundredths, point_of
from solver.route_graph import RouteGraph
from solver.shortest import Shortest, straightened
from solver.sparse import SparseGraph, SparseShortest, is_large

if TYPE_CHECKING:
    import networkx as nx

CABLE_LAID: Laid = "cable"
MOST_CHAINS: Final = 50  # a mesh of raceways has more chains than anybody would look through


@dataclass(frozen=True, eq=False)
class Way:
    """One way between two enclosures, in the direction asked for."""

    method: Literal["cable", "raceway"]
    path: tuple[Xyz, ...]
    length_cft: int
    ambient_c: float
    raceways: tuple[str, ...] = ()
    via: tuple[str, ...] = ()
    passages: tuple[str, ...] = ()
    wet: bool = False

    def reversed(self) -> "Way":
        """The same way from the other end."""
        return Way(
            self.method,
            self.path[::-1],
            self.length_cft,
            self.ambient_c,
            self.raceways[::-1],
            self.via[::-1],
            self.passages[::-1],
            self.wet,
        )


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
    """All ways between enclosures: cables, and chains of raceways."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.places: dict[str, Xyz] = {
            name: point_of(shop.position(place)) for name, place in sorted(shop.enclosures.items())
        }
        self.names = tuple(self.places)
        self.raceways = self._lay(shop.routes.raceways)
        self._found: dict[tuple[str, str], tuple[Way, ...]] = {}

    @cached_property
    def cable(self) -> Shortest:
        """Shortest cables."""
        return self._shortest("cable")

    @cached_property
    def surface(self) -> Shortest:
        """Shortest raceways on the surface."""
        return self._shortest("surface")

    @property
    def passages(self) -> Mapping[str, Xyz]:
        """Where the passages are."""
        return self.cable.graph.passages

    @cached_property
    def others(self) -> tuple[Shortest, ...]:
        """Cables that keep out of the attic when it is hotter than a room, or out of a passage."""
        graph = self.cable.graph
        at = self.shop.building.climate_at
        climates = [at(x / 100, y / 100) for x, y, _ in self.places.values()]
        hot = any(c.ceiling_runs == "attic" and c.attic_c > c.room_c for c in climates)
        found = [self._shortest("cool cable")] if hot else []
        for place in graph.passages.values():
            if isinstance(graph, SparseGraph):
                found.append(SparseShortest(graph, [place]))
            else:
                found.append(Shortest(graph, [place]))
        return tuple(found)

    def _shortest(self, method: Method) -> Shortest:
        """Shortest paths by a method; where pairs of places are many they are not joined ahead."""
        if is_large(self.shop):
            return SparseShortest(SparseGraph(self.shop, method))
        return Shortest(RouteGraph(self.shop, method))

    def between(self, start: str, end: str) -> tuple[Way, ...]:
        """The ways from one enclosure to another, cable first."""
        if (start, end) not in self._found:
            if start > end:
                ways = tuple(way.reversed() for way in self.between(end, start))
            else:
                ways = (*self._cables(start, end), *self._through_raceways(start, end))
            self._found[start, end] = ways
        return self._found[start, end]

    def cable_counts(self, start: str, end: str) -> int | None:
        """What the shortest cable counts as [0.0001 ft of easy way]; None when there is none."""
        return self.cable.counts(start, end)

    def sections(self, way: Way) -> tuple[Section, ...]:
        """The pieces of a way, with what each lies in. [ft, °C]"""
        laid = self._laid(way.raceways) if way.method == "raceway" else CABLE_LAID
        return sections(self.shop.building, [_feet(point) for point in way.path], laid)

    def along_walls(self, start: str, end: str) -> Way:
        """Where something unknown most likely lies: any wall or ceiling, else straight through."""
        if self.surface.counts(start, end) is not None:
            path = self.surface.path(start, end)
        else:
            (x, y, z), (to_x, to_y, _) = self.places[start], self.places[end]
            corners = ((x, y, z), (to_x, y, z), (to_x, to_y, z), self.places[end])
            path = straightened(corners)
        return self._way("raceway", path, "in wall")

    def given(self, start: str, end: str, by: Sequence[tuple[float, float, float]]) -> Way:
        """A cable by the points that the owner gives."""
        corners = (self.places[start], *map(point_of, by), self.places[end])
        return self._way("cable", straightened(corners), CABLE_LAID)

    def through(self, start: str, raceways: Sequence[str]) -> Way | None:
        """The way from an enclosure through raceways in this order; None when they do not join."""
        at = start
        for name in raceways:
            if name not in self.raceways or at not in (ends := self.raceways[name].raceway.ends):
                return None
            at = ends[1] if ends[0] == at else ends[0]
        return self._chain(start, list(raceways))

    def _way(self, method: Literal["cable", "raceway"], path: tuple[Xyz, ...], laid: Laid) -> Way:
        ambient = hottest_c(self.shop.building, [_feet(point) for point in path], laid)
        passed = tuple(name for name, place in self.passages.items() if passes(path, place))
        return Way(method, path, path_length_cft(path), ambient, passages=passed)

    def _cables(self, start: str, end: str) -> list[Way]:
        """The least cable, then others that keep clear of heat or of passages, each once."""
        found: list[Way] = []
        for shortest in (self.cable, *self.others):
            if shortest.counts(start, end) is None:
                continue
            if found and shortest is not self.cable and not self._worth_another(found[0]):
                break
            way = self._way("cable", shortest.path(start, end), CABLE_LAID)
            better = all(
                way.ambient_c < old.ambient_c or set(old.passages) - set(way.passages)
                for old in found
            )
            if better:
                found.append(way)
        return found

    def _worth_another(self, way: Way) -> bool:
        """Whether a cable lies in more heat than its ends, or in a passage."""
        building = self.shop.building
        rooms = (building.climate_at(x / 100, y / 100).room_c for x, y, _ in way.path)
        return bool(way.passages) or way.ambient_c > max(rooms)

    # -- raceways

    def _laid(self, names: Iterable[str]) -> Laid:
        """How raceways lie; of several kinds the one that may be hottest."""
        laid = {self.raceways[name].raceway.laid for name in names}
        kinds: tuple[Laid, ...] = ("attic", "in wall", "surface", "buried")
        return next(kind for kind in kinds if kind in laid)

    def _lay(self, raceways: Iterable[Raceway]) -> Mapping[str, RacewayRoute]:
        laid = {}
        for raceway in raceways:
            path = self._raceway_path(raceway)
            if path is not None:
                laid[raceway.id] = RacewayRoute(raceway, path)
        return laid

    def _raceway_path(self, raceway: Raceway) -> tuple[Xyz, ...] | None:
        """Where a raceway lies; None when there is no way for it."""
        first, second = raceway.ends
        if raceway.by:
            corners = (self.places[first], *map(point_of, raceway.by), self.places[second])
            return straightened(corners)
        if raceway.laid == "buried":
            (x, y, z), (to_x, to_y, to_z) = self.places[first], self.places[second]
            deep = -hundredths(raceway.depth_ft)
            return straightened(
                ((x, y, z), (x, y, deep), (to_x, y, deep), (to_x, to_y, deep), (to_x, to_y, to_z))
            )
        shortest = self.surface if raceway.laid == "surface" else self.cable
        if shortest.counts(first, second) is None:
            return None
        return shortest.path(first, second)

    @cached_property
    def _joined(self) -> "nx.Graph[str]":
        """Enclosures as raceways join them; `names` are those side by side, `cft` their least."""
        import networkx as nx

        graph: nx.Graph[str] = nx.Graph()
        for name, route in sorted(self.raceways.items()):
            first, second = route.raceway.ends
            beside = graph.get_edge_data(first, second, {"names": (), "cft": route.length_cft})
            graph.add_edge(
                first,
                second,
                names=(*beside["names"], name),
                cft=min(beside["cft"], route.length_cft),
            )
        return graph

    def _through_raceways(self, start: str, end: str) -> list[Way]:
        """The shortest simple chains of raceways between two enclosures, not through a panel."""
        import networkx as nx

        panels = {panel.id for panel in self.shop.supply.panels} - {start, end}
        joined = self._joined.subgraph(set(self._joined) - panels)
        if start not in joined or end not in joined or not nx.has_path(joined, start, end):
            return []
        stops = nx.shortest_simple_paths(joined, start, end, weight="cft")
        chains = (
            self._chain(start, list(names))
            for path in islice(stops, MOST_CHAINS)
            for names in product(*(joined.edges[leg]["names"] for leg in pairwise(path)))
        )
        ways = list(islice(chains, MOST_CHAINS))
        return sorted(ways, key=lambda way: (way.length_cft, way.raceways))

    def _chain(self, start: str, raceways: list[str]) -> Way:
        """The way through several raceways in a row."""
        path: list[Xyz] = [self.places[start]]
        via: list[str] = []
        at = start
        for name in raceways:
            route = self.raceways[name]
            ends = route.raceway.ends
            piece = route.path if ends[0] == at else route.path[::-1]
            at = ends[1] if ends[0] == at else ends[0]
            path.extend(piece[1:])
            via.append(at)
        points = straightened(path)
        length = sum(self.raceways[name].length_cft for name in raceways)
        ambient = hottest_c(
            self.shop.building, [_feet(point) for point in points], self._laid(raceways)
        )
        wet = any(self.raceways[name].raceway.laid == "buried" for name in raceways)
        return Way("raceway", points, length, ambient, tuple(raceways), tuple(via[:-1]), wet=wet)


def _feet(point: Xyz) -> tuple[float, float, float]:
    x, y, z = point
    return x / 100, y / 100, z / 100


def passes(path: Sequence[Xyz], place: Xyz) -> bool:
    """Whether a path goes through a point."""
    return any(
        all(min(a[i], b[i]) <= place[i] <= max(a[i], b[i]) for i in range(3))
        for a, b in pairwise(path)
    )


def path_length_cft(path: Iterable[Xyz]) -> int:
    """Length of a rectilinear path in hundredths of a foot."""
    return sum(abs(p - q) for a, b in pairwise(path) for p, q in zip(a, b, strict=True))
