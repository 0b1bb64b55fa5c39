"""Progress: one stream of events, which knows what is known and never tells of what is not."""

import pytest

from models.price_book import PriceBook
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.progress import Best, Event, Known
from solver.solve import Control
from tests.demo_shops import SCENARIOS


def events_of(name, *changes):
    """All that is told while a shop is planned, and its plan."""
    events: list[Event] = []
    control = Control(effort=1, listen=events.append)
    shop = changed(read_shop(SCENARIOS / f"{name}.yaml"), list(changes))
    outcome = plan_shop(shop, PriceBook.read(), control)
    control.tell("finished")
    assert outcome.plan is not None
    return events, outcome.plan


@pytest.fixture(scope="module")
def searched():
    return events_of("two_person_instrument_shop")


def test_time_goes_on_and_the_best_gets_no_worse(searched):
    events, plan = searched
    assert [e.seconds for e in events] == sorted(e.seconds for e in events)
    values = [event.best.value for event in events if event.best is not None]
    assert events[0].best is None
    assert values == sorted(values, reverse=True)
    assert len(set(values)) > 1
    assert values[-1] == plan.objective.value
    assert {event.unit for event in events} == {plan.objective.unit}


def test_an_estimate_is_below_the_best_and_near_what_comes_of_it(searched):
    """It is told before a plan is made of it, within 1 % of that plan, and then no more."""
    events, plan = searched
    told = [event for event in events if event.estimate is not None]
    assert told
    for event in told:
        assert event.best is not None
        assert event.estimate < event.best.value
        assert event.estimate == pytest.approx(plan.objective.value, rel=0.01)
    assert events[-1].estimate is None


def test_a_gap_is_told_only_against_a_bound(searched):
    for event in searched[0]:
        assert (event.gap is None) == (event.bound is None or event.best is None)
    events, plan = events_of("one_bay_garage")
    last = events[-1]
    assert last.bound == plan.objective.lower_bound
    assert last.gap == pytest.approx(plan.objective.gap, abs=1e-4)
    assert last.gap == pytest.approx((last.best.value - last.bound) / last.best.value, abs=1e-6)


def test_copper_is_told_in_pounds():
    events, plan = events_of("one_bay_garage", ("prices.minimize", "copper"))
    assert {event.unit for event in events} == {plan.objective.unit} == {"lb"}
    assert events[-1].best.value == plan.objective.value
    assert events[-1].bound == plan.objective.lower_bound


def test_fewer_violations_are_better_than_a_lower_value():
    known = Known()
    known.bounded(800_000)
    known.met(90.0, violations=2)
    event = known.event("", 0.0)
    assert event.best == Best(90.0, violations=2)
    assert event.gap is None
    known.met(100.0, violations=0)
    assert known.event("", 0.0).gap == 0.2
    known.met(95.0, violations=1)
    known.met(100.5, violations=0)
    assert known.event("", 0.0).best == Best(100.0, violations=0)


def test_what_a_trial_finds_is_not_told_as_of_this_shop():
    """A changed shop is planned quietly: no event, no best, no bound of it comes out."""
    events: list[Event] = []
    control = Control(listen=events.append, gap=0.5)
    control.known.met(100.0, violations=0)
    with control.quietly(effort=1) as quiet:
        quiet.known.met(1.0, violations=0)
        quiet.known.bounded(10_000)
        quiet.tell("of another shop")
        assert not quiet.close_enough(10_000)
    assert events == []
    control.tell("of this shop")
    assert events[0].best == Best(100.0, violations=0)
    assert events[0].bound is None
