"""Whether raceways, junction boxes, passages and places to avoid fit the building. Feet."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from models.box_sizes import is_box_size
from models.formulas.box_fill import box_volumes
from models.outline_checks import SAME_FT, span
from models.quantities import feet_inches
from models.shop import Building, ExistingRun, Opening, Raceway, Shop
from models.shop_problem import Path, Problems, ShopProblem, closest, unknown

Point3 = tuple[float, float, float]
LEAST_COVER_FT: Final = 0.5  # NFPA 70 Table 300.5: no raceway of a branch circuit lies shallower


def check_routes(shop: Shop) -> Problems:
    """Raceways between two enclosures; junction boxes of a size with a known volume."""
    for index, raceway in enumerate(shop.routes.raceways):
        path: Path = ("routes", "raceways", index)
        for place, end in enumerate(raceway.ends):
            yield from unknown((*path, "ends", place), "box or panel", end, shop.enclosures)
        if raceway.ends[0] == raceway.ends[1]:
            says = f"raceway {raceway.id!r} begins and ends at {raceway.ends[0]!r}: name two boxes"
            yield ShopProblem((*path, "ends"), says)
        if raceway.laid == "buried" and raceway.depth_ft < LEAST_COVER_FT:
            says = f"raceway {raceway.id!r} is buried {feet_inches(raceway.depth_ft)} deep: Table"
            says += f" 300.5 asks for {feet_inches(LEAST_COVER_FT)} at least, and mostly for more"
            yield ShopProblem((*path, "depth"), says)
    for index, junction in enumerate(shop.routes.junction_boxes):
        if not is_box_size(junction.box):
            says = f"no box size {junction.box!r} is listed; {closest(junction.box, box_volumes())}"
            says += ", or width x height x depth in inches, like '12 x 12 x 4'"
            yield ShopProblem(("routes", "junction_boxes", index, "box"), says)
    for index, avoid in enumerate(shop.routes.avoid):
        if avoid.above_ft >= avoid.below_ft:
            says = (
                f"{avoid.id!r} begins at {avoid.above_ft:g} ft and ends at {avoid.below_ft:g} ft:"
            )
            yield ShopProblem(
                ("routes", "avoid", index, "below"), f"{says} `below` is the greater height"
            )


def check_ways(shop: Shop) -> Problems:
    """Ways that the owner gives point by point; asked once building and places are sound."""
    for index, raceway in enumerate(shop.routes.raceways):
        path: Path = ("routes", "raceways", index, "by")
        yield from _check_way(shop, path, f"raceway {raceway.id!r}", raceway.ends, raceway)
    for number, circuit in enumerate(shop.existing):
        for index, run in enumerate(circuit.runs):
            where = f"the run from {run.start!r} to {run.end!r}"
            path = ("existing", number, "runs", index, "by")
            yield from _check_way(shop, path, where, (run.start, run.end), run)


def _check_way(
    shop: Shop, path: Path, what: str, ends: tuple[str, str], way: Raceway | ExistingRun
) -> Problems:
    """Straight parts, square to the axes, inside, not across an opening."""
    by: Sequence[Point3] = way.by
    buried = isinstance(way, Raceway) and way.laid == "buried"
    if not by or any(end not in shop.enclosures for end in ends):
        return
    first, last = (shop.position(shop.enclosures[end]) for end in ends)
    for place, (start, end) in enumerate(pairwise((first, *by, last))):
        at: Path = (*path, min(place, len(by) - 1))
        if sum(abs(a - b) > SAME_FT for a, b in zip(start, end, strict=True)) > 1:
            says = f"{what} goes slantwise from {_said(start)} to {_said(end)}: give the corner"
            yield ShopProblem(at, f"{says} between them too")
        elif not buried and not all(shop.building.holds(*point[:2]) for point in (start, end)):
            says = f"{what} goes outside the walls at {_said(end)}: keep it inside, or write"
            yield ShopProblem(at, f"{says} `laid: buried` where it is underground")
        elif opening := _crossed(shop.building, start, end):
            says = f"{what} crosses the {opening.kind} {opening.id!r} between {_said(start)} and"
            says += f" {_said(end)}: go over its head, {opening.head_ft:g} ft high"
            yield ShopProblem(at, says)


def _said(point: Point3) -> str:
    """A point as the file writes it."""
    return f"[{', '.join(f'{value:g} ft' for value in point)}]"


def _crossed(building: Building, start: Point3, end: Point3) -> Opening | None:
    """The first opening that a straight part on its wall crosses between sill and head."""
    for opening in building.openings:
        (x0, y0), (x1, _) = building.wall_ends(opening.wall)
        along, across, line = (1, 0, x0) if x0 == x1 else (0, 1, y0)
        if any(abs(point[across] - line) > SAME_FT for point in (start, end)):
            continue
        low, high = span(opening)
        left, right = sorted((start[along], end[along]))
        lower, upper = sorted((start[2], end[2]))
        if left < high and right > low and lower < opening.head_ft and upper > opening.sill_ft:
            return opening
    return None
