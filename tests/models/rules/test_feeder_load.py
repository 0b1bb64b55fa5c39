"""The calculated load of the plan on paper, 5160 VA = 22 A, against what it hangs on.

Leg B of it alone is 27 A: saw 12, charger 3, press 8, half the floor 1, 25 % of the saw 3.
"""

import pytest

from models.rules import feeder_load
from tests.models.rules.four_box import found

HEATER = {"id": "heater", "volts": "240 V", "power": "1 kW", "plug": "6-20P", "plugs_into": "E1",
          "at": ["7 ft", "4 ft"], "kind": "space heat"}  # fmt: skip


def panel(data):
    return data["source"]["shop"]["supply"]["panels"][0]


def told(edit=lambda data: None):
    return [(f.rule, f.severity, f.found, f.limit) for f in found(feeder_load, edit)]


def feeder(breaker, bus=60, main="main lug"):
    def edit(data):
        panel(data)["feeder"]["breaker"] = f"{breaker} A"
        panel(data).update(bus=f"{bus} A", main=main)

    return edit


def test_the_plan_on_paper_has_room():
    assert told() == []


def test_a_feeder_below_the_calculated_load():
    assert told(feeder(20)) == [("feeder-load", "violation", 22.0, 20.0)]


@pytest.mark.parametrize(("bus", "main"), [(20, "main lug"), (60, "20 A")])
def test_the_least_of_breaker_main_and_bus_counts(bus, main):
    assert ("feeder-load", "violation", 22.0, 20.0) in told(feeder(40, bus, main))


def test_22_a_are_within_25_a_but_not_on_one_leg():
    assert told(feeder(25)) == [("feeder-legs", "note", 27.0, 25.0)]
    assert told(feeder(30)) == []


def test_a_bus_behind_a_larger_breaker():
    """NEC 408.36: 60 A of bus behind 70 A; a main of 60 A protects it."""
    assert told(feeder(70)) == [("panel-protection", "violation", 70.0, 60.0)]
    assert told(feeder(70, main="60 A")) == []


def test_heat_behind_a_circuit_larger_than_its_feeder():
    """NEC 220.51: a feeder of 30 A and a branch circuit of 40 A."""

    def edit(data, heat):
        data["circuits"][2]["breaker"]["amps"] = 40.0
        panel(data)["feeder"]["breaker"] = "30 A"
        if heat:
            data["source"]["shop"]["machines"].append(HEATER)
            data["machines"].append({**data["machines"][2], "id": "heater", "outlet": "E1"})

    assert ("feeder-largest-circuit", "violation", 30.0, 40.0) in told(lambda d: edit(d, True))
    assert told(lambda data: edit(data, False)) == []


@pytest.mark.parametrize(("house", "faults"), [(78, 0), (79, 1)])
def test_room_in_the_service(house, faults):
    """100 A of service: 78 A and the shop's 22 A fit, 79 A do not."""

    def edit(data):
        service = {"rating": "100 A", "calculated_load": f"{house} A"}
        data["source"]["shop"]["supply"]["service"] = service

    assert told(edit) == [("service-room", "violation", 101.0, 100.0)] * faults
