"""Lights apart and on two circuits, neutrals at switches, on the four-box shed.

Common practice but for NEC 404.2(C). L1 is on C1 behind S1, N1 on C2.
"""

import pytest

from models.rules import lights
from tests.models.rules.four_box import found, run_of
from tests.models.rules.shed import add_light, add_outlet, outlet_of, shop_of


def told(edit):
    return [(f.rule, f.severity, f.where) for f in found(lights, edit)]


def test_one_light_alone_is_only_noted():
    assert told(lambda data: None) == [("two-lighting-circuits", "note", "C1")]


def test_all_lights_on_one_circuit():
    def edit(data):
        add_light(data, "L2", ceiling=["2 ft", "2 ft"])

    assert told(edit) == [("two-lighting-circuits", "warning", "C1")]


def test_two_circuits():
    assert told(lambda data: add_light(data, "L2", "C2", ceiling=["2 ft", "2 ft"])) == [
        ("lights-apart", "violation", "C2")
    ]


def test_a_light_with_a_battery_is_enough():
    def edit(data):
        shop_of(data)["boxes"][1]["battery_backup"] = "yes"

    assert told(edit) == []


def test_a_light_outdoors_lights_nobody_inside():
    def edit(data):
        add_light(data, "LO", "C3", wall="south", x="4 ft", height="7 ft", outdoors="yes")
        outlet_of(data, "E1")["circuit"] = "C2"

    assert ("two-lighting-circuits", "note", "C1") in told(edit)


@pytest.mark.parametrize(("configuration", "others"), [("5-20R", "receptacles"), (None, "machine")])
def test_what_is_with_the_lights(configuration, others):
    """A hard-wired machine trips them as a plugged one does."""

    def edit(data):
        add_outlet(data, "N9", "C1", configuration)

    [says] = [f.says for f in found(lights, edit) if f.rule == "lights-apart"]
    assert others in says


def test_the_owner_may_ask_for_it():
    def edit(data):
        add_outlet(data, "N9", "C1")
        shop_of(data)["code"]["lights_apart"] = "no"

    assert [rule for rule, *_ in told(edit)] == ["two-lighting-circuits"]


def test_no_neutral_at_the_switch():
    """404.2(C)."""

    def edit(data):
        run = run_of(data, "C1.1")
        run["conductors"] = [c for c in run["conductors"] if c["role"] != "neutral"]

    assert ("neutral-at-switch", "violation", "S1") in told(edit)
