"""The load calculation claimed in a plan against one worked out by hand for the plan on paper.

Four-box shed, 2023: 10 × 8 ft of a dwelling's garage at 3 VA/ft² = 240 VA, more than the lights
(40 W × 1.25) and no free yoke (drill press and charger have theirs at N1, the saw at E1); saw 2 hp
at 240 V: 12 A, 2880 VA; drill press 8 A at 120 V: 960; charger 3 A: 360; 25 % of the saw: 720.
"""

import copy

import pytest

from models.plan import Plan
from models.rules import load_calculation
from models.rules.load_calculation import calculated_amps, leg_amps, served
from models.rules.reading import Reading
from models.shop import Shop
from tests.models.rules.four_box import PLAN, found

BY_HAND = [
    {"says": "lights and receptacles of a dwelling, 80 ft² at 3 VA", "va": 240,
     "source": "NEC 220.41"},
    {"says": "battery charger: 3 A at 120 V as marked", "va": 360, "source": "NEC 220.14(A)"},
    {"says": "drill press: 8 A at 120 V as marked", "va": 960, "source": "NEC 220.14(A)"},
    {"says": "cabinet saw: motor, 12 A at 240 V by Table 430.248", "va": 2880,
     "source": "NEC 220.50(A), 430.24"},
    {"says": "25 % of the largest motor: cabinet saw", "va": 720, "source": "NEC 430.24"},
]  # fmt: skip


def reading(edit=lambda data: None, edition=None):
    data = copy.deepcopy(PLAN)
    edit(data)
    shop = data["source"]["shop"]
    if edition:
        shop["code"]["edition"] = edition
    return Reading(Plan.model_validate(data), Shop.model_validate(shop))


def claims(edit):
    def change(data):
        lines = copy.deepcopy(BY_HAND)
        edit(lines)
        data["feeders"][0]["load_calculation"] = lines

    return [(f.where, f.severity, f.key) for f in found(load_calculation, change)]


def test_a_plan_written_before_is_told_its_load():
    """240 + 360 + 960 + 2880 + 720 = 5160 VA, 21.5 A: 22 A."""
    [finding] = found(load_calculation, lambda data: None)
    assert finding.severity == "warning"
    assert "5160 VA, 22 A" in finding.says


def test_the_lines_by_hand_are_found():
    assert claims(lambda lines: None) == []


@pytest.mark.parametrize(
    ("line", "key", "value"),
    [(0, "va", 241), (3, "source", "NEC 220.50, 430.24"), (1, "says", "battery charger")],
)
def test_a_line_that_is_not_so(line, key, value):
    [(where, severity, name)] = claims(lambda lines: lines[line].update({key: value}))
    assert (where, severity, name) == ("P", "violation", f"load-calculation:P:{line + 1}")


def test_lines_too_few_and_too_many():
    assert len(claims(lambda lines: lines.pop())) == 1
    assert len(claims(lambda lines: lines.append(BY_HAND[0]))) == 1


def test_claims_are_read_in_the_edition_of_the_plan():
    """Another edition of the code asks for other sections, not for another plan file."""
    made = reading(lambda data: data["feeders"][0].update(load_calculation=BY_HAND), edition=2017)
    assert list(load_calculation.check(made)) == []


def test_before_2023_the_garage_counts_by_outlets():
    """40 W and 25 % of it instead of 240 VA: 4970 VA, 20.7 A."""
    assert calculated_amps(reading(), "P") == 22
    assert calculated_amps(reading(edition=2020), "P") == 21


def test_one_leg():
    """Leg A: saw 12 A and 25 %, half the floor 120 VA; leg B: also charger and press, 11 A."""
    made = reading()
    assert leg_amps(made, "P", "A") == 16
    assert leg_amps(made, "P", "B") == 27
    assert leg_amps(made, "P", "A", to_neutral=True) == 1
    assert leg_amps(made, "P", "B", to_neutral=True) == 14  # 8 A at 125 %, 3 A, 1 A


def test_a_yoke_counts_once():
    """Without press and charger N1 has 180 VA; with a charger of 1 A (120 VA) as well."""

    def alone(data, amps=None):
        kept = [m for m in data["machines"] if m["id"] == "saw" or (amps and m["id"] == "charger")]
        data["machines"] = kept
        for machine in data["source"]["shop"]["machines"]:
            if machine["id"] == "charger" and amps:
                machine["marked"] = f"{amps} A"

    made = {
        name: served(reading(edit), "P", 2023).yokes
        for name, edit in {
            "all": lambda data: None,
            "saw": alone,
            "small": lambda data: alone(data, 1),
            "larger": lambda data: alone(data, 1.5),
        }.items()
    }
    assert made == {"all": 0, "saw": 1, "small": 1, "larger": 0}


def test_a_portable_tool_has_no_line():
    def carry(data):
        press = next(m for m in data["source"]["shop"]["machines"] if m["id"] == "drill-press")
        press |= {"portable": "yes"}
        press.pop("plugs_into")

    names = [machine.id for machine in served(reading(carry), "P", 2023).machines]
    assert sorted(names) == ["charger", "saw"]


def test_only_a_listed_interlock_leaves_a_machine_out():
    """Saw or press: 240 + 360 + 2880 + 720 = 4200 VA, 17.5 A; a promise changes nothing."""

    def apart(by):
        def edit(data):
            group = {"machines": ["drill-press", "saw"], "by": by, "device": "relay"}
            data["source"]["shop"]["use"]["never_together"] = [group]

        return calculated_amps(reading(edit), "P")

    assert apart("promise") == 22
    assert apart("interlock") == 18


def test_a_panel_behind_a_panel_hangs_on_both_feeders():
    """C2 with press and charger moves to Q, fed from P: 1320 VA and 25 % of the press, 240 VA.

    No luminaire hangs on Q, so it lights none of the floor.
    """

    def edit(data):
        second = copy.deepcopy(data["source"]["shop"]["supply"]["panels"][0])
        second |= {"id": "Q", "y": "6 ft"}
        second["feeder"] |= {"from": "P"}
        data["source"]["shop"]["supply"]["panels"].append(second)
        next(c for c in data["circuits"] if c["id"] == "C2")["panel"] = "Q"

    made = reading(edit)
    assert calculated_amps(made, "P") == 22
    assert calculated_amps(made, "Q") == 7


def test_what_nobody_attends_is_left_out_where_the_authority_says_so():
    """One person: the saw with the charger, 240 + 360 + 2880 + 720 = 4200 VA, 17.5 A: 18 A.

    With the press instead it would be 240 + 360 + 960 + 240 = 1800 VA. Two people run all.
    """

    def accepted(people):
        def edit(data):
            data["source"]["shop"]["code"]["noncoincident"] = "attended"
            data["source"]["shop"]["use"] = {"days": [{"id": "usual", "people": people}]}

        return calculated_amps(reading(edit), "P")

    assert accepted(1) == 18
    assert accepted(2) == 22


def test_a_promise_leaves_nothing_out_of_it():
    def promised(by):
        def edit(data):
            shop = data["source"]["shop"]
            shop["code"]["noncoincident"] = "attended"
            group = {"machines": ["charger", "saw"], "by": by, "device": "relay"}
            shop["use"] = {"days": [{"id": "usual", "people": 2}], "never_together": [group]}

        return calculated_amps(reading(edit), "P")

    assert promised("promise") == 22
    assert promised("interlock") == 20  # without the charger's 360 VA: 4800 VA
