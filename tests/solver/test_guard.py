"""The guard of the clock: time is kept for the last steps, a bound that is late is waited for."""

import pytest

from benchmarks.halls import hall
from models.price_book import PriceBook
from solver.candidate import MONEY
from solver.plan import plan_shop
from solver.solve import STARTING_SECONDS, WRITING_TO_CHECKING, Control
from solver.sparse import is_large


@pytest.fixture
def clock(monkeypatch):
    """A clock that only the test moves on. [s]"""
    now = [100.0]
    monkeypatch.setattr("solver.solve.monotonic", lambda: now[0])
    return now


def test_time_is_kept_for_the_last_steps_and_for_writing(clock):
    control = Control(seconds=60, began=100.0)
    clock[0] += 10
    control.checked(began=7.0)  # seconds since it began: 3 s to check
    assert control.writing == STARTING_SECONDS + 3 * WRITING_TO_CHECKING
    control.ending = 20.0
    clock[0] = 100 + 60 - 20 - control.writing - 0.1
    assert not control.over()
    clock[0] += 0.2
    assert control.over()
    assert control.cut_short


def test_a_control_without_a_guard_is_never_over(clock):
    control = Control()
    clock[0] += 10**6
    assert not control.over()


class Stopwatch:
    """A guard that is up as soon as a first plan is made."""

    def __init__(self, seconds):
        self.control = Control(effort=1, seconds=seconds, listen=self.listen)
        self.doing = []

    def listen(self, event):
        self.doing.append(event.doing)
        if event.doing.startswith("a first plan"):
            self.control.ending = 300.0  # enough for the bound, on any machine
            self.control.began -= self.control.left() + 1  # so much later it is


def test_a_large_shop_whose_time_is_up_is_not_planned_twice_and_has_its_bound(monkeypatch):
    """From a first plan on there is no time to search, and some of what was kept to wait for it."""
    monkeypatch.setattr("solver.sparse.MOST_BOXES", 60)
    shop = hall(1, 60)
    assert is_large(shop)
    watch = Stopwatch(600.0)
    plan = plan_shop(shop, PriceBook.read(), watch.control).plan
    assert plan is not None
    assert plan.made_by.status == "stopped"
    assert sum(doing.startswith("placing") for doing in watch.doing) == 1
    assert plan.objective.lower_bound is not None
    assert plan.objective.gap is not None
    assert 0 < plan.objective.lower_bound <= plan.objective.value
    shown = watch.control.known.certificate
    assert shown is not None
    assert plan.objective.lower_bound == round(shown.bound / MONEY, 2)
