"""Items that are no circuit alone, and are one with another box as the place where runs branch.

Two receptacles that are pinned together, on opposite walls: one after the other the second is too
far for the wished voltage drop. By way of a third box between panel and both, each is near enough.
"""

import pytest

from models.price_book import PriceBook
from solver.plan import plan_shop
from solver.solve import Control
from tests.solver.sheds import shed
from tests.violations import violations

HUB = {"id": "H", "wall": "north", "x": "1 ft", "height": "44 in", "yokes": ["duplex 5-20R"]}
FAR = [
    {"id": "S", "wall": "south", "x": "3 ft", "height": "44 in", "yokes": ["duplex 5-20R"]},
    {"id": "N", "wall": "north", "x": "8 ft", "height": "7 ft", "yokes": ["duplex 5-20R"]},
]
LIMIT_PERCENT = 0.6


def planned(*boxes):
    shop = shed(
        12, list(boxes), terminals="60 C", pins={"together": [["N", "S"]]},
        code={"edition": 2023, "voltage_drop_percent": LIMIT_PERCENT},
    )  # fmt: skip
    return plan_shop(shop, PriceBook.read(), Control(effort=2), explain=False)


def test_alone_they_are_too_far():
    outcome = planned(*FAR)
    assert outcome.plan is None
    assert [cause.reason for cause in outcome.causes] == ["voltage drop"]


def test_a_box_between_makes_them_a_circuit():
    """12 A over the longer branch in 10 AWG, 1.24 ohm per 1000 ft (chapter 9 Table 8, stranded)."""
    outcome = planned(*FAR, HUB)
    assert outcome.plan is not None, [cause.says for cause in outcome.causes]
    (circuit,) = outcome.plan.circuits
    assert violations(outcome.plan.findings) == []
    assert {(run.start, run.end) for run in circuit.runs} == {("P", "H"), ("H", "N"), ("H", "S")}
    feet = {run.end: run.length_ft for run in circuit.runs}
    assert circuit.conductor.awg == "10"
    lost = [2 * 12 * 1.24 * (feet["H"] + feet[end]) / 1000 / 120 for end in "NS"]
    assert circuit.voltage_drop_percent == pytest.approx(100 * max(lost), abs=0.005)
    assert 100 * max(lost) <= LIMIT_PERCENT
