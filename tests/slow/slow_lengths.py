"""Lengths, copper, totals and takeoff, added up again from the paths. Feet, pounds, US dollars.

A run is as long as its pieces, which go along one axis each; an existing run that was measured is
as long as measured. Left free, by the plan's own assumption: 4 ft of conductor at the panel and
1 ft at each box where a run ends (common practice). Copper: Table 8 circular mils, 8.89 g/cm³
(ASTM B3, from memory).
"""

from itertools import pairwise
from math import pi

from tests.slow.slow_facts import by_id, cell, enclosures, place_of, quantity

FREE_AT_PANEL_FT, FREE_AT_BOX_FT = 4.0, 1.0
GRAMS_PER_CM3, GRAMS_PER_LB, CM_PER_IN = 8.89, 453.59237, 2.54
NEAR_FT = 0.0051


def path_ft(path):
    """Length of a path. [ft]"""
    total = 0.0
    for start, end in pairwise(path):
        for a, b in zip(start, end, strict=True):
            total += abs(a - b)
    return total


def is_square(path):
    """Whether every piece goes along one axis."""
    for start, end in pairwise(path):
        if sum(abs(a - b) > NEAR_FT for a, b in zip(start, end, strict=True)) > 1:
            return False
    return True


def ends_at(shop, path, start, end):
    """Whether a path begins and ends where the shop has the two enclosures."""
    places = enclosures(shop)
    for point, name in ((path[0], start), (path[-1], end)):
        wanted = place_of(shop, places[name])
        if any(abs(a - b) > NEAR_FT for a, b in zip(point, wanted, strict=True)):
            return False
    return True


def measured_ft(shop, circuit, run):
    """The length that somebody measured of an existing run; None without. [ft]"""
    for given in shop.get("existing", []):
        if given["id"] == circuit["id"]:
            for part in given.get("runs", []):
                if (part["from"], part["to"]) == (run["start"], run["end"]) and "length" in part:
                    return quantity(part["length"])
    return None


def run_ft(plan, circuit, run):
    """Length of a run. [ft]"""
    measured = measured_ft(plan["source"]["shop"], circuit, run)
    return path_ft(run["path"]) if measured is None else measured


def free_ft(plan, run):
    """Conductor left free at both ends of a run. [ft]"""
    panels = [panel["id"] for panel in plan["source"]["shop"]["supply"]["panels"]]
    total = 0.0
    for end in (run["start"], run["end"]):
        total += FREE_AT_PANEL_FT if end in panels else FREE_AT_BOX_FT
    return total


def copper_lb_per_ft(awg):
    """Weight of the copper in one foot of a conductor. [lb/ft]"""
    area_in2 = int(cell("conductors", "area_cmil", awg=awg)) * pi / 4 / 1e6
    return area_in2 * 12 * CM_PER_IN**3 * GRAMS_PER_CM3 / GRAMS_PER_LB


def new_runs(plan):
    """(circuit, run, cut length) of every run that is to be pulled. [ft]"""
    for circuit in plan["circuits"]:
        for run in circuit["runs"]:
            if circuit["life"] == "new" and run["life"] == "new":
                yield circuit, run, run_ft(plan, circuit, run) + free_ft(plan, run)
    for one in plan.get("later_machines") or []:
        if one["run"] is not None:
            yield None, one["run"], path_ft(one["run"]["path"]) + free_ft(plan, one["run"])


def sums(plan):
    """Feet of cable, feet of conductor, pounds of copper, circuits, spaces used."""
    cable, conductor, copper = 0.0, 0.0, 0.0
    for _, run, cut in new_runs(plan):
        if run["method"] == "cable":
            cable += cut
        for wire in run["conductors"]:
            conductor += cut
            copper += cut * copper_lb_per_ft(wire["awg"])
    used = set()
    for panel in plan["panels"]:
        for space in panel["spaces"]:
            if space["circuit"] is not None:
                used.add((panel["id"], space["space"]))
    return {
        "cable_ft": cable,
        "conductor_ft": conductor,
        "copper_lb": copper,
        "circuits": sum(circuit["life"] != "removed" for circuit in plan["circuits"]),
        "spaces_used": len(used),
    }


def rooms_of(plan):
    """Runs that room is kept for in raceways of the shop."""
    rooms = [one.get("room") for one in plan.get("later_machines") or []]
    return [room for room in rooms if room is not None]


def laid_for_later(plan):
    """Raceways that are laid empty for machines to come, and the strings in them and in raceways
    where room is kept. [ft, pieces]
    """
    for room in rooms_of(plan):
        yield "pull string", path_ft(room["path"]) + free_ft(plan, room)
    for one in plan.get("later_machines") or []:
        if one["raceway"] is not None:
            length = path_ft(one["circuit"]["path"])
            yield f"{one['raceway']['kind']} {one['raceway']['trade_size']}", length
            yield "raceway connector", 2
            if one["raceway"].get("string_ft") is not None:
                yield "pull string", length + 5  # 4 ft at the panel, 1 ft at the box


def parts_of(plan):
    """Quantity of everything that is to be bought, by the words of the price book."""
    parts: dict[str, float] = {}

    def add(key, quantity_of_it):
        parts[key] = parts.get(key, 0.0) + quantity_of_it

    laid = {name for room in rooms_of(plan) for name in room["raceways"]}
    for circuit in plan["circuits"]:
        for run in circuit["runs"]:
            laid.update(run["raceways"])
        if circuit["life"] == "new":
            breaker = circuit["breaker"]
            gfci = " GFCI" if breaker["gfci"] else ""
            add(f"breaker {breaker['amps']:g} A {breaker['poles']}-pole{gfci}", 1)
    for _, run, cut in new_runs(plan):
        wires = [wire for wire in run["conductors"] if wire["role"] != "ground"]
        if run["method"] == "cable":
            add(f"NM-B {wires[0]['awg']}-{len(wires)}", cut)
            add("cable connector", 2)
        else:
            for wire in run["conductors"]:
                add(f"THHN {wire['awg']}", cut)
    for raceway in plan["raceways"]:
        if raceway["life"] == "new" and raceway["id"] in laid:
            add(f"{raceway['kind']} {raceway['trade_size']}", path_ft(raceway["path"]))
            add("raceway connector", 2)
    bought = [*parts_of_mains(plan)]
    for key, how_much in laid_for_later(plan):
        add(key, how_much)
    for box in plan["boxes"]:
        bought += parts_of_box(plan, box) if box["life"] == "new" else ()
    for key in bought:
        add(key, 1)
    return parts


def parts_of_mains(plan):
    """Mains that are added: a two-pole breaker and what holds it down."""
    for panel in plan["panels"]:
        if panel["main"]["kind"] == "back-fed":
            yield f"breaker {panel['main']['amps']:g} A 2-pole"
            yield "breaker retainer"


def parts_of_box(plan, box):
    """A box, what covers it, and its devices."""
    shop_boxes = by_id(plan["source"]["shop"].get("boxes", []))
    yield f"box {box['box']}"
    if box["kind"] != "device":
        return
    outdoors = shop_boxes.get(box["id"], {}).get("outdoors", "no") in ("yes", True)
    if box["box"].count(" x ") < 2:  # a box of three sides has a cover of its own
        yield "cover in-use" if outdoors else f"trim {box['gangs']} gang"
    for yoke in box["yokes"]:
        words = [yoke["device"]] + ([yoke["configuration"]] if yoke["configuration"] else [])
        if yoke["device"] != "blank":
            yield " ".join((["GFCI"] if yoke["gfci"] else []) + words)
