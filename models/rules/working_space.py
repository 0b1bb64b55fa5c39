"""Working space in front of the panel: 30 in wide, 36 in deep, 6.5 ft high, kept clear. Feet.

The 30 in may lie to either side of the panel's middle where walls are near; for machines and boxes
they are taken around the middle.
"""

from collections.abc import Iterator
from itertools import combinations
from math import dist
from typing import Final

from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop import (
    WORKING_SPACE_DEPTH_FT,
    WORKING_SPACE_WIDTH_FT,
    Building,
    Opening,
    Panel,
    Point,
)
from models.sight import wall_between
from models.working_space import TOP_FT, in_working_space

EDGE_FT: Final = 0.01
SHIFTS_FT: Final = tuple(step / 4 for step in sorted(range(-5, 6), key=abs))  # 15 in each way

SPACE = RuleText(
    "working-space",
    "Working space at the panel",
    "In front of a panel 30 in of width and 36 in of depth stay clear of walls, of machines and of"
    " boxes that stand out, from the floor to 6.5 ft.",
    "NEC 110.26(A)",
    "code",
)
SWING = RuleText(
    "door-swing",
    "Doors that swing into the working space",
    "No door opens over the place where somebody stands at a panel. A shop file does not say which"
    " way a door opens; one that would reach there is named.",
    "common practice, no source",
    "habit",
)
RULES = registry(SPACE, SWING)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each thing that takes working space from a panel."""
    for panel in reading.shop.supply.panels:
        for thing, name, x, y in _things(reading, panel):
            if in_working_space(reading.shop, panel, x, y):
                yield SPACE.finding(
                    thing,
                    f"{name} stands in the working space of panel {panel.id} (30 in x 36 in)",
                    edition=reading.edition,
                    fix=f"move {name} clear of the panel",
                )
        if panel.wall is not None:
            yield from _room(reading, panel)
            yield from _doors(reading, panel)


def _things(reading: Reading, panel: Panel) -> Iterator[tuple[str, str, float, float]]:
    """Machines where they stand, and boxes below 6.5 ft that are not on the panel's own wall."""
    for machine in reading.shop.machines:
        if machine.at is not None:
            yield machine.id, reading.called[machine.id], *machine.at
    for box in reading.shop.boxes:
        x, y, z = reading.shop.position(box)
        if z <= TOP_FT and box.wall != panel.wall and not box.outdoors:
            yield box.id, box.id, x, y


def _room(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """Walls and a ceiling that leave too little room in front of a panel."""
    shop = reading.shop
    ceiling_ft = shop.building.climate_at(*shop.stands_in(panel)).ceiling_ft
    if ceiling_ft < TOP_FT:
        yield SPACE.finding(
            panel.id,
            f"the ceiling at panel {panel.id} is {ceiling_ft:g} ft high, 6.5 ft is asked for",
            edition=reading.edition,
            severity="warning" if panel.existing and shop.building.dwelling else "violation",
            detail="height",
            found=ceiling_ft,
            limit=TOP_FT,
            unit="ft",
            fix=f"another place for {panel.id}; an existing one of a dwelling may stay",
        )
    if not any(_clear_of_walls(reading, _corners(reading, panel, s)) for s in SHIFTS_FT):
        yield SPACE.finding(
            panel.id,
            f"walls leave no 30 in x 36 in in front of panel {panel.id}",
            edition=reading.edition,
            detail="walls",
            fix=f"another place for {panel.id}",
        )


def _corners(reading: Reading, panel: Panel, shift_ft: float) -> list[Point]:
    """The corners of the working space, drawn in by a hair, moved aside along the wall. [ft]"""
    assert panel.wall is not None
    x, y, _ = reading.shop.position(panel)
    dx, dy = reading.shop.building.facing(panel.wall, panel.faces)
    half = WORKING_SPACE_WIDTH_FT / 2 - EDGE_FT
    return [
        (x + dx * depth - dy * aside, y + dy * depth + dx * aside)
        for depth in (EDGE_FT, WORKING_SPACE_DEPTH_FT - EDGE_FT)
        for aside in (shift_ft - half, shift_ft + half)
    ]


def _clear_of_walls(reading: Reading, corners: list[Point]) -> bool:
    """Whether the corners lie inside and no wall stands between any two of them."""
    return all(reading.shop.building.holds(*corner) for corner in corners) and not any(
        wall_between(reading.shop, one, other) for one, other in combinations(corners, 2)
    )


def _doors(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """Doors whose leaf may sweep over the working space."""
    for door in reading.shop.building.openings:
        if door.kind == "door" and _sweeps(
            reading.shop.building, door, _corners(reading, panel, 0)
        ):
            yield SWING.finding(
                door.id,
                f"{door.id} swings over the working space of panel {panel.id} if it opens that way",
                edition=reading.edition,
                severity="note",
                detail=panel.id,
                fix=f"let {door.id} open the other way",
            )


def _sweeps(building: Building, door: Opening, corners: list[Point]) -> bool:
    """Whether a leaf on either jamb, opening to a side that is a room, comes over a rectangle."""
    low, high = sorted(door.between)
    jambs = [building.on_wall(door.wall, along, along) for along in (low, high)]
    inward = building.facing(door.wall, None)
    sides = [inward, (-inward[0], -inward[1])] if building.is_partition(door.wall) else [inward]
    for dx, dy in sides:
        ends = [*jambs, *((x + dx * (high - low), y + dy * (high - low)) for x, y in jambs)]
        shared = [_overlap(corners, ends, axis) for axis in (0, 1)]
        if all(begin < end for begin, end in shared):
            nearest = [tuple(_clamp(jamb[a], *shared[a]) for a in (0, 1)) for jamb in jambs]
            if any(dist(*pair) < high - low for pair in zip(jambs, nearest, strict=True)):
                return True
    return False


def _overlap(some: list[Point], others: list[Point], axis: int) -> tuple[float, float]:
    """What two rectangles share along an axis; begins after its end when they share nothing."""
    one, two = [p[axis] for p in some], [p[axis] for p in others]
    return max(min(one), min(two)), min(max(one), max(two))


def _clamp(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)
