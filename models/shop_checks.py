"""Whether the facts of a shop fit each other: names, places, plugs, spaces, use.

`check_shop` tells everything it finds. Checks that need a sound outline wait until the walls are.
"""

from collections.abc import Mapping

from models.outline_checks import check_areas, check_openings, check_partitions, check_walls
from models.place_checks import check_places, enclosures
from models.plug_checks import check_later_plugs, check_machines, check_receptacles
from models.route_checks import check_routes, check_ways
from models.shop import Box, Shop
from models.shop_problem import Path, Problems, ShopProblem, repeated, unknown
from models.shop_rows import expand
from models.supply_checks import check_supply
from models.use_checks import check_later, check_use


def check_shop(shop: Shop) -> list[ShopProblem]:
    """Every problem of a shop whose single facts are read."""
    expanded = expand(shop)
    problems = [
        *expanded.problems,
        *(
            ShopProblem(expanded.in_file(problem.path), problem.says)
            for problem in _check_expanded(expanded.shop)
        ),
    ]
    if not expanded.shop.boxes and not expanded.problems:
        problems.append(ShopProblem(("boxes",), "no box is there: write `boxes` or `rows`"))
    return problems


def _check_expanded(shop: Shop) -> Problems:
    """Every problem of a shop without rows."""
    yield from _check_ids(shop)
    yield from check_supply(shop)
    yield from check_routes(shop)
    yield from _check_switches(shop)
    yield from _check_not_with(shop)
    yield from _check_pins(shop)
    yield from check_receptacles(shop)
    yield from check_use(shop)
    yield from check_later(shop)
    yield from check_later_plugs(shop)
    if walls := list(check_walls(shop.building)):
        yield from walls
        return
    rooms = [*check_partitions(shop.building), *check_areas(shop.building)]
    yield from rooms
    if rooms:
        return
    openings = list(check_openings(shop.building))
    yield from openings
    places = list(check_places(shop))
    yield from places
    if not places:
        yield from check_machines(shop)
        if not openings:
            yield from check_ways(shop)


def _check_ids(shop: Shop) -> Problems:
    """No id twice among the parts of the building, nor days, nor among all that a plan names."""
    building = shop.building
    walls = [(("building", "walls", i, "id"), "wall", w.id) for i, w in enumerate(building.walls)]
    walls += [
        (("building", "partitions", i, "id"), "partition", w.id)
        for i, w in enumerate(building.partitions)
    ]
    yield from repeated(walls)
    openings = (
        (("building", "openings", i, "id"), "opening", o.id)
        for i, o in enumerate(building.openings)
    )
    yield from repeated(openings)
    areas = [(("building", "areas", i, "id"), "area", a.id) for i, a in enumerate(building.areas)]
    areas += [(("building", "zones", i, "id"), "zone", z.id) for i, z in enumerate(building.zones)]
    yield from repeated(areas)
    avoid = ((("routes", "avoid", i, "id"), "block", a.id) for i, a in enumerate(shop.routes.avoid))
    yield from repeated(avoid)
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
    named += [
        (("later", "machines", i, "id"), "later machine", m.id)
        for i, m in enumerate(shop.later.machines)
    ]
    named += [(("existing", i, "id"), "circuit", c.id) for i, c in enumerate(shop.existing)]
    yield from repeated(named)


def _check_switches(shop: Shop) -> Problems:
    """What is switched names a switch: a yoke, or a box that has but one."""
    boxes = {box.id: box for box in shop.boxes}
    for index, box in enumerate(shop.boxes):
        path: Path = ("boxes", index, "switched_by")
        if box.switched_by and box.luminaire_watts is None:
            says = f"{box.id!r} holds no luminaire: take `switched_by` out"
            yield ShopProblem(path, says)
        if box.battery_backup and box.luminaire_watts is None:
            says = f"{box.id!r} holds no luminaire: take `battery_backup` out"
            yield ShopProblem(("boxes", index, "battery_backup"), says)
        for place, name in enumerate(box.switched_by):
            at = path if len(box.switched_by) == 1 else (*path, place)
            yield from _check_switch(at, boxes, name)
            if name in box.switched_by[:place]:
                yield ShopProblem(at, f"{name!r} switches {box.id!r} twice: name it once")
        for place, yoke in enumerate(box.devices):
            if yoke.switched_by is not None:
                yield from _check_switch(("boxes", index, "yokes", place), boxes, yoke.switched_by)


def _check_switch(path: Path, boxes: Mapping[str, Box], name: str) -> Problems:
    """One name of a switch."""
    for box in boxes.values():
        if any(yoke.id == name and yoke.kind == "switch" for yoke in box.devices):
            return
    if name not in boxes:
        names = {y.id for box in boxes.values() for y in box.devices if y.kind == "switch"}
        alone = {b.id for b in boxes.values() if sum(y.kind == "switch" for y in b.devices) == 1}
        yield from unknown(path, "switch", name, names | alone)
        return
    switches = [yoke.id for yoke in boxes[name].devices if yoke.kind == "switch"]
    if not switches:
        says = f"{name!r} has no `switch` among its yokes: add one, or name another box"
        yield ShopProblem(path, says)
    elif len(switches) > 1:
        says = f"{name!r} has {len(switches)} switches: write {' or '.join(map(repr, switches))}"
        yield ShopProblem(path, says)


def _check_not_with(shop: Shop) -> Problems:
    """Boxes that share no circuit with another."""
    boxes = {box.id for box in shop.boxes}
    for index, box in enumerate(shop.boxes):
        for place, name in enumerate(box.not_with):
            path: Path = ("boxes", index, "not_with", *((place,) if len(box.not_with) > 1 else ()))
            yield from unknown(path, "box", name, boxes)
            if name == box.id:
                yield ShopProblem(path, f"{name!r} cannot be apart from itself: name another box")


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
    for index, pinned in enumerate(shop.pins.circuits):
        for place, name in enumerate(pinned.yokes):
            yield from unknown(("pins", "circuits", index, "yokes", place), "yoke", name, yokes)
        for place, space in enumerate(pinned.spaces):
            if not 1 <= space <= shop.panel().spaces:
                says = f"panel {shop.panel().id!r} has spaces 1 to {shop.panel().spaces}, and no"
                says += f" space {space}: correct the number"
                yield ShopProblem(("pins", "circuits", index, "spaces", place), says)
    for index, apart in enumerate(shop.pins.apart):
        for together in shop.pins.together:
            both = sorted(set(apart) & set(together))
            if len(both) > 1:
                says = f"{both[0]!r} and {both[1]!r} are pinned together and apart: keep one"
                yield ShopProblem(("pins", "apart", index), says)
