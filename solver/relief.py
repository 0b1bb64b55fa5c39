"""Relief for a device box where raceways meet: they meet in a junction box beside it instead."""

from collections.abc import Iterator
from typing import Any, Final

from models.shop import Box, Raceway, Shop
from models.shop.facts import TRADE_SIZES
from models.shop_checks import check_shop
from models.shop_edit import Change, changed
from solver.causes import Remedy

SIZE: Final = "8 x 8 x 4"
OFFSETS_FT: Final = ((0.0, 1.5), (0.0, -1.5), (1.0, 1.5), (-1.0, 1.5), (2.0, 0.0), (-2.0, 0.0))
FEWEST: Final = 2  # raceways that meet


def junction_beside(shop: Shop, box: Box) -> Remedy | None:
    """A junction box near a box on a wall, where its raceways come together; None without any.

    One raceway goes on from it to the box, as large as the largest that came to it.
    """
    raceways = [r for r in shop.routes.raceways if box.id in r.ends and not r.existing]
    if len(raceways) < FEWEST or box.wall is None or box.outdoors:
        return None
    name = f"J-{box.id}"
    ends = [_ends(raceway, box.id, name) for raceway in raceways]
    largest = max(raceways, key=lambda raceway: TRADE_SIZES.index(raceway.trade_size))
    on = {"kind": largest.kind, "trade_size": largest.trade_size, "ends": [name, box.id]}
    moved: list[Change] = [(f"routes.raceways[R-{name}]", on), *ends]
    problems = len(check_shop(shop))
    for place in _places(shop, box):
        changes = ((f"routes.junction_boxes[{name}]", {**place, "box": SIZE}), *moved)
        if len(check_shop(changed(shop, changes))) <= problems:
            others = ", ".join(raceway.id for raceway in raceways)
            says = f"a junction box of {SIZE} in beside {box.id}, where {others} meet instead"
            return Remedy(says, changes)
    return None


def _ends(raceway: Raceway, old: str, new: str) -> Change:
    """A raceway that ends in another box."""
    ends = [new if end == old else end for end in raceway.ends]
    return f"routes.raceways[{raceway.id}].ends", ends


def _places(shop: Shop, box: Box) -> Iterator[dict[str, Any]]:
    """Places on the same wall, the nearest first."""
    height_ft = shop.position(box)[2]
    along = "x" if box.x_ft is not None else "y"
    at_ft = box.x_ft if box.x_ft is not None else box.y_ft
    assert at_ft is not None
    for aside_ft, above_ft in OFFSETS_FT:
        place = {"wall": box.wall, along: f"{at_ft + aside_ft:g} ft"}
        place["height"] = f"{height_ft + above_ft:g} ft"
        yield {**place, "faces": box.faces} if box.faces else place
