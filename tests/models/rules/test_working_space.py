"""Working space of the four-box shed's panel: 30 in wide, 36 in deep, 6.5 ft high, NEC 110.26(A).

The panel hangs at the west wall, 2 ft from the south, and opens to the east.
"""

import pytest

from models.rules import working_space
from tests.models.rules.four_box import found
from tests.models.rules.shed import add_outlet, say, shop_of


def told(edit):
    return [(f.rule, f.severity, f.where) for f in found(working_space, edit)]


def partition(data, start, end):
    say(data, partitions=[{"id": "W", "from": list(start), "to": list(end)}])


def test_the_shed_as_it_is():
    assert told(lambda data: None) == []


@pytest.mark.parametrize(
    ("at", "inside"),
    [
        (["2 ft 11 in", "2 ft"], True),
        (["3 ft 1 in", "2 ft"], False),
        (["1 ft", "3 ft 2 in"], True),
        (["1 ft", "3 ft 4 in"], False),
    ],
)
def test_a_machine(at, inside):
    def edit(data):
        next(m for m in shop_of(data)["machines"] if m["id"] == "saw")["at"] = at

    assert told(edit) == ([("working-space", "violation", "saw")] if inside else [])


@pytest.mark.parametrize(("height", "inside"), [("6 ft 6 in", True), ("6 ft 7 in", False)])
def test_a_box_on_the_south_wall(height, inside):
    """At y 0 it is 2 ft aside: out; so the panel moves to y 1."""

    def edit(data):
        shop_of(data)["supply"]["panels"][0]["y"] = "1 ft"
        shop_of(data)["boxes"] = [b for b in shop_of(data)["boxes"] if b["id"] != "S1"]
        add_outlet(data, "S9", wall="south", x="1 ft", height=height)

    assert told(edit) == ([("working-space", "violation", "S9")] if inside else [])


@pytest.mark.parametrize(("ceiling", "low"), [("6 ft 6 in", False), ("6 ft 5 in", True)])
def test_a_ceiling(ceiling, low):
    findings = told(lambda data: say(data, ceiling=ceiling))
    assert findings == ([("working-space", "violation", "P")] if low else [])


def test_an_existing_panel_of_a_dwelling_may_have_a_low_ceiling():
    """110.26(A)(3), exception 1."""

    def edit(data):
        say(data, ceiling="6 ft 5 in")
        shop_of(data)["supply"]["panels"][0]["existing"] = "yes"

    assert told(edit) == [("working-space", "warning", "P")]


@pytest.mark.parametrize(("x", "clear"), [("3 ft", True), ("2 ft 11 in", False)])
def test_a_wall_in_front(x, clear):
    findings = told(lambda data: partition(data, (x, "0 ft"), (x, "8 ft")))
    assert findings == ([] if clear else [("working-space", "violation", "P")])


@pytest.mark.parametrize(("y", "clear"), [("2 ft 6 in", True), ("2 ft 5 in", False)])
def test_walls_to_both_sides(y, clear):
    """From the south wall to a partition: the 30 in need not lie around the panel's middle."""
    findings = told(lambda data: partition(data, ("0 ft", y), ("10 ft", y)))
    assert findings == ([] if clear else [("working-space", "violation", "P")])


def door(wall, low, high):
    return {"id": "D", "kind": "door", "wall": wall, "between": [f"{low} ft", f"{high} ft"]}


@pytest.mark.parametrize(
    ("opening", "sweeps"),
    [
        (door("west", 4, 7), False),
        (door("south", 3.5, 6.5), False),
        (door("south", 1, 4), True),
        (door("east", 1, 4), False),
        ({**door("south", 1, 4), "kind": "overhead door"}, False),
        ({**door("south", 1, 4), "kind": "cased opening"}, False),
    ],
)
def test_doors(opening, sweeps):
    """The space is x 0 to 3, y 0.75 to 3.25; a leaf that opens inwards stays between its jambs."""
    findings = told(lambda data: say(data, openings=[opening]))
    assert findings == ([("door-swing", "note", "D")] if sweeps else [])
