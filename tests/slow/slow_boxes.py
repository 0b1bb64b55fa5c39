"""Box fill, counted again from the runs that come into each box. Cubic inches.

NEC 314.16(B): each conductor from outside once, however it ends or passes; each device twice its
largest conductor; clamps inside once the largest; all grounds together once the largest ground,
from 2020 a quarter more for each past four. Never rounded. Volumes by Table 314.16(A).
"""

from tests.slow.slow_ampacity import size_of
from tests.slow.slow_facts import by_id, cell, rows_of


def brought_in(plan, box_id):
    """(run, circuit, role, AWG) of every conductor that comes into a box from outside."""
    found = []
    for circuit in plan["circuits"]:
        for run in circuit["runs"]:
            if run["life"] == "removed":
                continue
            for enclosure in (run["start"], run["end"], *run["via"]):
                if enclosure == box_id:
                    for conductor in run["conductors"]:
                        found.append(
                            (run["id"], circuit["id"], conductor["role"], conductor["awg"])
                        )
    return found


def listed(box):
    """What the plan lists for a box, in the same form."""
    return [(c["run"], c["circuit"], c["role"], c["awg"]) for c in box["conductors"]]


def capped(plan, box):
    """What is pulled now for machines that may come, in the same form, by what is kept for it."""
    return [
        (one["run"]["id"], f"later machine {one['machine']}", wire["role"], wire["awg"])
        for one in plan.get("later_machines") or ()
        if one["run"] and box in (one["run"]["start"], one["run"]["end"])
        for wire in one["run"]["conductors"]
    ]


def to_be_listed(plan, box):
    """What a box lists: what comes in, and capped conductors, of which older plans list none."""
    later = capped(plan, box["id"])
    names = {circuit for _, circuit, _, _ in later}
    tells = [one for one in box["conductors"] if one["circuit"] in names]
    return [*brought_in(plan, box["id"]), *(later if tells else [])]


def volume_each(awg):
    """Allowance for one conductor, Table 314.16(B)(1). [in³]"""
    return float(cell("box_allowances", "allowance_in3", awg=awg))


def fill_in3(plan, box):
    """Volume that the contents of a box need, by the edition that the shop names. [in³]"""
    contents = [*brought_in(plan, box["id"]), *capped(plan, box["id"])]
    total, grounds = 0.0, []
    for _, _, role, awg in contents:
        if role == "ground":
            grounds.append(awg)
        else:
            total += volume_each(awg)
    if grounds:
        extra = max(0, len(grounds) - 4) if plan["source"]["shop"]["code"]["edition"] >= 2020 else 0
        total += volume_each(max(grounds, key=size_of)) * (1 + 0.25 * extra)
    for yoke in box["yokes"]:
        on_it = [awg for _, circuit, _, awg in contents if circuit == yoke["circuit"]]
        if yoke["device"] != "blank" and on_it:
            total += 2 * volume_each(max(on_it, key=size_of))
    if box["internal_clamps"] and contents:
        total += volume_each(max((awg for _, _, _, awg in contents), key=size_of))
    return total


def printed_size(words):
    """A box as Table 314.16(A) prints it: octagonal and round share rows, cast ones say a depth."""
    if words.endswith(" octagonal"):
        return words.replace("octagonal", "round or octagonal")
    for row in rows_of("box_volumes"):
        cast, _, gangs = words.partition(" ")
        if (
            cast in ("FS", "FD")
            and row["box"].startswith(f"{cast},")
            and row["box"].endswith(gangs)
        ):
            return row["box"]
    return words


def volume_in3(box):
    """Volume of a box by its printed size, or its three inches; None when nobody measured it."""
    for row in rows_of("box_volumes"):
        if row["box"] == printed_size(box["box"]):
            return float(row["volume_in3"])
    sides = box["box"].split(" x ")
    if len(sides) == 3 and all(side.replace(".", "").isdigit() for side in sides):
        return float(sides[0]) * float(sides[1]) * float(sides[2])
    return None


def given_box_words(plan, box):
    """The size that the shop gives a junction box; None for other boxes, which the plan chooses."""
    junctions = by_id(plan["source"]["shop"].get("routes", {}).get("junction_boxes", []))
    if box["id"] not in junctions:
        return None
    return junctions[box["id"]].get("box", "4-11/16 x 2-1/8 square")
