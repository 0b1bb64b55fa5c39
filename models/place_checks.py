"""Whether boxes, panels and machines are at a place that the building has. Feet.

A panel is taken as 1.5 ft wide and 3 ft high (common practice, no source).
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from models.outline_checks import SAME_FT, extent, span, top_ft
from models.shop import STANDARD_HEIGHT_FT, Box, Building, Machine, Opening, Panel, Place, Shop
from models.shop_problem import Path, Problems, ShopProblem, unknown
from models.spaces import Xyz
from models.working_space import TOP_FT, in_working_space

HALF_PANEL_WIDTH_FT: Final = 0.75
HALF_PANEL_HEIGHT_FT: Final = 1.5


class Placed(NamedTuple):
    """An enclosure, what it is called and where the shop file has it."""

    path: Path
    kind: str
    id: str
    place: Place

    @property
    def outdoors(self) -> bool:
        """Whether it is on the outer side of its wall."""
        return isinstance(self.place, Box) and self.place.outdoors


def enclosures(shop: Shop) -> Iterator[Placed]:
    """Panels, junction boxes, boxes and passages, in the order of the shop."""
    for index, panel in enumerate(shop.supply.panels):
        yield Placed(("supply", "panels", index), "panel", panel.id, panel)
    for index, junction in enumerate(shop.routes.junction_boxes):
        yield Placed(("routes", "junction_boxes", index), "junction box", junction.id, junction)
    for index, box in enumerate(shop.boxes):
        yield Placed(("boxes", index), "box", box.id, box)
    for index, passage in enumerate(shop.routes.passages):
        yield Placed(("routes", "passages", index), "passage", passage.id, passage)


def check_places(shop: Shop) -> Problems:
    """Every enclosure and machine at a place of its own inside the building."""
    placed = []
    for thing in enclosures(shop):
        problems = list(_check_place(shop.building, thing))
        yield from problems
        if not problems:
            placed.append(thing)
    yield from _check_apart(shop, [thing for thing in placed if thing.kind != "passage"])
    yield from _check_working_spaces(shop, placed)
    machines: list[tuple[Path, Machine]] = [
        *((("machines", index), machine) for index, machine in enumerate(shop.machines)),
        *((("later", "machines", n), machine) for n, machine in enumerate(shop.later.machines)),
    ]
    for path, machine in machines:
        if machine.at is not None and machine.outdoors == shop.building.holds(*machine.at):
            x, y = machine.at
            says = f"{machine.id!r} at x {x:g} ft, y {y:g} ft is outside the walls: move it inside,"
            says += " or write `outdoors: yes`"
            if machine.outdoors:
                says = f"{machine.id!r} is outdoors, x {x:g} ft, y {y:g} ft is inside the walls:"
                says += " move it out, or take `outdoors` out"
            yield ShopProblem((*path, "at"), says)


def _check_working_spaces(shop: Shop, placed: list[Placed]) -> Problems:
    """No box stands out into the working space of a panel; those beside it on its wall may stay."""
    for panel in (thing for thing in placed if thing.kind == "panel"):
        for thing in placed:
            x, y, z = shop.position(thing.place)
            if thing.kind not in ("box", "junction box") or thing.outdoors or z > TOP_FT:
                continue
            assert isinstance(panel.place, Panel)
            if thing.place.wall != panel.place.wall and in_working_space(shop, panel.place, x, y):
                says = f"{thing.kind} {thing.id!r} is in the working space of panel {panel.id!r},"
                says += " 30 in wide and 36 in deep (110.26(A)): move it clear"
                key = "ceiling" if thing.place.ceiling is not None else "wall"
                yield ShopProblem((*thing.path, key), says)


def _check_place(building: Building, thing: Placed) -> Problems:
    """One enclosure on its wall or on the ceiling."""
    place, path = thing.place, thing.path
    if place.ceiling is not None:
        x, y = place.ceiling
        where = f"{thing.kind} {thing.id!r} at x {x:g} ft, y {y:g} ft"
        if thing.kind == "panel":
            says = f"{where} is on the ceiling: a panel hangs on a wall, give it one"
            yield ShopProblem((*path, "ceiling"), says)
        if thing.outdoors:
            yield ShopProblem((*path, "outdoors"), f"{where} is on the ceiling: give it a wall")
        if not building.holds(*place.ceiling):
            yield ShopProblem((*path, "ceiling"), f"{where} is outside the walls: move it inside")
        for opening in building.openings:
            if _under_open_door(building, opening, place.ceiling):
                says = f"{where} is where the open door {opening.id!r} travels: move it clear"
                yield ShopProblem((*path, "ceiling"), says)
        return
    assert place.wall is not None
    walls = {wall.id for wall in building.all_walls}
    yield from unknown((*path, "wall"), "wall", place.wall, walls)
    if place.wall in walls:
        yield from _check_on_wall(building, thing, place.wall)


def _check_on_wall(building: Building, thing: Placed, wall_id: str) -> Problems:
    """One enclosure along its wall, below the ceiling, not in an opening."""
    place, path = thing.place, thing.path
    name = f"{thing.kind} {thing.id!r}"
    axis, begin, end = extent(building, wall_id)
    along = place.x_ft if axis == "x" else place.y_ft
    other = "y" if axis == "x" else "x"
    if along is None:
        says = f"{name}: wall {wall_id!r} runs along {axis}, so write `{axis}:` and not `{other}:`"
        yield ShopProblem((*path, other), says)
        return
    if not begin - SAME_FT <= along <= end + SAME_FT:
        says = f"{name} at {axis} {along:g} ft is not on wall {wall_id!r}, which goes from"
        says += f" {axis} {begin:g} ft to {end:g} ft: move it, or name another wall"
        yield ShopProblem((*path, axis), says)
    yield from _check_facing(building, thing, wall_id)
    height = height_ft(place)
    ceiling_ft = top_ft(building, wall_id, along)
    if height > ceiling_ft:
        says = f"{name} is {height:g} ft high, the ceiling {ceiling_ft:g} ft: lower it"
        yield ShopProblem((*path, "height"), says)
    for opening in building.openings:
        low, high = span(opening)
        if opening.wall != wall_id or not low < along < high:
            continue
        if opening.sill_ft < height < opening.head_ft:
            says = f"{name} at {axis} {along:g} ft is in the {opening.kind} {opening.id!r},"
            says += f" {low:g} ft to {high:g} ft, where no cable goes up: move it beside"
            yield ShopProblem((*path, axis), says)


def _check_facing(building: Building, thing: Placed, wall_id: str) -> Problems:
    """A side to open to: asked for on a partition, and one of the two that it has."""
    place, path = thing.place, thing.path
    axis, _, _ = extent(building, wall_id)
    sides = ("north", "south") if axis == "x" else ("east", "west")
    says = f"{thing.kind} {thing.id!r} is on {wall_id!r}, which has its sides to the {sides[0]} and"
    says += f" the {sides[1]}:"
    if not building.is_partition(wall_id):
        if place.faces is not None:
            says = f"{thing.kind} {thing.id!r} is on the outer wall {wall_id!r} and faces the room:"
            yield ShopProblem((*path, "faces"), f"{says} take `faces` out")
    elif place.faces is None and thing.kind != "passage":
        where = f"write `faces: {sides[0]}` or `faces: {sides[1]}`"
        yield ShopProblem((*path, "wall"), f"{says} {where}")
    elif place.faces is not None and place.faces not in sides:
        yield ShopProblem((*path, "faces"), f"{says} write one of them")


def height_ft(place: Place) -> float:
    """Height of a place on a wall. [ft]"""
    return STANDARD_HEIGHT_FT if place.height_ft is None else place.height_ft


def _under_open_door(building: Building, opening: Opening, point: tuple[float, float]) -> bool:
    """Whether a ceiling place is in the way of an overhead door when it is open."""
    if not opening.travel_ft or opening.wall not in {wall.id for wall in building.walls}:
        return False
    (x0, y0), (x1, y1) = building.wall_ends(opening.wall)
    low, high = span(opening)
    along, off = (point[0], point[1] - y0) if y0 == y1 else (point[1], x0 - point[0])
    inward = off if (x1 - x0) + (y1 - y0) > 0 else -off  # the room is left of a wall
    return low < along < high and 0 <= inward < opening.travel_ft


def _check_apart(shop: Shop, placed: list[Placed]) -> Problems:
    """No enclosure over another: two at one point, or a box where the panel hangs."""
    beside: dict[tuple[bool, str | None, str | None], list[tuple[Placed, Xyz]]] = {}
    for thing in placed:
        here, side = (
            shop.position(thing.place),
            (thing.outdoors, thing.place.wall, thing.place.faces),
        )
        others = beside.setdefault(side, [])
        for other, there in others:
            along = max(abs(a - b) for a, b in zip(here[:2], there[:2], strict=True))
            above = abs(here[2] - there[2])
            names = f"{thing.kind} {thing.id!r} and {other.kind} {other.id!r}"
            panel = "panel" in (thing.kind, other.kind)
            if along < SAME_FT and above < SAME_FT:
                yield ShopProblem(thing.path, f"{names} are at the same place: move one of them")
            elif panel and along < HALF_PANEL_WIDTH_FT and above < HALF_PANEL_HEIGHT_FT:
                says = f"{names} overlap: they are {along:g} ft apart along the wall and"
                says += f" {above:g} ft in height, a panel takes {HALF_PANEL_WIDTH_FT:g} ft to"
                says += f" each side and {HALF_PANEL_HEIGHT_FT:g} ft up and down: move the box"
                yield ShopProblem(thing.path, says)
        others.append((thing, here))
