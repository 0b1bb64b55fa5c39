"""What a promise holds and an interlock makes certain, on the plan made on paper; sums by hand.

Circuit C2 (20 A): a charger of 3 A always on, a drill press of 8 A; here also a heater of 12 A that
is left running. Kept apart by a promise from the drill press: 3 + 12 = 15 A; forgotten: 23 A.
"""

import json

import pytest

from models.plan import Plan
from models.rules import promises
from models.rules.reading import Reading
from models.shop import Shop
from tests.plan_files import plan_data

PLAN = plan_data("four_box")


def found(amps=12, people=1, feeder=40, **group):
    """What is said with a heater on C2 and one agreement about it."""
    data = json.loads(json.dumps(PLAN))
    shop = data["source"]["shop"]
    heater = {
        "id": "heater", "volts": "120 V", "marked": f"{amps} A", "plug": "5-15P",
        "set_and_leave": "yes", "plugs_into": "N1.top", "at": ["3 ft", "6 ft"],
    }  # fmt: skip
    shop["machines"].append(heater)
    shop["supply"]["panels"][0]["feeder"]["breaker"] = f"{feeder} A"
    shop["use"] = {
        "days": [{"id": "usual", "people": people}],
        "never_together": [{"machines": ["drill-press", "heater"], **group}],
    }
    data["machines"].append(
        {**data["machines"][0], "id": "heater", "outlet": "N1.top", "portable": False}
    )
    reading = Reading(Plan.model_validate(data), Shop.model_validate(shop))
    return [(f.where, f.severity, f.found, f.limit) for f in promises.check(reading)]


def test_a_circuit_that_only_a_promise_holds():
    assert found() == [("C2", "note", 23.0, 20.0)]


def test_an_interlock_is_no_promise():
    assert found(by="interlock", device="relay") == []


@pytest.mark.parametrize(("amps", "told"), [(9, False), (10, True)])
def test_a_promise_that_changes_nothing_is_not_told(amps, told):
    """3 + 8 + 9 = 20 A fits without the promise, 21 A does not."""
    assert bool(found(amps)) == told


def test_a_circuit_that_is_too_small_anyway_is_for_another_rule():
    """3 + 18 = 21 A with the promise kept."""
    assert found(18) == []


def test_a_leg_that_only_a_promise_holds():
    """Two people: saw 12 + press 8 + charger 3 + heater 1 = 24 A on C2's leg B."""
    [told] = found(1, people=2, feeder=20, machines=["drill-press", "saw"])
    assert told == ("P", "note", 24.0, 20.0)
    assert found(1, people=2, feeder=25, machines=["drill-press", "saw"]) == []
