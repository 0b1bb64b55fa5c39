"""Wall elevations: each wall as one sees it from inside, with its boxes and panels in place.

Heights and places along the wall are to scale and listed below: to the middle of a box, from the
floor and from the left end. Feet. What is on the wall is drawn as large as it can be seen, at its
true middle.
"""

import itertools
from collections.abc import Iterable, Iterator
from typing import Final, NamedTuple

from branchwright.measures import length_words, scale_length, scale_steps_ft
from branchwright.readings import shop_of
from branchwright.sheets import styles
from branchwright.sheets.box_schedule import box_circuits, device_words
from branchwright.sheets.display import (
    Bounds,
    Drawing,
    Group,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
    Thing,
    Xy,
)
from branchwright.sheets.floor_frame import around
from branchwright.sheets.floor_labels import Labels, with_room
from branchwright.sheets.label_places import Places, Target
from branchwright.sheets.sheet import (
    SHEET_MARGIN,
    draw_foot,
    draw_head,
    foot_height,
    shop_name,
    violation_count,
)
from branchwright.sheets.text_size import fitted
from branchwright.sheets.wall_side import Side
from branchwright.words import clean, joined, wall_words
from models.plan import BoxPlan, PanelPlan, Plan, Xyz
from models.shop import Opening, Shop

WIDTH: Final = 1060.0
TOP: Final = 92.0
SIDE: Final = 84.0  # room beside the wall, for the height
ABOVE, BELOW = 40.0, 74.0  # room over the ceiling and under the floor, for labels
LIST_ROW: Final = 16.0
LEGEND: Final = 46.0
BIGGEST: Final = 40.0  # points to the foot
TRIES: Final = (*((zoom, False) for zoom in (1.0, 1.25, 1.55, 1.9, 2.4, 3.0)), (3.0, True))
BOX_FT, GANG_FT, LEAST_BOX = 0.36, 0.15, 5.0
PANEL_FT: Final = (1.2, 2.4)
STEP_FT: Final = 0.25
EDGE_COST: Final = 2.0  # of doors and walls under a label: there is room beside them
NEAR_FT: Final = 0.02
COLUMNS: Final = (("ON THE WALL", 0.0), ("FROM THE LEFT", 110.0), ("HEIGHT", 220.0),
                  ("SIZE", 310.0), ("DEVICES", 480.0), ("CIRCUITS", 800.0))  # fmt: skip


class _OnWall(NamedTuple):
    """A box or a panel on the wall: along it from the left, and its height. [ft]"""

    about: Thing
    id: str
    along_ft: float
    height_ft: float
    half_ft: Xy
    outside: bool
    cells: tuple[str, ...]


def elevations(plan: Plan) -> list[tuple[str, Drawing]]:
    """A drawing for each wall that carries a box or a panel, with the wall's id."""
    shop = shop_of(plan)
    drawn = []
    for wall in shop.building.all_walls:
        side = Side.of(shop, wall)
        things = _things(plan, shop, side)
        if things:
            drawn.append((wall.id, _grown(plan, shop, side, things)))
    return drawn


def _things(plan: Plan, shop: Shop, side: Side) -> list[_OnWall]:
    """What is on a wall, from the left to the right."""
    on_wall = {panel.id for panel in shop.supply.panels if panel.wall == side.wall.id}
    things = [_panel(panel, side) for panel in plan.panels if panel.id in on_wall]
    things += [_box(plan, box, side) for box in plan.boxes if box.wall == side.wall.id]
    return sorted(things, key=lambda thing: (thing.along_ft, thing.height_ft, thing.id))


def _panel(panel: PanelPlan, side: Side) -> _OnWall:
    half = (PANEL_FT[0] / 2, PANEL_FT[1] / 2)
    x, y, z = panel.place
    cells = ("panel, outline not to scale", "", "")
    about = Thing("panel", panel.id)
    return _OnWall(about, f"panel {clean(panel.id)}", side.along(x, y), z, half, False, cells)


def _box(plan: Plan, box: BoxPlan, side: Side) -> _OnWall:
    x, y, z = box.place
    half = ((BOX_FT + GANG_FT * (box.gangs - 1)) / 2, BOX_FT / 2)
    outside = box.location == "wet"
    devices = joined(map(device_words, box.yokes)) or box.kind
    cells = (
        clean(box.box) + ", outside" * outside,
        devices,
        joined(box_circuits(plan, box)),
    )
    about = Thing("box", box.id)
    return _OnWall(about, clean(box.id), side.along(x, y), z, half, outside, cells)


def _grown(plan: Plan, shop: Shop, side: Side, things: list[_OnWall]) -> Drawing:
    """The drawing, grown until every label has room, at worst on runs."""

    def drawn(at: tuple[float, bool], every_label: bool) -> Drawing:
        zoom, crowded = at
        return _Elevation(plan, shop, side, things, zoom).draw(crowded, every_label)

    return with_room(TRIES, drawn)


class _Elevation:
    """One wall at one scale."""

    def __init__(
        self, plan: Plan, shop: Shop, side: Side, things: list[_OnWall], zoom: float
    ) -> None:
        self.plan, self.shop, self.side, self.things = plan, shop, side, things
        room = WIDTH - 2 * SHEET_MARGIN - 2 * SIDE
        self.scale = zoom * min(BIGGEST, room / side.length_ft)
        self.partition = shop.building.is_partition(side.wall.id)
        self.faces_ft = (0.1, -0.1) if self.partition else (0.1,)
        self.ceiling = list(self._ceiling())
        tops = [max(first[2], last[2]) for _, first, last in self._pieces()]
        self.highest_ft = max([height for _, height in self.ceiling] + tops)
        self.width = max(WIDTH, 2 * SHEET_MARGIN + 2 * SIDE + self.scale * side.length_ft)
        self.x0 = (self.width - self.scale * side.length_ft) / 2
        self.floor = TOP + ABOVE + self.scale * self.highest_ft

    def at(self, along_ft: float, height_ft: float) -> Xy:
        """A place of the wall on paper."""
        return self.x0 + self.scale * along_ft, self.floor - self.scale * height_ft

    def _ceiling(self) -> Iterator[tuple[float, float]]:
        """Where the ceiling changes its height along the wall, and to what. [ft]"""
        count = max(1, round(self.side.length_ft / STEP_FT))
        last = None
        for index in range(count):
            along = (index + 0.5) * self.side.length_ft / count
            height = max(
                self.shop.building.climate_at(*self.side.inside(along, off)).ceiling_ft
                for off in self.faces_ft
            )
            if height != last:
                yield index * self.side.length_ft / count, height
            last = height

    def _ceilings(self) -> str:
        """The ceilings on both sides of a partition, halfway along it."""
        here, behind = (
            self.shop.building.climate_at(
                *self.side.inside(self.side.length_ft / 2, off)
            ).ceiling_ft
            for off in self.faces_ft
        )
        if here == behind:
            return f"ceiling {length_words(here)}"
        return f"ceiling {length_words(here)} on this side, {length_words(behind)} behind"

    def draw(self, crowded: bool, every_label: bool) -> Drawing:
        """The drawing."""
        side = self.side
        listed = self.floor + BELOW
        legend = listed + LIST_ROW * (len(self.things) + 2)
        bottom = legend + LEGEND
        height = bottom + foot_height() + SHEET_MARGIN
        title = f"Elevation, {wall_words(side.wall.id)}"
        says = f"Elevation of the {wall_words(side.wall.id)}: {len(self.things)} boxes and panels"
        drawing = Drawing(self.width, height, says, points_per_ft=self.scale)
        faces = f", boxes of both faces; {self._ceilings()}" if self.partition else ""
        name = f"{shop_name(self.plan)} · seen from the {side.seen_from}{faces}"
        draw_head(drawing.layer("head"), name, title, self.width, violation_count(self.plan))
        self._draw_wall(drawing.layer("wall"))
        runs = list(self._runs())
        drawing.layer("runs").add(*self._draw_runs(runs))
        symbols = drawing.layer("symbols")
        for thing in self.things:
            symbol = Rect(self._symbol(thing), self._look(thing), 1.5)
            symbols.add(Group("", [symbol], about=thing.about))
        leaders = drawing.layer("leaders")
        taken = self._taken(runs, crowded)
        labels = Labels(taken, drawing.layer("labels"), leaders, every_label)
        self._label(labels)
        drawing.layer("list").add(*self._list(listed))
        drawing.layer("legend").add(*self._legend(legend))
        draw_foot(drawing.layer("foot"), (SHEET_MARGIN, bottom), self.width)
        return drawing

    def _look(self, thing: _OnWall) -> styles.Style:
        return styles.OUTSIDE if thing.outside else styles.SYMBOL

    def _symbol(self, thing: _OnWall) -> Bounds:
        half = [max(LEAST_BOX, part * self.scale) for part in thing.half_ft]
        return around(self.at(thing.along_ft, thing.height_ft), half[0], half[1])

    def _outline(self) -> tuple[Xy, ...]:
        """The wall's edges: one end, along the ceiling, the other end."""
        length = self.side.length_ft
        top: list[Xy] = []
        ends = [along for along, _ in self.ceiling[1:]] + [length]
        for (along, height), end in zip(self.ceiling, ends, strict=True):
            top += [self.at(along, height), self.at(end, height)]
        return (self.at(0, 0), *top, self.at(length, 0))

    def _draw_wall(self, layer: Group) -> None:
        """Floor, ceiling, both ends, openings, and the dimensions."""
        length = self.side.length_ft
        layer.add(Polyline(self._outline(), styles.ROOM, True))
        layer.add(*(Rect(edges, styles.OPENING) for _, edges in self._openings()))
        (left, floor), (right, _) = self.at(0, 0), self.at(length, 0)
        layer.add(Line((left - 16, floor), (right + 16, floor), styles.FLOOR_LINE))
        y = floor + BELOW - 22
        layer.add(Line((left, y), (right, y), styles.DIMENSION))
        for x in (left, right):
            layer.add(Line((x - 4, y + 4), (x + 4, y - 4), styles.DIMENSION_TICK))
        words = Text(((left + right) / 2, y + 3.4), length_words(length), styles.SMALL, "middle")
        edge = words.bounds
        patch = Bounds(edge.left - 4, edge.top, edge.right + 4, edge.bottom)
        layer.add(Rect(patch, styles.PAPER_PATCH), words)
        outwards: tuple[tuple[float, int, styles.Anchor], ...] = (
            (left - 22, -1, "end"), (right + 22, 1, "start"),
        )  # fmt: skip
        ends = (self.ceiling[0], self.ceiling[-1])
        for (_, height), (x, out, anchor) in zip(ends, outwards, strict=True):
            y = self.at(0, height)[1]
            layer.add(Line((x + 4 * out, y), (x, y), styles.DIMENSION))
            layer.add(Text((x + 8 * out, y + 3.4), length_words(height), styles.SMALL, anchor))

    def _openings(self) -> Iterator[tuple[Opening, Bounds]]:
        """The openings of this wall, and where they lie on paper."""
        for opening in self.shop.building.openings:
            if opening.wall == self.side.wall.id:
                low, high = sorted(self.side.along(*self._on_wall(end)) for end in opening.between)
                left, up = self.at(low, opening.head_ft)
                right, down = self.at(high, opening.sill_ft)
                yield opening, Bounds(left, up, right, down)

    def _on_wall(self, place: float) -> Xy:
        """A place of the shop file along a wall's own axis, as a point."""
        return self.shop.building.on_wall(self.side.wall.id, place, place)

    def _pieces(self) -> Iterator[tuple[str, Xyz, Xyz]]:
        """Pieces of what lies on this wall's line, with its method: runs, and what is laid now for
        machines that may come.
        """
        plan = self.plan
        runs = (run for circuit in plan.circuits for run in circuit.runs)
        laid = [(run.method, run.path) for run in (*runs, *plan.later_runs)]
        laid += [
            ("raceway", one.circuit.path)
            for one in plan.later_machines or ()
            if (one.raceway or one.room) and one.circuit
        ]
        for method, path in laid:
            for first, last in itertools.pairwise(path):
                off = max(self.side.off(*end[:2]) for end in (first, last))
                along = [self.side.along(*end[:2]) for end in (first, last)]
                within = min(along) >= -NEAR_FT and max(along) <= self.side.length_ft + NEAR_FT
                if off <= NEAR_FT and within and first != last:
                    yield method, first, last

    def _runs(self) -> Iterator[tuple[str, Xy, Xy]]:
        """The same pieces on paper, each once."""
        seen = set()
        for method, first, last in self._pieces():
            start, end = sorted((self.side.along(x, y), z) for x, y, z in (first, last))
            if (method, start, end) not in seen:
                seen.add((method, start, end))
                yield method, self.at(*start), self.at(*end)

    def _draw_runs(self, runs: Iterable[tuple[str, Xy, Xy]]) -> Iterator[Shape]:
        tubes = [(start, end) for method, start, end in runs if method == "raceway"]
        for style in (styles.CASING_EDGE, styles.CASING_BODY):
            for start, end in tubes:
                yield Line(*_to_corners(start, end, tubes, style.width / 2), style)
        for method, start, end in runs:
            if method != "raceway":
                yield Line(start, end, styles.ON_WALL)

    def _taken(self, runs: Iterable[tuple[str, Xy, Xy]], crowded: bool) -> Places:
        """What labels must keep off."""
        top = TOP + 4
        page = Bounds(SHEET_MARGIN + SIDE, top, self.width - SHEET_MARGIN - SIDE, self.floor + 44)
        places = Places(page, crowded=crowded, line_cost=EDGE_COST)
        places.add_solid(map(self._symbol, self.things))
        for _, start, end in runs:
            places.add_run([start, end])
        outline = self._outline()
        places.add_line([*outline, outline[0]])
        for _, edges in self._openings():
            places.add_line(edges.outline)
        return places

    def _label(self, labels: Labels) -> None:
        """Each thing with its height; then the openings."""
        for thing in self.things:
            edge = self._symbol(thing)
            half = ((edge.right - edge.left) / 2, (edge.bottom - edge.top) / 2)
            target = Target(self.at(thing.along_ft, thing.height_ft), *half, (0.0, -1.0))
            texts = [
                (thing.id, styles.BOX_LABEL),
                (length_words(thing.height_ft), styles.PLAIN_LABEL),
            ]
            labels.lines(thing.id, texts, [target], about=thing.about)
        for opening, (left, top, right, bottom) in self._openings():
            spot = ((left + right) / 2, (top + bottom) / 2)
            labels.lines(opening.id, [(opening.kind, styles.PLAIN_LABEL)], [Target(spot, -8, -8)])

    def _list(self, y: float) -> Iterator[Shape]:
        """The places to mark out, from the left."""
        share = (self.width - 2 * SHEET_MARGIN) / (WIDTH - 2 * SHEET_MARGIN)
        columns = [(name, SHEET_MARGIN + at * share) for name, at in COLUMNS]
        ends = [*(at for _, at in columns[1:]), self.width - SHEET_MARGIN + 8]
        y += 12
        for name, at in columns:
            yield Text((at, y), name, styles.HEADING)
        for thing in self.things:
            y += LIST_ROW
            places = (length_words(thing.along_ft), length_words(thing.height_ft))
            for text, (_, at), end in zip(
                (thing.id, *places, *thing.cells), columns, ends, strict=True
            ):
                look = styles.STRONG if text == thing.id else styles.BODY
                yield Text((at, y), fitted(text, end - at - 8, look.size, look.bold), look)

    def _legend(self, y: float) -> Iterator[Shape]:
        """A scale bar, and what the lines mean."""
        steps_ft = scale_steps_ft()
        step_ft = max(
            (step for step in steps_ft if 2 * step * self.scale <= 170), default=steps_ft[0]
        )
        step = step_ft * self.scale
        for index in range(2):
            look = styles.SYMBOL_SOLID if index == 0 else styles.SYMBOL
            left = SHEET_MARGIN + index * step
            yield Rect(Bounds(left, y, left + step, y + 5), look)
        for index in range(3):
            words = "0" if index == 0 else scale_length(step_ft * index)
            anchor: styles.Anchor = "start" if index == 0 else "middle"
            yield Text((SHEET_MARGIN + index * step, y + 18), words, styles.SMALL, anchor)
        x = SHEET_MARGIN + 2 * step + 60
        yield Line((x, y + 3), (x + 30, y + 3), styles.ON_WALL)
        yield Text((x + 38, y + 6.5), "cable", styles.SMALL)
        yield Line((x + 90, y + 3), (x + 120, y + 3), styles.CASING_EDGE)
        yield Line((x + 90, y + 3), (x + 120, y + 3), styles.CASING_BODY)
        yield Text((x + 128, y + 6.5), "raceway", styles.SMALL)
        yield Rect(around((x + 205, y + 3), 5, 5), styles.OUTSIDE, 1.5)
        note = "box on the outer side. Heights to the middle; boxes not drawn to their size."
        yield Text((x + 218, y + 6.5), note, styles.SMALL)


def _to_corners(start: Xy, end: Xy, tubes: Iterable[tuple[Xy, Xy]], half: float) -> tuple[Xy, Xy]:
    """A piece of raceway, longer by half its width where it meets one that goes across."""
    along = 0 if start[1] == end[1] else 1
    ends = sorted((start, end))
    for place, sign in ((0, -1), (1, 1)):
        corner = ends[place]
        across = (one for one in tubes if corner in one and one[0][along] == one[1][along])
        if any(across):
            moved = list(corner)
            moved[along] += sign * half
            ends[place] = (moved[0], moved[1])
    return ends[0], ends[1]
