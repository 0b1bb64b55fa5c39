"""Portable tools on the plan made on paper: who runs with them, and who does not.

Circuit C2 (20 A) has the only 120 V receptacles; a charger of 3 A is always on there. A tool finds
a place while it and the others stay at 20 A or less. Every sum below is made by hand.
"""

import json

import pytest

from models.plan import Plan
from models.rules import portable_tools
from models.rules.reading import Reading
from models.shop import Shop
from tests.models.rules.four_box import tool
from tests.plan_files import plan_data

PLAN = plan_data("four_box")


def found(*tools, people=1, followers=(), never_together=(), zones=()):
    """Who finds no place, as (tools, what is said), with these tools and rules of use added."""
    data = json.loads(json.dumps(PLAN))
    shop = data["source"]["shop"]
    shop["building"]["zones"] = [
        {"id": name, "from": [f"{w} ft", f"{s} ft"], "to": [f"{e} ft", f"{n} ft"]}
        for name, (w, s, e, n) in dict(zones).items()
    ]
    shop["machines"] += tools
    shop["use"] = {
        "days": [{"id": "usual", "people": people}],
        "followers": list(followers),
        "never_together": list(never_together),
    }
    reading = Reading(Plan.model_validate(data), Shop.model_validate(shop))
    return [(finding.where, finding.says) for finding in portable_tools.check(reading)]


@pytest.mark.parametrize(("amps", "places"), [(16, True), (17, False)])
def test_one_tool_may_take_four_fifths_of_a_shared_circuit(amps, places):
    """80 % of 20 A is 16 A (210.21(B)(2)); 16 A beside the charger's 3 A is 19 A."""
    assert (found(tool("heater", amps)) == []) == places


def test_the_other_person_stands_at_the_heaviest_machine():
    """Charger 3 A, drill press 8 A: 9 A are left for two people, 17 A for one."""
    assert found(tool("sander", 10), people=1) == []
    assert found(tool("sander", 9), people=2) == []
    [(where, says)] = found(tool("sander", 10), people=2)
    assert where == "sander"
    assert "battery charger + drill press" in says


def test_a_machine_that_follows_a_tool_runs_with_it():
    """The drill press is made to follow the sander: 10 + 8 + 3 = 21 A, with one person."""
    follows = {"machine": "drill-press", "follows": ["sander"]}
    [(where, says)] = found(tool("sander", 10), followers=[follows])
    assert where == "sander"
    assert "drill press" in says
    assert found(tool("sander", 9), followers=[follows]) == []


def test_a_tool_that_needs_nobody_runs_beside_the_people():
    """A fan left running: 10 A, drill press 8 A, charger 3 A make 21 A with one person."""
    fan = tool("fan", 10, set_and_leave="yes")
    [(where, says)] = found(fan, people=1)
    assert where == "fan"
    assert "drill press" in says


def test_tools_that_never_run_together_are_not_added_up():
    """Two tools of 9 A and the charger make 21 A for two people, unless they never meet."""
    pair = tool("sander", 9), tool("router", 9)
    assert [where for where, _ in found(*pair, people=2)] == ["router + sander"]
    apart = {"machines": ["router", "sander"]}
    assert found(*pair, people=2, never_together=[apart]) == []


def test_a_machine_that_a_group_holds_back_does_not_run_beside_the_tool():
    """Drill press and sander never meet: 10 + 3 = 13 A is all there can be."""
    apart = {"machines": ["drill-press", "sander"]}
    assert found(tool("sander", 10), people=2, never_together=[apart]) == []


def test_a_tool_that_follows_is_not_on_by_itself():
    """A vacuum of 16 A follows the drill press: 16 + 8 + 3 = 27 A, only while that runs."""
    follows = {"machine": "vacuum", "follows": ["drill-press"]}
    [(where, says)] = found(tool("vacuum", 16), followers=[follows])
    assert where == "vacuum"
    assert "drill press" in says


def test_a_plug_that_fits_nothing_finds_no_place():
    assert [where for where, _ in found(tool("welder", 12, plug="L5-30P"))] == ["welder"]


ENDS = {"near": (0, 6, 6, 8), "far": (8, 0, 10, 2)}


@pytest.mark.parametrize(("over", "cord", "reached"), [
    ("near", 6, True), ("far", 6, False), ("far", 9, True), (["far", "near"], 6, True),
])  # fmt: skip
def test_a_tool_used_over_a_zone_finds_a_receptacle_in_reach_of_it(over, cord, reached):
    """N1 is at [3, 8, 4]; the far zone's nearest spot [8, 2, 3]: 5² + 5.75² + 1² = 59 = 7.7² ft.

    A receptacle's room begins 0.25 ft off its wall, which decides the spot, not the distance.
    """
    sander = tool("sander", 5, over=over, cord=f"{cord} ft")
    assert (found(sander, zones=ENDS) == []) == reached


@pytest.mark.parametrize(
    ("people", "beside"), [({"near": 2}, True), ({"near": 1, "far": 1}, False)]
)
def test_people_who_keep_to_a_place(people, beside):
    """The drill press stands at [3, 6] in the near zone, the sander is used there too."""
    sander = tool("sander", 10, over="near")
    assert bool(found(sander, people=people, zones=ENDS)) == beside
