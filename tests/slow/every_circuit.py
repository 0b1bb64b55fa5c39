"""Every way to build one circuit, written down one after the other, by the words of the design.

A circuit is a set of yokes with machines at them. Tried: every tree (with optional junction boxes),
every way between two enclosures that it is told, every breaker, every conductor size, the GFCI in
the breaker or in a device, and for a multiwire pair (NEC 210.4) two halves on opposite hots. Cost
in 0.0001 USD, so that sums are whole; feet come in hundredths. Nothing of the program is used but
its CSV tables; the ways between enclosures are told, since they are looked at elsewhere.

Left out of such shops: motors, welders and whatever has a nameplate of its own, several panels,
existing circuits, conductors above 6 AWG.
"""

from collections import namedtuple
from functools import cache
from itertools import combinations, product
from math import pi
from typing import Any

from tests.slow import slow_ampacity
from tests.slow.counted_guards import guard_cents
from tests.slow.counted_sharing import lights_at, may_share, suits, worst
from tests.slow.counted_site import SLACK, is_light
from tests.slow.slow_boxes import volume_each
from tests.slow.slow_facts import cell, machine_amps, rows_of
from tests.slow.slow_raceways import thhn_in2

SIZES = ("14", "12", "10", "8", "6")
RATINGS = (15, 20, 25, 30, 35, 40, 45, 50, 60)
PAIR_RATINGS = (15, 20)
MOST_COUNTED = 40  # conductors in a raceway; tables of the solver end there
TOOL_AMPS = 12.0
NEAR = 1e-6

# boxes: {box: (volume of insulated conductors and devices in³, grounds, volume of the largest)};
# raceways: {raceway: (area in², counted conductors, most counted that its conductors survive)}
# serves: whether it is the circuit of a garage's receptacles alone
Build = namedtuple("Build", "cost poles lights boxes raceways serves")


# -- conductors


@cache
def breaker_allowed(awg, ampacity, amps, several, edition):
    """NEC 240.4(B) and (D): the next size up for one receptacle, small conductors capped."""
    for row in rows_of("small_conductors"):
        if (row["awg"], row["material"]) == (awg, "copper") and amps > int(
            row["largest_device_amps"]
        ):
            return False
    reach = ampacity
    if not several:
        ratings = [
            int(row["rating_amps"])
            for row in rows_of("standard_ratings")
            if str(edition) in row["editions"].split() and row["device"] != "fuse"
        ]
        reach = min(rating for rating in ratings if rating >= ampacity - NEAR)
    return amps <= reach + NEAR


def holds(site, awg, method, ambient_c, counted, load, amps, several):
    """Whether a size carries its load here and may be behind its breaker."""
    terminals = int(site.panel.get("terminals", "60 C").removesuffix(" C"))
    ampacity = slow_ampacity.ampacity_amps(
        awg, 60 if method == "cable" else terminals, ambient_c, counted
    )
    edition = site.code["edition"]
    return load <= ampacity + SLACK and breaker_allowed(awg, ampacity, amps, several, edition)


def cmil(awg):
    return int(cell("conductors", "area_cmil", awg=awg))


def least_ground(site, awg, method, amps, several):
    """NEC 250.122: by the breaker, enlarged as the hots are beyond the least that would do."""
    ground = next(
        row["copper_awg"]
        for row in rows_of("equipment_grounds")
        if amps <= float(row["device_amps"])
    )
    enough = [
        size for size in SIZES if holds(site, size, method, site.room_c, 2, 0.0, amps, several)
    ]
    least = enough[0] if enough else awg
    if cmil(awg) <= cmil(least):
        return min(ground, awg, key=cmil)
    wanted = cmil(ground) * cmil(awg)
    return next(size for size in SIZES if cmil(size) * cmil(least) >= wanted)


# -- trees


def every_tree(root, nodes):
    """Every tree from a root that has one branch, as (from, to) pairs outwards."""
    for home in nodes:
        yield from ([(root, home), *rest] for rest in trees_at(home, tuple(sorted(nodes))))


@cache
def trees_at(root, nodes):
    """Every tree on some nodes, as pairs outwards from a root: each set of edges is tried."""
    found = []
    for chosen in combinations(list(combinations(nodes, 2)), len(nodes) - 1):
        outwards, reached = [], [root]
        for at in reached:
            for one, other in chosen:
                for here, there in ((one, other), (other, one)):
                    if here == at and there not in reached:
                        reached.append(there)
                        outwards.append((at, there))
        if len(outwards) == len(nodes) - 1:
            found.append(outwards)
    return found


def trees_of(site, yokes):
    """Every tree of a circuit: power runs, and runs from a switch to its luminaires."""
    boxes = sorted({yoke.box for yoke in yokes})
    behind = [
        trees_at(yoke.box, tuple(sorted({yoke.box, *yoke.luminaires})))
        for yoke in yokes
        if yoke.kind == "switch" and yoke.luminaires
    ]
    for count in range(len(site.junctions) + 1):
        for used in combinations(site.junctions, count):
            for tree in every_tree(site.panel["id"], sorted({*boxes, *used})):
                if all(any(start == box for start, _ in tree) for box in used):
                    for lit in product(*behind):
                        yield tree, [edge for edges in lit for edge in edges]


# -- builds


def every_build(site, halves, placed):
    """Every build of a circuit that nothing else is better than in every respect.

    `halves`: the yokes of an ordinary circuit, or those on the two hots of a multiwire pair.
    """
    yokes = [yoke for half in halves for yoke in half]
    if not all(may_share(site, half) for half in halves):
        return []
    on = [{m: at for m, at in placed.items() if site.yokes[at] in half} for half in halves]
    if len(halves) == 2 and any(yoke.volts != 120 or is_light(yoke) for yoke in yokes):
        return []
    found = []
    for amps in PAIR_RATINGS if len(halves) == 2 else RATINGS:
        if all(suits(site, half, here, amps) for half, here in zip(halves, on, strict=True)):
            for tree, behind in trees_of(site, yokes):
                found += along(site, halves, on, amps, tree, behind)
        if found and all(yoke.kind == "blank" for yoke in yokes):
            break  # a machine gets no larger breaker than it needs, as 422.11(E) (from memory)
    return not_beaten(found)


def along(site, halves, on, amps, tree, behind):
    """Every build along a tree: ways, sizes, GFCI."""
    yokes = [yoke for half in halves for yoke in half]
    least = site.code.get("smallest_receptacle_conductor", "12")
    sizes = SIZES if all(map(is_light, yokes)) else SIZES[SIZES.index(str(least)) :]
    runs = [(start, end, wires_of(halves, tree, end)) for start, end in tree]
    runs += [(start, end, 2) for start, end in behind]
    guards = guard_cents(site, halves, on, amps, tree[0][1])
    if not guards:
        return
    for ways in product(*(site.ways[start, end] for start, end, _ in runs)):
        for awg in sizes:
            made = build(site, halves, on, amps, awg, runs, ways)
            if made is not None:
                yield from (made._replace(cost=made.cost + 100 * cents) for cents in guards)
                if all(survives == MOST_COUNTED for _, _, survives in made.raceways.values()):
                    break  # a larger size costs more and takes more room


def wires_of(halves, tree, end):
    """Insulated conductors of a power run: a hot for each half beyond it, and what they come
    back by.
    """
    beyond = {end}
    for start, further in tree:
        if start in beyond:
            beyond.add(further)
    return 1 + sum(any(yoke.box in beyond for yoke in half) for half in halves)


def build(site, halves, on, amps, awg, runs, ways):
    """A circuit without breaker and devices; None when some rule is against it."""
    yokes = [yoke for half in halves for yoke in half]
    loads = [worst(site, half, here) for half, here in zip(halves, on, strict=True)]
    most = max(load for load, _ in loads)
    several = sum(yoke.receptacles for yoke in yokes) > 1
    cable_ground = awg if awg in ("14", "12", "10") else "10"
    raceway_ground = least_ground(site, awg, "raceway", amps, several)
    if any(way.method == "cable" for way in ways) and cmil(cable_ground) < cmil(
        least_ground(site, awg, "cable", amps, several)
    ):
        return None
    cost = 0
    raceways: dict[str, tuple[float, int, int]] = {}
    insulated: dict[str, int] = {}
    grounds: dict[str, list[str]] = {}
    for (start, end, wires), way in zip(runs, ways, strict=True):
        cut = way.length_cft + sum(400 if at == site.panel["id"] else 100 for at in (start, end))
        if way.method == "cable":
            if not holds(site, awg, "cable", way.ambient_c, 2, most, amps, several):
                return None
            ground, price = cable_ground, site.price(f"NM-B {awg}-{wires}")
            if price is None:
                return None
            cost += cut * price + 200 * site.price("cable connector")
        else:
            ground = raceway_ground
            survives = max(
                (
                    count
                    for count in range(2, MOST_COUNTED + 1)
                    if holds(site, awg, "raceway", way.ambient_c, count, most, amps, several)
                ),
                default=None,
            )
            if survives is None:
                return None
            cost += cut * (wires * site.price(f"THHN {awg}") + site.price(f"THHN {ground}"))
            counted = 2  # a neutral that two hots share is not counted, NEC 310.15(E)
            area = wires * thhn_in2(awg) + thhn_in2(ground)
            for name in way.raceways:
                old = raceways.get(name, (0.0, 0, MOST_COUNTED))
                raceways[name] = old[0] + area, old[1] + counted, min(old[2], survives)
        for box in (start, end, *way.via):
            insulated[box] = insulated.get(box, 0) + wires
            grounds.setdefault(box, []).append(ground)
    if too_much_drop(site, halves, on, awg, runs, ways, [states for _, states in loads]):
        return None
    for yoke in yokes:
        if yoke.receptacles or yoke.kind == "switch":
            insulated[yoke.box] = insulated.get(yoke.box, 0) + 2
    boxes = {
        box: (count * volume_each(awg), len(grounds[box]), max(map(volume_each, grounds[box])))
        for box, count in insulated.items()
        if box != site.panel["id"]
    }
    poles = 2 if len(halves) == 2 or yokes[0].volts == 240 else 1
    serves = amps == 20 and any(receptacles_only(half) for half in halves)
    return Build(cost, poles, any(map(is_light, yokes)), boxes, raceways, serves)


def receptacles_only(yokes):
    """Whether a circuit feeds 120 V receptacles and nothing else, NEC 210.11(C)(4)."""
    return all(yoke.receptacles > 0 and yoke.volts == 120 for yoke in yokes)


def too_much_drop(site, halves, on, awg, runs, ways, states):
    """Whether more is lost than wished: in any state or with a tool far out, half by half."""
    ohm = float(cell("conductors", "copper_ohm_per_kft", awg=awg, stranding="stranded"))
    way_to: dict[str, list[tuple[str, float]]] = {site.panel["id"]: []}
    for (start, end, _), way in zip(runs, ways, strict=True):
        way_to[end] = [*way_to[start], (end, way.length_cft / 100)]
    for half, here, running in zip(halves, on, states, strict=True):
        lit = list(lights_at(site, half).items())
        cases = [
            [
                (site.yokes[at].box, machine_amps(site.machines[name]))
                for name, at in here.items()
                if name in state
            ]
            + lit
            for state in running
        ]
        if half[0].volts == 120:
            cases += [[(yoke.box, TOOL_AMPS)] for yoke in half if yoke.receptacles]
        for case in cases:
            for box, _ in case:
                lost = sum(
                    2 * amps * ohm * feet / 1000
                    for end, feet in way_to[box]
                    for other, amps in case
                    if (end, feet) in way_to[other]
                )
                limit = site.code.get("voltage_drop_percent", 3.0)
                if 100 * lost / half[0].volts > limit + SLACK:
                    return True
    return False


# -- which builds can matter


def not_beaten(builds):
    """Builds than which none is as cheap and takes as little of every box and raceway."""
    found: list[Any] = []
    for made in sorted(set(map(freeze, builds))):
        if not any(beats(kept, made) for kept in found):
            found.append(made)
    return [Build(f[0], f[1], f[2], dict(f[3]), dict(f[4]), f[5]) for f in found]


def freeze(made):
    boxes, raceways = tuple(sorted(made.boxes.items())), tuple(sorted(made.raceways.items()))
    return made.cost, made.poles, made.lights, boxes, raceways, made.serves


def beats(one, other):
    """Whether one is never worse; poles and lights are alike for the same yokes."""
    boxes, raceways = dict(other[3]), dict(other[4])
    return (
        one[0] <= other[0]
        and one[5] >= other[5]
        and all(
            box in boxes and all(a <= b + SLACK for a, b in zip(share, boxes[box], strict=True))
            for box, share in one[3]
        )
        and all(
            name in raceways
            and share[0] <= raceways[name][0] + SLACK
            and share[1] <= raceways[name][1]
            and share[2] >= raceways[name][2]
            for name, share in one[4]
        )
    )


def inside_in2(raceway):
    """Inside area by the diameter in chapter 9 Table 4. [in²]"""
    inches = float(
        cell(
            "raceways",
            "inside_diameter_in",
            kind=raceway["kind"],
            trade_size=str(raceway["trade_size"]),
        )
    )
    return pi / 4 * inches**2
