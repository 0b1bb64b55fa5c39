"""Low receptacles and cable in the open, on the four-box shed: common practice, no source."""

import pytest

from models.rules import wiring_habits
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import add_outlet, outlet_of, say, shop_of


def told(edit):
    return [(f.rule, f.severity, f.says) for f in found(wiring_habits, edit)]


def test_the_shed_as_it_is():
    """Everything is at 4 ft; cable goes in walls and over the ceiling."""
    assert told(lambda data: None) == []


def test_low_receptacles_stand_in_one_note():
    def edit(data):
        for number in (6, 8):
            add_outlet(data, f"N{number}", wall="north", x=f"{number} ft", height="44 in")

    assert told(edit) == [
        ("receptacle-height", "note", "below 48 in, where sheet goods cover them: N6, N8")
    ]


@pytest.mark.parametrize(
    "place",
    [
        {"wall": "north", "x": "8 ft", "height": "48 in"},
        {"wall": "north", "x": "8 ft", "height": "18 in", "outdoors": "yes"},
        {"ceiling": ["8 ft", "4 ft"], "drop": "5 ft"},
    ],
)
def test_others_are_not_meant(place):
    assert told(lambda data: add_outlet(data, "N9", **place)) == []


def test_one_that_a_machine_is_plugged_into():
    def edit(data):
        for box in shop_of(data)["boxes"]:
            if "height" in box:
                box["height"] = "44 in"

    assert told(edit) == []


def test_one_that_is_there_already():
    def edit(data):
        add_outlet(data, "N9", wall="north", x="8 ft", height="18 in")
        outlet_of(data, "N9")["life"] = "existing"

    assert told(edit) == []


def test_cable_under_a_ceiling():
    """C1.2 crosses the room at 8 ft; the others follow the walls below."""
    assert told(lambda data: say(data, ceiling_runs="surface")) == [
        ("exposed-cable", "note", "cable lies in the open in run C1.2")
    ]
    assert told(lambda data: say(data, ceiling_runs="joists")) == []


def test_tubing_under_a_ceiling_is_what_is_wished():
    def edit(data):
        say(data, ceiling_runs="surface")
        for run in circuit_of(data, "C1")["runs"]:
            run["method"] = "raceway"

    assert told(edit) == []
