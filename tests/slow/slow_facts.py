"""What the slow evaluator reads: published tables, quantities as text, and facts of the shop.

Feet, amperes, volts, watts, °C, hp. The shop is the plain dictionary inside a plan; a key that is
not there has the value that `docs/shop_file.md` names for it. Nothing of the program is used but
its CSV tables.
"""

import csv
from fractions import Fraction
from functools import cache
from pathlib import Path

TABLES = Path(__file__).resolve().parents[2] / "models" / "tables"
UNITS = ("ft", "A", "V", "W", "hp", "C")
NEAR_FT = 0.01


@cache
def rows_of(table):
    """Every row of a published table, as printed."""
    with (TABLES / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def cell(table, column, **keys):
    """The one cell of a table in the row with these keys, as text."""
    for row in rows_of(table):
        if all(row[name] == wanted for name, wanted in keys.items()):
            return row[column]
    raise LookupError(f"{table}: no row {keys}")


def quantity(text):
    """The number in `12.5 ft`, `1-1/2 hp` or `240 V`."""
    number, unit = text.split(" ")
    if unit not in UNITS:
        raise ValueError(f"{text!r}: no unit that the evaluator knows")
    total = Fraction(0)
    for part in number.split("-") if not number.startswith("-") else [number]:
        total += Fraction(part)
    return float(total)


def yes(fact, key, unset="no"):
    """A yes or no of the shop file."""
    return fact.get(key, unset) in ("yes", True)


def by_id(things):
    """Things by their id."""
    found = {}
    for thing in things:
        found[thing["id"]] = thing
    return found


def horsepower_row(text):
    """A horsepower as Table 430.248 prints it: `1-1/2`, `3/4`, `2`."""
    return text.split(" ")[0]


def machine_amps(machine):
    """Current of a machine: motor by NEC Table 430.248, else its nameplate. [A]"""
    volts = quantity(machine["volts"])
    if "motor" in machine:
        column = "at_115v_amps" if volts == 120 else "at_230v_amps"  # NEC 430.248: 110-120, 220-240
        return float(cell("motors", column, horsepower=horsepower_row(machine["motor"])))
    if "marked" in machine:
        return quantity(machine["marked"])
    if "power" in machine:
        return quantity(machine["power"]) / volts
    if "mca" in machine:
        return quantity(machine["mca"])
    return quantity(machine["i1eff"])  # NEC 630.11(A)


def is_continuous(machine):
    """Three hours or more, which space heat (NEC 424.4(B)) and vehicle chargers (625.42) always
    are, kilns by the stricter reading; never what is marked with MCA, 125 % included (440.4(B)).
    """
    for_hours = machine.get("kind") in ("space heat", "kiln", "vehicle charger")
    return (yes(machine, "continuous") or for_hours) and "mca" not in machine


def is_attended(machine):
    """Somebody stands at it."""
    return not (
        yes(machine, "always_on")
        or yes(machine, "set_and_leave")
        or yes(machine, "starts_by_itself")
    )


def point(texts):
    """Coordinates [ft]."""
    return tuple(quantity(text) for text in texts)


def rectangle(area):
    """West, south, east, north edge of an area or zone [ft]."""
    (x0, y0), (x1, y1) = point(area["from"]), point(area["to"])
    return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)


def holds(area, x, y):
    """Whether a point lies in an area or on its edge."""
    west, south, east, north = rectangle(area)
    return west - NEAR_FT <= x <= east + NEAR_FT and south - NEAR_FT <= y <= north + NEAR_FT


def wall_ends(building, wall_id):
    """Both ends of a wall; an outer wall ends where the next one begins. [ft]"""
    walls = building["walls"]
    for index, wall in enumerate(walls):
        if wall["id"] == wall_id:
            return point(wall["from"]), point(walls[(index + 1) % len(walls)]["from"])
    for wall in building.get("partitions", []):
        if wall["id"] == wall_id:
            return point(wall["from"]), point(wall["to"])
    raise LookupError(f"no wall {wall_id}")


def in_outline(building, x, y):
    """Whether a point lies inside the outer walls: a ray to the east crosses them an odd number."""
    crossings = 0
    for wall in building["walls"]:
        (x0, y0), (_, y1) = wall_ends(building, wall["id"])
        if x0 > x and min(y0, y1) < y < max(y0, y1):
            crossings += 1
    return crossings % 2 == 1


def enclosures(shop):
    """Panels, junction boxes and boxes by id."""
    places = list(shop["supply"]["panels"])
    places += shop.get("routes", {}).get("junction_boxes", [])
    places += shop.get("boxes", [])
    return by_id(places)


def place_of(shop, enclosure):
    """Where an enclosure is: x, y, z [ft]. Unset height on a wall: 4 ft."""
    building = shop["building"]
    if "ceiling" in enclosure:
        x, y = point(enclosure["ceiling"])
        heights = [ceiling_ft for ceiling_ft, _, _, _ in climates_around(building, x, y)]
        return x, y, min(heights)
    (x0, y0), (x1, _) = wall_ends(building, enclosure["wall"])
    height = quantity(enclosure.get("height", "4 ft"))
    if x0 == x1:
        return x0, quantity(enclosure["y"]), height
    return quantity(enclosure["x"]), y0, height


def climates_around(building, x, y):
    """(ceiling ft, what runs over it, room °C, attic °C) of every part of the building at a point.

    Looked up at four points a hand's breadth off, so that a point on an edge has both its sides.
    """
    ambient = building.get("ambient", {})
    whole = {
        "ceiling": building["ceiling"],
        "ceiling_runs": building.get("ceiling_runs", "attic"),
        "ambient": ambient.get("room", "30 C"),
        "attic": ambient.get("attic", "50 C"),
    }
    parts = []
    for dx in (-0.05, 0.05):
        for dy in (-0.05, 0.05):
            if not in_outline(building, x + dx, y + dy):
                continue
            here = [a for a in building.get("areas", []) if holds(a, x + dx, y + dy)]
            parts += here or [{}]
    found = []
    for part in parts or [{}]:
        answers = {key: part.get(key, value) for key, value in whole.items()}
        found.append(
            (
                quantity(answers["ceiling"]),
                answers["ceiling_runs"],
                quantity(answers["ambient"]),
                quantity(answers["attic"]),
            )
        )
    return found
