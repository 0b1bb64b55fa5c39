"""Working rules: what they are read from, and which of equal states is named."""

import pytest

from models.crew import Crew
from models.shop import Day, Follower, Machine, NeverTogether, Use
from models.states import WorkingRules

DAYS = (Day(id="usual", people=3),)


def machine(name, **more):
    """A machine of 5 A that somebody attends."""
    facts = {"id": name, "volts": "120 V", "marked": "5 A", "plug": "5-15P"}
    return Machine.model_validate({**facts, "at": ["1 ft", "1 ft"], **more})


def machines(*names):
    return [machine(name) for name in names]


def group(*names, at_most=1, **more):
    return NeverTogether(machines=names, at_most=at_most, **more)


def worst(rules, loads, people=3):
    return rules.worst(loads, Crew.anywhere(people))


def test_promises_are_kept_unless_the_question_leaves_them_out():
    """A promise holds on a working day; a code calculation asks without it (design, trap 3)."""
    use = Use(days=DAYS, never_together=(group("saw", "kiln"),))
    loads = {"saw": 9.0, "kiln": 8.0}
    there = machines("saw", "kiln")
    assert worst(WorkingRules.of(there, use), loads).load == 9.0
    assert worst(WorkingRules.of(there, use, promises=False), loads).load == 17.0


def test_a_follower_written_twice_follows_all_its_leaders():
    use = Use(
        days=DAYS,
        followers=(
            Follower(machine="collector", follows=("saw",)),
            Follower(machine="collector", follows=("planer",)),
        ),
    )
    rules = WorkingRules.of(machines("saw", "planer", "collector"), use)
    for leader in ("saw", "planer"):
        assert rules.running([leader]) == {leader, "collector"}


def test_a_follower_of_a_follower_is_found_by_a_leader_without_load():
    """Only the fan loads this circuit; the saw elsewhere starts the collector, that the fan."""
    use = Use(
        days=DAYS,
        followers=(
            Follower(machine="collector", follows=("saw",)),
            Follower(machine="fan", follows=("collector",)),
        ),
    )
    rules = WorkingRules.of(machines("saw", "collector", "fan"), use)
    assert worst(rules, {"fan": 4.0}) == (("collector", "fan", "saw"), 4.0)


def test_groups_in_any_order_are_the_same_rules():
    there = machines("a", "b", "c", "d")
    pairs = (group("c", "d"), group("a", "b"))
    one, other = (
        WorkingRules.of(there, Use(days=DAYS, never_together=both)) for both in (pairs, pairs[::-1])
    )
    assert one == other
    assert len(one.groups) == 2


@pytest.mark.parametrize(("at_most", "held"), [(1, 1), (2, 1), (3, 0), (4, 0)])
def test_a_group_that_cannot_be_too_many_is_left_out(at_most, held):
    use = Use(days=DAYS, never_together=(group("a", "b", "c", at_most=at_most),))
    assert len(WorkingRules.of(machines("a", "b", "c"), use).groups) == held


def test_a_group_counts_only_machines_that_are_there():
    """A later machine in the group takes nobody's place today."""
    use = Use(days=DAYS, never_together=(group("a", "b", "later", at_most=2),))
    assert WorkingRules.of(machines("a", "b"), use).groups == ()


def test_of_equal_states_the_one_with_the_heaviest_machine_is_named():
    """Plans are the same byte for byte, so which of equal states is named must not move."""
    apart = [group("kiln", name) for name in ("a", "b", "d")]
    use = Use(days=DAYS, never_together=(*apart, group("a", "b", "d", at_most=2)))
    rules = WorkingRules.of(machines("a", "b", "d", "kiln"), use)
    loads = {"a": 5.0, "b": 5.0, "d": 5.0, "kiln": 10.0}
    assert worst(rules, loads) == (("kiln",), 10.0)
    assert worst(rules, {**loads, "d": 5.5}) == (("a", "d"), 10.5)


def test_of_equal_states_the_first_by_name_is_named():
    """A leader that has no load of its own is as heavy as what follows it."""
    use = Use(
        days=DAYS,
        followers=(Follower(machine="fan", follows=("saw",)),),
        never_together=(group("lathe", "saw"),),
    )
    rules = WorkingRules.of(machines("fan", "lathe", "saw"), use)
    assert worst(rules, {"fan": 5.0, "lathe": 5.0}) == (("lathe",), 5.0)
    assert worst(rules, {"fan": 5.5, "lathe": 5.0}) == (("fan", "saw"), 5.5)
