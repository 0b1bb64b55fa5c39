"""Where cable may lie: in stud walls and along the ceiling, dry, not across openings. Feet."""

from collections.abc import Iterator
from itertools import pairwise

from models.plan import Finding, Run, Xyz
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop import Building, Opening

NEAR_FT = 0.02

DRY = RuleText(
    "cable-dry",
    "Nonmetallic cable in dry places",
    "NM-B cable lies neither outdoors nor in other damp or wet places.",
    "NEC 334.12(B)",
    "code",
)
WALLS = RuleText(
    "cable-way",
    "Where cable lies",
    "Cable goes in stud walls and along the ceiling; not on masonry, not through the open room, "
    "not across a door or window below its head.",
    "NEC 334.15; common practice",
    "code",
)
RULES = registry(DRY, WALLS)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each new cable run in a wrong place."""
    for circuit in reading.new_circuits:
        for run in circuit.runs:
            if run.method != "cable":
                continue
            if run.wet:
                says = f"cable run {run.id} lies in a wet place"
                fix = "conductors for wet places in a raceway"
                yield DRY.finding(run.id, says, edition=reading.edition, fix=fix)
            if fault := _fault(reading.shop.building, run):
                fix = "another way, or conductors in a raceway"
                yield WALLS.finding(run.id, fault, edition=reading.edition, fix=fix)


def _fault(building: Building, run: Run) -> str | None:
    """The first part of a run that lies where cable may not; None when all may."""
    for start, end in pairwise(run.path):
        if min(start[2], end[2]) > building.ceiling_ft - NEAR_FT:
            continue  # on or over the ceiling
        walls = [wall for wall in building.walls if _in_wall(building, wall.id, start, end)]
        if not walls:
            return f"run {run.id} crosses the open room from {start} to {end}"
        if all(wall.construction == "masonry" for wall in walls):
            return f"run {run.id} is cable on the masonry of wall {walls[0].id}"
        for opening in building.openings:
            if any(wall.id == opening.wall for wall in walls) and _crosses(
                building, opening, start, end
            ):
                return f"run {run.id} crosses {opening.kind} {opening.id} below its head"
    return None


def _in_wall(building: Building, wall_id: str, start: Xyz, end: Xyz) -> bool:
    """Whether both ends of a straight part lie in the plane of a wall, between its corners."""
    (x0, y0), (x1, y1) = building.wall_ends(wall_id)
    low, high = (min(x0, x1), min(y0, y1)), (max(x0, x1), max(y0, y1))
    return all(
        low[axis] - NEAR_FT <= point[axis] <= high[axis] + NEAR_FT
        for point in (start, end)
        for axis in (0, 1)
    )


def _crosses(building: Building, opening: Opening, start: Xyz, end: Xyz) -> bool:
    """Whether a straight part of a run in the opening's wall lies within the opening."""
    (x0, _), (x1, _) = building.wall_ends(opening.wall)
    axis = 1 if x0 == x1 else 0
    low, high = sorted(opening.between)
    along = sorted((start[axis], end[axis]))
    inside = along[0] < high - NEAR_FT and along[1] > low + NEAR_FT
    return inside and min(start[2], end[2]) < opening.head_ft - NEAR_FT
