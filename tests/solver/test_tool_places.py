"""Circuits among which portable tools find a place, held against the rule that looks for them."""

import pytest

from models.plan import Finding
from models.reach import receptacles_in_reach
from models.shop_file import read_shop
from solver.choosing import choose
from solver.points import Points
from solver.solve import Control
from solver.tool_places import pool_with_places, without_place
from tests.demo_shops import SCENARIOS
from tests.plan_files import plan_on_file
from tests.violations import violations


def finding(rule, where):
    common = {"edition": 2023, "basis": "code", "source": "NEC 210.23", "says": "x"}
    return Finding(key=where, rule=rule, severity="violation", where=where, **common)


@pytest.mark.parametrize(
    ("wrong", "tools"),
    [
        ([], set()),
        ([("portable-tools", "vacuum + drill")], {"vacuum", "drill"}),
        ([("portable-tools", "vacuum"), ("portable-tools", "drill")], {"vacuum", "drill"}),
        ([("portable-tools", "vacuum"), ("box-fill", "N1")], set()),
    ],
)
def test_tools_without_a_place_where_nothing_else_is_wrong(request, wrong, tools):
    plan = plan_on_file("four_box")
    findings = tuple(finding(*one) for one in wrong)
    assert without_place(plan.model_copy(update={"findings": findings})) == tools


def test_circuits_that_hold_the_tools_make_a_plan_that_the_rule_finds_nothing_wrong_with(
    make_circuits,
):
    """The heaviest case, Heron Slip with everything prepared for, is among the long tests."""
    shop = read_shop(SCENARIOS / "two_person_instrument_shop.yaml")
    circuits, control = make_circuits(shop), Control(1)
    tools = {machine.id for machine in shop.machines if machine.portable}
    pool = pool_with_places(circuits, tools, control)
    assert pool is not None
    assert control.older is None
    plan, _ = choose(circuits, pool, control)
    assert plan is not None
    assert violations(plan.findings) == []
    assert tools <= {machine.id for machine in plan.machines if machine.portable}


def test_tools_that_are_held_are_machines_with_a_receptacle_in_their_reach():
    shop = read_shop(SCENARIOS / "two_person_instrument_shop.yaml")
    plain, held = Points(shop), Points(shop, held={"trim-router"})
    (more,) = {p.id for p in held.points} - {p.id for p in plain.points}
    assert more == "machine trim-router"
    (router,) = (m for m in shop.machines if m.id == "trim-router")
    reached = {fitting.yoke_id for fitting in receptacles_in_reach(shop, router)}
    (point,) = (p for p in held.points if p.id == more)
    assert set(point.options) <= reached
    assert len(point.options) > 1
