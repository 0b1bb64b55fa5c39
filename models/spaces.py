"""What a straight piece of a run lies in, and how hot it is there. Feet, °C.

A run at the height of a ceiling lies over it, in it or under it, as the ceiling there has it; below
it lies in the wall, or on it. Underground it has the temperature of the earth.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final, Literal, NamedTuple

from models.shop import Building, Climate, Wall

Xyz = tuple[float, float, float]
Lies = Literal["in wall", "on surface", "in ceiling", "attic", "underground"]
Laid = Literal["cable", "surface", "in wall", "attic", "buried"]
EARTH_C: Final = 20.0  # NFPA 70 310.15 and Annex B take 20 °C for earth, from memory
NEAR_FT: Final = 0.02


class Section(NamedTuple):
    """A straight piece of a run."""

    lies: Lies
    start: Xyz
    end: Xyz
    ambient_c: float

    @property
    def length_ft(self) -> float:
        """Length of the piece; it is square to the axes. [ft]"""
        return sum(abs(a - b) for a, b in zip(self.start, self.end, strict=True))


def sections(building: Building, path: Sequence[Xyz], laid: Laid) -> tuple[Section, ...]:
    """The pieces of a run, cut where it comes from one area into another."""
    return tuple(
        _section(building, a, b, laid)
        for start, end in pairwise(path)
        for a, b in pairwise(_cut(building, start, end))
    )


def hottest_c(building: Building, path: Sequence[Xyz], laid: Laid) -> float:
    """The highest temperature that a run meets; that of the room for one of no length. [°C]"""
    found = [section.ambient_c for section in sections(building, path, laid)]
    return max(found, default=building.climate_at(*path[0][:2]).room_c if path else 30.0)


def under_attic(building: Building, wall: Wall) -> bool:
    """Whether cable passes over a wall in the attic: at its middle it is attic on both sides."""
    (x0, y0), (x1, y1) = building.wall_ends(wall.id)
    climates = building.climates_at((x0 + x1) / 2, (y0 + y1) / 2)
    return all(climate.ceiling_runs == "attic" for climate in climates)


def _cut(building: Building, start: Xyz, end: Xyz) -> Iterator[Xyz]:
    """A straight piece with the points where it crosses the edge of an area."""
    yield start
    for axis in (0, 1):
        low, high = sorted((start[axis], end[axis]))
        between = [edge for edge in building.area_edges[axis] if low < edge < high]
        for edge in between if start[axis] < end[axis] else reversed(between):
            point = list(start)
            point[axis] = edge
            yield point[0], point[1], point[2]
    yield end


def _section(building: Building, start: Xyz, end: Xyz, laid: Laid) -> Section:
    x, y, z = ((a + b) / 2 for a, b in zip(start, end, strict=True))
    if z < 0:
        return Section("underground", start, end, EARTH_C)
    climates = building.climates_at(x, y)
    room_c = max(climate.room_c for climate in climates)
    level = abs(start[2] - end[2]) < NEAR_FT
    over = [c for c in climates if level and abs(z - c.ceiling_ft) < NEAR_FT]
    if not over:
        lies: Lies = "on surface" if laid in ("surface", "buried") else "in wall"
        return Section(lies, start, end, room_c)
    return max((_at_ceiling(c, start, end, laid) for c in over), key=lambda s: s.ambient_c)


def _at_ceiling(climate: Climate, start: Xyz, end: Xyz, laid: Laid) -> Section:
    """A piece at the height of a ceiling."""
    if laid in ("surface", "buried") or climate.ceiling_runs == "surface":
        return Section("on surface", start, end, climate.room_c)
    if climate.ceiling_runs == "joists":
        return Section("in ceiling", start, end, climate.room_c)
    return Section("attic", start, end, max(climate.attic_c, climate.room_c))
