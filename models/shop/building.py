"""The building: outline, partitions, openings, areas with their ceilings and heat, zones. Feet, °C.

x to the east, y to the north, z up from the floor. The outline goes counter-clockwise, so that the
room is at the left hand of every wall.
"""

from collections.abc import Iterator
from functools import cached_property
from typing import Literal, NamedTuple

from pydantic import Field

from models.quantities import Celsius, Feet
from models.shop.facts import Fact, Id, Point, Side, YesNo

Construction = Literal["wood stud", "metal stud", "masonry"]
CeilingRuns = Literal["attic", "joists", "surface"]
JoistDirection = Literal["north-south", "east-west"]
NEAR_FT = 0.005


class Wall(Fact):
    """One straight outer wall, from its corner to the next wall's corner."""

    id: Id
    start: Point = Field(alias="from", description="Corner where this wall begins")
    construction: Construction = "wood stud"


class Partition(Wall):
    """A wall inside the outline; both its sides are rooms."""

    end: Point = Field(alias="to", description="Where this wall ends")


class Opening(Fact):
    """A door or window: no wall run crosses it between its sill and its head."""

    id: Id
    kind: Literal["door", "overhead door", "cased opening", "window"]
    wall: Id
    between: Point = Field(description="From and to, along the wall's own axis (x or y)")
    head_ft: Feet = Field(7.0, description="Height of its head above the floor")
    sill_ft: Feet = Field(0.0, description="Height of its sill: wall runs may pass below")
    travel_ft: Feet = Field(0.0, description="Overhead door: how far it reaches under the ceiling")


class Rectangle(Fact):
    """A named rectangle on the floor by two opposite corners."""

    id: Id
    start: Point = Field(alias="from", description="One corner")
    end: Point = Field(alias="to", description="The opposite corner")

    @property
    def low(self) -> Point:
        """The south-west corner. [ft]"""
        return min(self.start[0], self.end[0]), min(self.start[1], self.end[1])

    @property
    def high(self) -> Point:
        """The north-east corner. [ft]"""
        return max(self.start[0], self.end[0]), max(self.start[1], self.end[1])

    def holds(self, x_ft: float, y_ft: float) -> bool:
        """Whether a point lies in the rectangle or on its edge."""
        (x0, y0), (x1, y1) = self.low, self.high
        return x0 - NEAR_FT <= x_ft <= x1 + NEAR_FT and y0 - NEAR_FT <= y_ft <= y1 + NEAR_FT


class Area(Rectangle):
    """A part of the building with a ceiling or a climate of its own; unset: as the building."""

    ceiling_ft: Feet | None = None
    ceiling_runs: CeilingRuns | None = None
    joists: JoistDirection | None = None
    ambient_c: Celsius | None = Field(None, description="Highest temperature in the room")
    attic_c: Celsius | None = Field(None, description="Highest temperature over its ceiling")


class Zone(Rectangle):
    """A place on the floor: where people work, where it is damp, where vehicles are."""

    kinds: tuple[Literal["work", "damp", "wet", "sink", "vehicles"], ...] = Field(
        ("work",), alias="is"
    )
    note: str = ""


class Ambient(Fact):
    """Highest temperatures that cable and conductors see where no area says otherwise."""

    room_c: Celsius = 30.0
    attic_c: Celsius = 50.0


class Hazards(Fact):
    """Questions that stop a plan when the answer is yes, and are a finding while unanswered."""

    flammable_vapour: YesNo | None = None
    combustible_dust: YesNo | None = None
    wet_process: YesNo | None = None


class Climate(NamedTuple):
    """What holds at one point: ceiling height, what runs over it, and the heat there."""

    ceiling_ft: float
    ceiling_runs: CeilingRuns
    joists: JoistDirection | None
    room_c: float
    attic_c: float


class Building(Fact):
    """The rooms under one roof; outer walls counter-clockwise, all walls square to the axes."""

    kind: Literal["garage", "accessory building", "basement", "shop"]
    dwelling: YesNo = Field(description="Part of a dwelling's premises")
    attached: YesNo = True
    floor: Literal["at or below grade", "above grade"] = "at or below grade"
    walls: tuple[Wall, ...] = Field(min_length=4, description="Outline, counter-clockwise")
    partitions: tuple[Partition, ...] = Field((), description="Walls inside the outline")
    ceiling_ft: Feet = Field(description="Ceiling height")
    ceiling_runs: CeilingRuns = "attic"
    joists: JoistDirection | None = Field(None, description="Which way the joists run")
    openings: tuple[Opening, ...] = ()
    areas: tuple[Area, ...] = Field((), description="Parts with a ceiling or heat of their own")
    zones: tuple[Zone, ...] = Field((), description="Named places on the floor")
    ambient: Ambient = Ambient()
    hazards: Hazards = Hazards()

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        """The outline [ft]."""
        return tuple(wall.start for wall in self.walls)

    @cached_property
    def all_walls(self) -> tuple[Wall, ...]:
        """Outer walls and partitions."""
        return (*self.walls, *self.partitions)

    @cached_property
    def _ends(self) -> dict[str, tuple[Point, Point]]:
        ends: dict[str, tuple[Point, Point]] = {}
        for wall, following in zip(self.walls, (*self.walls[1:], self.walls[0]), strict=True):
            ends.setdefault(wall.id, (wall.start, following.start))
        for partition in self.partitions:
            ends.setdefault(partition.id, (partition.start, partition.end))
        return ends

    def wall_ends(self, wall_id: str) -> tuple[Point, Point]:
        """Both ends of a wall [ft]; KeyError for an unknown wall."""
        return self._ends[wall_id]

    @cached_property
    def walls_by_line(self) -> tuple[tuple[tuple[float, ...], tuple[str, ...]], ...]:
        """The walls that run north-south, then those that run east-west: the x or y that each
        stands at [ft], in order, and their ids.
        """
        found: tuple[list[tuple[float, str]], ...] = ([], [])
        for wall in self.all_walls:
            start, end = self.wall_ends(wall.id)
            axis = 0 if start[0] == end[0] else 1
            found[axis].append((start[axis], wall.id))
        return tuple(
            (tuple(line for line, _ in walls), tuple(name for _, name in walls))
            for walls in map(sorted, found)
        )

    def wall(self, wall_id: str) -> Wall:
        """The wall with this id; KeyError when there is none."""
        for wall in self.all_walls:
            if wall.id == wall_id:
                return wall
        raise KeyError(wall_id)

    def is_partition(self, wall_id: str) -> bool:
        """Whether a wall stands inside the outline."""
        return any(partition.id == wall_id for partition in self.partitions)

    def on_wall(self, wall_id: str, x_ft: float | None, y_ft: float | None) -> Point:
        """The point of a wall at a given x (wall runs east-west) or y (wall runs north-south)."""
        (x0, y0), (x1, _) = self.wall_ends(wall_id)
        if x0 == x1:
            return x0, y_ft if y_ft is not None else y0
        return x_ft if x_ft is not None else x0, y0

    def facing(self, wall_id: str, faces: Side | None) -> Point:
        """One step [ft] from a wall into the room that an enclosure on it faces."""
        steps = {"north": (0.0, 1.0), "south": (0.0, -1.0), "east": (1.0, 0.0), "west": (-1.0, 0.0)}
        if faces is not None:
            return steps[faces]
        (x0, y0), (x1, y1) = self.wall_ends(wall_id)
        length = abs(x1 - x0) + abs(y1 - y0)
        return -(y1 - y0) / length, (x1 - x0) / length

    @cached_property
    def area_edges(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """The x and the y of the edges of areas, each once in order. [ft]"""
        corners = [corner for area in self.areas for corner in (area.low, area.high)]
        xs, ys = (tuple(sorted({corner[axis] for corner in corners})) for axis in (0, 1))
        return xs, ys

    @cached_property
    def _climates(self) -> dict[Point, tuple[Climate, ...]]:
        """What `climates_at` was asked before."""
        return {}

    def climates_at(self, x_ft: float, y_ft: float) -> tuple[Climate, ...]:
        """What holds at a point; more than one on the edge between areas."""
        at = x_ft, y_ft
        if at not in self._climates:
            self._climates[at] = self._look_up(x_ft, y_ft)
        return self._climates[at]

    def _look_up(self, x_ft: float, y_ft: float) -> tuple[Climate, ...]:
        found = [area for area in self.areas if area.holds(x_ft, y_ft)]
        climates = [self._climate(area) for area in found]
        inside = any(_well_inside(area, x_ft, y_ft) for area in found)
        if not found or (not inside and not self._closed_in(found, x_ft, y_ft)):
            climates.append(self._climate(None))
        return tuple(dict.fromkeys(climates))

    def climate_at(self, x_ft: float, y_ft: float) -> Climate:
        """What holds at a point; on an edge the lowest ceiling, and of these the hottest."""
        return min(self.climates_at(x_ft, y_ft), key=lambda c: (c.ceiling_ft, -c.room_c))

    def _closed_in(self, found: list[Area], x: float, y: float) -> bool:
        """Whether areas and the outside are all there is around a point on their edges."""
        step = 4 * NEAR_FT
        around = [(x + dx, y + dy) for dx in (-step, step) for dy in (-step, step)]
        return all(
            any(area.holds(*point) for area in found) or not self.holds(*point) for point in around
        )

    def holds(self, x_ft: float, y_ft: float) -> bool:
        """Whether a point lies inside the outline or on it."""
        within = False
        for (x0, y0), (x1, y1) in self._sides():
            on_x = min(x0, x1) - NEAR_FT <= x_ft <= max(x0, x1) + NEAR_FT
            on_y = min(y0, y1) - NEAR_FT <= y_ft <= max(y0, y1) + NEAR_FT
            if on_x and on_y:
                return True
            if (y0 > y_ft) != (y1 > y_ft) and x_ft < x0:
                within = not within
        return within

    def _sides(self) -> Iterator[tuple[Point, Point]]:
        return zip(self.corners, (*self.corners[1:], self.corners[0]), strict=True)

    def _climate(self, area: Area | None) -> Climate:
        """An area's own answers, the building's where it has none."""
        whole = Climate(
            self.ceiling_ft,
            self.ceiling_runs,
            self.joists,
            self.ambient.room_c,
            self.ambient.attic_c,
        )
        if area is None:
            return whole
        return Climate(
            whole.ceiling_ft if area.ceiling_ft is None else area.ceiling_ft,
            area.ceiling_runs or whole.ceiling_runs,
            area.joists or whole.joists,
            whole.room_c if area.ambient_c is None else area.ambient_c,
            whole.attic_c if area.attic_c is None else area.attic_c,
        )


def _well_inside(area: Area, x: float, y: float) -> bool:
    """Whether a point is inside an area, clear of its edges."""
    (x0, y0), (x1, y1) = area.low, area.high
    return x0 + NEAR_FT < x < x1 - NEAR_FT and y0 + NEAR_FT < y < y1 - NEAR_FT
