"""What groups of machines ask of their runs: how often a circuit comes into a set of boxes.

By hand, for a conductor of 12 AWG: 1.98 ohm per 1,000 ft (NEC chapter 9 Table 8, stranded), so of
120 V at 3 % it may lose 3.6 V, which is 909 A times ft one way.
"""

from types import SimpleNamespace
from typing import Any

import pytest

from solver.bound.deals import Deals
from solver.bound.dealt import Dealt, Group

NEAR = {"P": 0.0, "J": 30.0, "A": 55.0, "B": 60.0}


@pytest.fixture
def dealt():
    """Three boxes in a row of ways: a junction box, and two beyond it; nothing is dealt."""
    code = SimpleNamespace(voltage_drop_percent=3.0)
    circuits = SimpleNamespace(shop=SimpleNamespace(code=code))
    deals = Deals([], lambda group: True)
    part: Any = SimpleNamespace(deals=deals, circuits=circuits, sizes=("12", "10"), volts=120)
    return Dealt(part, NEAR)


def group(**drawn):
    """Machines at boxes of their own names, all running. [A]"""
    boxes = {name: frozenset([name]) for name in drawn}
    return Group(frozenset(range(len(drawn))), boxes, drawn)


def entering(dealt, one, awg, boxes):
    """How often a group comes into a set of boxes, the nearest of which is the first of it."""
    return dealt.entering(one, awg, boxes, dealt.first_ft(boxes))


def test_one_machine_comes_in_once(dealt):
    assert entering(dealt, group(A=15.0), "12", frozenset("A")) == 1
    assert entering(dealt, group(A=15.0), "12", frozenset("B")) == 0


@pytest.mark.parametrize(
    ("boxes", "runs"),
    [
        (frozenset("AB"), 2),  # (10 + 8) A as far as 55 ft is 990: more than 909
        (frozenset("ABJ"), 1),  # as far as 30 ft, 10 A 25 ft on: 540 + 250
        (frozenset("A"), 1),  # only one of them is in there
    ],
)
def test_two_that_lose_too_much_together_come_in_twice(dealt, boxes, runs):
    assert entering(dealt, group(A=10.0, B=8.0), "12", boxes) == runs


def test_on_the_largest_conductor_any_number_comes_in_once(dealt):
    """It stands for all larger ones too."""
    assert entering(dealt, group(A=10.0, B=8.0), "10", frozenset("AB")) == 1


def test_what_does_not_run_then_does_not_count(dealt):
    idle = group(A=10.0, B=8.0)._replace(running={"A": 10.0})
    assert entering(dealt, idle, "12", frozenset("AB")) == 1


def test_a_machine_too_far_for_a_conductor_is_not_on_it(dealt):
    assert dealt.may_be(group(B=15.0), "12")  # 900
    assert not dealt.may_be(group(B=15.5), "12")  # 930
    assert dealt.may_be(group(B=15.5), "10")
