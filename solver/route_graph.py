"""The route graph: every way a cable, or a raceway on the surface, can take through a building.

Walls are grids of the places on them, box heights, and ways over and under openings. On ceilings
every place sends out rays along both axes to the lines of the floor, runs go along these lines, and
two places with nothing between them are joined by one bend. That holds a shortest way square to the
axes: any other can be slid until its straight pieces lie on such lines (Clarkson, Kapoor and Vaidya
1987, from memory). Whole hundredths of a foot; a node is a point and the sides of masonry it is on.
"""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import Final

from models.shop import Opening, Place, Shop, Wall
from solver.floor import (
    PERCENT,
    Floor,
    Method,
    Node,
    Token,
    Xy,
    Xyz,
    hundredths,
    level_wall,
    on_segment,
    point_of,
)

OVER_HEAD_CFT: Final = 100  # a run passes 1 ft above an opening, over its header: common practice
UNDER_SILL_CFT: Final = 50  # and 6 in below a sill: common practice


class RouteGraph(Floor):
    """Edges between nodes with what they count as, for one method; `bends` are corners within."""

    def __init__(self, shop: Shop, method: Method) -> None:
        super().__init__(shop, method)
        self.wall_counts = round(PERCENT * self.feet.wall)
        self.edges: dict[tuple[Node, Node], tuple[int, tuple[Xy, ...]]] = {}
        self.columns: dict[tuple[int, int, Token], set[int]] = defaultdict(set)
        self._nodes: dict[str, Node] = {}
        self.passages = {p.id: self._passage_place(p) for p in shop.routes.passages}
        self.meets: tuple[dict[int, set[int]], dict[int, set[int]]] = ({}, {})
        if set(self.feet.model_dump().values()) != {1.0}:
            self._meet_walls()
        self._add_walls()
        self._add_ceilings()
        self._add_passages()
        self._add_steps()

    # -- nodes and edges

    def node(self, name: str) -> Node:
        """The node of an enclosure."""
        if name not in self._nodes:
            self._nodes[name] = self._node(name)
        return self._nodes[name]

    def _node(self, name: str) -> Node:
        place = self.shop.enclosures[name]
        x, y, z = point_of(self.shop.position(place))
        stands = self.shop.stands_in(place)
        return x, y, z, self.token(x, y, (stands[0] * 100, stands[1] * 100))

    def _add(self, first: Node, last: Node, counts: int, bends: tuple[Xy, ...] = ()) -> None:
        """Join two nodes; of two joints the shorter stays."""
        if first == last:
            return
        key = (first, last) if first < last else (last, first)
        old = self.edges.get(key)
        if old is None or counts < old[0]:
            self.edges[key] = counts, bends
        elif counts == old[0] and bends:
            self.edges[key] = counts, tuple(sorted({*old[1], *bends}))

    # -- walls

    def _passage_place(self, passage: Place) -> Xyz:
        """Where a passage is; without a height at the ceiling."""
        x, y, z = point_of(self.shop.position(passage))
        if passage.height_ft is None:
            z = min(hundredths(c.ceiling_ft) for c in self.building.climates_at(x / 100, y / 100))
        return x, y, z

    def _places_on(self, wall: Wall) -> Iterator[Xyz]:
        for place in self.shop.enclosures.values():
            if place.wall == wall.id:
                yield point_of(self.shop.position(place))
        for passage in self.shop.routes.passages:
            if passage.wall == wall.id:
                yield self.passages[passage.id]

    def _add_walls(self) -> None:
        heights = {
            point_of(self.shop.position(place))[2]
            for place in self.shop.enclosures.values()
            if place.wall is not None
        }
        heights |= {z for _, _, z in self.passages.values()}
        heights |= {cell.z for cell in self.cells.values()}
        for opening in self.building.openings:
            heights.add(hundredths(opening.head_ft) + OVER_HEAD_CFT)
            if opening.sill_ft > 0:
                heights.add(max(0, hundredths(opening.sill_ft) - UNDER_SILL_CFT))
        shared = [self.ends(wall) for wall in self.walls]
        for wall in self.walls:
            self._add_wall(wall, heights, [end for ends in shared for end in ends])
        for (x, y, token), zs in sorted(self.columns.items()):
            for low, high in pairwise(sorted(zs)):
                if not self._riser_blocked(x, y, (low + high) / 2):
                    first, last = (x, y, low, token), (x, y, high, token)
                    self._add(first, last, (high - low) * self.wall_counts)

    def _riser_blocked(self, x: int, y: int, z: float) -> bool:
        """Whether a riser meets an opening of every wall it could be in, or a block."""
        if any(block.covers(x, y, z) for block in self.blocks):
            return True
        walls = [wall for wall in self.walls if on_segment(self.ends(wall), (x, y))]
        return bool(walls) and all(
            any(_blocks(o, along, along, z) for o in self._openings(wall))
            for wall in walls
            for along in [x if level_wall(self.ends(wall)) else y]
        )

    def _openings(self, wall: Wall) -> list[Opening]:
        return [o for o in self.building.openings if o.wall == wall.id]

    def _add_wall(self, wall: Wall, heights: set[int], ends: Sequence[Xy]) -> None:
        """The grid of one wall."""
        first, last = self.ends(wall)
        level = level_wall((first, last))
        axis = 0 if level else 1
        low, high = sorted((first[axis], last[axis]))
        line = first[1 - axis]
        marks = {low, high} | {end[axis] for end in ends if on_segment((first, last), end)}
        zs = set(heights)
        for x, y, z in self._places_on(wall):
            marks.add(x if level else y)
            zs.add(z)
        for opening in self._openings(wall):
            marks.update(hundredths(value) for value in opening.between)
        for block in self.blocks:
            if block.x[0] <= max(first[0], last[0]) and block.x[1] >= min(first[0], last[0]):
                marks.update(mark for mark in (block.x, block.y)[axis] if low < mark < high)
                zs.update(z for z in block.z if z > 0)
        for edge in (self.xs, self.ys)[axis]:
            if low < edge < high and self._ceiling_changes(edge, line, level):
                marks.add(edge)
        marks.update(m for m in self.meets[1 - axis].get(line, ()) if low < m < high)
        self._add_grid(wall, sorted(marks), sorted(zs), line)

    def _ceiling_changes(self, along: int, line: int, level: bool) -> bool:
        """Whether two ceilings meet over a place of a wall."""
        x, y = (along, line) if level else (line, along)
        return len(self.building.climates_at(x / 100, y / 100)) > 1

    def _add_grid(self, wall: Wall, marks: Sequence[int], zs: Sequence[int], line: int) -> None:
        level = level_wall(self.ends(wall))
        openings = self._openings(wall)
        masonry = [b for b in self.barriers if b.line == line and b.axis == (0 if level else 1)]
        sides = (-1, 1) if any(b.low <= marks[0] and b.high >= marks[-1] for b in masonry) else (0,)

        def point(mark: int) -> Xy:
            return (mark, line) if level else (line, mark)

        def beside(mark: float, side: int) -> tuple[float, float]:
            return (mark, line + side) if level else (line + side, mark)

        for side in sides:
            for left, right in pairwise(marks):
                middle = (left + right) / 2
                towards = beside(middle, side)
                top = max(
                    hundredths(c.ceiling_ft)
                    for c in self.building.climates_at(*(v / 100 for v in beside(middle, 0)))
                )
                for z in zs:
                    over = z < top and not any(
                        _blocks(o, left, right, z, OVER_HEAD_CFT) for o in openings
                    )
                    if not over or any(b.covers(*beside(middle, 0), z) for b in self.blocks):
                        continue
                    nodes = [(*point(m), z, self.token(*point(m), towards)) for m in (left, right)]
                    self._add(nodes[0], nodes[1], (right - left) * self.wall_counts)
            for number, mark in enumerate(marks):
                x, y = point(mark)
                nexts = [m for m in (number - 1, number + 1) if 0 <= m < len(marks)]
                tokens = {
                    self.token(x, y, beside((mark + marks[other]) / 2, side)) for other in nexts
                }
                tops = {
                    hundredths(c.ceiling_ft) for c in self.building.climates_at(x / 100, y / 100)
                }
                for token in tokens:
                    self.columns[x, y, token].update(z for z in zs if z < max(tops))
                    self.columns[x, y, token].update(tops)

    # -- ceilings

    def _add_piece(self, x0: int, y0: int, x1: int, y1: int) -> bool:
        """A straight piece of ceiling run inside one column or row of cells, where it is free."""
        x, y = (x0 + x1) / 2, (y0 + y1) / 2
        axis = 0 if y0 == y1 else 1
        length = abs(x1 - x0) + abs(y1 - y0)
        found = self.levels(x, y)
        for cell, inside in found:
            towards = (x, y + (inside[1] - y) / 9) if axis == 0 else (x + (inside[0] - x) / 9, y)
            first = (x0, y0, cell.z, self.token(x0, y0, towards))
            last = (x1, y1, cell.z, self.token(x1, y1, towards))
            self._add(first, last, length * cell.across[axis])
        return bool(found)

    def _add_ceilings(self) -> None:
        """Rays from every place, the lines they meet, and bends between places."""
        on_x: dict[int, set[int]] = {x: set(self.ys) for x in self.xs}
        on_y: dict[int, set[int]] = {y: set(self.xs) for y in self.ys}
        for x, y, _ in self.columns:
            if x in on_x:
                on_x[x].add(y)
            if y in on_y:
                on_y[y].add(x)
        places = sorted(self._ceiling_places())
        for x, y in places:
            self._add_rays(x, y, on_x, on_y)
        for x, marks in on_x.items():
            for low, high in pairwise(sorted(marks)):
                self._add_piece(x, low, x, high)
        for y, marks in on_y.items():
            for low, high in pairwise(sorted(marks)):
                self._add_piece(low, y, high, y)
        self._join(places)

    def _join(self, places: Sequence[Xy]) -> None:
        """Join all pairs of places that a straight piece or a bend under one ceiling joins."""
        for z in sorted({cell.z for cell in self.cells.values()}):
            at_z = [
                (x, y)
                for x, y in places
                if any(cell.z == z for cell, _ in self.levels(x, y))
                and not any(barrier.holds(x, y) for barrier in self.barriers)
            ]
            for first, last in combinations(at_z, 2):
                self._add_bend(first, last, z)

    def _meet_walls(self) -> None:
        """Where the rays of places meet lines: risers may be worth while there if feet differ."""
        on_x: dict[int, set[int]] = defaultdict(set)
        on_y: dict[int, set[int]] = defaultdict(set)
        for x, y in sorted(self._ceiling_places()):
            self._add_rays(x, y, on_x, on_y)
        self.meets = on_x, on_y

    def _ceiling_places(self) -> set[Xy]:
        """Where places are under or over the ceiling, or have a riser to it."""
        found = {point_of(self.shop.position(p))[:2] for p in self.shop.enclosures.values()}
        return found | {place[:2] for place in self.passages.values()}

    def _add_rays(
        self, x: int, y: int, on_x: dict[int, set[int]], on_y: dict[int, set[int]]
    ) -> None:
        for lines, at, across in ((self.xs, x, on_x), (self.ys, y, on_y)):
            for way in (
                [line for line in lines if line > at],
                [line for line in reversed(lines) if line < at],
            ):
                here = at
                for line in way:
                    if lines is self.xs:
                        free = self._add_piece(here, y, line, y)
                    else:
                        free = self._add_piece(x, here, x, line)
                    if not free:
                        break
                    across[line].add(y if lines is self.xs else x)
                    here = line
        if x in on_x:
            on_x[x].add(y)
        if y in on_y:
            on_y[y].add(x)

    def _add_bend(self, first: Xy, last: Xy, z: int) -> None:
        """Join two places at one ceiling by a straight piece, or by two with a bend."""
        ends = (*first, z, ()), (*last, z, ())
        for corner in ((last[0], first[1]), (first[0], last[1])):
            before, after = self.leg(first, corner, z), self.leg(corner, last, z)
            if before is not None and after is not None:
                bends = () if corner in (first, last) else (corner,)
                self._add(*ends, before + after, bends)

    # -- passages and steps

    def _add_passages(self) -> None:
        """A passage joins both sides of the masonry it goes through."""
        for x, y, z in self.passages.values():
            tokens = sorted({token for (a, b, token) in self.columns if (a, b) == (x, y)})
            tokens += sorted({n[3] for edge in self.edges for n in edge if n[:3] == (x, y, z)})
            for first, last in pairwise(dict.fromkeys(tokens)):
                self._add((x, y, z, first), (x, y, z, last), 0)

    def _add_steps(self) -> None:
        """Where two ceilings meet, runs go from one to the other."""
        levels: dict[tuple[int, int, Token], set[int]] = defaultdict(set)
        ceilings = {cell.z for cell in self.cells.values()}
        for edge in self.edges:
            for x, y, z, token in edge:
                if z in ceilings:
                    levels[x, y, token].add(z)
        for (x, y, token), zs in sorted(levels.items()):
            for low, high in pairwise(sorted(zs)):
                if not any(block.covers(x, y, (low + high) / 2) for block in self.blocks):
                    counts = (high - low) * self.wall_counts
                    self._add((x, y, low, token), (x, y, high, token), counts)


def _blocks(opening: Opening, left: int, right: int, z: float, header: int = 0) -> bool:
    """Whether a piece of wall from `left` to `right` at height `z` meets an opening or header."""
    low, high = sorted(hundredths(value) for value in opening.between)
    above_sill = opening.sill_ft == 0 or z > hundredths(opening.sill_ft)
    below_head = z < hundredths(opening.head_ft) + header
    return above_sill and below_head and left < high and right > low
