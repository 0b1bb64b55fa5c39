"""Whether the facts of a shop fit each other: names, places, plugs, spaces, use.

`check_shop` tells everything it finds. Checks that need a sound outline wait until the walls are.
"""

from models.formulas.box_fill import box_volumes
from models.outline_checks import check_openings, check_walls
from models.place_checks import check_places, enclosures
from models.plug_checks import check_machines, check_receptacles
from models.shop import Box, Shop
from models.shop_problem import Path, Problems, ShopProblem, closest, repeated, unknown
from models.supply_checks import check_supply
from models.use_checks import check_use


def check_shop(shop: Shop) -> list[ShopProblem]:
    """Every problem of a shop whose single facts are read."""
    problems = [
        *_check_ids(shop),
        *check_supply(shop),
        *_check_routes(shop),
        *_check_switches(shop),
        *_check_pins(shop),
        *check_receptacles(shop),
        *check_use(shop),
    ]
    walls = list(check_walls(shop.building))
    if walls:
        return problems + walls
    problems += check_openings(shop.building)
    places = list(check_places(shop))
    return problems + places + ([] if places else list(check_machines(shop)))


def _check_ids(shop: Shop) -> Problems:
    """No id twice among walls, openings, days; nor among all that a plan names."""
    building = shop.building
    walls = ((("building", "walls", i, "id"), "wall", w.id) for i, w in enumerate(building.walls))
    yield from repeated(walls)
    openings = (
        (("building", "openings", i, "id"), "opening", o.id)
        for i, o in enumerate(building.openings)
    )
    yield from repeated(openings)
    days = ((("use", "days", i, "id"), "day", day.id) for i, day in enumerate(shop.use.days))
    yield from repeated(days)
    named: list[tuple[Path, str, str]] = [
        ((*thing.path, "id"), thing.kind, thing.id) for thing in enclosures(shop)
    ]
    named += [
        (("routes", "raceways", i, "id"), "raceway", r.id)
        for i, r in enumerate(shop.routes.raceways)
    ]
    named += [(("machines", i, "id"), "machine", m.id) for i, m in enumerate(shop.machines)]
    named += [(("existing", i, "id"), "circuit", c.id) for i, c in enumerate(shop.existing)]
    yield from repeated(named)


def _check_routes(shop: Shop) -> Problems:
    """Raceways between two enclosures; junction boxes of a size that the table lists."""
    for index, raceway in enumerate(shop.routes.raceways):
        path: Path = ("routes", "raceways", index, "ends")
        for place, end in enumerate(raceway.ends):
            yield from unknown((*path, place), "box or panel", end, shop.enclosures)
        if raceway.ends[0] == raceway.ends[1]:
            says = f"raceway {raceway.id!r} begins and ends at {raceway.ends[0]!r}: name two boxes"
            yield ShopProblem(path, says)
    for index, junction in enumerate(shop.routes.junction_boxes):
        if junction.box not in box_volumes():
            says = f"no box size {junction.box!r} is listed; {closest(junction.box, box_volumes())}"
            yield ShopProblem(("routes", "junction_boxes", index, "box"), says)


def _check_switches(shop: Shop) -> Problems:
    """A luminaire's switch is in a box with one switch."""
    boxes = {box.id: box for box in shop.boxes}
    for index, box in enumerate(shop.boxes):
        if box.switched_by is None:
            continue
        path: Path = ("boxes", index, "switched_by")
        if box.luminaire_watts is None:
            says = f"{box.id!r} holds no luminaire: take `switched_by` out"
            yield ShopProblem(path, says)
        yield from unknown(path, "box", box.switched_by, boxes)
        if at := boxes.get(box.switched_by):
            yield from _check_one_switch(path, at)


def _check_one_switch(path: Path, box: Box) -> Problems:
    """A box whose switch is meant without saying which."""
    switches = box.yokes.count("switch")
    if not switches:
        says = f"{box.id!r} has no `switch` among its yokes: add one, or name another box"
        yield ShopProblem(path, says)
    elif switches > 1:
        says = f"{box.id!r} has {switches} switches, and this cannot say which: give one of them"
        yield ShopProblem(path, f"{says} a box of its own")


def _check_pins(shop: Shop) -> Problems:
    """Pins name yokes, two or more, and do not ask for opposite things."""
    yokes = {yoke_id for box in shop.boxes for yoke_id in box.yoke_ids}
    for kind, groups in (("together", shop.pins.together), ("apart", shop.pins.apart)):
        for index, group in enumerate(groups):
            path: Path = ("pins", kind, index)
            for place, name in enumerate(group):
                yield from unknown((*path, place), "yoke", name, yokes)
            if len(set(group)) < 2:
                yield ShopProblem(path, "a pin is about two yokes or more: name them, each once")
    for index, apart in enumerate(shop.pins.apart):
        for together in shop.pins.together:
            both = sorted(set(apart) & set(together))
            if len(both) > 1:
                says = f"{both[0]!r} and {both[1]!r} are pinned together and apart: keep one"
                yield ShopProblem(("pins", "apart", index), says)
