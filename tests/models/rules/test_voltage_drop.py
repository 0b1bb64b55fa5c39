"""Voltage lost in the feeder of the plan on paper, made longer, and in its circuits.

8 AWG stranded copper, 0.778 Ω/1000 ft (chapter 9 Table 8). On leg A the light, 0.333 A; on leg B
charger (3 A, always on) and drill press (8 A); on both the saw (12 A). One person: saw or press.
"""

import copy

import pytest

from models.plan import Plan
from models.rules import voltage_drop
from models.rules.reading import Reading
from models.rules.voltage_drop import worst_total
from models.shop import Shop
from tests.models.rules.four_box import PLAN, circuit_of, found

R = 0.778


def feeder(data):
    return data["source"]["shop"]["supply"]["panels"][0]["feeder"]


def told(length_ft, rule):
    findings = found(voltage_drop, lambda data: feeder(data).update(length=f"{length_ft} ft"))
    return [(f.where, f.severity, f.found) for f in findings if f.rule == rule]


def reading(edit):
    data = copy.deepcopy(PLAN)
    edit(data)
    return Reading(Plan.model_validate(data), Shop.model_validate(data["source"]["shop"]))


def test_the_feeder_as_it_is_loses_little():
    assert found(voltage_drop, lambda data: None) == []


def test_a_feeder_that_loses_more_than_3_percent():
    """Leg B, charger and press: 11 A out on the hot and back on the neutral.

    2 x 11 x 0.778 x 220 / 1000 = 3.77 V, 3.14 % of 120 V; at 200 ft 2.85 %. The saw alone would
    cost leg A 12 x 0.778 x 0.22 and the light 2 x 0.333 x 0.778 x 0.22: 1.8 %.
    """
    assert told(200, "voltage-drop-feeder") == []
    [(where, severity, percent)] = told(220, "voltage-drop-feeder")
    assert (where, severity) == ("P", "warning")
    assert percent == pytest.approx(3.138, abs=0.001)


def test_feeder_and_circuit_together():
    """A 12 A tool at N1: 24 x 0.778 x 0.3 = 5.60 V in the feeder, 0.475 V in C2: 5.06 %.

    At 290 ft it is 5.415 + 0.475 V, 4.91 %. Charger and press cost less: 22 x 0.778 x 0.3 + 0.436.
    """
    assert told(290, "voltage-drop-total") == []
    [(where, severity, percent)] = told(300, "voltage-drop-total")
    assert (where, severity) == ("C2", "warning")
    assert percent == pytest.approx(5.064, abs=0.001)


def test_what_runs_beside_the_saw():
    """C3 at 300 ft: saw 24 R, charger 3 R, light 0.333 R over both legs, 0.808 V in C3 itself."""
    made = reading(lambda data: feeder(data).update(length="300 ft"))
    total = worst_total(made, made.circuits["C3"])
    assert (total.box, total.state) == ("E1", ("charger", "saw"))
    volts = (24 + 3 + 1 / 3) * R * 0.3 + 2 * 12 * 1.98 * 17 / 1000
    assert total.percent == pytest.approx(100 * volts / 240)


def test_the_light_pays_for_the_saw_but_not_for_the_other_leg():
    """C1 on leg A: light out and back, the saw on the hot alone; charger and press are on leg B."""
    made = reading(lambda data: feeder(data).update(length="300 ft"))
    total = worst_total(made, made.circuits["C1"])
    assert total.state == ("saw",)
    volts = (2 / 3 + 12) * R * 0.3 + 2 * 3.14 * 16 / 1000 / 3
    assert total.percent == pytest.approx(100 * volts / 120)


def test_a_smaller_neutral_costs_the_legs_but_not_what_is_between_them():
    """10 AWG, 1.24 Ω/1000 ft: charger and press lose 11 x (0.778 + 1.24) x 0.3 V on leg B."""

    def edit(data):
        feeder(data)["length"] = "300 ft"
        feeder(data)["conductors"]["neutral"] = "10"

    [finding] = [f for f in found(voltage_drop, edit) if f.rule == "voltage-drop-feeder"]
    assert finding.found == pytest.approx(100 * 11 * (R + 1.24) * 0.3 / 120, abs=0.001)
    before, after = reading(lambda data: feeder(data).update(length="300 ft")), reading(edit)
    assert worst_total(before, before.circuits["C3"]) == worst_total(after, after.circuits["C3"])


def test_a_panel_behind_a_panel():
    """C2 moves to panel Q, fed from P over 100 ft of 8 AWG: both feeders carry its 12 A tool.

    (24 x 0.778 x (0.3 + 0.1)) + 0.475 V. C3 stays on P: the feeder of Q costs it nothing.
    """

    def edit(data, **saw):
        feeder(data)["length"] = "300 ft"
        next(m for m in data["source"]["shop"]["machines"] if m["id"] == "saw").update(saw)
        second = copy.deepcopy(data["source"]["shop"]["supply"]["panels"][0])
        second |= {"id": "Q", "y": "6 ft"}
        second["feeder"] |= {"from": "P", "length": "100 ft"}
        data["source"]["shop"]["supply"]["panels"].append(second)
        circuit_of(data, "C2")["panel"] = "Q"

    made, alone = reading(edit), reading(lambda data: feeder(data).update(length="300 ft"))
    total = worst_total(made, made.circuits["C2"])
    assert total.percent == pytest.approx(100 * (24 * R * 0.4 + 0.4752) / 120)
    assert worst_total(made, made.circuits["C3"]) == worst_total(alone, alone.circuits["C3"])
    beside = reading(lambda data: edit(data, always_on="yes"))
    total = worst_total(beside, beside.circuits["C2"])
    volts = 24 * R * 0.4 + 0.4752 + 12 * R * 0.3  # the saw on P runs by itself
    assert total.percent == pytest.approx(100 * volts / 120)


def test_a_circuit_that_loses_more_than_is_wished():
    """Saw 12 A over 17 ft of 12 AWG: 0.34 % of 240 V."""

    def edit(data, wish):
        data["source"]["shop"]["code"]["voltage_drop_percent"] = wish

    rules = {f.rule for f in found(voltage_drop, lambda data: edit(data, 0.3))}
    assert rules == {"voltage-drop"}
    assert found(voltage_drop, lambda data: edit(data, 0.5)) == []


def test_the_state_that_costs_an_outlet_most_is_not_the_one_with_most_current():
    """Press of 8 A at 10 ft, and 7 A at 40 ft: 2 x 7 x 1.98 x 40 / 1000 = 1.109 V of 120.

    The press alone is the greater current, and loses 0.317 V; the two together 1.426 V.
    """

    def edit(data, wish, *never_together):
        shop, circuit = data["source"]["shop"], circuit_of(data, "C2")
        shop["code"]["voltage_drop_percent"] = wish
        shop["use"]["never_together"] = [{"machines": group} for group in never_together]
        charger = next(m for m in shop["machines"] if m["id"] == "charger")
        charger |= {"marked": "7 A", "hard_wired_at": "E1"}
        del charger["plug"], charger["plugs_into"]
        outlet = {"id": "E1.wired", "box": "E1", "kind": "hard-wired"}
        there = next(one for one in data["outlets"] if one["circuit"] == "C2")
        data["outlets"].append({**there, "configuration": None, **outlet})
        placed = next(m for m in data["machines"] if m["id"] == "charger")
        placed |= {"outlet": None, "hard_wired_at": "E1"}
        further = copy.deepcopy(circuit["runs"][0])
        further |= {"id": "C2.2", "start": "N1", "end": "E1", "length_ft": 30.0}
        circuit["runs"].append(further)
        circuit["voltage_drop_percent"] = None

    apart = found(voltage_drop, lambda data: edit(data, 0.9, ["charger", "drill-press"]))
    assert [(f.where, f.rule) for f in apart] == [("C2", "voltage-drop")]
    assert apart[0].found == pytest.approx(100 * 1.1088 / 120, abs=0.001)
    assert found(voltage_drop, lambda data: edit(data, 0.95, ["charger", "drill-press"])) == []
    (both,) = found(voltage_drop, lambda data: edit(data, 0.95))
    assert both.found == pytest.approx(100 * 1.4256 / 120, abs=0.001)
