"""The shop as it was understood: rooms, walls, boxes, machines, and the ways that runs can take.

Nothing is planned here: each box is joined to a panel by its shortest way. Coordinates of the shop
are feet, on the sheet points.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.display import (
    Bounds,
    Circle,
    Drawing,
    Group,
    Line,
    Polyline,
    Rect,
    Shape,
    Xy,
)
from branchwright.sheets.floor_building import (
    draw_dimensions,
    draw_opening,
    draw_walls,
    opening_place,
    outer_corners,
)
from branchwright.sheets.floor_frame import Frame, Side, around, shifted
from branchwright.sheets.floor_labels import Labels
from branchwright.sheets.floor_legend import (
    LEGEND_WIDTH,
    Icon,
    draw_scale,
    draw_section,
    machine_icon,
    panel_icon,
    section_height,
    working_space_icon,
    yoke_icon,
)
from branchwright.sheets.floor_symbols import YOKE_STEP, R, draw_letter, draw_luminaire, draw_yoke
from branchwright.sheets.label_places import Places, Target
from branchwright.sheets.sheet import SHEET_MARGIN, draw_foot, draw_head, foot_height
from branchwright.words import fahrenheit
from models.quantities import feet_inches
from models.shop import (
    WORKING_SPACE_DEPTH_FT,
    WORKING_SPACE_WIDTH_FT,
    Box,
    Panel,
    Place,
    Rectangle,
    Shop,
)
from models.wall_reach import bare_stretches
from solver.survey import Survey

ZOOMS: Final = (1.0, 1.25, 1.55, 1.9, 2.3, 2.8)
HEAD: Final = 62.0
BAND: Final = 13.0
PARTITION_HALF: Final = 3.5
HATCH_STEP: Final = 7.0
DIMENSIONS: Final = 34.0
SURFACE_OFF: Final = 4.0
PANEL_SIZE: Final = (16.0, 6.5)
MACHINE_HALF: Final = 7.0
STACKED_AT_MOST: Final = 6


def shop_plan(shop: Shop, found: Survey) -> Drawing:
    """Draw a shop; grown until every label has room."""
    for zoom in ZOOMS:
        drawing, without_room = _Sheet(shop, found, zoom).draw()
        if not without_room:
            break
    return drawing


class _Sheet:
    """A drawing in the making, at one scale."""

    def __init__(self, shop: Shop, found: Survey, zoom: float) -> None:
        self.shop, self.found, self.building = shop, found, shop.building
        at = (SHEET_MARGIN, SHEET_MARGIN + HEAD)
        self.frame = Frame.of(shop.building, len(shop.boxes), zoom, at, BAND)
        self.symbols: dict[str, Bounds] = {}
        self.lines: list[tuple[Xy, Xy]] = []
        for name, place in shop.enclosures.items():
            self.symbols[name] = self._symbol_place(place)
        self.machines = {m.id: self.frame.at(*m.at) for m in shop.machines if m.at is not None}

    def draw(self) -> tuple[Drawing, list[str]]:
        """The drawing, and the labels that found no room."""
        plot = self.frame.plot
        legend_top = SHEET_MARGIN + HEAD + 6
        sections = list(self._legend())
        legend = sum(section_height(rows) for _, rows in sections) + 70
        bottom = max(plot.bottom, legend_top + legend)
        width = plot.right + LEGEND_WIDTH + SHEET_MARGIN
        says = f"{self.shop.name} as understood: {len(self.shop.boxes)} boxes"
        drawing = Drawing(width, bottom + foot_height() + SHEET_MARGIN, says)
        draw_head(drawing.layer("head"), self.shop.name, "The shop and its ways", width)
        self._draw_building(drawing.layer("building"))
        self._draw_machines(drawing.layer("machines"))
        drawing.layer("ways").add(*self._ways())
        symbols = drawing.layer("symbols")
        for name, place in self.shop.enclosures.items():
            symbols.add(*self._symbol(name, place))
        for spot in self._passages().values():
            symbols.add(_diamond(spot))
        leaders = drawing.layer("leaders")
        labels = Labels(self._taken(), drawing.layer("labels"), leaders)
        self._label(labels)
        layer = drawing.layer("legend")
        x, y = plot.right + 8, legend_top
        for title, rows in sections:
            y = draw_section(layer, title, rows, x, y)
        draw_scale(layer, self.frame, x, y)
        draw_foot(drawing.layer("foot"), (SHEET_MARGIN, bottom), width)
        return drawing, labels.without_room

    # -- building

    def _draw_building(self, layer: Group) -> None:
        """Walls, partitions, areas, zones, openings, places to avoid."""
        layer.add(*draw_walls(self.frame, BAND))
        for wall in self.building.walls:
            if wall.construction == "masonry":
                layer.add(*self._hatch(self._band(self.frame.side(wall.id))))
        for area in self.building.areas:
            layer.add(Rect(self._rectangle(area), styles.AREA_EDGE))
        for zone in self.building.zones:
            layer.add(Rect(self._rectangle(zone), styles.ZONE))
        for avoid in self.shop.routes.avoid:
            bounds = self._rectangle(avoid)
            left, top, right, bottom = bounds
            layer.add(Rect(bounds, styles.KEEP_OUT))
            layer.add(Line((left, top), (right, bottom), styles.KEEP_OUT))
            layer.add(Line((left, bottom), (right, top), styles.KEEP_OUT))
        for partition in self.building.partitions:
            bounds = self._partition(partition.id)
            layer.add(Rect(bounds, styles.PARTITION))
            if partition.construction == "masonry":
                layer.add(*self._hatch(bounds))
        for opening in self.building.openings:
            if place := opening_place(self.frame, opening, BAND):
                layer.add(*draw_opening(self.frame, opening, *place))
            else:
                layer.add(Rect(self._partition(opening.wall, opening.between), styles.OPENING))
        for stretch in bare_stretches(self.shop):
            layer.add(self._bare(stretch.wall, stretch.faces, stretch.begin_ft, stretch.end_ft))
        for panel in self.shop.supply.panels:
            layer.add(self._working_space(panel))
        layer.add(*draw_dimensions(self.frame))

    def _rectangle(self, rectangle: Rectangle) -> Bounds:
        left, bottom = self.frame.at(*rectangle.low)
        right, top = self.frame.at(*rectangle.high)
        return Bounds(left, top, right, bottom)

    def _band(self, side: Side | None) -> Bounds:
        """The band of an outer wall."""
        assert side is not None
        first, last = side.start, shifted(side.end, side.outward, BAND)
        return _bounds(first, last)

    def _partition(self, wall_id: str, between: Xy | None = None) -> Bounds:
        """The body of a partition, or of an opening in it."""
        (x0, y0), (x1, y1) = self.building.wall_ends(wall_id)
        if between is not None:
            (x0, x1) = between if y0 == y1 else (x0, x1)
            (y0, y1) = between if x0 == x1 else (y0, y1)
        bounds = _bounds(self.frame.at(x0, y0), self.frame.at(x1, y1))
        wide = PARTITION_HALF + (0.3 if between else 0.0)
        if bounds.right - bounds.left > bounds.bottom - bounds.top:
            return Bounds(bounds.left, bounds.top - wide, bounds.right, bounds.bottom + wide)
        return Bounds(bounds.left - wide, bounds.top, bounds.right + wide, bounds.bottom)

    def _hatch(self, bounds: Bounds) -> Iterator[Shape]:
        """Slanting strokes over a wall: masonry."""
        left, top, right, bottom = bounds
        level = right - left > bottom - top
        deep = (bottom - top) if level else (right - left)
        long = (right - left) if level else (bottom - top)
        for number in range(int((long - deep) / HATCH_STEP) + 1):
            step = number * HATCH_STEP
            if level:
                yield Line((left + step, bottom), (left + step + deep, top), styles.HATCH)
            else:
                yield Line((left, top + step + deep), (right, top + step), styles.HATCH)

    def _working_space(self, panel: Panel) -> Polyline:
        """Floor to keep free before a panel (NEC 110.26(A))."""
        assert panel.wall is not None
        x, y, _ = self.shop.position(panel)
        dx, dy = self.building.facing(panel.wall, panel.faces)
        half, deep = WORKING_SPACE_WIDTH_FT / 2, WORKING_SPACE_DEPTH_FT
        corners = ((half, 0.0), (half, deep), (-half, deep), (-half, 0.0))
        points = (self.frame.at(x + dy * a + dx * b, y + dx * a + dy * b) for a, b in corners)
        return Polyline(tuple(points), styles.WORKING_SPACE, True)

    def _bare(self, wall_id: str, faces: str, begin: float, end: float) -> Line:
        """A stretch of wall without a receptacle in reach, on its room side."""
        (x0, y0), (_, y1) = self.building.wall_ends(wall_id)
        step = {"north": (0, -1), "south": (0, 1), "east": (1, 0), "west": (-1, 0)}[faces]
        level = y0 == y1
        points = ((begin, y0), (end, y0)) if level else ((x0, begin), (x0, end))
        off = 3.0 if not self.building.is_partition(wall_id) else PARTITION_HALF + 2.5
        first, last = (shifted(self.frame.at(*point), step, off) for point in points)
        return Line(first, last, styles.BARE_WALL)

    # -- machines and boxes

    def _draw_machines(self, layer: Group) -> None:
        for machine in self.shop.machines:
            if machine.id not in self.machines:
                continue
            spot = self.machines[machine.id]
            at = machine.hard_wired_at or (machine.receptacle or "").partition(".")[0]
            if at in self.symbols:
                layer.add(Line(spot, _middle(self.symbols[at]), styles.CORD))
            layer.add(Rect(around(spot, MACHINE_HALF, MACHINE_HALF), styles.MACHINE, 3))

    def _symbol_place(self, place: Place) -> Bounds:
        """Where a symbol stands: against its wall, behind what is there already."""
        x, y, _ = self.shop.position(place)
        spot = self.frame.at(x, y)
        half = PANEL_SIZE if isinstance(place, Panel) else (R, R)
        if isinstance(place, Box) and len(place.yokes) > 1:
            half = (R + YOKE_STEP / 2 * (len(place.yokes) - 1), R)
        into: Xy = (0.0, 0.0)
        if place.wall is not None:
            dx, dy = self.building.facing(place.wall, place.faces)
            into = (dx, -dy)
            if isinstance(place, Box) and place.outdoors:
                into = (-dx, dy)
        if into[0]:
            half = (half[1], half[0])
        deep = half[0] if into[0] else half[1]
        off = 2.5 + deep
        if place.wall is not None and self.building.is_partition(place.wall):
            off += PARTITION_HALF
        if isinstance(place, Box) and place.outdoors:
            off += BAND
        for step in range(STACKED_AT_MOST):
            away = off + step * (2 * deep + 3)
            middle = shifted(spot, into, away) if into != (0.0, 0.0) else (
                spot[0] + step * (2 * half[0] + 3), spot[1]
            )  # fmt: skip
            bounds = around(middle, *half)
            if not any(bounds.overlaps(other, 1.0) for other in self.symbols.values()):
                break
        return bounds

    def _symbol(self, name: str, place: Place) -> Iterator[Shape]:
        """A panel, a junction box, or what is in a box."""
        bounds = self.symbols[name]
        middle = _middle(bounds)
        if isinstance(place, Panel):
            left, top, right, bottom = bounds
            yield Rect(bounds, styles.PANEL)
            half = ((left, bottom), (right, bottom), (right, top))
            yield Polyline(half, styles.SYMBOL_SOLID, True)
        elif not isinstance(place, Box):
            yield from draw_letter(middle, "J")
        elif place.luminaire_watts is not None:
            yield from draw_luminaire(middle)
        else:
            upright = bounds.bottom - bounds.top > bounds.right - bounds.left + 0.1
            sideways = place.wall is not None and self._runs_north(place.wall)
            along: Xy = (0.0, 1.0) if upright or sideways else (1.0, 0.0)
            first = -(len(place.devices) - 1) / 2
            for number, yoke in enumerate(place.devices):
                spot = shifted(middle, along, (first + number) * YOKE_STEP)
                yield from draw_yoke(yoke.kind, yoke.configuration or None, spot, along)
        if any(one.enclosure == name and one.way is None for one in self.found.reached):
            yield Circle(middle, max(bounds.right - bounds.left, R) / 2 + 4, styles.NO_WAY)

    def _runs_north(self, wall_id: str) -> bool:
        (x0, _), (x1, _) = self.building.wall_ends(wall_id)
        return x0 == x1

    # -- ways

    def _ways(self) -> Iterator[Shape]:
        """Every piece of the shortest ways once, by where it lies; raceways as pale tubes."""
        tubes = self._tubes()
        for style in (styles.CASING_EDGE, styles.CASING_BODY):
            yield from (Polyline(points, style) for points in tubes)
        pieces: dict[tuple[str, int, float], list[tuple[float, float]]] = defaultdict(list)
        for one in self.found.reached:
            for piece in self.found.ways.sections(one.way) if one.way else ():
                first, last = (self.frame.at(*point[:2]) for point in (piece.start, piece.end))
                if abs(first[0] - last[0]) + abs(first[1] - last[1]) < 0.01:
                    continue
                first, last = self._moved(first, last, piece.lies)
                axis = 0 if abs(first[1] - last[1]) < 0.01 else 1
                low, high = sorted((first[axis], last[axis]))
                pieces[piece.lies, axis, round(first[1 - axis], 2)].append((low, high))
        for (lies, axis, line), spans in sorted(pieces.items()):
            for low, high in _merged(spans):
                first, last = (
                    ((low, line), (high, line)) if axis == 0 else ((line, low), (line, high))
                )
                self.lines.append((first, last))
                yield Line(first, last, styles.LIES[lies])

    def _tubes(self) -> list[tuple[Xy, ...]]:
        """Every raceway that is seen from above."""
        paths = [route.path for route in self.found.ways.raceways.values()]
        tubes = [self._tube([(x / 100, y / 100) for x, y, _ in path]) for path in paths]
        return [tube for tube in tubes if len(tube) > 1]

    def _passages(self) -> dict[str, Xy]:
        """Where passages are."""
        places = {p.id: self.shop.position(p) for p in self.shop.routes.passages}
        return {name: self.frame.at(x, y) for name, (x, y, _) in places.items()}

    def _moved(self, first: Xy, last: Xy, lies: str) -> tuple[Xy, Xy]:
        """A piece along an outer wall: into the band when in the wall, off it on the surface."""
        side = self.frame.side_of(first, last)
        if side is None or lies in ("attic", "in ceiling", "underground"):
            return first, last
        off = BAND / 2 if lies == "in wall" else -SURFACE_OFF
        return shifted(first, side.outward, off), shifted(last, side.outward, off)

    def _tube(self, path: list[Xy]) -> tuple[Xy, ...]:
        """A raceway seen from above, off the wall that it lies on."""
        spots = [self.frame.at(*point) for point in path]
        moved: list[Xy] = []
        for first, last in pairwise(spots):
            if abs(first[0] - last[0]) + abs(first[1] - last[1]) >= 0.01:
                moved += self._moved(first, last, "on surface")
        return tuple(moved)

    # -- labels

    def _taken(self) -> Places:
        """What labels must keep off."""
        left, top, right, bottom = self.frame.plot
        places = Places(Bounds(left + DIMENSIONS, top, right, bottom - DIMENSIONS))
        places.solid += list(self.symbols.values())
        places.solid += [
            around(spot, MACHINE_HALF, MACHINE_HALF) for spot in self.machines.values()
        ]
        places.solid += [around(spot, R, R) for spot in self._passages().values()]
        places.lines += self.lines
        for tube in self._tubes():
            places.add_line(tube)
        outer = list(outer_corners(self.frame, BAND))
        inner = [side.start for side in self.frame.sides]
        for face in (inner, outer):
            places.add_line([*face, face[0]])
        for partition in self.building.partitions:
            body = self._partition(partition.id)
            places.add_line([(body.left, body.top), (body.right, body.bottom)])
        return places

    def _label(self, labels: Labels) -> None:
        """Names: panels and boxes, machines, areas, raceways, zones, openings, walls."""
        for name, place in self.shop.enclosures.items():
            text = f"panel {name}" if isinstance(place, Panel) else name
            labels.lines(name, [(text, styles.BOX_LABEL)], [self._beside(name, place)])
        for machine in self.shop.machines:
            if machine.id in self.machines:
                target = Target(self.machines[machine.id], MACHINE_HALF, MACHINE_HALF)
                labels.lines(
                    machine.id, [(machine.name or machine.id, styles.MACHINE_LABEL)], [target]
                )
        for area in self.building.areas:
            labels.lines(area.id, self._area_words(area.id, area), self._inside(area))
        if not self.building.areas:
            labels.lines("room", self._area_words("room", None), self._inside(None))
        for raceway, route in self.found.ways.raceways.items():
            text = f"{raceway}  {route.raceway.trade_size} {route.raceway.kind}"
            points = [self.frame.at(x / 100, y / 100) for x, y, _ in route.path]
            middle = points[len(points) // 2]
            labels.lines(raceway, [(text, styles.PLAIN_LABEL)], [Target(middle, 5, 5)])
        for name, spot in self._passages().items():
            labels.lines(name, [(name, styles.PLAIN_LABEL)], [Target(spot, R, R)])
        for rectangle in (*self.building.zones, *self.shop.routes.avoid):
            bounds = self._rectangle(rectangle)
            corner = Target((bounds.left + 4, bounds.top + 4), 1, 1, (1.0, 1.0))
            labels.lines(rectangle.id, [(rectangle.id, styles.PLAIN_LABEL)], [corner])
        for opening in self.building.openings:
            gap = opening_place(self.frame, opening, BAND)
            bounds = gap[1] if gap else self._partition(opening.wall, opening.between)
            prefers = gap[0].outward if gap else (0.0, 1.0)
            half = ((bounds.right - bounds.left) / 4, (bounds.bottom - bounds.top) / 4)
            target = Target(_middle(bounds), max(half[0], 4), max(half[1], 4), prefers)
            labels.lines(opening.id, [(opening.kind, styles.PLAIN_LABEL)], [target])
        for wall in self.building.all_walls:
            texts = [(wall.id, styles.PLAIN_LABEL), (wall.construction, styles.PLAIN_LABEL)]
            labels.lines(wall.id, texts, self._at_wall(wall.id))

    def _beside(self, name: str, place: Place) -> Target:
        """Where the label of a symbol goes: on towards the room."""
        bounds = self.symbols[name]
        half = ((bounds.right - bounds.left) / 2, (bounds.bottom - bounds.top) / 2)
        prefers: Xy = (0.0, 1.0)
        if place.wall is not None:
            dx, dy = self.building.facing(place.wall, place.faces)
            prefers = (dx, -dy)
            if isinstance(place, Box) and place.outdoors:
                prefers = (-dx, dy)
        return Target(_middle(bounds), *half, prefers)

    def _area_words(self, name: str, area: Rectangle | None) -> list[tuple[str, styles.Lettering]]:
        """Name, ceiling, what runs over it, joists and heat."""
        low, high = (area.low, area.high) if area else ((0.0, 0.0), (0.0, 0.0))
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        at = middle if area else self.building.corners[0]
        climate = self.building.climate_at(*at)
        heat = fahrenheit(climate.room_c)
        if climate.ceiling_runs == "attic":
            heat += f", attic {fahrenheit(climate.attic_c)}"
        ceiling = f"ceiling {feet_inches(climate.ceiling_ft)}, runs: {climate.ceiling_runs}"
        joists = f"joists {climate.joists}" if climate.joists else ""
        return [
            (name, styles.coloured(styles.STRONG, styles.SOFT)),
            (ceiling, styles.PLAIN_LABEL),
            (joists, styles.PLAIN_LABEL),
            (heat, styles.PLAIN_LABEL),
        ]

    def _inside(self, area: Rectangle | None) -> list[Target]:
        """Places inside an area for its name."""
        bounds = self._rectangle(area) if area else self.frame.bounds
        found = []
        for across in (0.5, 0.3, 0.7, 0.15, 0.85):
            for down in (0.5, 0.25, 0.75):
                x = bounds.left + (bounds.right - bounds.left) * across
                y = bounds.top + (bounds.bottom - bounds.top) * down
                found.append(Target((x, y), 0, 0))
        return found

    def _at_wall(self, wall_id: str) -> list[Target]:
        """Places beside a wall for its name: outside of an outer one."""
        side = self.frame.side(wall_id)
        first, last = (self.frame.at(*end) for end in self.building.wall_ends(wall_id))
        found = []
        for part in (0.5, 0.3, 0.7, 0.15, 0.85):
            spot = (first[0] + (last[0] - first[0]) * part, first[1] + (last[1] - first[1]) * part)
            reach = BAND if side else PARTITION_HALF
            level = abs(first[1] - last[1]) < 0.01
            half = (4.0, reach) if level else (reach, 4.0)
            found.append(Target(spot, *half, side.outward if side else (0.0, 1.0)))
        return found

    # -- legend

    def _legend(self) -> Iterator[tuple[str, list[tuple[str, Icon]]]]:
        """The symbols, walls and ways that this shop has."""
        found: dict[str, Icon] = {"panel": panel_icon}
        found["working space, 30 in × 36 in"] = working_space_icon
        for box in self.shop.boxes:
            for yoke in box.devices:
                says, icon = yoke_icon(yoke.kind, yoke.configuration or None)
                found.setdefault(says, icon)
        if any(box.luminaire_watts is not None for box in self.shop.boxes):
            found["luminaire"] = draw_luminaire
        if self.shop.routes.junction_boxes:
            found["junction box"] = lambda middle: draw_letter(middle, "J")
        if self.shop.routes.passages:
            found["passage"] = lambda middle: [_diamond(middle)]
        if self.machines:
            found["machine and its cord"] = machine_icon
        yield "SYMBOLS", list(found.items())
        yield "WALLS", list(self._wall_rows())
        lies = sorted({kind for one in self.found.reached for kind, _ in one.lies})
        rows: list[tuple[str, Icon]] = [(kind, _way_icon(kind)) for kind in lies]
        if self.found.ways.raceways:
            rows.append(("raceway", _tube_icon))
        yield "SHORTEST WAYS TO A PANEL", rows

    def _wall_rows(self) -> Iterator[tuple[str, Icon]]:
        walls = self.building.all_walls
        if any(wall.construction != "masonry" for wall in walls):
            yield "stud wall", lambda at: [Rect(around(at, 15, 4), styles.PARTITION)]
        if any(wall.construction == "masonry" for wall in walls):
            yield (
                "masonry: raceway on the surface only",
                lambda at: [
                    Rect(around(at, 15, 4), styles.PARTITION),
                    *self._hatch(around(at, 15, 4)),
                ],
            )
        if self.building.areas:
            yield "area", lambda at: [Rect(around(at, 15, 6), styles.AREA_EDGE)]
        if self.building.zones:
            yield "zone", lambda at: [Rect(around(at, 15, 6), styles.ZONE)]
        if self.shop.routes.avoid:
            yield "no run goes here", _keep_out_icon
        if bare_stretches(self.shop):
            yield "nothing in reach of a 6 ft cord", _bare_icon
        if any(one.way is None for one in self.found.reached):
            yield "no way leads here", lambda at: [Circle(at, 8, styles.NO_WAY)]


def _diamond(middle: Xy) -> Shape:
    """A passage."""
    x, y = middle
    points = ((x, y - R), (x + R, y), (x, y + R), (x - R, y))
    return Polyline(points, styles.SYMBOL, True)


def _way_icon(kind: str) -> Icon:
    return lambda at: [Line((at[0] - 16, at[1]), (at[0] + 16, at[1]), styles.LIES[kind])]


def _tube_icon(at: Xy) -> list[Shape]:
    ends = ((at[0] - 16, at[1]), (at[0] + 16, at[1]))
    return [Polyline(ends, styles.CASING_EDGE), Polyline(ends, styles.CASING_BODY)]


def _bare_icon(at: Xy) -> list[Shape]:
    return [Line((at[0] - 15, at[1]), (at[0] + 15, at[1]), styles.BARE_WALL)]


def _keep_out_icon(at: Xy) -> list[Shape]:
    box = around(at, 12, 6)
    return [
        Rect(box, styles.KEEP_OUT),
        Line((box.left, box.top), (box.right, box.bottom), styles.KEEP_OUT),
        Line((box.left, box.bottom), (box.right, box.top), styles.KEEP_OUT),
    ]


def _bounds(first: Xy, last: Xy) -> Bounds:
    """The rectangle between two points."""
    xs, ys = sorted((first[0], last[0])), sorted((first[1], last[1]))
    return Bounds(xs[0], ys[0], xs[1], ys[1])


def _middle(bounds: Bounds) -> Xy:
    """The middle of a rectangle."""
    return (bounds.left + bounds.right) / 2, (bounds.top + bounds.bottom) / 2


def _merged(spans: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Spans joined where they touch."""
    low, high = sorted(spans)[0]
    for begin, end in sorted(spans)[1:]:
        if begin > high + 0.01:
            yield low, high
            low, high = begin, end
        else:
            high = max(high, end)
    yield low, high
