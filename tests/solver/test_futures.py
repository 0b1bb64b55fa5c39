"""Futures: as the checks find them once they have come, and what a machine to come adds by hand."""

from itertools import combinations
from pathlib import Path

import pytest

from models.plan_file import read_plan
from models.rules.load_calculation import calculated_amps
from models.rules.reading import Reading
from models.shop import Shop
from models.shop_edit import changed
from solver.changing_over import changed_over
from solver.futures import Futures

PLANS = Path(__file__).resolve().parents[1] / "plans"
HEATER = {
    "id": "new", "volts": "240 V", "marked": "24 A", "continuous": True, "set_and_leave": True,
    "hard_wired_at": "N2", "likelihood": "25 %", "within": "2 years",
}  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    """M1 may change with 60 %, M2 too; all boxes are reached by raceways in masonry."""
    return read_plan(PLANS / "two_changeovers")


def with_later(plan, *changes):
    """The plan of a shop that says something else of what may come."""
    shop = changed(Shop.model_validate(plan.source.shop), changes)
    source = plan.source.model_copy(update={"shop": shop.canonical()})
    return plan.model_copy(update={"source": source})


def only(future, kind):
    (strain,) = future.of(kind)
    return strain


def test_each_future_is_what_the_checks_find_when_it_has_come(plan):
    """Calculation, legs and spaces of the plan after these changeovers, by the rules."""
    found = {future.comes: future for future in Futures(plan).all()}
    machines = [draft.machine for draft in plan.changeovers]
    assert set(found) == {c for n in range(3) for c in combinations(machines, n)}
    for comes, future in found.items():
        then = plan
        for machine in comes:
            then = changed_over(then, machine)
        reading = Reading(then, Shop.model_validate(then.source.shop))
        assert only(future, "calculation").found == calculated_amps(reading, "P")
        heavier = max(max(row.a_amps, row.b_amps) for row in then.legs)
        assert only(future, "leg").found == pytest.approx(heavier, abs=0.06)


def test_likelihoods_are_those_of_independent_things(plan):
    chances = {one.id: one.likelihood for one in Futures(plan).coming}
    found = {future.comes: future.likelihood for future in Futures(plan).all()}
    assert sum(found.values()) == pytest.approx(1)
    assert found["M1",] == pytest.approx(chances["M1"] * (1 - chances["M2"]))


def test_a_machine_to_come_adds_its_load_two_spaces_and_its_conductors(plan):
    """24 A for hours are 30 A by 215.2; two hots and a ground of 10 AWG THHN, 3 x 0.0211 in²."""
    later = Futures(with_later(plan, ("later.machines[new]", HEATER)))
    found = {future.comes: future for future in later.all()}
    today, then = found[()], found["new",]
    more = only(then, "calculation").found - only(today, "calculation").found
    assert more in (30, 31)  # of a whole ampere each
    assert only(then, "spaces").found == only(today, "spaces").found + 2
    assert only(then, "leg").found == pytest.approx(only(today, "leg").found + 24, abs=0.11)
    (raceway,) = then.of("raceway")
    inside = next(r for r in plan.raceways if r.id == raceway.where)
    wires = [wire.awg for c in inside.ledgers[0].contents for wire in c.conductors]
    areas = {"12": 0.0133, "14": 0.0097, "10": 0.0211}  # chapter 9 Table 5
    assert raceway.found == pytest.approx(sum(areas[awg] for awg in wires) + 3 * 0.0211, abs=2e-4)
    assert raceway.limit == pytest.approx(0.4 * 0.864, abs=1e-3)  # 1 EMT, Table 4


def test_walls_that_may_be_opened_need_no_raceway(plan):
    """Where a cable can go none is asked for; in masonry none can."""
    opened = Futures(with_later(plan, ("later.machines[new]", HEATER)))
    assert all(f.of("raceway") for f in opened.all() if "new" in f.comes)
    garage = read_plan(PLANS / "one_bay_garage")
    heater = {**HEATER, "hard_wired_at": "T1"}
    later = Futures(with_later(garage, ("later.machines[new]", heater)))
    assert not any(f.of("raceway") for f in later.all())


def test_what_is_too_much_gives_way(plan):
    heater = {**HEATER, "marked": "90 A"}
    found = {f.comes: f for f in Futures(with_later(plan, ("later.machines[new]", heater))).all()}
    assert found[()].holds
    assert not found["new",].holds
    assert found["new",].first.kind == "calculation"


def test_spaces_for_two_poles_must_be_neighbours(plan):
    """Six heaters want twelve spaces of the twelve there are."""
    heaters = [(f"later.machines[h{n}]", {**HEATER, "id": f"h{n}", "marked": "1 A"})
               for n in range(4)]  # fmt: skip
    found = Futures(with_later(plan, ("later.changeovers", None), *heaters)).all()
    assert not found[-1].holds
    assert only(found[-1], "spaces").share > 1


def test_of_many_the_likeliest_are_combined(plan):
    chances = [90, 80, 70, 60, 50, 40, 30, 20]
    heaters = [
        (f"later.machines[h{n}]", {**HEATER, "id": f"h{n}", "likelihood": f"{share} %"})
        for n, share in enumerate(chances)
    ]
    later = Futures(with_later(plan, ("later.changeovers", None), *heaters))
    assert {one.id for one in later.coming} == {f"h{n}" for n in range(6)}
    assert (later.left_out, len(later.all())) == (2, 64)
