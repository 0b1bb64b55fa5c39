"""Outlets that a dwelling's garage or accessory building must have, on the four-box shed.

What each edition asks: published summaries of NEC 210.11(C)(4), 210.52(G) and 210.70(A)(2) for the
2017, 2020 and 2023 editions. The shed is a dwelling's attached garage; N1 (C2, a 20 A circuit of
its own) is 4 ft high on the north wall, E1 is a 240 V receptacle.
"""

import pytest

from models.rules import required_outlets
from models.rules.required_outlets import bays
from models.shop import Building
from tests.models.rules.four_box import PLAN, circuit_of, found
from tests.models.rules.shed import add_light, add_outlet, outlet_of, say, shop_of

NORTH_DOOR = {"id": "D", "kind": "overhead door", "wall": "north", "between": ["1 ft", "9 ft"]}
SOUTH_DOOR = {**NORTH_DOOR, "id": "D2", "wall": "south"}
FOOT_DOOR = {"id": "side", "kind": "door", "wall": "south", "between": ["5 ft", "8 ft"]}


def told(edit):
    return [(f.rule, f.severity, f.where) for f in found(required_outlets, edit)]


def test_the_shed_as_it_is():
    """No vehicle comes in, one 20 A circuit feeds N1 alone, L1 has its switch S1."""
    assert told(lambda data: None) == []


def test_what_is_no_dwelling_must_have_none_of_them():
    def edit(data):
        say(data, dwelling="no", openings=[NORTH_DOOR, FOOT_DOOR])
        circuit_of(data, "C2")["breaker"]["amps"] = 15.0
        shop_of(data)["boxes"][1].pop("switched_by")

    assert told(edit) == []


# A receptacle in every vehicle bay, 210.52(G)(1)


def test_a_bay_with_a_receptacle():
    assert told(lambda data: say(data, openings=[NORTH_DOOR])) == []


@pytest.mark.parametrize(("height", "counts"), [("5 ft 6 in", True), ("5 ft 7 in", False)])
def test_a_receptacle_counts_up_to_five_and_a_half_feet(height, counts):
    def edit(data):
        say(data, openings=[NORTH_DOOR])
        shop_of(data)["boxes"][2]["height"] = height

    assert (told(edit) == []) is counts


@pytest.mark.parametrize(("attached", "severity"), [("yes", "warning"), ("no", "violation")])
def test_a_second_bay_without_one(attached, severity):
    """N1 is nearer to the north door; an attached garage may have one on a circuit of the house."""
    findings = told(lambda data: say(data, openings=[NORTH_DOOR, SOUTH_DOOR], attached=attached))
    assert findings == [("garage-receptacle", severity, "garage")]


@pytest.mark.parametrize(
    "place", [{"wall": "south", "x": "6 ft", "outdoors": "yes"}, {"ceiling": ["5 ft", "1 ft"]}]
)
def test_neither_outdoors_nor_on_the_ceiling(place):
    def edit(data):
        say(data, openings=[NORTH_DOOR, SOUTH_DOOR])
        add_outlet(data, "S9", **place)

    assert [rule for rule, *_ in told(edit)] == ["garage-receptacle"]


def test_240_volts_do_not_count():
    """E1 is a 6-20R, and nearer to the east door than N1."""
    east = {**NORTH_DOOR, "id": "D3", "wall": "east", "between": ["0 ft", "8 ft"]}
    findings = told(lambda data: say(data, openings=[NORTH_DOOR, east]))
    assert [rule for rule, *_ in findings] == ["garage-receptacle"]


def test_bays_of_a_building():
    """A 16 ft door is two bays, an 8 ft one is one; zones for vehicles come before doors."""
    walls = [
        {"id": name, "from": [f"{x} ft", f"{y} ft"]}
        for name, x, y in (("s", 0, 0), ("e", 30, 0), ("n", 30, 20), ("w", 0, 20))
    ]
    wide = {"id": "A", "kind": "overhead door", "wall": "s", "between": ["2 ft", "18 ft"]}
    narrow = {"id": "B", "kind": "overhead door", "wall": "s", "between": ["20 ft", "28 ft"]}
    zone = {"id": "Z", "from": ["0 ft", "0 ft"], "to": ["10 ft", "20 ft"], "is": ["vehicles"]}
    garage = {"kind": "garage", "dwelling": "yes", "walls": walls, "ceiling": "9 ft"}
    doors = Building.model_validate({**garage, "openings": [wide, narrow]})
    assert bays(doors) == ((6.0, 0.0), (14.0, 0.0), (24.0, 0.0))
    zoned = Building.model_validate({**garage, "openings": [wide, narrow], "zones": [zone]})
    assert bays(zoned) == ((5.0, 10.0),)


# The receptacle circuit of a garage, 210.11(C)(4)


@pytest.mark.parametrize("amps", [15.0, 30.0])
def test_no_20_amp_circuit(amps):
    def edit(data):
        circuit_of(data, "C2")["breaker"]["amps"] = amps

    assert told(edit) == [("garage-branch-circuit", "violation", "garage")]


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_no_edition_lets_lights_share_it(edition):
    def edit(data):
        say(data, edition, openings=[NORTH_DOOR])
        add_light(data, "L9", "C2", ceiling=["2 ft", "2 ft"])

    assert told(edit) == [("garage-branch-circuit", "violation", "garage")]


@pytest.mark.parametrize(
    ("edition", "doors", "allowed"),
    [
        (2017, [NORTH_DOOR], False),
        (2020, [NORTH_DOOR], False),
        (2023, [NORTH_DOOR], True),
        (2023, [NORTH_DOOR, NORTH_DOOR | {"id": "D8"}], False),
    ],
)
def test_equipment_may_share_it_in_a_single_bay_since_2023(edition, doors, allowed):
    """210.11(C)(4) exception 2 of the 2023 edition."""

    def edit(data):
        say(data, edition, openings=doors)
        add_outlet(data, "H9", configuration=None)

    assert ("garage-branch-circuit" not in [rule for rule, *_ in told(edit)]) is allowed


@pytest.mark.parametrize(
    ("edition", "height", "allowed"),
    [
        (2017, "2 ft", True),
        (2017, "7 ft 6 in", False),
        (2020, "7 ft 6 in", False),
        (2023, "7 ft 6 in", True),
    ],
)
def test_receptacles_outdoors_may_share_it(edition, height, allowed):
    """Readily accessible ones in 2017 and 2020, any since 2023."""

    def edit(data):
        say(data, edition)
        add_outlet(data, "O9", wall="north", x="8 ft", height=height, outdoors="yes")

    assert (told(edit) == []) is allowed


@pytest.mark.parametrize(("edition", "asked"), [(2017, False), (2020, True), (2023, True)])
def test_it_feeds_every_bay_since_2020(edition, asked):
    """The south bay has a receptacle, but on the circuit of the lights."""

    def edit(data):
        say(data, edition, openings=[NORTH_DOOR, SOUTH_DOOR])
        add_outlet(data, "S9", "C1", wall="south", x="6 ft")

    rules = told(edit)
    assert rules == ([("garage-branch-circuit", "violation", "garage")] if asked else [])


# Accessory buildings, 210.52(G)(2)


@pytest.mark.parametrize(("attached", "severity"), [("yes", "warning"), ("no", "violation")])
def test_an_accessory_building_without_a_receptacle(attached, severity):
    def edit(data):
        say(data, kind="accessory building", attached=attached)
        for name in ("N1.top", "N1.bottom"):
            outlet_of(data, name)["configuration"] = "L5-30R"

    assert told(edit) == [("accessory-building-receptacle", severity, "accessory building")]
    assert told(lambda data: say(data, kind="accessory building", attached=attached)) == []


# Lights, 210.70(A)(2)


@pytest.mark.parametrize(
    ("kind", "edition", "asked"),
    [
        ("garage", 2017, True),
        ("garage", 2023, True),
        ("accessory building", 2017, False),
        ("accessory building", 2020, False),
        ("accessory building", 2023, True),
        ("basement", 2023, False),
    ],
)
def test_a_light_with_a_switch_on_the_wall(kind, edition, asked):
    """Accessory buildings were added in 2023."""

    def edit(data):
        say(data, edition, kind=kind, attached="no")
        data["outlets"] = [o for o in data["outlets"] if o["id"] != "L1"]
        shop_of(data)["boxes"] = [b for b in shop_of(data)["boxes"] if b["id"] != "L1"]

    assert told(edit) == ([("lighting-outlet", "violation", kind)] if asked else [])


def test_a_light_whose_switch_nobody_has_named():
    findings = told(lambda data: shop_of(data)["boxes"][1].pop("switched_by"))
    assert findings == [("lighting-outlet", "warning", "garage")]


@pytest.mark.parametrize(
    ("attached", "floor", "severity"),
    [
        ("no", "at or below grade", "violation"),
        ("no", "above grade", "note"),
        ("yes", "at or below grade", "note"),
    ],
)
def test_a_door_without_a_light_outside(attached, floor, severity):
    """Where it is not certain that a door leads outdoors at grade it is only asked."""
    findings = told(lambda data: say(data, attached=attached, floor=floor, openings=[FOOT_DOOR]))
    assert findings == [("entrance-light", severity, "side")]


def test_a_light_outside_on_its_wall():
    def edit(data):
        say(data, attached="no", openings=[FOOT_DOOR])
        add_light(data, "LO", wall="south", x="4 ft", height="7 ft", outdoors="yes")

    assert told(edit) == []


def test_the_shed_is_still_what_these_tests_say():
    assert [box["id"] for box in shop_of(PLAN)["boxes"]] == ["E1", "L1", "N1", "S1"]
