"""The floor plan: building, boxes, machines, panel and every run in its true place.

Only paths and places that the plan states are drawn; the outline and its openings come from the
shop that the plan carries. Coordinates in the plan are feet, on the sheet points.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from branchwright.later_words import later_names
from branchwright.readings import shop_of
from branchwright.sheets import styles
from branchwright.sheets.box_schedule import box_circuits
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Polyline, Rect, Thing, Xy
from branchwright.sheets.floor_building import (
    door_ways,
    draw_dimensions,
    draw_opening,
    draw_walls,
    opening_place,
    outer_corners,
    working_space,
)
from branchwright.sheets.floor_frame import Frame, around, point_along, polyline_length
from branchwright.sheets.floor_labels import Labels, end_marks, with_room
from branchwright.sheets.floor_legend import (
    LEGEND_WIDTH,
    draw_legend,
    draw_scale,
    legend_height,
)
from branchwright.sheets.floor_runs import DrawnRun, band_width, drawn_runs, route
from branchwright.sheets.floor_symbols import (
    Placed,
    draw_box,
    draw_marker,
    draw_panel,
    place_symbols,
)
from branchwright.sheets.label_places import DOOR_WEIGHT, WALL_WEIGHT, Places, Target
from branchwright.sheets.sheet import (
    SHEET_MARGIN,
    draw_foot,
    draw_head,
    foot_height,
    violation_count,
)
from branchwright.sheets.shop_rooms import Rooms, bounds_of
from branchwright.words import machine_words, wall_words
from models.naming import natural
from models.plan import BoxPlan, Plan
from models.shop import Shop

TRIES: Final = (*((zoom, False) for zoom in (1.0, 1.2, 1.45, 1.75, 2.1, 2.5)), (2.5, True))
HEAD: Final = 62.0
MACHINE_HALF: Final = 7.0
DIMENSIONS: Final = 34.0
END_STEP: Final = 7.5
NO_CIRCUIT: Final = frozenset([""])


def floor_plan(plan: Plan) -> Drawing:
    """Draw the floor plan; grown until every label has room, at worst on runs."""
    return placed_floor_plan(plan)[0]


def placed_floor_plan(plan: Plan) -> tuple[Drawing, Frame]:
    """The floor plan, and where the building lies on it."""
    shop = shop_of(plan)

    def drawn(at: tuple[float, bool], every_label: bool) -> tuple[Drawing, Frame]:
        zoom, crowded = at
        sheet = _Sheet.laid_out(plan, shop, zoom)
        return sheet.draw(crowded, every_label), sheet.frame

    return with_room(TRIES, drawn)


@dataclass
class _Sheet:
    """A floor plan in the making, at one scale."""

    plan: Plan
    shop: Shop
    frame: Frame
    runs: list[DrawnRun]
    band: float
    symbols: dict[str, Placed]

    @classmethod
    def laid_out(cls, plan: Plan, shop: Shop, zoom: float) -> "_Sheet":
        """Choose scale and lanes, place symbols, route runs."""
        at = (SHEET_MARGIN, SHEET_MARGIN + HEAD)
        band = 0.0
        for _ in range(2):  # the walls' width, and with it the margin, is known after the lanes
            frame = Frame.of(shop.building, len(plan.boxes), zoom, at, band)
            runs = drawn_runs(plan, frame)
            band = band_width(runs)
        symbols = place_symbols(plan, frame, band)
        sheet = cls(plan, shop, frame, runs, band, symbols)
        sheet._route()
        return sheet

    def _route(self) -> None:
        """Give each run its own way into the symbols at its ends, then its points."""
        ends: dict[str, list[tuple[float, float, DrawnRun, bool]]] = defaultdict(list)
        for run in self.runs:
            for is_end, key in ((False, run.start), (True, run.end)):
                piece = run.pieces[-1 if is_end else 0]
                along = 0 if piece.level else 1
                ahead = piece.start[along] - piece.end[along]
                goes_up = ahead > 0 if is_end else ahead < 0
                if piece.side and key in self.symbols:
                    rank = -piece.lane if goes_up else piece.lane
                    ends[key].append((float(goes_up), float(rank), run, is_end))
        for key, members in ends.items():
            box = self.symbols[key].bounds
            room = max(box.right - box.left, box.bottom - box.top) - 5
            step = min(END_STEP, room / max(1, len(members) - 1))
            members.sort(key=lambda member: (member[0], member[1], member[2].id, member[3]))
            for order, (_, _, run, is_end) in enumerate(members):
                offset = (order - (len(members) - 1) / 2) * step
                if is_end:
                    run.end_offset = offset
                else:
                    run.start_offset = offset
        for run in self.runs:
            route(run, self._middle(run.start, run, 0), self._middle(run.end, run, -1))

    def _middle(self, key: str, run: DrawnRun, end: int) -> Xy:
        """Where the symbol at a run's end stands; the path's own end without a symbol."""
        if key in self.symbols:
            return self.symbols[key].middle
        return run.pieces[0].start if end == 0 else run.pieces[-1].end

    def draw(self, crowded: bool, every_label: bool) -> Drawing:
        """The drawing."""
        plot = self.frame.plot
        legend_top = SHEET_MARGIN + HEAD + 6
        bottom = max(plot.bottom, legend_top + legend_height(self.plan))
        width = plot.right + LEGEND_WIDTH + SHEET_MARGIN
        height = bottom + foot_height() + SHEET_MARGIN
        says = f"Floor plan of {self.shop.name}: {len(self.plan.boxes)} boxes"
        says += f", {len(self.plan.circuits)} circuits"
        drawing = Drawing(width, height, says, points_per_ft=self.frame.scale)
        draw_head(
            drawing.layer("head"), self.shop.name, "Floor plan", width, violation_count(self.plan)
        )
        self._draw_building(drawing.layer("building"))
        self._draw_machines(drawing.layer("machines"))
        self._draw_runs(drawing.layer("runs"))
        symbols = drawing.layer("symbols")
        for panel in self.plan.panels:
            drawn = list(draw_panel(panel, self.symbols[panel.id]))
            symbols.add(Group("", drawn, about=Thing("panel", panel.id)))
        for box in self.plan.boxes:
            of = _belongs(self.plan, box)
            drawn = list(draw_box(box, self.symbols[box.id]))
            symbols.add(Group("", drawn, of, Thing("box", box.id)))
        leaders = drawing.layer("leaders")
        labels = Labels(self._taken(crowded), drawing.layer("labels"), leaders, every_label)
        self._label(labels)
        x = plot.right + 8
        y = draw_legend(drawing.layer("legend"), self.plan, (x, legend_top))
        draw_scale(drawing.layer("scale"), self.frame.scale, x, y)
        draw_foot(drawing.layer("foot"), (SHEET_MARGIN, bottom), width)
        return drawing

    def _draw_building(self, layer: Group) -> None:
        """Walls, openings, dimensions, working space."""
        layer.add(*draw_walls(self.frame, self.band))
        rooms = Rooms(self.shop, self.frame)
        layer.add(*rooms.partitions())
        for opening in self.shop.building.openings:
            if place := opening_place(self.frame, opening, self.band):
                layer.add(*draw_opening(self.frame, opening, *place))
            else:
                layer.add(Rect(rooms.partition(opening.wall, opening.between), styles.OPENING))
        for panel in self.plan.panels:
            if space := working_space(self.frame, panel):
                layer.add(space)
        layer.add(*draw_dimensions(self.frame))

    def _machine_spots(self) -> dict[str, Xy]:
        """Where machines stand that have a place of their own."""
        return {
            machine.id: self.frame.at(*machine.at)
            for machine in self.shop.machines
            if machine.at is not None and not machine.portable
        }

    def _draw_machines(self, layer: Group) -> None:
        """A patch for each machine, joined to where it takes its current."""
        spots, cords = self._machine_spots(), self._cords()
        for machine in self.plan.machines:
            if machine.id not in spots:
                continue
            group = Group("", of=frozenset([machine.circuit or ""]))
            layer.add(group)
            if machine.id in cords:
                group.add(Line(*cords[machine.id], styles.CORD))
            group.add(Rect(_patch(spots[machine.id]), styles.MACHINE, 3))

    def _cords(self) -> dict[str, tuple[Xy, Xy]]:
        """From each machine to the box where it takes its current."""
        spots = self._machine_spots()
        outlets = {outlet.id: outlet.box for outlet in self.plan.outlets}
        fed = (
            (m.id, m.hard_wired_at or outlets.get(m.outlet or "", "")) for m in self.plan.machines
        )
        return {
            machine: (spots[machine], self.symbols[box].middle)
            for machine, box in fed
            if machine in spots and box in self.symbols
        }

    def _draw_runs(self, layer: Group) -> None:
        """Raceways as pale tubes, then every run, then its circuit's mark at both ends."""
        tubes = [
            tuple(points)
            for run in self.runs
            for where, points in run.stretches
            if where == "raceway" and len(points) > 1
        ]
        for style in (styles.CASING_EDGE, styles.CASING_BODY):
            layer.add(*(Polyline(points, style) for points in tubes))
        order = {circuit.id: index for index, circuit in enumerate(self.plan.circuits)}
        for run in self.runs:
            if run.later:
                self._draw_later(layer, run)
            if run.circuit is None:
                continue
            index = order[run.circuit]
            colour = styles.circuit_colour(index)
            group = Group("", of=self._circuits(run), about=Thing("run", run.id))
            layer.add(group)
            for where, points in run.stretches:
                if len(points) > 1:
                    group.add(Polyline(tuple(points), styles.run_style(where, colour)))
            for mark in end_marks(index, run, self.symbols):
                group.add(*draw_marker(*mark))

    def _draw_later(self, layer: Group, run: DrawnRun) -> None:
        """A run pulled now for a machine that may come: no circuit has it yet."""
        group = Group("", of=NO_CIRCUIT, about=Thing("run", run.id))
        layer.add(group)
        for _, points in run.stretches:
            if len(points) > 1:
                group.add(Polyline(tuple(points), styles.LATER_RUN))

    def _circuits(self, drawn: DrawnRun) -> frozenset[str]:
        """The circuits of a run: both of a pair where it carries the hot of each."""
        circuit = next(one for one in self.plan.circuits if one.id == drawn.circuit)
        run = next(run for run in circuit.runs if run.id == drawn.id)
        partner = circuit.multiwire_with
        if partner and any(wire.role == "hot2" for wire in run.conductors):
            return frozenset([circuit.id, partner])
        return frozenset([circuit.id])

    def _taken(self, crowded: bool) -> Places:
        """What labels must keep off."""
        left, top, right, bottom = self.frame.plot
        page = Bounds(left + DIMENSIONS, top, right, bottom - DIMENSIONS)
        places = Places(page, crowded=crowded)
        places.add_solid(symbol.bounds for symbol in self.symbols.values())
        for spot in self._machine_spots().values():
            places.add_label(_patch(spot))
        for run in self.runs:
            places.add_run(run.points)
        outer = list(outer_corners(self.frame, self.band))
        inner = [side.start for side in self.frame.sides]
        for face in (inner, outer):
            places.add_line([*face, face[0]], WALL_WEIGHT)
        for line in (*self._cords().values(), *self._edges()):
            places.add_line(line)
        for way in door_ways(self.frame, self.band):
            places.add_line(way.points, DOOR_WEIGHT)
        for panel in self.plan.panels:
            if space := working_space(self.frame, panel):
                places.add_line((*space.points, space.points[0]))
                places.add_open(bounds_of(space.points[0], space.points[2]))
        return places

    def _edges(self) -> Iterator[tuple[Xy, ...]]:
        """Edges of partitions and openings."""
        for shape in Rooms(self.shop, self.frame).partitions():
            if isinstance(shape, Rect):
                yield shape.bounds.outline
        for opening in self.shop.building.openings:
            if place := opening_place(self.frame, opening, self.band):
                for shape in draw_opening(self.frame, opening, *place):
                    if isinstance(shape, Rect):
                        yield shape.bounds.outline
                    elif isinstance(shape, Line):
                        yield shape.start, shape.end

    def _label(self, labels: Labels) -> None:
        """Labels in the order of their weight: panels, boxes, home runs, machines, the rest."""
        for panel in self.plan.panels:
            target = self._target(self.symbols[panel.id], outside=False)
            texts = [(f"panel {panel.id}", styles.BOX_LABEL)]
            labels.lines(panel.id, texts, [target], about=Thing("panel", panel.id))
        for box in self.plan.boxes:
            circuits = " · ".join(dict.fromkeys(_circuits_of(self.plan, box)))
            texts = [(box.id, styles.BOX_LABEL), (circuits, styles.PLAIN_LABEL)]
            texts += [(f"later: {name}", styles.PLAIN_LABEL) for name in self._plugged_in_at(box)]
            placed = self.symbols[box.id]
            outside = self._target(placed, outside=True)
            inside = self._target(placed, outside=False)
            of = _belongs(self.plan, box)
            labels.lines(box.id, texts, [outside, inside], of, Thing("box", box.id))
        order = {circuit.id: index for index, circuit in enumerate(self.plan.circuits)}
        home_runs = {
            run.id: c for c in self.plan.circuits for run in c.runs[:1] if run.start == c.panel
        }
        for run in self.runs:
            if circuit := home_runs.get(run.id):
                labels.home_run(circuit, order[circuit.id], run, self.symbols.get(run.end))
        self._label_machines(labels)
        self._label_later(labels)
        self._label_building(labels)

    def _plugged_in_at(self, box: BoxPlan) -> list[str]:
        """Machines that may come, and that a circuit holds at a receptacle of a box."""
        later, names = self.plan.later_machines or (), later_names(self.plan)
        here = (one.machine for one in later if one.held is not None and one.box == box.id)
        return [names.get(name, name) for name in here]

    def _target(self, placed: Placed, outside: bool) -> Target:
        """Where a symbol's label may stand: beyond its wall, or in the room."""
        left, top, right, bottom = placed.bounds
        half = ((right - left) / 2, (bottom - top) / 2)
        if placed.side is None:
            return Target(placed.middle, *half, (0.0, 1.0))
        out = placed.side.outward
        if not outside or placed.outdoors:
            into = out if placed.outdoors else (-out[0], -out[1])
            return Target(placed.middle, *half, into, 0.0 if placed.outdoors else 6.0)
        spot = placed.side.start
        face = (
            (placed.middle[0], spot[1] + out[1] * self.band / 2)
            if placed.side.level
            else (spot[0] + out[0] * self.band / 2, placed.middle[1])
        )
        size = (half[0], self.band / 2) if placed.side.level else (self.band / 2, half[1])
        return Target(face, *size, out)

    def _label_machines(self, labels: Labels) -> None:
        """Each machine by its name, at its patch."""
        names = machine_words(self.plan)
        spots = self._machine_spots()
        for machine in self.plan.machines:
            if machine.id in spots:
                target = Target(spots[machine.id], MACHINE_HALF, MACHINE_HALF)
                texts = [(names[machine.id], styles.MACHINE_LABEL)]
                of = frozenset([machine.circuit or ""])
                labels.lines(machine.id, texts, [target], of)

    def _label_later(self, labels: Labels) -> None:
        """What is laid now for machines that may come."""
        names = later_names(self.plan)
        for one in self.plan.later_machines or ():
            if one.circuit is None or not (one.run or one.raceway or one.room):
                continue
            points = [self.frame.at(*point[:2]) for point in one.circuit.path]
            if one.raceway:
                what = f"{one.raceway.trade_size} {one.raceway.kind}, empty"
            else:
                what = "spare, capped" if one.run else "room kept, pull string"
            spots = [_part(points, part) for part in (0.5, 0.3, 0.7, 0.15, 0.85)]
            targets = [Target(spot, 6, 6, (0.0, -1.0)) for spot in spots]
            told = (f"for {names.get(one.machine, one.machine)}:", what)
            lines = [(text, styles.PLAIN_LABEL) for text in told]
            labels.lines(one.machine, lines, targets, NO_CIRCUIT)

    def _label_building(self, labels: Labels) -> None:
        """Raceways, openings and walls."""
        for raceway in self.plan.raceways:
            points = [self.frame.at(*point[:2]) for point in raceway.path]
            if len(points) > 1:
                text = f"{raceway.id}  {raceway.trade_size} {raceway.kind}"
                spots = [_part(points, part) for part in (0.5, 0.3, 0.7, 0.15, 0.85)]
                targets = [Target(spot, 6, 6, (0.0, -1.0)) for spot in spots]
                about = Thing("raceway", raceway.id)
                labels.lines(raceway.id, [(text, styles.PLAIN_LABEL)], targets, about=about)
        for opening in self.shop.building.openings:
            if place := opening_place(self.frame, opening, self.band):
                side, (left, top, right, bottom) = place
                middle = ((left + right) / 2, (top + bottom) / 2)
                half = ((right - left) / 2, (bottom - top) / 2)
                half = (half[0] / 4, half[1]) if side.level else (half[0], half[1] / 4)
                target = Target(middle, *half, side.outward)
                labels.lines(opening.id, [(opening.kind, styles.PLAIN_LABEL)], [target])
        for side in self.frame.sides:
            spots = [_part([side.start, side.end], part) for part in (0.5, 0.3, 0.7, 0.15, 0.85)]
            half = (4.0, self.band) if side.level else (self.band, 4.0)
            targets = [Target(spot, *half, side.outward) for spot in spots]
            labels.lines(side.id, [(wall_words(side.id), styles.PLAIN_LABEL)], targets)


def _belongs(plan: Plan, box: BoxPlan) -> frozenset[str]:
    """The circuits in a box; of one without any, a name that no circuit has."""
    return frozenset(box_circuits(plan, box)) or NO_CIRCUIT


def _patch(spot: Xy) -> Bounds:
    """The patch that stands for a machine."""
    return around(spot, MACHINE_HALF, MACHINE_HALF)


def _part(points: list[Xy], part: float) -> Xy:
    """The point at a part of a polyline's length."""
    return point_along(points, polyline_length(points) * part)[0]


def _circuits_of(plan: Plan, box: BoxPlan) -> list[str]:
    """The circuits that end on something in a box, in the order of its yokes."""
    on_yokes = [yoke.circuit for yoke in box.yokes if yoke.circuit]
    taken = [outlet.circuit for outlet in plan.outlets if outlet.box == box.id]
    return on_yokes or taken or sorted({one.circuit for one in box.conductors}, key=natural)
