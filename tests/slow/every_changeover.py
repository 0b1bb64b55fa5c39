"""What can be done now about machines that may change their voltage, counted out by circuit.

On top of `every_circuit`: for every tree, way, size and breaker, every choice of machines that are
prepared for. Nothing prepared is a circuit of its own later, the least there is. Alone in cable the
white becomes the other hot (NEC 200.7(C)(1)), in a raceway a spare is pulled; beside others, which
need the neutral, a spare goes all the way (NEC 210.4(C), exception 2) and all three wires count for
heat. A breaker that gets a second pole takes the space beside it now. Cost in 0.0001 USD.

What the shop file says under `prepare` leaves fewer choices: nothing at all; or, of one yoke, the
most that can be done, and of several what prepares for every machine that is alone at its yoke.
What its raceways and boxes would not hold by itself is not prepared.
"""

import copy
from itertools import combinations, product

from tests.slow.counted_guards import breaker_cents, device_key, in_devices, needs_gfci
from tests.slow.counted_sharing import may_share, suits
from tests.slow.counted_site import Site, is_light
from tests.slow.every_circuit import (
    RATINGS,
    SIZES,
    build,
    cmil,
    every_build,
    inside_in2,
    least_ground,
    not_beaten,
    trees_of,
)
from tests.slow.every_plan import FILL, NEAR, sizes
from tests.slow.slow_facts import cell, quantity, rows_of, yes


def builds_of(site, group, placed):
    """Builds of a group as one circuit, and as a pair split in every way, days to come counted."""
    yokes = sorted(site.yokes[name] for item in group for name in item)
    changing = [m for m in sorted(placed) if m in changes(site)]
    if not changing:
        found = every_build(site, (yokes,), placed)
    else:
        found = prepared_builds(site, yokes, placed, changing, shared=len(group) > 1)
    if yes(site.code, "multiwire") and not (wish(site) == "everything" and lone(placed, changing)):
        later = sum(expected_alone(site, machine, placed[machine]) for machine in changing)
        first, rest = group[0], group[1:]
        for size in range(len(rest)):
            for more in combinations(rest, size):
                left = frozenset(first).union(*more)
                halves = [y for y in yokes if y.id in left], [y for y in yokes if y.id not in left]
                pairs = every_build(site, halves, placed)
                found += [made._replace(cost=made.cost + later) for made in pairs]
    return found


def wish(site):
    return site.shop["later"].get("prepare", "least cost")


def lone(placed, changing):
    seats = list(placed.values())
    return [machine for machine in changing if seats.count(placed[machine]) == 1]


def changes(site):
    return {change["machine"]: change for change in site.shop["later"].get("changeovers", [])}


def likelihood(site, machine):
    """What counts of a cost of that day: its likelihood, by present value where a rate is told."""
    change = changes(site)[machine]
    rate = float(str(site.shop["later"].get("discount", "0 %")).removesuffix("%")) / 100
    years = float(str(change["within"]).removesuffix("years"))
    return float(str(change["likelihood"]).removesuffix("%")) / 100 / (1 + rate) ** years


# -- the shop then


def sites_then(site, machine, at):
    """(the site after a changeover, with each receptacle that the plug then fits)."""
    change, box = changes(site)[machine], site.boxes[site.yokes[at].box]
    volts = int(quantity(change["volts"]))
    plug = change.get("plug")
    fitting = [row["receptacle"] for row in rows_of("plug_fit") if row["plug"] == plug]
    for configuration in fitting if box["yokes"] != ["blank"] else [None]:
        if configuration is not None and (
            site.price(f"single {configuration}") is None
            or cell("receptacles", "voltage", configuration=configuration)
            != {240: "250", 120: "125"}[volts]
        ):
            continue
        shop = copy.deepcopy(site.shop)
        for one in shop["machines"]:
            if one["id"] == machine:
                now = quantity(one["volts"])
                one["marked"] = f"{round(quantity(one['marked']) * now / volts, 3)} A"
                one["volts"] = f"{volts} V"
        for one in shop["boxes"]:
            if one["id"] == box["id"] and configuration is not None:
                names = [yoke.id for yoke in site.yokes_of(box)]
                one["yokes"][names.index(at)] = f"single {configuration}"
        then = Site(shop, site.ways, {key: cents / 100 for key, cents in site.cents.items()})
        yield then


def expected_alone(site, machine, at):
    """A run of its own later, the least there is, by its likelihood; 0 where none can be built."""
    key = "alone", machine, at
    if key not in site.known:
        costs = [
            made.cost
            for then in sites_then(site, machine, at)
            for made in every_build(then, ([then.yokes[at]],), {machine: at})
        ]
        site.known[key] = round(min(costs, default=0) * likelihood(site, machine))
    return site.known[key]


# -- builds


def prepared_builds(site, yokes, placed, changing, *, shared):
    """Every build of one circuit, with every choice of what is prepared for that is open."""
    if not may_share(site, yokes):
        return []
    found: dict[int, list[tuple[int, dict[str, object]]]] = {1: [], 2: []}
    for amps in RATINGS:
        if not suits(site, yokes, placed, amps):
            continue
        for tree, behind in trees_of(site, yokes):
            for chosen in product([False, True], repeat=len(changing)):
                doing = [m for m, ready in zip(changing, chosen, strict=True) if ready]
                if doing and not may_prepare(site, yokes, placed, doing):
                    continue
                for made in along(site, yokes, placed, amps, tree, behind, doing, changing):
                    if not doing or goes_in_alone(site, made):
                        found[made.poles].append((len(doing), made))
        if any(found.values()) and all(yoke.kind == "blank" for yoke in yokes):
            break  # as in `every_build`
    least, most = 0, len(changing)
    if wish(site) == "nothing":
        most = 0
    elif wish(site) == "everything" and shared:
        least = len(lone(placed, changing))
    elif wish(site) == "everything":
        least = max((ready for builds in found.values() for ready, _ in builds), default=0)
    open_ = (
        [made for ready, made in builds if least <= ready <= most] for builds in found.values()
    )
    return [made for builds in open_ for made in not_beaten(builds)]


def goes_in_alone(site, made):
    """Whether raceways and boxes would hold a circuit by itself: what they do not is no plan."""
    for raceway in site.shop.get("routes", {}).get("raceways", []):
        area = made.raceways.get(raceway["id"], (0.0,))[0]
        if area > FILL * inside_in2(raceway) + NEAR:
            return False
    for box, (conductors, _, ground) in made.boxes.items():
        if box in site.boxes and conductors + ground > max(v for v, _ in sizes(site, box)) + NEAR:
            return False
    return True


def may_prepare(site, yokes, placed, doing):
    """Whether these machines can change where they are, before wires are looked at."""
    seats = list(placed.values())
    if any(seats.count(placed[machine]) > 1 for machine in doing):
        return False
    if any(is_light(yoke) or yoke.kind == "switch" for yoke in yokes):
        return False
    if len(yokes) == 1:
        return True
    return yes(site.code, "multiwire") and yokes[0].volts == 120


def along(site, yokes, placed, amps, tree, behind, doing, changing):
    """Builds along a tree: ways, sizes, places of the GFCI, receptacles then."""
    least = str(site.code.get("smallest_receptacle_conductor", "12"))
    sizes = SIZES if all(map(is_light, yokes)) else SIZES[SIZES.index(least) :]
    nothing = sum(expected_alone(site, m, placed[m]) for m in changing if m not in doing)
    ends = [*tree, *behind]
    for ways in product(*(site.ways[start, end] for start, end in ends)):
        spared = spare_ends(site, yokes, placed, tree, ways, doing)
        runs = [(start, end, 2 + (end in spared)) for start, end in ends]
        for awg in sizes:
            made = build(site, (yokes,), (placed,), amps, awg, runs, ways)
            if made is None:
                continue
            for cents, where in guards(site, yokes, placed, amps, tree[0][1]):
                whole = made._replace(cost=made.cost + 100 * cents + nothing)
                if not doing:
                    yield whole
                    continue
                facts = amps, awg, runs, ways, spared, where
                yield from after(site, yokes, placed, whole, facts, doing)


def spare_ends(site, yokes, placed, tree, ways, doing):
    """The ends of runs that need a third wire."""
    if not doing:
        return set()
    if len(yokes) == 1:
        pairs = zip(tree, ways, strict=False)
        return {end for (_, end), way in pairs if way.method == "raceway"}
    above = {end: start for start, end in tree}
    found = set()
    for machine in doing:
        box = site.yokes[placed[machine]].box
        while box in above:
            found.add(box)
            box = above[box]
    return found


def after(site, yokes, placed, made, facts, doing):
    """The build with what its days ask for; nothing when one of them will not do."""
    amps, _, runs, ways, spared, _ = facts
    raceways, cost, poles = dict(made.raceways), made.cost, made.poles
    for machine in doing:
        at = placed[machine]
        days = []
        for then in sites_then(site, machine, at):
            ratings = RATINGS if len(yokes) == 1 else (amps,)
            for rating in ratings:
                day = one_day(site, then, yokes, placed, machine, rating, facts)
                if day is not None:
                    days.append(day)
                    if then.yokes[at].kind == "blank":
                        break
        if not days:
            return
        cents, lasting, two_poles = min(days, key=lambda day: day[0])
        cost += round(100 * cents * likelihood(site, machine))
        poles = 2 if two_poles else poles
        for name, survives in lasting.items():
            area, counted, most = raceways[name]
            raceways[name] = area, counted, min(most, survives)
    if len(yokes) > 1:
        for (_, end, _), way in zip(runs, ways, strict=True):
            for name in way.raceways if end in spared else ():
                area, counted, most = raceways[name]
                raceways[name] = area, counted + 1, most
    yield made._replace(cost=cost, raceways=raceways, poles=poles, serves=False)


def one_day(site, then, yokes, placed, machine, rating, facts):
    """(cents of breaker and receptacle, what survives in raceways, two poles), or None."""
    amps, awg, runs, ways, _, where = facts
    at = placed[machine]
    changed = sorted((then.yokes[y.id] for y in yokes), key=lambda y: (y.volts, y.id))
    volts = then.yokes[at].volts
    if not suits(then, changed, placed, rating):
        return None
    lain = build(then, (changed,), (placed,), rating, awg, runs, ways)
    if lain is None:
        return None
    several = sum(yoke.receptacles for yoke in yokes) > 1
    several_then = sum(yoke.receptacles for yoke in changed) > 1
    pulled = least_ground(site, awg, "raceway", amps, several)
    asked = least_ground(then, awg, "raceway", rating, several_then)
    if any(way.method == "raceway" for way in ways) and cmil(pulled) < cmil(asked):
        return None
    gfci = needs_gfci(then, then.yokes[at], rating)
    guard = 0
    if len(yokes) > 1 and where is not None:  # behind a device one hot alone would come to it
        gfci = True
        guard = 0 if where in ("breaker", at) else site.price(device_key(site.yokes[where]))
    poles = volts // 120
    breaker = site.price(f"breaker {rating} A {poles}-pole{' GFCI' if gfci else ''}")
    device = device_key(then.yokes[at])
    if breaker is None:
        return None
    cents = breaker + (site.price(device) if device else 0) + guard
    return cents, {name: share[2] for name, share in lain.raceways.items()}, poles == 2


def guards(site, yokes, placed, amps, home):
    """(cents of breaker and devices, where the GFCI is) for each place that it may have."""
    poles = 2 if yokes[0].volts == 240 else 1
    plain = [site.price(device_key(yoke)) if device_key(yoke) else 0 for yoke in yokes]
    bare, guarding = (breaker_cents(site, (yokes,), amps, poles, gfci) for gfci in (False, True))
    if bare is None or None in plain:
        return
    if not any(needs_gfci(site, yoke, amps) for yoke in yokes):
        yield bare + sum(plain), None
        return
    wish = site.code.get("gfci_at")
    at_device = in_devices(site, (yokes,), plain, home, amps)
    if at_device is not None and wish != "breaker":
        first = min(yoke for yoke in yokes if yoke.box == home)
        yield at_device + bare, first.id
    if guarding is not None and (at_device is None or wish != "device"):
        yield guarding + sum(plain), "breaker"
