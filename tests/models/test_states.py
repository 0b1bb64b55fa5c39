"""The worst working state against every subset of the machines there is."""

from fractions import Fraction
from itertools import chain, combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from models.shop import Day, Follower, Machine, NeverTogether, Use
from models.states import WorkingRules, binding_days

NAMES = [f"m{number}" for number in range(6)]


def machine(name, kind):
    """A machine of one kind of attendance."""
    return Machine.model_validate(
        {
            "id": name, "volts": "120 V", "marked": "5 A", "plug": "5-15P",
            "at": ["1 ft", "1 ft"], "always_on": kind == "always", "set_and_leave": kind == "left",
            "starts_by_itself": kind == "itself",
        }
    )  # fmt: skip


@st.composite
def small_shops(draw):
    """Machines of every kind, followers of followers, groups, people, loads."""
    kinds = draw(st.lists(st.sampled_from(["person", "person", "always", "left", "itself"]),
                          min_size=6, max_size=6))  # fmt: skip
    machines = [machine(name, kind) for name, kind in zip(NAMES, kinds, strict=True)]
    followers = []
    for follower in draw(st.sets(st.sampled_from(NAMES[3:]), max_size=2)):
        earlier = NAMES[: NAMES.index(follower)]
        leaders = draw(st.sets(st.sampled_from(earlier), min_size=1, max_size=3))
        followers.append(Follower(machine=follower, follows=tuple(sorted(leaders))))
    groups = [
        NeverTogether(machines=tuple(sorted(members)), at_most=draw(st.integers(1, 2)))
        for members in draw(st.lists(st.sets(st.sampled_from(NAMES), min_size=2), max_size=2))
    ]
    use = Use(
        days=(Day(id="usual", people=1),),
        followers=tuple(followers),
        never_together=tuple(groups),
    )
    loads = {name: draw(st.integers(0, 20)) for name in NAMES}
    return machines, use, loads, draw(st.integers(0, 4))


def allowed(on, machines, use, people):
    """The rules of use, one by one, as the words in the design say them."""
    follows = {follower.machine: set(follower.follows) for follower in use.followers}
    attended = [m for m in machines if m.id in on and m.attended and m.id not in follows]
    if len(attended) > people:
        return False
    if any((name in on) != bool(leaders & on) for name, leaders in follows.items()):
        return False
    return all(len(on & set(group.machines)) <= group.at_most for group in use.never_together)


@settings(max_examples=400, deadline=None)
@given(small_shops())
def test_worst_state_equals_brute_force(shop):
    """Over all 64 subsets of six machines; the state named is allowed and has that load."""
    machines, use, loads, people = shop
    subsets = chain.from_iterable(combinations(NAMES, size) for size in range(7))
    most = max(
        sum(loads[name] for name in on)
        for on in map(set, subsets)
        if allowed(on, machines, use, people)
    )
    found = WorkingRules.of(machines, use).worst(loads, people)
    assert found.load == most
    assert sum(loads[name] for name in found.machines) == most


@pytest.mark.long
@settings(max_examples=20_000, deadline=None)
@given(small_shops())
def test_worst_state_equals_brute_force_many_times(shop):
    """The same on twenty thousand shops."""
    machines, use, loads, people = shop
    subsets = chain.from_iterable(combinations(NAMES, size) for size in range(7))
    most = max(
        sum(loads[n] for n in on) for on in map(set, subsets) if allowed(on, machines, use, people)
    )
    assert WorkingRules.of(machines, use).worst(loads, people).load == most


def test_the_state_named_is_allowed():
    """A leader elsewhere that takes the person is named, though it loads nothing here."""
    machines = [
        machine("saw", "person"),
        machine("sander", "person"),
        machine("collector", "itself"),
    ]
    use = Use(
        days=(Day(id="usual", people=1),),
        followers=(Follower(machine="collector", follows=("saw",)),),
    )
    state = WorkingRules.of(machines, use).worst({"collector": 9.0, "sander": 8.0}, 1)
    assert state.machines == ("collector", "saw")
    assert state.load == 9.0


def test_only_binding_days_bind_and_they_are_in_order():
    days = [Day(id="b", people=1), Day(id="c", people=9, binds=False), Day(id="a", people=2)]
    assert [day.id for day in binding_days(days)] == ["a", "b"]


def test_loads_may_be_fractions():
    machines = [machine("saw", "person")]
    use = Use(days=(Day(id="usual", people=1),))
    assert WorkingRules.of(machines, use).worst({"saw": float(Fraction(1, 3))}, 1).load == 1 / 3
