"""Facts of a shop that do not fit each other, each told at its place in the file."""

from pathlib import Path

import pytest

from models.shop_file import ShopFileError, parse_shop

GOOD = (Path(__file__).parent.parent / "shops" / "four_box.yaml").read_text(encoding="utf-8")
NEVER = "never_together:"
EXISTING = "{panel: P, breaker: 20 A, conductor: 12, "


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
    (
        "  spare_spaces: 1",
        "  changeovers: [{machine: @saw, likelihood: 60 %, within: 3 years}]\n  spare_spaces: 1",
        "later.changeovers[1].machine",
        ["nothing of 'saw' changes"],
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


@pytest.mark.parametrize(("old", "new", "where", "words"), BROKEN)
def test_a_fact_that_does_not_fit(old, new, where, words):
    """One line that names the thing, the value, and what would fit, at the right place."""
    assert GOOD.count(old) >= 1
    marked = GOOD.replace(old, new, 1)
    lines = found_in(marked.replace("@", ""))
    about = [line for line in lines if f": {where}: " in line]
    assert len(about) == 1, lines
    assert [word for word in words if word not in about[0]] == []
    if "@" in new:
        before = marked.split("@")[0].split("\n")
        assert about[0].startswith(f"shop.yaml:{len(before)}:{len(before[-1]) + 1}: ")


def test_the_good_file_has_no_problem():
    """Every row above differs from a shop that is accepted."""
    assert parse_shop(GOOD).name == "Four-box shed"


def test_two_panels():
    """They are read and checked like one; that this version plans one is said by `plan`."""
    panel = GOOD[GOOD.index("    - id: P") : GOOD.index("\nboxes:")]
    two = GOOD.replace(panel, panel + panel.replace("id: P", "id: Q").replace("y: 2 ft", "y: 6 ft"))
    assert [panel.id for panel in parse_shop(two).supply.panels] == ["P", "Q"]
    assert any("already the id of a panel" in line for line in found_in(two.replace("Q", "P")))
    circle = two.replace("from: house panel", "from: Q", 1).replace("from: house panel", "from: P")
    lines = found_in(circle)
    assert len(lines) == 2
    assert all("is fed from itself by way of" in line for line in lines)


def test_two_switches_in_the_box_that_is_named():
    """`switched_by` names a box, so that box has one switch."""
    (line,) = found_in(GOOD.replace("[switch]", "[switch, switch]"))
    assert "has 2 switches" in line


WIRED = GOOD.replace("[single 6-20R]", "[blank]").replace(
    "plug: 6-20P\n    plugs_into: E1", "hard_wired_at: E1"
)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[blank]", "[blank, blank]", "'saw' is hard-wired at 'E1', a box of 2 gangs"),
        ("[blank]", "[duplex 5-20R, blank]", "'saw' is hard-wired at 'E1', a box of 2 gangs"),
        (
            "plug: 5-15P\n    plugs_into: N1\n    at: [2 ft, 7 ft]",
            "hard_wired_at: E1",
            "'saw' is hard-wired at 'E1' already: give 'charger' a box of its own",
        ),
        (
            *before_use(f"existing: [{EXISTING}id: X, spaces: [1], feeds: [E1]}}]"),
            "'saw' (240 V) in 'E1' needs a two-pole breaker",
        ),
    ],
)
def test_a_box_where_a_machine_is_hard_wired(old, new, words):
    """`hard_wired_at` names a box, so that box has one blank yoke and one machine."""
    assert parse_shop(WIRED)
    assert old in WIRED
    (line,) = found_in(WIRED.replace(old, new))
    assert words in line


def test_a_receptacle_without_ground_stays_on_its_existing_circuit():
    """10-30R is not for new circuits (table `receptacles`); on one that is there it is kept."""
    text = GOOD.replace("single 6-20R", "single 10-30R").replace("plug: 6-20P", "plug: 10-30P")
    (line,) = found_in(text)
    assert "10-30R has no ground and is not for new circuits" in line
    circuit = "existing: [{id: X, panel: P, spaces: [1, 3], breaker: 30 A, conductor: 10,"
    assert parse_shop(text.replace("use:\n", f"{circuit} feeds: [E1]}}]\nuse:\n"))


def test_a_box_with_two_yokes_needs_left_or_right():
    """`plugs_into` names a yoke or one of its outlets."""
    two = GOOD.replace("[duplex 5-20R]", "[duplex 5-20R, duplex 5-20R]")
    assert all("'N1.left' or 'N1.right'" in line for line in found_in(two))
    assert parse_shop(
        two.replace("into: N1", "into: N1.left.top", 1).replace("into: N1\n", "into: N1.right\n")
    )


def test_a_duplex_has_a_top_and_a_bottom_and_a_single_receptacle_has_not():
    """Outlet ids as the plan has them."""
    assert parse_shop(GOOD.replace("plugs_into: N1", "plugs_into: N1.bottom", 1))
    (line,) = found_in(GOOD.replace("plugs_into: E1", "plugs_into: E1.top"))
    assert "'E1.top'" in line


def test_a_circle_of_followers():
    """A machine that follows itself through another one."""
    circle = "  followers: [{machine: saw, follows: [charger]}, {machine: charger, follows: [saw]}]"
    lines = found_in(GOOD.replace("use:\n", f"use:\n{circle}\n"))
    assert ["follows itself" in line for line in lines] == [True, True]


def test_a_tandem_space_takes_two_circuits():
    """Two existing circuits in one space are right where a tandem is allowed, and only there."""
    circuits = f"existing: [{EXISTING}id: X, spaces: [5], feeds: [N1]}},"
    circuits += f" {EXISTING}id: Y, spaces: [5], feeds: [S1, L1]}}]\nuse:\n"
    text = GOOD.replace("use:\n", circuits)
    assert any("takes 1 circuit" in line for line in found_in(text))
    assert parse_shop(text.replace("terminals", "tandem_spaces: [5]\n      terminals"))


DOOR = "  openings: [{id: D, kind: %s, wall: north, between: [2 ft, 4 ft], %s}]\n  ambient:"


@pytest.mark.parametrize(
    ("kind", "more", "problem"),
    [
        ("door", "head: 7 ft", "boxes[N1].x"),  # N1 is at x 3 ft, 4 ft up
        ("door", "head: 3 ft", ""),  # the box is above the head
        ("door", "head: 9 ft", "building.openings[D].head"),
        ("door", "head: 3 ft, travel: 4 ft", "building.openings[D].travel"),
        # L1 is at [5 ft, 4 ft]: beside the door's travel, whose x goes from 2 ft to 4 ft
        ("overhead door", "head: 3 ft, travel: 6 ft", ""),
    ],
)
def test_boxes_and_doors(kind, more, problem):
    """No box in an opening below its head."""
    text = GOOD.replace("  ambient:", DOOR % (kind, more))
    if problem:
        assert problem in [line.split(": ")[1] for line in found_in(text)]
    else:
        assert parse_shop(text)


@pytest.mark.parametrize(
    ("wall", "between", "travel", "blocked"),
    [
        # L1 is at [5 ft, 4 ft] in a room of 10 ft by 8 ft
        ("south", "[4 ft, 6 ft]", "4.5 ft", True),
        ("south", "[4 ft, 6 ft]", "3.5 ft", False),
        ("east", "[3 ft, 5 ft]", "5.5 ft", True),
        ("east", "[3 ft, 5 ft]", "4.5 ft", False),
        ("north", "[4 ft, 6 ft]", "4.5 ft", True),
        ("west", "[3 ft, 5 ft]", "5.5 ft", True),
        ("west", "[3 ft, 5 ft]", "4.5 ft", False),
    ],
)
def test_an_open_overhead_door_keeps_the_ceiling_clear(wall, between, travel, blocked):
    """Its travel is measured from its own wall into the room."""
    door = f"{{id: D, kind: overhead door, wall: {wall}, between: {between}, head: 1 ft"
    text = GOOD.replace("  ambient:", f"  openings: [{door}, travel: {travel}}}]\n  ambient:")
    if blocked:
        assert ["open door 'D' travels" in line for line in found_in(text)] == [True]
    else:
        assert parse_shop(text)


def test_a_box_in_the_working_space_of_a_panel():
    """The panel is at y = 2 ft of the west wall: its space is 3 ft deep and 2 ft 6 in wide."""
    (line,) = found_in(GOOD.replace("S1, wall: south, x: 1 ft", "S1, wall: south, x: 1 ft")
                       .replace("y: 2 ft\n      height", "y: 1 ft\n      height"))  # fmt: skip
    assert "boxes[S1].wall: box 'S1' is in the working space of panel 'P'" in line


def test_all_problems_at_once_in_line_order():
    """Wrong values, wrong names and wrong places together; nothing that only follows from them."""
    text = (
        GOOD.replace("bus: 60 A", "bus: 60")
        .replace("id: N1, wall: north, x: 3 ft", "id: N1, wall: nort, x: 3 ft")
        .replace("id: E1, wall: east, y: 4 ft", "id: E1, wall: east, y: 4")
        .replace("switched_by: S1", "switched_by: S9")
        .replace("people: 1}", "people: one}")
    )
    lines = found_in(text)
    numbers = [int(line.split(":")[1]) for line in lines]
    assert numbers == sorted(numbers)
    wheres = [line.split(": ")[1] for line in lines]
    assert "boxes[E1].y" in wheres
    assert "supply.panels[P].bus" in wheres
    assert "use.days[usual].people" in wheres
    both = found_in(
        GOOD.replace("id: E1, wall: east, y: 4 ft", "id: E1, wall: east, y: 4")
        .replace("switched_by: S1", "switched_by: S9")
        .replace("id: N1, wall: north, x: 3 ft", "id: N1, wall: nort, x: 3 ft")
    )
    wheres = [line.split(": ")[1] for line in both]
    assert wheres == ["boxes[N1].wall", "boxes[E1].y", "boxes[L1].switched_by"]
