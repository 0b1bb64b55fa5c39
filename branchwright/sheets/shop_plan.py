"""The shop as it was understood: rooms, walls, boxes, machines, and the ways that runs can take.

Nothing is planned here: each box is joined to a panel by its shortest way. Coordinates of the shop
are feet, on the sheet points.
"""

from collections.abc import Iterator
from typing import Final

from branchwright.measures import length_words
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
    door_ways,
    opening_place,
    outer_corners,
)
from branchwright.sheets.floor_frame import Frame, around, shifted
from branchwright.sheets.floor_labels import Labels, with_room
from branchwright.sheets.floor_legend import (
    LEGEND_WIDTH,
    draw_scale,
    draw_section,
    section_height,
)
from branchwright.sheets.floor_symbols import YOKE_STEP, R, draw_letter, draw_luminaire, draw_yoke
from branchwright.sheets.label_places import DOOR_WEIGHT, Places, Target
from branchwright.sheets.sheet import SHEET_MARGIN, draw_foot, draw_head, foot_height
from branchwright.sheets.shop_legend import diamond, shop_legend
from branchwright.sheets.shop_rooms import BAND, PARTITION_HALF, Rooms, bounds_of
from branchwright.sheets.shop_ways import DrawnWays
from branchwright.words import fahrenheit
from models.shop import (
    Box,
    Panel,
    Place,
    Rectangle,
    Shop,
)
from solver.survey import Survey

ZOOMS: Final = (1.0, 1.25, 1.55, 1.9, 2.3, 2.8)
HEAD: Final = 62.0
DIMENSIONS: Final = 34.0
PANEL_SIZE: Final = (16.0, 6.5)
MACHINE_HALF: Final = 7.0
STACKED_AT_MOST: Final = 6


def shop_plan(shop: Shop, found: Survey) -> Drawing:
    """Draw a shop; grown until every label has room."""
    return with_room(ZOOMS, lambda zoom, every: _Sheet(shop, found, zoom).draw(every))


class _Sheet:
    """A drawing in the making, at one scale."""

    def __init__(self, shop: Shop, found: Survey, zoom: float) -> None:
        self.shop, self.found, self.building = shop, found, shop.building
        at = (SHEET_MARGIN, SHEET_MARGIN + HEAD)
        self.frame = Frame.of(shop.building, len(shop.boxes), zoom, at, BAND)
        self.symbols: dict[str, Bounds] = {}
        self.rooms, self.ways = Rooms(shop, self.frame), DrawnWays(found, self.frame)
        for name, place in shop.enclosures.items():
            self.symbols[name] = self._symbol_place(place)
        self.machines = {m.id: self.frame.at(*m.at) for m in shop.machines if m.at is not None}

    def draw(self, every_label: bool) -> Drawing:
        """The drawing."""
        plot = self.frame.plot
        legend_top = SHEET_MARGIN + HEAD + 6
        sections = list(shop_legend(self.shop, self.found))
        legend = sum(section_height(rows) for _, rows in sections) + 70
        bottom = max(plot.bottom, legend_top + legend)
        width = plot.right + LEGEND_WIDTH + SHEET_MARGIN
        says = f"{self.shop.name} as understood: {len(self.shop.boxes)} boxes"
        drawing = Drawing(width, bottom + foot_height() + SHEET_MARGIN, says)
        draw_head(drawing.layer("head"), self.shop.name, "The shop and its ways", width)
        self.rooms.draw(drawing.layer("building"))
        self._draw_machines(drawing.layer("machines"))
        drawing.layer("ways").add(*self.ways.shapes())
        symbols = drawing.layer("symbols")
        for name, place in self.shop.enclosures.items():
            symbols.add(*self._symbol(name, place))
        for spot in self._passages().values():
            symbols.add(diamond(spot))
        leaders = drawing.layer("leaders")
        labels = Labels(self._taken(), drawing.layer("labels"), leaders, every_label)
        self._label(labels)
        layer = drawing.layer("legend")
        x, y = plot.right + 8, legend_top
        for title, rows in sections:
            y = draw_section(layer, title, rows, x, y)
        draw_scale(layer, self.frame.scale, x, y)
        draw_foot(drawing.layer("foot"), (SHEET_MARGIN, bottom), width)
        return drawing

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
        into = self._away_from_wall(place) or (0.0, 0.0)
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

    def _passages(self) -> dict[str, Xy]:
        """Where passages are."""
        places = {p.id: self.shop.position(p) for p in self.shop.routes.passages}
        return {name: self.frame.at(x, y) for name, (x, y, _) in places.items()}

    # -- labels

    def _taken(self) -> Places:
        """What labels must keep off."""
        left, top, right, bottom = self.frame.plot
        places = Places(Bounds(left + DIMENSIONS, top, right, bottom - DIMENSIONS))
        places.add_solid(self.symbols.values())
        places.add_solid(
            around(spot, MACHINE_HALF, MACHINE_HALF) for spot in self.machines.values()
        )
        places.add_solid(around(spot, R, R) for spot in self._passages().values())
        for line in self.ways.lines:
            places.add_line(line)
        for tube in self.ways.tubes():
            places.add_line(tube)
        outer = list(outer_corners(self.frame, BAND))
        inner = [side.start for side in self.frame.sides]
        for face in (inner, outer):
            places.add_line([*face, face[0]])
        for partition in self.building.partitions:
            body = self.rooms.partition(partition.id)
            places.add_line([(body.left, body.top), (body.right, body.bottom)])
        for way in door_ways(self.frame, BAND):
            places.add_line(way.points, DOOR_WEIGHT)
        for panel in self.shop.supply.panels:
            corners = self.rooms.working_space(panel).points
            places.add_line((*corners, corners[0]))
            places.add_open(bounds_of(corners[0], corners[2]))
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
            bounds = self.rooms.rectangle(rectangle)
            corner = Target((bounds.left + 4, bounds.top + 4), 1, 1, (1.0, 1.0))
            labels.lines(rectangle.id, [(rectangle.id, styles.PLAIN_LABEL)], [corner])
        for opening in self.building.openings:
            gap = opening_place(self.frame, opening, BAND)
            bounds = gap[1] if gap else self.rooms.partition(opening.wall, opening.between)
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
        return Target(_middle(bounds), *half, self._away_from_wall(place) or (0.0, 1.0))

    def _away_from_wall(self, place: Place) -> Xy | None:
        """The step on paper from a wall towards the side that a place is on; None on a ceiling."""
        if place.wall is None:
            return None
        dx, dy = self.building.facing(place.wall, place.faces)
        outdoors = isinstance(place, Box) and place.outdoors
        return (-dx, dy) if outdoors else (dx, -dy)

    def _area_words(self, name: str, area: Rectangle | None) -> list[tuple[str, styles.Lettering]]:
        """Name, ceiling, what runs over it, joists and heat."""
        low, high = (area.low, area.high) if area else ((0.0, 0.0), (0.0, 0.0))
        middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
        at = middle if area else self.building.corners[0]
        climate = self.building.climate_at(*at)
        heat = fahrenheit(climate.room_c)
        if climate.ceiling_runs == "attic":
            heat += f", attic {fahrenheit(climate.attic_c)}"
        ceiling = f"ceiling {length_words(climate.ceiling_ft)}, runs: {climate.ceiling_runs}"
        joists = f"joists {climate.joists}" if climate.joists else ""
        return [
            (name, styles.coloured(styles.STRONG, styles.SOFT)),
            (ceiling, styles.PLAIN_LABEL),
            (joists, styles.PLAIN_LABEL),
            (heat, styles.PLAIN_LABEL),
        ]

    def _inside(self, area: Rectangle | None) -> list[Target]:
        """Places inside an area for its name."""
        bounds = self.rooms.rectangle(area) if area else self.frame.bounds
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


def _middle(bounds: Bounds) -> Xy:
    """The middle of a rectangle."""
    return (bounds.left + bounds.right) / 2, (bounds.top + bounds.bottom) / 2
