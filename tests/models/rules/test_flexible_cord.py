"""Cords and walls, on the four-box shed: NEC 400.12, trade magazine."""

import pytest

from models.rules import flexible_cord
from tests.models.rules.four_box import found
from tests.models.rules.shed import add_machine, add_outlet, say, shop_of

WALL = {"id": "W", "from": ["5 ft", "0 ft"], "to": ["5 ft", "8 ft"]}


def told(edit):
    return [(f.where, f.severity) for f in found(flexible_cord, edit)]


def test_one_room():
    assert told(lambda data: None) == []


def test_a_wall_between():
    """The saw at [7, 4] in front of E1 moves to the other side."""

    def edit(data):
        say(data, partitions=[WALL])
        next(m for m in shop_of(data)["machines"] if m["id"] == "saw")["at"] = ["3 ft", "4 ft"]

    assert told(edit) == [("saw", "violation")]


@pytest.mark.parametrize(
    ("between", "blocked"), [(["3 ft", "5 ft"], False), (["6 ft", "8 ft"], True)]
)
def test_a_doorway_is_no_wall(between, blocked):
    door = {"id": "D", "kind": "cased opening", "wall": "W", "between": between}

    def edit(data):
        say(data, partitions=[WALL], openings=[door])
        next(m for m in shop_of(data)["machines"] if m["id"] == "saw")["at"] = ["3 ft", "4 ft"]

    assert bool(told(edit)) is blocked


@pytest.mark.parametrize(("at", "outdoors", "blocked"), [
    (["6 ft", "-3 ft"], "yes", False),
    (["6 ft", "3 ft"], "no", True),
])  # fmt: skip
def test_a_receptacle_outdoors(at, outdoors, blocked):
    """It opens to the outer side of its wall."""

    def edit(data):
        add_outlet(data, "O1", wall="south", x="6 ft", outdoors="yes")
        add_machine(data, "pump", "O1", at=at, outdoors=outdoors)

    assert told(edit) == ([("pump", "violation")] if blocked else [])
