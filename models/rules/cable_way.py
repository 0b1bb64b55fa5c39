"""Where cable may lie: in stud walls and along the ceiling, dry, not across openings. Feet."""

from collections.abc import Iterator
from itertools import pairwise

from models.plan import Finding, Run, Xyz
from models.rules.reading import Reading, new_runs
from models.rules.rule import RuleText, registry
from models.shop import Avoid, Building, Opening, Shop
from models.spaces import sections, under_attic

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
    "not across a door or window below its head, not through a place to avoid.",
    "NEC 334.15; common practice",
    "code",
)
RULES = registry(DRY, WALLS)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each new cable run in a wrong place."""
    for circuit in reading.worked_circuits:
        for run in new_runs(circuit):
            if run.method != "cable":
                continue
            if run.wet:
                says = f"cable run {run.id} lies in a wet place"
                fix = "conductors for wet places in a raceway"
                yield DRY.finding(run.id, says, edition=reading.edition, fix=fix)
            if fault := _fault(reading.shop, run):
                fix = "another way, or conductors in a raceway"
                yield WALLS.finding(run.id, fault, edition=reading.edition, fix=fix)


def _fault(shop: Shop, run: Run) -> str | None:
    """The first part of a run that lies where cable may not; None when all may."""
    building = shop.building
    pieces = (sections(building, part, "cable") for part in pairwise(run.path))
    for _, start, end, _ in (piece for part in pieces for piece in part):
        for avoid in shop.routes.avoid:
            if _meets(avoid, start, end):
                return f"run {run.id} goes through {avoid.id}, where no run may be"
        walls = [wall for wall in building.all_walls if _in_wall(building, wall.id, start, end)]
        if _over_ceiling(building, start, end):
            if not walls and (wall := _masonry_crossed(shop, start, end)):
                return f"run {run.id} goes through the masonry of wall {wall} beside its passages"
            continue
        if not walls:
            return f"run {run.id} crosses the open room from {start} to {end}"
        if all(wall.construction == "masonry" for wall in walls):
            return f"run {run.id} is cable on the masonry of wall {walls[0].id}"
        crossed = [
            next((o for o in building.openings if _crosses(building, o, wall.id, start, end)), None)
            for wall in walls
        ]
        if all(crossed) and crossed[0]:
            opening = crossed[0]
            return f"run {run.id} crosses {opening.kind} {opening.id} below its head"
    return None


def _over_ceiling(building: Building, start: Xyz, end: Xyz) -> bool:
    """Whether a straight part lies at the height of the ceilings that it passes, inside."""
    if abs(start[2] - end[2]) > NEAR_FT:
        x, y = start[:2]
        heights = [climate.ceiling_ft for climate in building.climates_at(x, y)]
        lower, upper = sorted((start[2], end[2]))
        return min(heights) - NEAR_FT < lower and upper < max(heights) + NEAR_FT
    if not all(building.holds(*point[:2]) for point in (start, end)):
        return False
    pieces = sections(building, (start, end), "cable")
    return all(piece.lies != "in wall" for piece in pieces) and all(
        building.holds((a.start[0] + a.end[0]) / 2, (a.start[1] + a.end[1]) / 2) for a in pieces
    )


def _meets(avoid: Avoid, start: Xyz, end: Xyz) -> bool:
    """Whether a straight part goes through a block to avoid; touching its edge is no harm."""
    low = (*avoid.low, avoid.above_ft)
    high = (*avoid.high, avoid.below_ft)
    return all(
        min(start[axis], end[axis]) < high[axis] - NEAR_FT
        and max(start[axis], end[axis]) > low[axis] + NEAR_FT
        for axis in range(3)
    )


def _masonry_crossed(shop: Shop, start: Xyz, end: Xyz) -> str | None:
    """A masonry partition that a part under a ceiling without attic goes through unasked."""
    building = shop.building
    for wall in building.partitions:
        if under_attic(building, wall):
            continue
        (x0, y0), (x1, y1) = building.wall_ends(wall.id)
        axis = 0 if x0 == x1 else 1
        line, along = (x0, start[1]) if axis == 0 else (y0, start[0])
        low, high = sorted((y0, y1) if axis == 0 else (x0, x1))
        crosses = min(start[axis], end[axis]) < line < max(start[axis], end[axis])
        if wall.construction != "masonry" or not crosses or not low < along < high:
            continue
        passed = [
            building.on_wall(wall.id, passage.x_ft, passage.y_ft)[1 - axis]
            for passage in shop.routes.passages
            if passage.wall == wall.id
        ]
        if not any(abs(place - along) < NEAR_FT for place in passed):
            return wall.id
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


def _crosses(building: Building, opening: Opening, wall_id: str, start: Xyz, end: Xyz) -> bool:
    """Whether a straight part of a run in the opening's wall lies within the opening."""
    if opening.wall != wall_id:
        return False
    (x0, _), (x1, _) = building.wall_ends(opening.wall)
    axis = 1 if x0 == x1 else 0
    low, high = sorted(opening.between)
    along = sorted((start[axis], end[axis]))
    inside = along[0] < high - NEAR_FT and along[1] > low + NEAR_FT
    lower, upper = sorted((start[2], end[2]))
    return inside and lower < opening.head_ft - NEAR_FT and upper > opening.sill_ft + NEAR_FT
