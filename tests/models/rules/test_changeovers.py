"""Changeovers: a plan on file with two of them passes, and each corruption is found by its rule.

M1 of 10 A is alone on its circuit in a raceway, M2 of 12 A shares its circuit; both take half of
that at 240 V. 12 AWG carries 30 A at 90 °C, as one of 7 to 9 conductors 70 % of it, Tables
310.16 and 310.15(C)(1); 334.80 is for cable. The shop and its prices are invented.
"""

import copy

import pytest

from models.changeovers import changed_machine, new_configurations, planned_changeovers
from models.local_answers import local_answers
from models.plan import Plan
from models.plan_file import canonical_json, sha256_text
from models.rules import check_plan
from models.rules.changeovers import copper_of
from models.shop import Shop
from models.shop_edit import changed
from tests.plan_files import plan_data

PLAN = plan_data("two_changeovers")
SHOP = Shop.model_validate(PLAN["source"]["shop"])


def found_in(data):
    return {
        finding.rule
        for finding in check_plan(Plan.model_validate(data))
        if finding.severity == "violation"
    }


def of_shop(data, *changes):
    """The same plan for a shop that is otherwise."""
    made = copy.deepcopy(data)
    shop = changed(SHOP, changes).canonical()
    made["made_by"]["local_answers"] = local_answers(Shop.model_validate(shop))
    made["source"] = {"shop": shop, "sha256": sha256_text(canonical_json(shop))}
    return made


def run(data, name):
    return next(r for c in data["circuits"] for r in c["runs"] if r["id"] == name)


def draft(data, machine):
    return next(d for d in data["changeovers"] if d["machine"] == machine)


def test_the_plan_on_file_passes():
    assert found_in(PLAN) == set()


def without_spare(data):
    for name in ("C1.1", "C2.1"):
        one = run(data, name)
        one["conductors"] = [c for c in one["conductors"] if c["role"] != "spare"]


def white_spare(data):
    for wire in run(data, "C1.1")["conductors"]:
        if wire["role"] == "spare":
            wire["colour"] = "white"


def unmarked(data):
    for wire in run(data, "C2.1")["conductors"]:
        if wire["role"] == "spare":
            wire["marked"] = None


def space_not_kept(data):
    for space in data["panels"][0]["spaces"]:
        if (space["reserved_for"] or "").startswith("changeover"):
            space["reserved_for"] = None


def space_elsewhere(data):
    draft(data, "M1")["panel_spaces"] = [1, 9]


def one_more_kept(data):
    free = [s for s in data["panels"][0]["spaces"] if not s["circuit"] and not s["reserved_for"]]
    free[-1]["reserved_for"] = "changeover of M1"


def nobody_needs_it(data):
    one = draft(data, "M1")
    one.update(prepared=False, chosen="nothing now", spare_runs=[], panel_spaces=[], steps=[])


def another_likelihood(data):
    draft(data, "M1")["likelihood"] = 0.5


def dearer_day(data):
    draft(data, "M2")["takeoff"][0]["cost_usd"] += 1


def larger_breaker(data):
    """30 A for what was made of 12 AWG."""
    one = draft(data, "M1")
    one["breaker_amps"] = 30.0


def other_receptacle(data):
    draft(data, "M1")["configuration"] = "L6-30R"


def expected_wrong(data):
    data["objective"]["expected_later"] += 5
    data["objective"]["value"] += 5


@pytest.mark.parametrize(
    ("corrupt", "rule"),
    [
        (without_spare, "changeover-spares"),
        (white_spare, "changeover-spares"),
        (unmarked, "changeover-spares"),
        (space_not_kept, "changeover-spaces"),
        (space_elsewhere, "changeover-spaces"),
        (one_more_kept, "changeover-spaces"),
        (nobody_needs_it, "changeover-spares"),
        (another_likelihood, "changeovers"),
        (dearer_day, "changeover-costs"),
        (expected_wrong, "changeover-costs"),
        (larger_breaker, "after-changeovers"),
        (other_receptacle, "after-changeovers"),
    ],
)
def test_a_corruption_is_found(corrupt, rule):
    data = copy.deepcopy(PLAN)
    corrupt(data)
    assert rule in found_in(data)


def test_a_room_too_hot_for_what_is_put_to_use_then():
    """At 40 °C 12 AWG carries 30 A x 0.91 x 0.8 = 21.8 A as one of 6, x 0.7 = 19.1 A of 7."""
    data = of_shop(PLAN, ("building.ambient.room", "40 C"))
    for circuit in data["circuits"]:
        for one in circuit["runs"]:
            one["ambient_c"] = 40.0
    says = [f.says for f in check_plan(Plan.model_validate(data)) if f.rule == "after-changeovers"]
    assert any("19.1 A" in text for text in says)
    assert "conductor-protection" not in found_in(data)


def test_two_hots_and_a_neutral_only_where_multiwire_circuits_are_allowed():
    assert "after-changeovers" in found_in(of_shop(PLAN, ("code.multiwire", False)))


def test_a_changeover_that_the_plan_does_not_tell_is_not_checked():
    data = copy.deepcopy(PLAN)
    data["changeovers"] = [d for d in data["changeovers"] if d["machine"] != "M2"]
    findings = check_plan(Plan.model_validate(data))
    assert ("changeovers", "M2", "not-checked") in {(f.rule, f.where, f.severity) for f in findings}


def test_the_same_power_at_the_other_voltage():
    change = planned_changeovers(SHOP)["M1"]
    machine = next(m for m in SHOP.machines if m.id == "M1")
    then = changed_machine(machine, change, "6-20R")
    assert (then.volts, then.marked_amps, then.plug) == (240, 5.0, "6-15P")
    assert set(new_configurations(machine, change)) >= {"6-15R", "6-20R"}
    assert "L6-20R" not in new_configurations(machine, change)


def test_moves_are_not_prepared_for():
    shop = changed(SHOP, [("later.changeovers", [
        {"machine": "M1", "at": ["2 ft", "2 ft"], "likelihood": "10 %", "within": "1 year"},
        {"machine": "M2", "volts": "240 V", "plugs_into": "N2.left", "plug": "6-15P",
         "likelihood": "10 %", "within": "1 year"},
    ])])  # fmt: skip
    assert planned_changeovers(shop) == {}


def test_copper_of_a_cable_counts_its_ground():
    """12 AWG copper is 19.8 lb/kft, NEC chapter 9 Table 8 area times the density of copper."""
    assert copper_of("THHN 12", 1000) == pytest.approx(19.8, abs=0.1)
    assert copper_of("NM-B 12-3", 1000) == pytest.approx(4 * 19.8, abs=0.4)
    assert copper_of("breaker 20 A 2-pole", 1) == 0
