"""Stretches of wall from which no receptacle is within a cord's reach. Feet.

A 6 ft cord leaves a bench 3 ft above the floor and does not go through a wall. NFPA 70 210.52(A)(1)
spaces the receptacles of dwelling rooms so; a workshop has no such rule, this is a remark only.
Places are looked at every 3 in.
"""

from collections.abc import Iterator
from math import dist
from typing import Final, NamedTuple

from models.reach import CORD_LEAVES_AT_FT, receptacle_place
from models.shop import Box, Point, Shop
from models.sight import wall_between

CORD_FT: Final = 6.0
STEP_FT: Final = 0.25
LEAST_STRETCH_FT: Final = 1.0
OFF_WALL_FT: Final = 0.1


class Stretch(NamedTuple):
    """A piece of one side of a wall, along the wall's axis."""

    wall: str
    faces: str
    axis: str
    begin_ft: float
    end_ft: float

    @property
    def length_ft(self) -> float:
        """Length of the piece. [ft]"""
        return self.end_ft - self.begin_ft


def bare_stretches(shop: Shop) -> list[Stretch]:
    """Every stretch of a foot or more with nothing within reach, doorways left out."""
    building = shop.building
    indoors = [box for box in shop.boxes if not box.outdoors and _is_live(box)]
    places = [(box, receptacle_place(shop, box), shop.stands_in(box)) for box in indoors]
    walls = [(*building.wall_ends(wall.id), wall.id) for wall in building.all_walls]
    found: list[Stretch] = []
    for start, end, wall_id in walls:
        for side in _sides(shop, wall_id):
            bare = [
                along
                for along in _samples(shop, wall_id)
                if not any(
                    dist(_at(start, end, along, side)[1], place) <= CORD_FT + (box.reel_ft or 0)
                    and not wall_between(shop, _at(start, end, along, side)[0], stands)
                    for box, place, stands in places
                )
            ]
            found += _joined(wall_id, _name(side), "x" if start[1] == end[1] else "y", bare)
    return found


def _is_live(box: Box) -> bool:
    """Whether a box holds a 120 V receptacle that no switch turns off."""
    return any(
        yoke.configuration.startswith("5-") and yoke.switched_by is None for yoke in box.devices
    )


def _sides(shop: Shop, wall_id: str) -> list[Point]:
    """The sides of a wall that are rooms, each as a step away from it."""
    inward = shop.building.facing(wall_id, None)
    if not shop.building.is_partition(wall_id):
        return [inward]
    return [inward, (-inward[0], -inward[1])]


def _name(side: Point) -> str:
    """The direction of a step."""
    if side[0]:
        return "east" if side[0] > 0 else "west"
    return "north" if side[1] > 0 else "south"


def _samples(shop: Shop, wall_id: str) -> Iterator[float]:
    """Places along a wall that are not in a doorway."""
    (x0, y0), (x1, y1) = shop.building.wall_ends(wall_id)
    low, high = sorted((x0, x1) if y0 == y1 else (y0, y1))
    gaps = [
        sorted(o.between) for o in shop.building.openings if o.wall == wall_id and not o.sill_ft
    ]
    count = int((high - low) / STEP_FT)
    for number in range(count + 1):
        along = low + number * STEP_FT
        if not any(begin < along < end for begin, end in gaps):
            yield along


def _at(
    start: Point, end: Point, along: float, side: Point
) -> tuple[Point, tuple[float, float, float]]:
    """A place of a wall on the floor plan, a little off it, and where a cord begins there."""
    x, y = (along, start[1]) if start[1] == end[1] else (start[0], along)
    x, y = x + side[0] * OFF_WALL_FT, y + side[1] * OFF_WALL_FT
    return (x, y), (x, y, CORD_LEAVES_AT_FT)


def _joined(wall: str, faces: str, axis: str, bare: list[float]) -> Iterator[Stretch]:
    """Neighbouring places as stretches, the short ones left out."""
    begin = last = None
    for along in [*bare, None]:
        if begin is None:
            begin = last = along
        elif along is not None and last is not None and along - last <= STEP_FT * 1.5:
            last = along
        else:
            assert last is not None
            if last - begin >= LEAST_STRETCH_FT:
                yield Stretch(wall, faces, axis, begin, last)
            begin = last = along
