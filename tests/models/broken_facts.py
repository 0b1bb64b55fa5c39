"""A shop whose facts fit, and edits of its file after which one of them does not."""

from pathlib import Path

import pytest

from models.shop_file import ShopFileError, parse_shop

GOOD = (Path(__file__).parent.parent / "shops" / "four_box.yaml").read_text(encoding="utf-8")
NEVER = "never_together:"
EXISTING = "{panel: P, breaker: 20 A, conductor: 12, "
PLANER = (
    "id: planer, volts: 120 V, marked: 9 A, at: [6 ft, 5 ft], likelihood: 50 %, within: 1 year,"
)


def before_use(lines: str) -> tuple[str, str]:
    """An edit that puts a top-level key into the good file."""
    return "use:\n", f"{lines}\nuse:\n"


def room(line: str, key: str) -> tuple[str, str, str]:
    """An edit that gives the building one part more, and the key of its last thing."""
    name = line.rsplit("{id: ", 1)[1].split(",", maxsplit=1)[0].replace("@", "")
    part = line.split(":", maxsplit=1)[0]
    return "  ambient:", f"  {line}\n  ambient:", f"building.{part}[{name}].{key}"


# Text in the good file; what to write instead, `@` before the place that the message must point
# at; the thing it must name; words that it must hold.
BROKEN = [
    # rooms
    (*room("partitions: [{id: W, from: [3 ft, 0 ft], to: @[3 ft, 9 ft]}]", "to"), ["outside"]),
    (*room("partitions: [{id: W, from: [3 ft, 0 ft], to: @[4 ft, 8 ft]}]", "to"), ["1 ft along x"]),
    (
        *room("partitions: [{id: W, from: @[0 ft, 0 ft], to: [8 ft, 0 ft]}]", "from"),
        ["lies on wall 'south'"],
    ),
    (*room("partitions: [{id: @east, from: [3 ft, 0 ft], to: [3 ft, 8 ft]}]", "id"), ["a wall"]),
    (*room("areas: [{id: W, from: [3 ft, 0 ft], to: @[3 ft, 8 ft]}]", "to"), ["no width"]),
    (*room("areas: [{id: W, from: [3 ft, 0 ft], to: @[11 ft, 8 ft]}]", "to"), ["beyond the walls"]),
    (
        *room(
            "areas: [{id: V, from: [0 ft, 0 ft], to: [4 ft, 8 ft]},"
            " {id: W, from: @[3 ft, 0 ft], to: [9 ft, 8 ft]}]",
            "from",
        ),
        ["over area 'V'"],
    ),
    (
        "  ambient:",
        "  openings: [{id: D, kind: window, wall: north, between: [8 ft, 9 ft], sill: @7 ft}]\n"
        "  ambient:",
        "building.openings[D].sill",
        ["below the head"],
    ),
    ("wall: east, y", "wall: east, faces: @west, y", "boxes[E1].faces", ["take `faces` out"]),
    # ways
    (
        *before_use(
            "routes: {raceways: [{id: R1, kind: EMT, trade_size: 1, ends: [P, N1],"
            " by: [@[0 ft, 8 ft, 4 ft]]}]}"
        ),
        "routes.raceways[R1].by[1]",
        ["slantwise"],
    ),
    (
        *before_use(
            "routes: {raceways: [{id: R1, kind: EMT, trade_size: 1, ends: [P, N1], laid: buried,"
            " depth: @3 in}]}"
        ),
        "routes.raceways[R1].depth",
        ["3 in deep", "6 in at least"],
    ),
    (
        *before_use(
            "routes: {avoid: [{id: A, from: [1 ft, 1 ft], to: [2 ft, 2 ft], above: 5 ft,"
            " below: @4 ft}]}"
        ),
        "routes.avoid[A].below",
        ["greater height"],
    ),
    (
        *before_use("routes: {passages: [{id: @N1, wall: north, x: 5 ft}]}"),
        "routes.passages[N1].id",
        ["already the id of a box"],
    ),
    (
        *before_use(
            "routes: {raceways: [{id: T, kind: EMT, trade_size: 1, ends: [P, S1]}]}\n"
            f"existing: [{EXISTING}id: X, spaces: [1], feeds: [N1],"
            " runs: [{from: P, to: N1, raceways: @[T]}]}]"
        ),
        "existing[X].runs[1].raceways",
        ["lead from 'P' to 'S1'", "goes to 'N1'"],
    ),
    # use and later
    ("people: 1}", "people: {shop: @1}}", "use.days[usual].people.shop", ["no area or zone"]),
    (
        "people: 1}",
        f"people: 1}}\n  {NEVER} [{{machines: [saw, charger], by: @interlock}}]",
        "use.never_together[1].by",
        ["say which"],
    ),
    (
        "people: 1}",
        f"people: 1}}\n  followers: [{{machine: charger, follows: [saw]}}]\n"
        f"  {NEVER} [{{machines: @[saw, charger]}}]",
        "use.never_together[1].machines",
        ["follows 'saw'"],
    ),
    (
        "  spare_spaces: 1",
        "  changeovers: [{machine: drill-press, volts: @240 V, likelihood: 60 %,"
        " within: 3 years}]\n  spare_spaces: 1",
        "later.changeovers[1].volts",
        ["reconnects_to: 240 V"],
    ),
    ("spare_spaces: 1", "discount: @150 %", "later.discount", ["'150 %' must be at most 100 %"]),
    (
        "  spare_spaces: 1",
        "  changeovers: [{machine: @saw, likelihood: 60 %, within: 3 years}]\n  spare_spaces: 1",
        "later.changeovers[1].machine",
        ["nothing of 'saw' changes"],
    ),
    (
        "  spare_spaces: 1",
        f"  machines: [{{{PLANER} plug: 5-15P, plugs_into: @N9}}]\n  spare_spaces: 1",
        "later.machines[planer].plugs_into",
        ["no receptacle is called 'N9'"],
    ),
    (
        "  spare_spaces: 1",
        f"  machines: [{{{PLANER} plug: @6-20P}}]\n  spare_spaces: 1",
        "later.machines[planer].plug",
        ["is for 120 V, its plug 6-20P for 240 V", "read the nameplate again"],
    ),
    (
        *before_use("pins: {circuits: [{yokes: [N1], spaces: [@9]}]}"),
        "pins.circuits[1].spaces[1]",
        ["spaces 1 to 6"],
    ),
    (
        "x: 3 ft, height: 4 ft",
        "x: 3 ft, not_with: @N9, height: 4 ft",
        "boxes[N1].not_with",
        ["'N9'"],
    ),
    (
        *before_use(
            f"existing: [{EXISTING}id: X, spaces: [1], feeds: [N1],"
            " runs: [{from: @E1, to: N1}]}]"
        ),
        "existing[X].runs[1].from",
        ["begin at 'P'"],
    ),
    (
        *before_use(
            f"existing: [{EXISTING}id: X, spaces: [1], feeds: [N1], runs: @[{{from: P, to: S1}}]}}]"
        ),
        "existing[X].runs",
        ["no run of 'X' comes to 'N1'"],
    ),
    # ids
    ("id: S1, wall", "id: @N1, wall", "boxes[N1].id", ["already the id of a box"]),
    ("id: charger", "id: @P", "machines[P].id", ["already the id of a panel"]),
    ("{id: east,", "{id: @south,", "building.walls[south].id", ["already the id of a wall"]),
    ("people: 1}", "people: 1}\n    - {id: @usual, people: 2}", "use.days[usual].id", ["a day"]),
    # outline
    ("[0 ft, 8 ft]", "[0 ft, 7 ft]", "building.walls[north].from", ["10 ft along x", "1 ft"]),
    ("[10 ft, 8 ft]", "[10 ft, 0 ft]", "building.walls[east].from", ["has no length"]),
    # names
    ("wall: north", "wall: @nort", "boxes[N1].wall", ["'nort'", "closest: 'north'"]),
    ("switched_by: S1", "switched_by: @S2", "boxes[L1].switched_by", ["'S2'", "'S1'"]),
    ("switched_by: S1", "switched_by: @E1", "boxes[L1].switched_by", ["no `switch`"]),
    ("yokes: [duplex 5-20R]", "yokes: [blank], switched_by: @S1", "boxes[N1].switched_by", ["no"]),
    ("plugs_into: E1", "plugs_into: @E2", "machines[saw].plugs_into", ["'E2'", "'E1'"]),
    ("plugs_into: E1", "plugs_into: @S1", "machines[saw].plugs_into", ["holds no receptacle"]),
    ("[single 6-20R]", "[@single 6-21R]", "boxes[E1].yokes[1]", ["'6-21R'", "'6-20R'"]),
    ("[single 6-20R]", "[@single 10-30R]", "boxes[E1].yokes[1]", ["no ground"]),
    ("[single 6-20R]", "[@duplex 6-30R]", "boxes[E1].yokes[1]", ["30 A", "`single 6-30R`"]),
    (*before_use("pins: {together: [[N1, @N2]]}"), "pins.together[1][2]", ["'N2'", "'N1'"]),
    (*before_use("pins: {apart: [@[N1, N1]]}"), "pins.apart[1]", ["two yokes"]),
    (
        *before_use("pins: {together: [[N1, E1]], apart: [@[E1, N1]]}"),
        "pins.apart[1]",
        ["'E1' and 'N1'", "together and apart"],
    ),
    (
        *before_use("routes: {raceways: [{id: R1, kind: EMT, trade_size: 1, ends: [P, @X]}]}"),
        "routes.raceways[R1].ends[2]",
        ["'X'"],
    ),
    (
        *before_use("routes: {raceways: [{id: R1, kind: EMT, trade_size: 1, ends: @[P, P]}]}"),
        "routes.raceways[R1].ends",
        ["name two boxes"],
    ),
    (
        *before_use(
            "routes: {junction_boxes: [{id: J, wall: north, x: 8 ft, box: @4 x 2 square}]}"
        ),
        "routes.junction_boxes[J].box",
        ["'4 x 2 square'", "'4 x 2-1/8 square'"],
    ),
    # places
    ("x: 3 ft, height", "x: @11 ft, height", "boxes[N1].x", ["11 ft", "0 ft to 10 ft"]),
    ("x: 3 ft, height", "y: @3 ft, height", "boxes[N1].y", ["runs along x", "`x:`"]),
    ("height: 4 ft, yokes: [s", "height: @9 ft, yokes: [s", "boxes[E1].height", ["9 ft", "8 ft"]),
    ("[5 ft, 4 ft]", "@[11 ft, 4 ft]", "boxes[L1].ceiling", ["11 ft", "outside"]),
    ("{id: S1, wall: south, x: 1 ft", "@{id: S1, wall: west, y: 2.5 ft", "boxes[S1]", ["overlap"]),
    ("{id: S1, wall: south, x: 1 ft", "@{id: S1, wall: north, x: 3 ft", "boxes[S1]", ["same"]),
    ("at: [7 ft, 4 ft]", "at: @[7 ft, 9 ft]", "machines[saw].at", ["outside the walls"]),
    (
        "  ambient:",
        "  openings: [{id: D, kind: door, wall: north, between: @[9 ft, 11 ft]}]\n  ambient:",
        "building.openings[D].between",
        ["9 ft to 11 ft", "0 ft to 10 ft"],
    ),
    (
        "  ambient:",
        "  openings: [{id: D, kind: door, wall: @roof, between: [1 ft, 2 ft]}]\n  ambient:",
        "building.openings[D].wall",
        ["'roof'"],
    ),
    # plugs and cords
    ("plug: 6-20P", "plug: @6-20", "machines[saw].plug", ["'6-20'", "'6-20P'"]),
    ("plug: 6-20P", "plug: @5-20P", "machines[saw].plug", ["240 V", "120 V", "nameplate"]),
    ("plugs_into: E1", "plugs_into: @N1", "machines[saw].plugs_into", ["does not fit", "6-20R"]),
    # from 3 ft above [7 ft, 4 ft] to a box at [10 ft, 4 ft, 4 ft]: the root of 9 + 0 + 1 is 3.16
    (
        "plugs_into: E1\n    at: [7 ft, 4 ft]\n    cord: 6 ft",
        "plugs_into: @E1\n    at: [7 ft, 4 ft]\n    cord: 3.15 ft",
        "machines[saw].plugs_into",
        ["3.15 ft", "3.2 ft away"],
    ),
    (
        "plug: 6-20P\n    plugs_into: E1\n    at: [7 ft, 4 ft]\n    cord: 6 ft",
        "plug: @6-20P\n    at: [7 ft, 4 ft]\n    cord: 3 ft",
        "machines[saw].plug",
        ["within its 3 ft cord", "'E1' (6-20R)", "3.2 ft away"],
    ),
    (
        "plug: 6-20P\n    plugs_into: E1",
        "hard_wired_at: @E1",
        "machines[saw].hard_wired_at",
        ["no `blank` yoke"],
    ),
    # supply
    (
        "terminals",
        "tandem_spaces: [1, @7]\n      terminals",
        "supply.panels[P].tandem_spaces[2]",
        ["1 to 6"],
    ),
    (
        *before_use(f"existing: [{EXISTING}id: X, spaces: @[1, 2], feeds: [E1]}}]"),
        "existing[X].spaces",
        ["like 1 and 3"],
    ),
    (
        *before_use(f"existing: [{EXISTING}id: X, spaces: [@7], feeds: [N1]}}]"),
        "existing[X].spaces[1]",
        ["1 to 6"],
    ),
    (
        *before_use(f"existing: [{EXISTING}id: X, spaces: [1], feeds: [@E1]}}]"),
        "existing[X].feeds[1]",
        ["6-20R in 'E1'", "two-pole"],
    ),
    (
        *before_use(f"existing: [{EXISTING}id: X, spaces: [1], feeds: [@N9]}}]"),
        "existing[X].feeds[1]",
        ["'N9'", "'N1'"],
    ),
    (
        *before_use(
            f"existing: [{EXISTING}id: X, spaces: [1], feeds: [N1]}},"
            f" {EXISTING}id: Y, spaces: [@1], feeds: [S1]}}]"
        ),
        "existing[Y].spaces[1]",
        ["space 1", "takes 1"],
    ),
    (
        *before_use(
            f"existing: [{EXISTING}id: X, spaces: [1], feeds: [N1]}},"
            f" {EXISTING}id: Y, spaces: [2], feeds: [@N1]}}]"
        ),
        "existing[Y].feeds[1]",
        ["'N1' is fed by 'X' already"],
    ),
    (
        *before_use(f"existing: [{EXISTING}id: X, spaces: [2, 4], feeds: [@L1]}}]"),
        "existing[X].feeds[1]",
        ["the luminaire in 'L1' needs a one-pole breaker", "'X' is two-pole", "`spaces`"],
    ),
    (
        *before_use(f"existing: [{EXISTING}id: X, spaces: [2, 4], feeds: [@S1]}}]"),
        "existing[X].feeds[1]",
        ["the switch in 'S1' needs a one-pole breaker"],
    ),
    ("spare_spaces: 1", "spare_spaces: @7", "later.spare_spaces", ["7 spare", "6 of 6"]),
    # use
    ("    - {id: usual, people: 1}", "    @- {id: usual, people: 0}", "use.days", ["nobody works"]),
    (
        "    - {id: usual, people: 1}",
        "    @- {id: usual, people: 1, binds: no}",
        "use.days",
        ["binds"],
    ),
    (
        "use:\n",
        f"use:\n  {NEVER} [{{machines: [saw, @drill]}}]\n",
        "use.never_together[1].machines[2]",
        ["'drill'", "'drill-press'"],
    ),
    (
        "use:\n",
        f"use:\n  {NEVER} [{{machines: [saw, charger], at_most: @2}}]\n",
        "use.never_together[1].at_most",
        ["at most 2 of 2"],
    ),
    (
        "use:\n",
        "use:\n  followers: [@{machine: saw, follows: [saw]}]\n",
        "use.followers[1]",
        ["follows itself"],
    ),
]  # fmt: skip


def found_in(text: str) -> list[str]:
    """The lines of the error that a text gives."""
    with pytest.raises(ShopFileError) as caught:
        parse_shop(text)
    return str(caught.value).splitlines()
