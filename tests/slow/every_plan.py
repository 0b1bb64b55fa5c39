"""The least cost of a tiny shop over every plan there is, by counting them all out.

Every way to deal out the yokes to circuits (and, where multiwire is allowed, each circuit into two
halves), every receptacle in reach for each machine that may choose, every build of every circuit;
then what the circuits share: panel spaces, boxes, raceways. Cost in 0.0001 USD.
"""

from itertools import combinations, product
from math import inf

from tests.dealt_out import dealt_out
from tests.slow.counted_site import Site
from tests.slow.every_circuit import every_build, inside_in2
from tests.slow.slow_boxes import volume_in3
from tests.slow.slow_facts import yes
from tests.slow.slow_lengths import path_ft

SQUARE = ("4 x 1-1/2 square", "4 x 2-1/8 square", "4-11/16 x 2-1/8 square")
PULL = ("6 x 6 x 4", "8 x 8 x 4", "12 x 12 x 4")
ROUND = ("4 x 1-1/2 octagonal", "4 x 2-1/8 octagonal")
FILL = 0.40  # three conductors and more, chapter 9 Table 1
NEAR = 1e-9


def least_cost(shop, ways, prices, reach, raceway_paths, builds=None):
    """The least cost of all plans; infinite when there is none. `reach`: yokes by machine.

    `builds`: those of a group of yokes, otherwise than with no thought of days to come.
    """
    site = Site(shop, ways, prices)
    least, known = inf, {}
    for placed in placements(site, reach):
        for groups in dealt_out(items_of(site)):
            circuits = []
            for group in groups:
                yokes = frozenset(name for item in group for name in item)
                here = {m: at for m, at in placed.items() if at in yokes}
                key = yokes, tuple(sorted(here.items()))
                if key not in known:
                    made = (builds or builds_of)(site, group, here)
                    known[key] = sorted(made, key=lambda one: one.cost)
                circuits.append(known[key])
            if all(circuits):
                least = min(least, together(site, circuits, raceway_paths, least))
    return least


def items_of(site):
    """Yokes that are pinned together, as one."""
    items = [{name} for name in site.yokes]
    for group in site.shop.get("pins", {}).get("together", []):
        joined = [item for item in items if item & set(group)]
        items = [item for item in items if item not in joined] + [set().union(*joined)]
    return [frozenset(item) for item in items]


def placements(site, reach):
    """Every receptacle for every machine that may choose; of a receptacle's sockets one each."""
    fixed = {m["id"]: given_place(site, m) for m in site.machines.values() if m["id"] not in reach}
    names = sorted(reach)
    for chosen in product(*(reach[name] for name in names)):
        placed = {**fixed, **dict(zip(names, chosen, strict=True))}
        seated = [at for at in placed.values() if site.yokes[at].receptacles]
        new = set(chosen)
        if all(seated.count(at) <= site.yokes[at].receptacles for at in new):
            yield placed


def given_place(site, machine):
    """The yoke of a machine that has one."""
    if "hard_wired_at" in machine:
        return machine["hard_wired_at"]
    at = machine["plugs_into"]
    return at if at in site.yokes else at.rpartition(".")[0]


def builds_of(site, group, placed):
    """Builds of a group as one circuit, and as a pair split in every way."""
    yokes = sorted(site.yokes[name] for item in group for name in item)
    found = every_build(site, (yokes,), placed)
    if yes(site.code, "multiwire"):
        first, rest = group[0], group[1:]
        for size in range(len(rest)):
            for more in combinations(rest, size):
                left = frozenset(first).union(*more)
                halves = [y for y in yokes if y.id in left], [y for y in yokes if y.id not in left]
                found += every_build(site, halves, placed)
    return found


# -- what circuits share


def together(site, circuits, raceway_paths, least):
    """The least cost of one build of each circuit that all go together; `least` is to be beaten."""
    rest = [sum(builds[0].cost for builds in circuits[n:]) for n in range(len(circuits) + 1)]
    fixed = covers(site) + sum(min(cost for _, cost in sizes(site, box)) for box in site.boxes)
    best = least

    def go_on(number, chosen, cost):
        nonlocal best
        if cost + rest[number] + fixed >= best:
            return
        if number == len(circuits):
            best = min(best, cost + shared(site, chosen, raceway_paths))
            return
        for made in circuits[number]:
            if cost + made.cost + rest[number + 1] + fixed >= best:
                return
            go_on(number + 1, [*chosen, made], cost + made.cost)

    go_on(0, [], 0)
    return best


def shared(site, chosen, raceway_paths):
    """Cost of boxes, covers and new raceways; infinite when something does not go in."""
    lit = sum(made.lights for made in chosen)
    if 0 < lit < site.code.get("light_circuits", 1) or not fits_panel(site, chosen):
        return inf
    if is_garage(site) and not any(made.serves for made in chosen):
        return inf
    cost = covers(site) + raceways_cost(site, chosen, raceway_paths)
    junctions = site.shop.get("routes", {}).get("junction_boxes", [])
    for box in [*site.boxes, *(junction["id"] for junction in junctions)]:
        shares = [made.boxes[box] for made in chosen if box in made.boxes]
        grounds = sum(share[1] for share in shares)
        extra = max(0, grounds - 4) if site.code["edition"] >= 2020 else 0
        needed = sum(share[0] for share in shares)
        needed += max((share[2] for share in shares), default=0.0) * (1 + extra / 4)
        if not shares and box not in site.boxes:
            continue
        fitting = [price for volume, price in sizes(site, box) if volume >= needed - NEAR]
        cost += min(fitting, default=inf)
    return cost


def is_garage(site):
    """Whether NEC 210.11(C)(4) asks for a circuit of receptacles alone; no shop here has bays."""
    building = site.shop["building"]
    assert not building.get("openings")
    assert not building.get("zones")
    return site.dwelling and building["kind"] == "garage"


def fits_panel(site, chosen):
    """Whether the breakers go in and the wished spaces stay free: two poles need neighbours."""
    free = set(range(1, site.panel["spaces"] + 1))
    doubles = sum(made.poles == 2 for made in chosen)
    singles = sum(made.poles == 1 for made in chosen)
    spare = site.shop.get("later", {}).get("spare_spaces", 0)
    return 2 * doubles + singles + spare <= len(free) and most_doubles(free) >= doubles


def most_doubles(free):
    """How many breakers of two poles go into spaces, each place tried or left."""
    for space in sorted(free):
        if space + 2 in free:
            with_it = 1 + most_doubles(free - {space, space + 2})
            return max(with_it, most_doubles(free - {space}))
    return 0


def sizes(site, box_id):
    """(volume in³, price) of every box that may be there; a pull box needs no ring and plate."""
    junctions = {j["id"]: j for j in site.shop.get("routes", {}).get("junction_boxes", [])}
    if box_id in junctions:
        junction = junctions[box_id]
        name = junction.get("box", SQUARE[2])
        price = 0 if yes(junction, "existing") else 100 * site.price(f"box {name}")
        return [(volume_in3({"box": name}), price)]
    box = site.boxes[box_id]
    names = ROUND if "luminaire" in box else SQUARE
    found = [(volume_in3({"box": name}), 100 * site.price(f"box {name}")) for name in names]
    if box.get("yokes") == ["blank"]:
        ring = 100 * site.price("trim 1 gang")
        found += [
            (volume_in3({"box": name}), 100 * site.price(f"box {name}") - ring) for name in PULL
        ]
    return found


def covers(site):
    """Rings with plates of all device boxes."""
    return sum(
        100 * site.price(f"trim {len(box['yokes'])} gang")
        for box in site.boxes.values()
        if "luminaire" not in box
    )


def raceways_cost(site, chosen, paths):
    """New raceways that are used; infinite when one is too full or too hot."""
    cost = 0
    for raceway in site.shop.get("routes", {}).get("raceways", []):
        shares = [made.raceways[raceway["id"]] for made in chosen if raceway["id"] in made.raceways]
        if not shares:
            continue
        counted = sum(share[1] for share in shares)
        if sum(share[0] for share in shares) > FILL * inside_in2(raceway) + NEAR:
            return inf
        if counted > min(share[2] for share in shares):
            return inf
        if not yes(raceway, "existing"):
            feet = round(100 * path_ft(paths[raceway["id"]]))
            per_ft = site.price(f"{raceway['kind']} {raceway['trade_size']}")
            cost += feet * per_ft + 200 * site.price("raceway connector")
    return cost
