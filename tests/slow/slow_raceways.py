"""Raceway fill and ledgers, counted again from the runs in each raceway. Square inches, percent.

NEC chapter 9: Table 1 (53, 31, 40 %), Table 4 diameters, Table 5 THHN areas, Table 8 for bare
conductors, Note 3 (grounds count), Note 9 (a cable is one conductor, flat ones as a circle on their
wide side).
"""

from math import pi

from tests.slow.slow_ampacity import carrying_in, count_factor, runs_in
from tests.slow.slow_facts import cell, rows_of

MOST = 500


def conductor_in2(conductor):
    """Area of one conductor of a raceway run. [in²]"""
    if not conductor["insulated"]:
        return float(cell("conductors", "area_in2", awg=conductor["awg"], stranding="stranded"))
    return thhn_in2(conductor["awg"])


def thhn_in2(awg):
    """Area of a THHN conductor, Table 5. [in²]"""
    for row in rows_of("conductor_areas"):
        if row["awg"] == awg and "THHN" in row["insulation"].split():
            return float(row["area_in2"])
    raise LookupError(awg)


def contents_in2(plan, raceway_id):
    """The area of each conductor or cable in a raceway. [in²]"""
    areas = []
    for _, run in runs_in(plan, raceway_id):
        if run["method"] == "cable":
            width = float(cell("nm_cables", "major_in", cable=run["make"].removeprefix("NM-B ")))
            areas.append(pi / 4 * width**2)
        else:
            for conductor in run["conductors"]:
                areas.append(conductor_in2(conductor))
    return areas


def inside_in2(raceway):
    """Inside area of a raceway, by its diameter. [in²]"""
    size = raceway["trade_size"]
    return pi / 4 * float(cell("raceways", "inside_diameter_in", kind=raceway["kind"],
                               trade_size=size)) ** 2  # fmt: skip


def limit_percent(count):
    """Largest share by Table 1; of an empty raceway the one for three and more. [%]"""
    limits = {}
    for row in rows_of("fill_limits"):
        if not row.get("longest_in"):  # nipples have a row of their own
            limits[int(row["conductors_min_count"])] = float(row["fill_percent"])
    return limits[min(count, 3)] if count else limits[3]


def fill_percent(plan, raceway):
    """Share of the inside area that the contents take. [%]"""
    return 100 * sum(contents_in2(plan, raceway["id"])) / inside_in2(raceway)


def kept_in2(plan, raceway_id):
    """The area of each conductor that room is kept for in a raceway. [in²]"""
    rooms = [one.get("room") for one in plan.get("later_machines") or ()]
    return [
        conductor_in2(wire)
        for run in rooms
        if run is not None and raceway_id in run["raceways"]
        for wire in run["conductors"]
    ]


def fill_then_percent(plan, raceway):
    """Share of the inside area, and its limit, with all that room is kept for. [%]"""
    areas = [*contents_in2(plan, raceway["id"]), *kept_in2(plan, raceway["id"])]
    return 100 * sum(areas) / inside_in2(raceway), limit_percent(len(areas))


def room_left(plan, raceway, awg):
    """How many more THHN conductors of a size fit beside what is there and what room is kept for:
    every count is tried.
    """
    areas, most = [*contents_in2(plan, raceway["id"]), *kept_in2(plan, raceway["id"])], 0
    for more in range(1, MOST):
        used = sum(areas) + more * thhn_in2(awg)
        if used <= limit_percent(len(areas) + more) / 100 * inside_in2(raceway) + 1e-9:
            most = more
    return most


def ledger_of(plan, raceway):
    """The ledger of a raceway as it should read today."""
    areas = contents_in2(plan, raceway["id"])
    carrying = carrying_in(plan, raceway["id"])
    return {
        "contents": sorted((run["id"], circuit["id"]) for circuit, run in
                           runs_in(plan, raceway["id"])),
        "fill_percent": fill_percent(plan, raceway),
        "limit_percent": limit_percent(len(areas)),
        "current_carrying": carrying,
        "adjustment": count_factor(carrying),
    }  # fmt: skip
