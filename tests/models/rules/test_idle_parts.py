"""Parts of a shop that no circuit uses: a switch without lights, a raceway with nothing in it."""

import json

import pytest

from models.plan import Plan
from models.rules import coverage, raceway_fill
from models.rules.reading import Reading
from models.shop import Shop
from tests.plan_files import plan_data

PLAN = plan_data("four_box")


def reading(edit):
    """The plan made on paper after an edit of its plain data."""
    data = json.loads(json.dumps(PLAN))
    edit(data)
    return Reading(Plan.model_validate(data), Shop.model_validate(data["source"]["shop"]))


def test_a_switch_without_lights_need_not_be_listed():
    def remove_what_it_switches(data):
        shop_box = next(b for b in data["source"]["shop"]["boxes"] if b["id"] == "L1")
        del shop_box["switched_by"]
        data["outlets"] = [o | {"switched_by": None} for o in data["outlets"]]
        data["switches"] = []

    assert list(coverage.check(reading(remove_what_it_switches))) == []


def test_a_switch_with_lights_must_be_listed():
    says = [f.says for f in coverage.check(reading(lambda data: data["switches"].clear()))]
    assert "switch S1 is not both in the shop and in the plan" in says


def empty_raceway(data, count):
    """EMT 1/2 from panel to N1 with nothing in it, and room said to be left for 6 AWG."""
    data["source"]["shop"]["routes"] = {
        "raceways": [{"id": "R1", "kind": "EMT", "trade_size": "1/2", "ends": ["P", "N1"]}]
    }
    run = next(r for c in data["circuits"] for r in c["runs"] if r["id"] == "C2.1")
    ledger = {
        "contents": [], "fill_percent": 0.0, "limit_percent": 40.0, "current_carrying": 0,
        "adjustment": 1.0,
        "room_left": [
            {"awg": awg, "count": n}
            for awg, n in {"14": 12, "12": 9, "10": 5, "8": 3, "6": count}.items()
        ],
    }  # fmt: skip
    data["raceways"] = [
        {
            "id": "R1", "kind": "EMT", "trade_size": "1/2", "start": "P", "end": "N1",
            "path": run["path"], "length_ft": run["length_ft"], "life": "new",
            "ledgers": [ledger],
        }
    ]  # fmt: skip


@pytest.mark.parametrize(("count", "right"), [(1, True), (2, False), (3, False)])
def test_room_in_an_empty_raceway_goes_by_the_limit_for_that_count(count, right):
    """EMT 1/2 has 0.304 in², a 6 AWG THHN 0.0507 in² (chapter 9 Tables 4 and 5; C.1 for the rest).

    One takes 17 % of 53 %; two take 33 % of 31 %; three take 50 % of 40 %.
    """
    found = list(raceway_fill.check(reading(lambda data: empty_raceway(data, count))))
    assert (found == []) == right
