"""A first whole plan while better ones are looked for, and choices that a check refused."""

from itertools import product
from pathlib import Path

import pytest

from models.price_book import PriceBook
from models.rules.portable_tools import TOOLS
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.pool import make_pool
from solver.progress import Event
from solver.refusal import Refusal
from solver.selection import Selection
from solver.solve import Control
from solver.tool_cut import seen_by_tools

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"


@pytest.fixture
def large(make_shop):
    return make_shop(3, boxes=20)


def test_a_first_plan_is_told_and_the_last_costs_no_more(large):
    told: list[Event] = []
    plan = plan_shop(large, PriceBook.read(), Control(effort=1, listen=told.append)).plan
    (first,) = (event for event in told if event.doing.startswith("a first plan"))
    assert first.best is not None
    cost = first.best.value
    assert plan is not None
    assert plan.objective.value <= cost


def test_a_stop_right_after_the_first_plan_keeps_it_and_says_so(large):
    control = Control(effort=1000)

    def stopping(event):
        if event.doing.startswith("a first plan"):
            control.stop()

    control.listen = stopping
    plan = plan_shop(large, PriceBook.read(), control).plan
    assert plan is not None
    assert (plan.made_by.status, plan.made_by.repeatable) == ("stopped", False)


def test_a_refused_choice_is_not_made_again_as_far_as_it_was_seen(make_shop, make_circuits):
    circuits = make_circuits(make_shop(1))
    pool = make_pool(circuits, Control(effort=1))
    selection = Selection(circuits.shop, circuits.ways, circuits.catalogue, pool.candidates)

    def with_the_first(made):
        return made.items if 0 in made.items else None

    best = selection.solve(Control(effort=1))
    assert best is not None
    selection.forbid(best.candidates, with_the_first)
    other = selection.solve(Control(effort=1))
    assert other is not None
    (before,), (after,) = (
        [one.items for one in found.candidates if 0 in one.items] for found in (best, other)
    )
    assert before != after
    assert other.value >= best.value


def test_tools_see_circuits_in_their_reach_by_machines_and_breaker(make_circuits):
    """Two more circuits are told apart by nothing that is out of reach and draws nothing."""
    shop = read_shop(SCENARIOS / "heron_slip_built.yaml")
    circuits = make_circuits(shop)
    bad = TOOLS.finding("tool-12 + vacuum", "no place", edition=2023)
    seen = seen_by_tools(shop, [bad])
    alone = {
        number: made[0]
        for number in range(len(circuits.points.items))
        if not isinstance(made := circuits.candidates(frozenset([number])), Refusal)
    }
    near = {number for number, made in alone.items() if seen(made) is not None}
    assert near
    assert alone.keys() - near
    same = other = 0
    for one, two in product(sorted(near)[::6], sorted(alone.keys() - near)):
        both = circuits.candidates(frozenset([one, two]))
        if isinstance(both, Refusal) or both[0].breaker_amps != alone[one].breaker_amps:
            continue
        draws = bool(alone[two].load.placed or alone[two].load.lights_amps)
        same += not draws
        other += draws
        assert (seen(both[0]) == seen(alone[one])) is not draws
    assert same
    assert other
