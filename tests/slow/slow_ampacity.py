"""What a run may carry: the heat it meets, the company it has, its ampacity. Feet, °C, amperes.

NEC 310.15(B) and (C), Table 310.16 (2017: Table 310.15(B)(16)), 110.14(C), 334.80. Heat is worked
out from the facts of the building along every piece of a path.
"""

from itertools import pairwise

from tests.slow.slow_facts import by_id, cell, climates_around, place_of, rectangle, rows_of

CARRYING = ("hot", "hot2", "switched", "traveller", "traveller2", "neutral")
HOTS = ("hot", "hot2", "switched", "traveller", "traveller2")
EARTH_C = 20.0  # NEC 310.15 and Annex B for conductors in the earth, from memory
LEVEL_FT = 0.02


def pieces_of(building, path):
    """The straight pieces of a path, cut at every edge of an area that they cross."""
    for start, end in pairwise(path):
        shares = {0.0, 1.0}
        for area in building.get("areas", []):
            west, south, east, north = rectangle(area)
            for axis, edge in ((0, west), (0, east), (1, south), (1, north)):
                if min(start[axis], end[axis]) < edge < max(start[axis], end[axis]):
                    shares.add((edge - start[axis]) / (end[axis] - start[axis]))
        cuts = sorted(shares)
        for first, last in pairwise(cuts):
            yield at_share(start, end, first), at_share(start, end, last)


def at_share(start, end, share):
    """The point a share of the way along a straight piece."""
    return tuple(a + share * (b - a) for a, b in zip(start, end, strict=True))


def piece_c(building, start, end, laid):
    """The highest temperature at a straight piece. [°C]

    A level piece at the height of a ceiling lies over it where the ceiling's runs go through an
    attic, unless it is laid on the surface; everything else has the heat of the room.
    """
    x, y, z = at_share(start, end, 0.5)
    if z < 0:
        return EARTH_C
    level = abs(start[2] - end[2]) < LEVEL_FT
    hottest = -100.0
    for ceiling_ft, ceiling_runs, room_c, attic_c in climates_around(building, x, y):
        hottest = max(hottest, room_c)
        over = level and abs(z - ceiling_ft) < LEVEL_FT and ceiling_runs == "attic"
        if over and laid in ("cable", "in wall", "attic"):
            hottest = max(hottest, attic_c)
    return hottest


def path_c(building, path, laid):
    """The highest temperature along a path; that of the room where it has no length. [°C]"""
    hottest = -100.0
    for start, end in pieces_of(building, path):
        hottest = max(hottest, piece_c(building, start, end, laid))
    if hottest == -100.0:
        hottest = max(room_c for _, _, room_c, _ in climates_around(building, *path[0][:2]))
    return hottest


def run_c(plan, run):
    """The highest temperature that a run meets; in raceways, that of each as it is laid. [°C]"""
    shop = plan["source"]["shop"]
    if not run["raceways"]:
        return path_c(shop["building"], run["path"], "cable")
    hottest = -100.0
    for raceway in plan["raceways"]:
        if raceway["id"] in run["raceways"]:
            laid = "surface"
            for given in shop.get("routes", {}).get("raceways", []):
                if given["id"] == raceway["id"]:
                    laid = given.get("laid", "surface")
            hottest = max(hottest, path_c(shop["building"], raceway["path"], laid))
    return hottest


def carrying_of(circuit, run):
    """Current-carrying conductors of a run; a multiwire neutral, grounds, spares do not count."""
    count = 0
    for conductor in run["conductors"]:
        shared = conductor["role"] == "neutral" and circuit["multiwire_with"]
        if conductor["role"] in CARRYING and not shared:
            count += 1
    return count


def runs_in(plan, raceway_id):
    """(circuit, run) of everything that lies in a raceway."""
    found = []
    for circuit in plan["circuits"]:
        for run in circuit["runs"]:
            if raceway_id in run["raceways"] and run["life"] != "removed":
                found.append((circuit, run))
    return found


def carrying_in(plan, raceway_id):
    """Current-carrying conductors in a raceway."""
    count = 0
    for circuit, run in runs_in(plan, raceway_id):
        count += carrying_of(circuit, run)
    return count


def carrying_around(plan, circuit, run):
    """Current-carrying conductors around a run: its own, or those of its fullest raceway."""
    most = carrying_of(circuit, run)
    for raceway_id in run["raceways"]:
        most = max(most, carrying_in(plan, raceway_id))
    return most


def count_factor(carrying):
    """Adjustment by NEC Table 310.15(C)(1)."""
    factor = 1.0
    for row in rows_of("ampacity_adjustment"):
        if carrying >= int(row["conductors_min_count"]):
            factor = float(row["adjustment_factor"])
    return factor


def heat_factor(ambient_c):
    """Correction of the 90 °C column by NEC Table 310.15(B)(1); between bands the hotter one."""
    for row in rows_of("ambient_correction"):
        if ambient_c <= float(row["ambient_max_c"]):
            return float(row["at_90c_factor"] or 0)
    return 0.0


def ampacity_amps(awg, terminal_c, ambient_c, carrying):
    """90 °C column times both factors, at most the terminal's column. [A]"""
    printed = float(cell("ampacity", "at_90c_amps", awg=awg, material="copper"))
    terminal = float(cell("ampacity", f"at_{terminal_c}c_amps", awg=awg, material="copper"))
    return min(printed * heat_factor(ambient_c) * count_factor(carrying), terminal)


def size_of(awg):
    """Circular mils of a size, so that sizes can be compared."""
    return int(cell("conductors", "area_cmil", awg=awg))


def smallest_hot(run):
    """The smallest ungrounded conductor of a run."""
    hots = [c["awg"] for c in run["conductors"] if c["role"] in HOTS]
    return min(hots, key=size_of)


def terminals_c(plan, circuit):
    """What the panel's label says of its terminals; 60 °C when nobody said."""
    for panel in plan["source"]["shop"]["supply"]["panels"]:
        if panel["id"] == circuit["panel"]:
            return int(panel.get("terminals", "60 C").removesuffix(" C"))
    raise LookupError(circuit["panel"])


def run_amps(plan, circuit, run):
    """Ampacity of a run where it lies and where it ends; cable always by the 60 °C column. [A]"""
    terminal_c = terminals_c(plan, circuit) if run["raceways"] else 60
    around = carrying_around(plan, circuit, run)
    return ampacity_amps(smallest_hot(run), terminal_c, run_c(plan, run), around)


def circuit_amps(plan, circuit):
    """Ampacity of the worst run; where no run is known, of its size in cable in its rooms. [A]"""
    if circuit["runs"]:
        return min(run_amps(plan, circuit, run) for run in circuit["runs"])
    shop, room_c = plan["source"]["shop"], -100.0
    for outlet in plan["outlets"]:
        if outlet["circuit"] == circuit["id"]:
            box = by_id(shop["boxes"])[outlet["box"]]
            x, y, _ = place_of(shop, box)
            room_c = max(room_c, *(c[2] for c in climates_around(shop["building"], x, y)))
    return ampacity_amps(circuit["conductor"]["awg"], 60, room_c, 2)
