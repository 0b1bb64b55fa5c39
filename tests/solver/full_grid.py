"""Every line of a building crossed with every other, walked by SciPy: routes for tests alone."""

from itertools import pairwise

import numpy as np
from scipy.sparse import csr_matrix
from scipy.sparse.csgraph import dijkstra
from shapely import LineString, Point, box, unary_union
from shapely.geometry import Polygon

from models.shop import Shop


class FullGrid:
    """Every line of the building crossed with every other, walked by SciPy.

    Written for the test from the shop alone: ceilings as shapely polygons, walls as grids of all
    marks and all heights. Cable only; passages are at the ceiling.
    """

    def __init__(self, shop: Shop) -> None:
        self.shop, self.building = shop, shop.building
        self.places = {n: self._cft(shop.position(p)) for n, p in shop.enclosures.items()}
        self.outline = Polygon([(100 * x, 100 * y) for x, y in self.building.corners])
        self.passages = [self._cft(shop.position(p))[:2] for p in shop.routes.passages]
        self.index: dict[tuple[int, ...], int] = {}
        self.rows: list[tuple[int, int, float]] = []
        self.feet = shop.routes.foot_counts_as
        self._ceilings()
        self._walls()
        self._fascias()

    @staticmethod
    def _cft(point):
        return tuple(round(100 * value) for value in point)

    def _lines(self, axis):
        found = {self._cft(corner)[axis] for corner in self.building.corners}
        found |= {place[axis] for place in (*self.places.values(), *self.passages)}
        for wall in self.building.all_walls:
            found |= {self._cft(end)[axis] for end in self.building.wall_ends(wall.id)}
        for opening in self.building.openings:
            (x0, _), (x1, _) = self.building.wall_ends(opening.wall)
            if (x0 == x1) == (axis == 1):
                found |= {round(100 * value) for value in opening.between}
        for rectangle in (*self.building.areas, *self.shop.routes.avoid):
            found |= {round(100 * rectangle.low[axis]), round(100 * rectangle.high[axis])}
        for sweep in self._sweeps():
            found |= {round(sweep.bounds[axis]), round(sweep.bounds[axis + 2])}
        return sorted(found)

    def _sweeps(self):
        """What open overhead doors take under a ceiling."""
        for door in self.building.openings:
            if not door.travel_ft:
                continue
            (x0, y0), (_, y1) = self.building.wall_ends(door.wall)
            low, high = sorted(door.between)
            dx, dy = self.building.facing(door.wall, None)
            deep = door.travel_ft
            xs = (low, high) if y0 == y1 else sorted((x0, x0 + dx * deep))
            ys = sorted((y0, y0 + dy * deep)) if y0 == y1 else (low, high)
            yield box(100 * xs[0], 100 * ys[0], 100 * xs[1], 100 * ys[1])

    def _join(self, a, b, counts):
        first, last = (self.index.setdefault(point, len(self.index)) for point in (a, b))
        self.rows.append((first, last, counts))

    def _regions(self):
        """(polygon, climate) of every ceiling that cable may lie at."""
        left = self.outline
        pieces = []
        for area in self.building.areas:
            rectangle = box(*(100 * v for v in (*area.low, *area.high)))
            middle = rectangle.centroid
            pieces.append((rectangle, self.building.climate_at(middle.x / 100, middle.y / 100)))
            left = left.difference(rectangle)
        if left.area > 1:
            inner = left.representative_point()
            pieces.append((left, self.building.climate_at(inner.x / 100, inner.y / 100)))
        for polygon, climate in pieces:
            shut = [
                box(*(100 * v for v in (*a.low, *a.high)))
                for a in self.shop.routes.avoid
                if a.above_ft <= climate.ceiling_ft <= a.below_ft
            ]
            if climate.ceiling_runs == "surface":
                shut += list(self._sweeps())
            yield polygon.difference(unary_union(shut)), climate

    def _on_masonry(self, point, z):
        """Whether a ceiling point is at a masonry partition, whose two sides do not meet there."""
        if point in self.passages:
            return False
        for wall in self.building.partitions:
            line = LineString([self._cft(end) for end in self.building.wall_ends(wall.id)])
            if wall.construction != "masonry" or line.distance(Point(point)) > 0.5:
                continue
            others = [
                LineString([self._cft(end) for end in self.building.wall_ends(other.id)])
                for other in self.building.all_walls
                if other.id != wall.id and other.construction != "masonry"
            ]
            at_end = line.boundary.distance(Point(point)) < 0.5
            if not at_end or not any(other.distance(Point(point)) < 0.5 for other in others):
                return True
        return False

    def _ceilings(self):
        """Each region by itself; at masonry every region has nodes of its own."""
        xs, ys = self._lines(0), self._lines(1)
        for number, (polygon, climate) in enumerate(self._regions()):
            z = round(100 * climate.ceiling_ft)
            across = self.feet.across_joists if climate.ceiling_runs != "surface" else 1.0
            along_x = across if climate.joists == "north-south" else 1.0
            along_y = across if climate.joists == "east-west" else 1.0
            near = polygon.buffer(0.5, join_style="mitre")
            pieces = [((a, y), (b, y), along_x) for y in ys for a, b in pairwise(xs)]
            pieces += [((x, a), (x, b), along_y) for x in xs for a, b in pairwise(ys)]
            for start, end, times in pieces:
                line = LineString([start, end])
                if not near.contains(line):
                    continue
                attic = climate.ceiling_runs == "attic"
                ends = [
                    (*p, z, number) if not attic and self._on_masonry(p, z) else (*p, z)
                    for p in (start, end)
                ]
                counts = round(100 * self.feet.ceiling * times) * line.length
                self._join(ends[0], ends[1], counts)

    def _walls(self):
        xs, ys = self._lines(0), self._lines(1)
        heights = {z for _, _, z in self.places.values()}
        heights |= {round(100 * o.head_ft) + 100 for o in self.building.openings}
        heights |= {round(100 * o.sill_ft) - 50 for o in self.building.openings if o.sill_ft > 0.5}
        heights |= {
            round(100 * v) for a in self.shop.routes.avoid for v in (a.above_ft, a.below_ft)
        }
        heights |= {round(100 * c) for c in self._tops()}
        for wall in self.building.all_walls:
            if wall.construction == "masonry":
                continue
            (x0, y0), (x1, y1) = map(self._cft, self.building.wall_ends(wall.id))
            level = y0 == y1
            low, high = sorted((x0, x1) if level else (y0, y1))
            marks = [m for m in (xs if level else ys) if low <= m <= high]

            def point(mark, z, level=level, x0=x0, y0=y0):
                return (mark, y0, z) if level else (x0, mark, z)

            holes: list[Polygon] = []
            shut: list[Polygon] = []
            for o in self.building.openings:
                if o.wall == wall.id:
                    sill, (low_end, high_end) = 100 * o.sill_ft or -1, sorted(o.between)
                    for found, head in ((holes, o.head_ft), (shut, o.head_ft + 1)):
                        piece = box(100 * low_end, sill, 100 * high_end, 100 * head)
                        found.append(piece.buffer(-0.1, join_style="mitre"))
            for a in self.shop.routes.avoid:
                line = (y0, a.low[1], a.high[1]) if level else (x0, a.low[0], a.high[0])
                if 100 * line[1] <= line[0] <= 100 * line[2]:
                    span = (a.low[0], a.high[0]) if level else (a.low[1], a.high[1])
                    block = box(100 * span[0], 100 * a.above_ft, 100 * span[1], 100 * a.below_ft)
                    holes.append(block.buffer(-0.1, join_style="mitre"))
            hole, solid = unary_union(holes), unary_union(holes + shut)
            rails = [((a, z), (b, z)) for z in heights for a, b in pairwise(marks)]
            risers = [((m, a), (m, b)) for m in marks for a, b in pairwise(sorted(heights))]
            for start, end in rails + risers:
                middle = point((start[0] + end[0]) / 2, 0)
                tops = [
                    round(100 * c.ceiling_ft)
                    for c in self.building.climates_at(middle[0] / 100, middle[1] / 100)
                ]
                top = max(tops)
                above = start[1] >= top if start[1] == end[1] else max(start[1], end[1]) > top
                line = LineString([start, end])
                met = solid if start[1] == end[1] else hole
                if above or min(start[1], end[1]) < 0 or met.intersects(line):
                    continue
                counts = round(100 * self.feet.wall) * line.length
                self._join(point(*start), point(*end), counts)

    def _tops(self):
        found = {self.building.ceiling_ft}
        return found | {a.ceiling_ft for a in self.building.areas if a.ceiling_ft is not None}

    def _fascias(self):
        """Where two ceilings meet without a wall, runs go from one to the other."""
        tops = {round(100 * c) for c in self._tops()}
        levels: dict[tuple[int, int], set[int]] = {}
        for x, y, z, *side in list(self.index):
            if z in tops and not side:
                levels.setdefault((x, y), set()).add(z)
        for (x, y), zs in levels.items():
            for low, high in pairwise(sorted(zs)):
                counts = round(100 * self.feet.wall) * (high - low)
                self._join((x, y, low), (x, y, high), counts)

    def counts(self):
        """What every pair of enclosures counts as apart; infinite where no cable goes."""
        size = (len(self.index), len(self.index))
        first, last, counts = (np.array(column) for column in zip(*self.rows, strict=True))
        best: dict[tuple[int, int], float] = {}
        for a, b, c in zip(first, last, counts, strict=True):
            key = (int(min(a, b)), int(max(a, b)))
            best[key] = min(c, best.get(key, np.inf))
        ends = np.array(list(best))
        graph = csr_matrix((list(best.values()), (ends[:, 0], ends[:, 1])), size)
        there = {n: self.index[p] for n, p in self.places.items() if p in self.index}
        found = dijkstra(graph, directed=False, indices=list(there.values()))
        return {(a, b): found[i, there[b]] for i, a in enumerate(there) for b in there if a != b}
