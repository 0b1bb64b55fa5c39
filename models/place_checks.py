"""Whether boxes, panels and machines are at a place that the building has. Feet.

A panel is taken as 1.5 ft wide and 3 ft high (common practice, no source). Its whole working space
(NFPA 70, 110.26(A): 30 in wide, 36 in deep) is for a check of the plan.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from models.outline_checks import SAME_FT, extent, inside, span
from models.shop import Box, Building, Opening, Place, Shop
from models.shop_problem import Path, Problems, ShopProblem, unknown

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
    """Panels, junction boxes and boxes, in the order of the shop."""
    for index, panel in enumerate(shop.supply.panels):
        yield Placed(("supply", "panels", index), "panel", panel.id, panel)
    for index, junction in enumerate(shop.routes.junction_boxes):
        yield Placed(("routes", "junction_boxes", index), "junction box", junction.id, junction)
    for index, box in enumerate(shop.boxes):
        yield Placed(("boxes", index), "box", box.id, box)


def check_places(shop: Shop) -> Problems:
    """Every enclosure and machine at a place of its own inside the building."""
    placed = []
    for thing in enclosures(shop):
        problems = list(_check_place(shop.building, thing))
        yield from problems
        if not problems:
            placed.append(thing)
    yield from _check_apart(shop, placed)
    for index, machine in enumerate(shop.machines):
        if machine.at is not None and not inside(shop.building, machine.at):
            x, y = machine.at
            says = f"{machine.id!r} at x {x:g} ft, y {y:g} ft is outside the walls: move it inside"
            yield ShopProblem(("machines", index, "at"), says)


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
        if not inside(building, place.ceiling):
            yield ShopProblem((*path, "ceiling"), f"{where} is outside the walls: move it inside")
        for opening in building.openings:
            if _under_open_door(building, opening, place.ceiling):
                says = f"{where} is where the open door {opening.id!r} travels: move it clear"
                yield ShopProblem((*path, "ceiling"), says)
        return
    assert place.wall is not None
    walls = {wall.id for wall in building.walls}
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
    height = height_ft(place)
    if height > building.ceiling_ft:
        says = f"{name} is {height:g} ft high, the ceiling {building.ceiling_ft:g} ft: lower it"
        yield ShopProblem((*path, "height"), says)
    for opening in building.openings:
        low, high = span(opening)
        if opening.wall == wall_id and low < along < high and height < opening.head_ft:
            says = f"{name} at {axis} {along:g} ft is in the {opening.kind} {opening.id!r},"
            says += f" {low:g} ft to {high:g} ft, where no cable goes up: move it beside"
            yield ShopProblem((*path, axis), says)


def height_ft(place: Place) -> float:
    """Height of a place on a wall. [ft]"""
    return place.height_ft if place.height_ft is not None else 4.0


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
    for index, thing in enumerate(placed):
        here = shop.position(thing.place)
        for other in placed[:index]:
            if thing.outdoors != other.outdoors or thing.place.wall != other.place.wall:
                continue
            there = shop.position(other.place)
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
