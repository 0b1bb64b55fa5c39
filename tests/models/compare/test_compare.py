"""Plans side by side: margins as worked out on paper, sums that add up, what moved, copper."""

import pytest

from models.compare import Named, compared
from tests.plan_files import plan_on_file


@pytest.fixture(scope="module")
def garage():
    return plan_on_file("one_bay_garage")


@pytest.fixture(scope="module")
def two():
    """Two plans of different shops."""
    return [Named(name, None, plan_on_file(name)) for name in ("four_box", "one_bay_garage")]


def beside(one, other):
    return compared([Named("one", None, one), Named("other", None, other)])


def renamed(plan, names):
    """A plan whose circuits have other ids."""

    def new(name):
        return names.get(name, name)

    return plan.model_copy(
        update={
            "circuits": tuple(
                c.model_copy(update={"id": new(c.id)}) for c in plan.circuits
            ),
            "outlets": tuple(
                o.model_copy(update={"circuit": new(o.circuit)}) for o in plan.outlets
            ),
        }
    )  # fmt: skip


def test_margins_as_on_paper():
    """By tests/plans/four_box/by_hand.md: 12 of 20 A, 0.475 V of 120 V, 14 of 21 in³, 15 A."""
    plan = plan_on_file("four_box")
    found = {m.kind: m for m in compared([Named("x", None, plan)]).plans[0].margins}
    assert (found["load"].where, found["load"].found, found["load"].limit) == ("C3", 12.0, 20.0)
    assert (found["drop"].where, found["drop"].found) == ("C2", pytest.approx(0.396, abs=0.001))
    assert (found["box"].where, found["box"].found, found["box"].limit) == ("S1", 14.0, 21.0)
    assert (found["leg"].where, found["leg"].found, found["leg"].limit) == ("P", 15.0, 40.0)
    assert "raceway" not in found


def test_takeoff_lines_add_up_to_the_difference(two):
    found = compared(two)
    costs = [sum(line.costs_usd[n] for line in found.takeoff) for n in (0, 1)]
    (against,) = found.against_first
    assert costs[1] - costs[0] == pytest.approx(against.more_usd, abs=0.011)
    assert all(len(set(line.quantities)) > 1 for line in found.takeoff)


def test_a_plan_against_itself(garage):
    found = beside(garage, garage)
    (against,) = found.against_first
    assert (found.takeoff, against.shop, against.more_usd) == ((), (), 0.0)
    moves = against.moves
    assert (moves.moved, moves.seats, moves.built_otherwise, moves.same_circuits) == (
        (),
        (),
        (),
        {},
    )
    assert found.copper[0].turns == "same copper"


def test_other_ids_are_no_moves(garage):
    """C1 and C4 under each other's id: the same circuits, and nothing moved."""
    (against,) = beside(garage, renamed(garage, {"C1": "C4", "C4": "C1"})).against_first
    assert against.moves.same_circuits == {"C1": "C4", "C4": "C1"}
    assert against.moves.moved == ()


def test_a_yoke_on_another_circuit_has_moved(garage):
    """W1 is on C4 with O1 and W2.left; C7 has others."""
    outlets = tuple(
        o.model_copy(update={"circuit": "C7"}) if o.yoke == "W1" else o for o in garage.outlets
    )
    (against,) = beside(garage, garage.model_copy(update={"outlets": outlets})).against_first
    (moved,) = against.moves.moved
    assert (moved.things, moved.before, moved.after, moved.after_was) == (("W1",), "C4", "C7", "C7")


def test_another_breaker_and_another_seat(garage):
    circuits = tuple(
        c.model_copy(update={"breaker": c.breaker.model_copy(update={"amps": 15.0})})
        if c.id == "C4" else c
        for c in garage.circuits
    )  # fmt: skip
    was = next(m for m in garage.machines if m.outlet)
    machines = tuple(
        m.model_copy(update={"outlet": "S9.top"}) if m.id == was.id else m for m in garage.machines
    )
    other = garage.model_copy(update={"circuits": circuits, "machines": machines})
    (against,) = beside(garage, other).against_first
    assert against.moves.built_otherwise == ("C4: a 15 A breaker for a 20 A breaker",)
    assert [(s.machine, s.before, s.after) for s in against.moves.seats] == [
        (was.id, was.outlet, "S9.top")
    ]


# Copper


def priced(plan, usd, pounds):
    totals = plan.totals.model_copy(update={"material_cost_usd": usd, "copper_lb": pounds})
    return plan.model_copy(update={"totals": totals})


def test_at_the_turn_both_cost_the_same(garage):
    """100 USD with 20 lb, 90 USD with 25 lb: 2 USD more for each pound makes both 140 USD."""
    (turn,) = beside(priced(garage, 100.0, 20.0), priced(garage, 90.0, 25.0)).copper
    assert (turn.turns, turn.change_usd_per_lb) == ("at this change", 2.0)
    assert 100 + 2 * 20 == 90 + 2 * 25
    assert turn.dearer_with_more == "B"


def test_a_plan_that_is_dearer_and_has_more_copper_never_turns(garage):
    """14 AWG THHN of 0.19 USD/ft has 0.0124 lb/ft: copper is 16 USD/lb there at the very most."""
    (turn,) = beside(priced(garage, 200.0, 25.0), priced(garage, 90.0, 24.0)).copper
    assert turn.turns == "at no price of copper"
    assert turn.change_usd_per_lb == -110.0


# How sure the order is


@pytest.mark.parametrize(
    ("bound", "settled"), [(None, None), (99.0, False), (100.0, True), (110.0, True)]
)
def test_bounds_say_whether_the_order_may_turn(garage, bound, settled):
    def worth(value, below):
        goal = garage.objective.model_copy(update={"value": value, "lower_bound": below})
        return garage.model_copy(update={"objective": goal})

    (against,) = beside(worth(100.0, 50.0), worth(120.0, bound)).against_first
    assert against.settled is settled


def test_days_to_come_hold_machines_that_may_come():
    """As the objective counts them: at their likelihood, at 3 % a year for two years."""
    plan = plan_on_file("machines_to_come")
    (one,) = compared([Named("A", None, plan)]).plans
    days = {day.machine: day for day in one.days_to_come}
    assert days.keys() == {"h", "k"}
    assert days["h"].share == pytest.approx(0.9 / 1.03**2, abs=1e-6)
    assert days["h"].now_usd > days["k"].now_usd == 0
    assert one.days_to_come_usd == pytest.approx(plan.objective.expected_later, abs=0.011)
