"""Whether walls make one outline, and openings lie in their walls. Feet, seen from above."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from models.quantities import feet_inches
from models.shop import Building, Opening, Point
from models.shop_problem import Path, Problems, ShopProblem, unknown

SAME_FT: Final = 0.005

Segment = tuple[Point, Point]


def check_walls(building: Building) -> Problems:
    """The outline: square to the axes, closed, counter-clockwise, never crossing itself."""
    path: Path = ("building", "walls")
    sides = [building.wall_ends(wall.id) for wall in building.walls]
    straight = True
    for index, (wall, side) in enumerate(zip(building.walls, sides, strict=True)):
        if says := _not_a_side(side):
            straight = False
            following = building.walls[(index + 1) % len(sides)].id
            says = f"wall {wall.id!r} to the corner of {following!r} {says}"
            yield ShopProblem((*path, index, "from"), says)
    if not straight:
        return
    if crossing := _crossing(sides):
        first, second = (building.walls[index].id for index in crossing)
        says = f"wall {second!r} crosses or touches wall {first!r}: correct their corners"
        yield ShopProblem((*path, crossing[1], "from"), says)
    elif _area_ft2(building.corners) < 0:
        says = "the walls go round clockwise: list their corners counter-clockwise, seen from above"
        yield ShopProblem(path, says)


def _not_a_side(side: Segment) -> str:
    """What keeps two corners from being a wall square to the axes."""
    (x0, y0), (x1, y1) = side
    if (x0, y0) == (x1, y1):
        return "has no length: give each wall its own corner"
    if x0 != x1 and y0 != y1:
        return (
            f"goes {feet_inches(abs(x1 - x0))} along x and {feet_inches(abs(y1 - y0))} along y:"
            " walls run along x or along y, so give both corners the same x or the same y"
        )
    return ""


def _crossing(sides: Sequence[Segment]) -> tuple[int, int] | None:
    """The first two walls that meet anywhere but at the corner they share."""
    for second, side in enumerate(sides):
        for first, other in enumerate(sides[:second]):
            after = second == first + 1
            before = (second + 1) % len(sides) == first
            if after or before:
                one, two = (other, side) if after else (side, other)
                if _turns_back(one, two):
                    return first, second
            elif _meet(side, other):
                return first, second
    return None


def _turns_back(one: Segment, two: Segment) -> bool:
    """Whether a wall goes back over the wall before it."""
    (ax, ay), (bx, by) = one
    cx, cy = two[1]
    return (bx - ax) * (cx - bx) + (by - ay) * (cy - by) < 0


def _meet(one: Segment, two: Segment) -> bool:
    """Whether two sides along the axes have a point in common."""
    return all(
        min(a[axis] for a in one) <= max(b[axis] for b in two)
        and min(b[axis] for b in two) <= max(a[axis] for a in one)
        for axis in (0, 1)
    )


def _area_ft2(corners: Sequence[Point]) -> float:
    """Area with its sign: positive counter-clockwise."""
    pairs = zip(corners, (*corners[1:], corners[0]), strict=True)
    return sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in pairs) / 2


def check_partitions(building: Building) -> Problems:
    """Partitions: square to the axes, inside the outline, not on another wall."""
    for index, partition in enumerate(building.partitions):
        path: Path = ("building", "partitions", index)
        side = (partition.start, partition.end)
        if says := _not_a_side(side):
            yield ShopProblem((*path, "to"), f"partition {partition.id!r} {says}")
            continue
        for key, end in zip(("from", "to"), side, strict=True):
            if not building.holds(*end):
                says = f"partition {partition.id!r} at x {end[0]:g} ft, y {end[1]:g} ft is outside"
                yield ShopProblem((*path, key), f"{says} the walls: end it at a wall or inside")
        for other in (*building.walls, *building.partitions[:index]):
            if _lie_together(side, building.wall_ends(other.id)):
                says = f"partition {partition.id!r} lies on wall {other.id!r}: keep one of them"
                yield ShopProblem((*path, "from"), says)


def _lie_together(one: Segment, two: Segment) -> bool:
    """Whether two walls run along the same line for a piece."""
    for axis in (0, 1):
        across = 1 - axis
        lines = {one[0][across], one[1][across], two[0][across], two[1][across]}
        low = max(min(end[axis] for end in one), min(end[axis] for end in two))
        high = min(max(end[axis] for end in one), max(end[axis] for end in two))
        if len(lines) == 1 and high - low > SAME_FT:
            return True
    return False


def check_areas(building: Building) -> Problems:
    """Areas and zones: a width and a depth, inside the outline; areas never over each other."""
    groups = (("areas", "area", building.areas), ("zones", "zone", building.zones))
    for key, kind, rectangles in groups:
        for index, rectangle in enumerate(rectangles):
            path: Path = ("building", key, index)
            (x0, y0), (x1, y1) = rectangle.low, rectangle.high
            if x1 - x0 < SAME_FT or y1 - y0 < SAME_FT:
                says = (
                    f"{kind} {rectangle.id!r} has no width or no depth: give two corners that lie"
                )
                yield ShopProblem((*path, "to"), f"{says} across from each other")
                continue
            if kind == "area" and not _all_inside(building, rectangle.low, rectangle.high):
                says = (
                    f"area {rectangle.id!r} reaches beyond the walls: end it at them, an L-shaped"
                )
                yield ShopProblem((*path, "to"), f"{says} part takes two areas")
            for other in building.areas[:index] if kind == "area" else ():
                (a0, b0), (a1, b1) = other.low, other.high
                if min(x1, a1) - max(x0, a0) > SAME_FT and min(y1, b1) - max(y0, b0) > SAME_FT:
                    says = f"area {rectangle.id!r} lies over area {other.id!r}: let them only touch"
                    yield ShopProblem((*path, "from"), says)


def _all_inside(building: Building, low: Point, high: Point) -> bool:
    """Whether a whole rectangle is inside the outline."""
    xs = {low[0], high[0]} | {x for x, _ in building.corners if low[0] < x < high[0]}
    ys = {low[1], high[1]} | {y for _, y in building.corners if low[1] < y < high[1]}
    columns, rows = sorted(xs), sorted(ys)
    middles = [((a + b) / 2, (c + d) / 2) for a, b in pairwise(columns) for c, d in pairwise(rows)]
    return all(building.holds(*point) for point in middles)


def top_ft(building: Building, wall_id: str, along: float) -> float:
    """How high a wall reaches at a place along it: the higher of the ceilings beside it. [ft]"""
    x, y = building.on_wall(wall_id, along, along)
    return max(climate.ceiling_ft for climate in building.climates_at(x, y))


def extent(building: Building, wall_id: str) -> tuple[str, float, float]:
    """The axis along a wall, and where the wall begins and ends on it. [ft]"""
    (x0, y0), (x1, y1) = building.wall_ends(wall_id)
    return ("y", min(y0, y1), max(y0, y1)) if x0 == x1 else ("x", min(x0, x1), max(x0, x1))


def span(opening: Opening) -> tuple[float, float]:
    """Where an opening begins and ends along its wall. [ft]"""
    return min(opening.between), max(opening.between)


def check_openings(building: Building) -> Problems:
    """Openings: in a known wall, within it, no higher than the ceiling, apart from each other."""
    walls = {wall.id for wall in building.all_walls}
    for index, opening in enumerate(building.openings):
        path: Path = ("building", "openings", index)
        yield from unknown((*path, "wall"), "wall", opening.wall, walls)
        if opening.wall not in walls:
            continue
        axis, begin, end = extent(building, opening.wall)
        low, high = span(opening)
        if high - low < SAME_FT:
            says = f"{opening.id!r} has no width: give where it begins and where it ends"
            yield ShopProblem((*path, "between"), says)
        if low < begin - SAME_FT or high > end + SAME_FT:
            says = (
                f"{opening.id!r} reaches from {axis} {low:g} ft to {high:g} ft, its wall"
                f" {opening.wall!r} from {begin:g} ft to {end:g} ft: move it, or check the wall"
            )
            yield ShopProblem((*path, "between"), says)
        ceiling_ft = top_ft(building, opening.wall, (low + high) / 2)
        if opening.head_ft > ceiling_ft:
            says = f"{opening.id!r} is {opening.head_ft:g} ft high, the ceiling"
            says += f" {ceiling_ft:g} ft: lower its head"
            yield ShopProblem((*path, "head"), says)
        if opening.sill_ft >= opening.head_ft:
            says = f"{opening.id!r} has its sill at {opening.sill_ft:g} ft, its head at"
            says += f" {opening.head_ft:g} ft: a sill is below the head"
            yield ShopProblem((*path, "sill"), says)
        if opening.travel_ft and opening.kind != "overhead door":
            says = f"{opening.id!r} is a {opening.kind}: only an overhead door has a `travel`"
            yield ShopProblem((*path, "travel"), says)
