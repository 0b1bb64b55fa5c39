"""Items that are no circuit alone, and are one with another box as the place where runs branch.

Two receptacles that are pinned together, on opposite walls: one after the other the second is too
far for the wished voltage drop. By way of a third box between panel and both, each is near enough.
"""

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from solver.plan import plan_shop
from solver.solve import Control

CORNERS = {"south": (0, 0), "east": (12, 0), "north": (12, 10), "west": (0, 10)}
HUB = {"id": "H", "wall": "north", "x": "1 ft", "height": "44 in", "yokes": ["duplex 5-20R"]}
FAR = [
    {"id": "S", "wall": "south", "x": "3 ft", "height": "44 in", "yokes": ["duplex 5-20R"]},
    {"id": "N", "wall": "north", "x": "8 ft", "height": "7 ft", "yokes": ["duplex 5-20R"]},
]
LIMIT_PERCENT = 0.6


def shed(*boxes):
    panel = {
        "id": "P", "wall": "west", "y": "5 ft", "height": "5 ft", "bus": "100 A", "spaces": 6,
        "terminals": "60 C",
        "feeder": {"from": "house", "breaker": "60 A", "length": "30 ft",
                   "conductors": {"hot": "6", "neutral": "6", "ground": "10"}},
    }  # fmt: skip
    return Shop.model_validate(
        {
            "format": "branchwright-shop/1",
            "name": "Two far receptacles",
            "building": {
                "kind": "shop",
                "dwelling": False,
                "walls": [
                    {"id": wall, "from": [f"{x} ft", f"{y} ft"]} for wall, (x, y) in CORNERS.items()
                ],
                "ceiling": "8 ft",
                "ceiling_runs": "joists",
                "ambient": {"room": "30 C", "attic": "40 C"},
            },
            "supply": {"panels": [panel]},
            "boxes": list(boxes),
            "use": {"days": [{"id": "usual", "people": 1}]},
            "pins": {"together": [["N", "S"]]},
            "code": {"edition": 2023, "voltage_drop_percent": LIMIT_PERCENT},
        }
    )


def planned(*boxes):
    return plan_shop(shed(*boxes), PriceBook.read(), Control(effort=2), explain=False)


def test_alone_they_are_too_far():
    outcome = planned(*FAR)
    assert outcome.plan is None
    assert [cause.reason for cause in outcome.causes] == ["voltage drop"]


def test_a_box_between_makes_them_a_circuit():
    """12 A over the longer branch in 10 AWG, 1.24 ohm per 1000 ft (chapter 9 Table 8, stranded)."""
    outcome = planned(*FAR, HUB)
    assert outcome.plan is not None, [cause.says for cause in outcome.causes]
    (circuit,) = outcome.plan.circuits
    assert [f.says for f in outcome.plan.findings if f.severity == "violation"] == []
    assert {(run.start, run.end) for run in circuit.runs} == {("P", "H"), ("H", "N"), ("H", "S")}
    feet = {run.end: run.length_ft for run in circuit.runs}
    assert circuit.conductor.awg == "10"
    lost = [2 * 12 * 1.24 * (feet["H"] + feet[end]) / 1000 / 120 for end in "NS"]
    assert circuit.voltage_drop_percent == pytest.approx(100 * max(lost), abs=0.005)
    assert 100 * max(lost) <= LIMIT_PERCENT
