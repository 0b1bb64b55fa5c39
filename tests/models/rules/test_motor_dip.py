"""The start of the saw of the plan on paper: 2 hp at 240 V, 12 A by NEC Table 430.248, 72 A.

Feeder 8 AWG, 0.78 + j0.052 Ω/1000 ft, circuit 17 ft of 12 AWG, 2.0 + j0.054 (chapter 9 Table 9).
At a power factor of 0.9 (sine 0.436) a feeder of 200 ft makes R = 0.190 Ω and X = 0.0113 Ω, and
2 x 72 x (0.9 x 0.190 + 0.436 x 0.0113) = 25.3 V, 10.6 %; that the voltage also turns adds up to 2 %
of that. Habit: about 10 %, 15 % at worst.
"""

import pytest

from models.rules import motor_dip
from tests.models.rules.four_box import found, lay_in_raceway, run_of


def feeder(data):
    return data["source"]["shop"]["supply"]["panels"][0]["feeder"]


def told(length_ft, edit=lambda data: None):
    def change(data):
        feeder(data)["length"] = f"{length_ft} ft"
        edit(data)

    return found(motor_dip, change)


def press_is_a_motor(data):
    """Drill press of 1/2 hp at 120 V: 9.8 A, 58.8 A as it starts; the saw has no motor."""
    for machine in data["source"]["shop"]["machines"]:
        if machine["id"] == "drill-press":
            del machine["marked"]
            machine["motor"] = "1/2 hp"
        if machine["id"] == "saw":
            del machine["motor"]
            machine["marked"] = "12 A"


def test_no_more_than_usual():
    assert told(30) == []
    assert told(180) == []


def test_more_than_usual_and_more_than_at_worst():
    [finding] = told(200)
    assert (finding.where, finding.severity, finding.limit) == ("saw", "warning", 10.0)
    assert finding.found == pytest.approx(10.55, rel=0.02)
    assert finding.rests_on_memory
    [grave] = told(320)
    assert (grave.limit, "may not come up to speed" in grave.says) == (15.0, True)
    assert grave.found == pytest.approx(15.8, rel=0.02)


def test_at_120_v_the_neutral_counts():
    """Neutral 10 AWG, 1.2 + j0.05; the mean with the hot is 0.99 + j0.051 Ω/1000 ft.

    110 ft and 10 ft of 12 AWG: R = 0.1289, X = 0.00615 Ω: 2 x 58.8 x (0.9 R + 0.436 X) = 14.0 V.
    """

    def edit(data):
        press_is_a_motor(data)
        feeder(data)["conductors"]["neutral"] = "10"

    [finding] = told(110, edit)
    assert (finding.where, finding.found) == ("drill-press", pytest.approx(11.6, rel=0.02))
    assert told(110, press_is_a_motor) == []


def test_steel_adds_reactance():
    """8 AWG in steel: 0.065; 12 AWG: 0.068 Ω/1000 ft."""
    [plain] = told(200)

    def in_steel(data):
        feeder(data)["raceway"] = "EMT 1"
        lay_in_raceway(data, "C3.1", run_of(data, "C3.1")["path"])

    [steel] = told(200, in_steel)
    more_v = 2 * 72 * 0.436 * (0.2 * 0.013 + 0.017 * 0.014)
    assert steel.found - plain.found == pytest.approx(100 * more_v / 240, rel=0.1)


def test_aluminum_loses_more():
    """8 AWG aluminum, 1.3 Ω/1000 ft: 110 ft lose what 183 ft of copper lose."""
    assert told(110) == []
    [finding] = told(120, lambda data: feeder(data)["conductors"].update(material="aluminum"))
    assert finding.found == pytest.approx(10.4, rel=0.02)


def test_the_smallest_conductor_of_a_run_counts():
    """One hot of 1/0, the other still 12 AWG; with both of 1/0 the circuit costs almost nothing."""
    [plain] = told(200)

    def larger(data, *roles):
        for conductor in run_of(data, "C3.1")["conductors"]:
            if conductor["role"] in roles:
                conductor["awg"] = "1/0"

    [one] = told(200, lambda data: larger(data, "hot2"))
    assert one.found == plain.found
    assert told(200, lambda data: larger(data, "hot", "hot2")) == []


def test_a_start_that_would_take_everything():
    [finding] = told(2000, lambda data: feeder(data)["conductors"].update(hot="14", neutral="14"))
    assert finding.found == 100.0


def test_a_machine_marked_in_amperes_is_no_motor_here():
    def edit(data):
        press_is_a_motor(data)
        data["source"]["shop"]["machines"] = [
            m
            if m["id"] != "drill-press"
            else {k: v for k, v in m.items() if k != "motor"} | {"marked": "8 A"}
            for m in data["source"]["shop"]["machines"]
        ]

    assert told(300, edit) == []
