"""Facts of a shop that do not fit each other, each told at its place in the file."""

import pytest

from models.shop_file import parse_shop
from tests.models.broken_facts import BROKEN, EXISTING, GOOD, before_use, found_in


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
