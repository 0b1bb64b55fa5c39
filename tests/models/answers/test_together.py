"""What runs together on a breaker, on plans made on paper; sums made by hand.

Four boxes: circuit C2 (20 A) has the only 120 V receptacles, two of them, with a charger of 3 A
that is always on and a drill press of 8 A.
"""

from itertools import chain, combinations

import pytest

from models.answers.together import Meeting, SharedBreaker, Together
from models.price_book import PriceBook
from models.rules.reading import Reading
from models.shop import Shop
from solver.plan import plan_shop
from solver.solve import Control
from tests.models.answers.test_binding import reading
from tests.models.rules.four_box import tool
from tests.plan_files import plan_on_file
from tests.solver.pair_shops import hand_shop

PLANS = ("four_box", "one_bay_garage", "every_section", "taken_apart", "two_changeovers")


def of(read: Reading, circuit: str) -> SharedBreaker:
    return next(one for one in Together(read).breakers() if circuit in one.circuits)


def pair(shared: SharedBreaker, *names: str) -> Meeting:
    return next(one for one in shared.meetings if set(one.machines) == set(names))


def test_what_is_always_on_counts_with_every_pair():
    """Charger 3 A always on; drill press 8 + sander 13 + 3 = 24 A of 20 A."""
    shared = of(reading(tool("sander", 13), people=2), "C2")
    alone = {member.machine: member.alone.amps for member in shared.members}
    assert alone == {"charger": 3.0, "drill-press": 11.0, "sander": 16.0}
    assert {m.machine: m.with_it for m in shared.members} == {
        "charger": (), "drill-press": ("charger",), "sander": ("charger",),
    }  # fmt: skip
    meeting = pair(shared, "drill-press", "sander")
    assert (meeting.loads[0].amps, meeting.loads[0].limit_amps, meeting.fits) == (24.0, 20.0, False)
    assert meeting.day == "usual"
    assert pair(shared, "charger", "sander").fits


def test_two_receptacles_hold_no_three_plugs():
    """With a third tool in hand there is no third place, so no third is too much."""
    shared = of(reading(tool("sander", 1), tool("heater", 19), people=3), "C2")
    assert pair(shared, "charger", "sander").third == ()


@pytest.mark.parametrize(
    ("use", "apart"),
    [
        ({"people": 1}, "people"),
        ({"people": 2, "never_together": [{"machines": ["sander", "drill-press"]}]}, "promise"),
        (
            {
                "people": 2,
                "never_together": [
                    {"machines": ["sander", "drill-press"], "by": "interlock", "device": "relay"}
                ],
            },
            "interlock",
        ),
    ],
)
def test_what_keeps_two_apart_is_told_and_whether_they_would_fit(use, apart):
    meeting = pair(of(reading(tool("sander", 13), **use), "C2"), "drill-press", "sander")
    assert (meeting.day, meeting.apart, meeting.fits) == ("", apart, False)


def test_a_follower_comes_with_the_machine_that_starts_it():
    """The drill press starts with the sander: 3 + 8 + 13 = 24 A, although one is asked for."""
    followers = [{"machine": "drill-press", "follows": ["sander"]}]
    shared = of(reading(tool("sander", 13), people=1, followers=followers), "C2")
    assert next(m for m in shared.members if m.machine == "sander").alone.amps == 24.0
    meeting = pair(shared, "drill-press", "sander")
    assert (meeting.machines, meeting.brings) == (("sander", "drill-press"), True)


def test_each_half_of_a_pair_has_its_own_pole():
    """Two machines of 16 A, one on each hot of a shared neutral: each against its own 20 A."""
    shop = hand_shop(["blank"], ["blank"])
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    read = Reading(plan, shop)
    shared = of(read, "C1")
    assert shared.circuits == ("C1", "C2")
    meeting = pair(shared, "M1", "M2")
    assert [(load.circuit, load.amps) for load in meeting.loads] == [("C1", 16.0), ("C2", 16.0)]
    assert meeting.fits


@pytest.mark.parametrize("name", PLANS)
def test_days_are_those_of_every_state_counted_out(name):
    """Two run together exactly when a set of machines that is allowed, rule by rule, has both."""
    plan = plan_on_file(name)
    read = Reading(plan, Shop.model_validate(plan.source.shop))
    names = sorted(read.machines_of_shop)
    sets = chain.from_iterable(combinations(names, size) for size in range(len(names) + 1))
    states = [(s, day.id) for s in sets for day in read.days if read.allows(s, day.id)]
    assert len(names) <= 10
    for shared in Together(read).breakers():
        for meeting in shared.meetings:
            days = [day for s, day in states if set(meeting.machines) <= set(s)]
            if meeting.apart != "receptacles":
                assert (meeting.day in days) if days else meeting.day == "", meeting


def test_the_plans_own_machines_never_overload_on_a_day():
    """Plans without violations: what may be on together fits, and is no more than the worst."""
    count = 0
    for name in PLANS:
        plan = plan_on_file(name)
        read = Reading(plan, Shop.model_validate(plan.source.shop))
        portable = {machine.id for machine in read.shop.machines if machine.portable}
        for meeting in (one for shared in Together(read).breakers() for one in shared.meetings):
            if meeting.day and not portable & set(meeting.machines):
                count += 1
                assert meeting.fits
                for load in meeting.loads:
                    worst = read.circuits[load.circuit].worst
                    assert worst is not None
                    assert load.amps <= worst.amps + 1e-6
    assert count
