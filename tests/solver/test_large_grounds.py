"""A small breaker far away on 4 AWG: its ground is then 4 AWG too, and no box counts it by 314.16.

8 A over some 70 ft lose 0.46 % of 120 V in 6 AWG, 0.4 % are wished. The ground grows as the hots,
NEC 250.122(B): 14 AWG for 15 A, times 41,740 over 4,110 cmil, is 4 AWG (chapter 9 Table 8).
"""

from models.price_book import PriceBook
from solver.plan import plan_shop
from solver.solve import Control
from tests.solver.sheds import shed
from tests.violations import violations


def long_shed():
    return shed(
        70,
        [{"id": "F", "wall": "south", "x": "60 ft", "height": "5 ft", "yokes": ["blank"]}],
        terminals="75 C",
        routes={"raceways": [{"id": "R", "kind": "EMT", "trade_size": "1", "ends": ["P", "F"],
                              "laid": "surface"}]},
        machines=[{"id": "fan", "volts": "120 V", "marked": "8 A", "hard_wired_at": "F"}],
        code={"edition": 2023, "voltage_drop_percent": 0.4},
    )  # fmt: skip


def test_a_ground_of_4_awg_is_planned_and_takes_no_volume():
    outcome = plan_shop(long_shed(), PriceBook.read(), Control(effort=2), explain=False)
    assert outcome.plan is not None, [cause.says for cause in outcome.causes]
    assert violations(outcome.plan.findings) == []
    (circuit,) = outcome.plan.circuits
    assert (circuit.conductor.awg, circuit.conductor.ground_awg) == ("4", "4")
    (box,) = [box for box in outcome.plan.boxes if box.id == "F"]
    assert box.fill_in3 == 0
