"""The worst working state against every subset of the machines there is, on random small shops."""

from fractions import Fraction
from itertools import chain, combinations, permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from models.crew import Crew
from models.shop import Building, Day, Follower, Machine, NeverTogether, Shop, Use
from models.shop_file import read_shop
from models.states import WorkingRules, binding_days

ROOM = read_shop(Path(__file__).resolve().parents[1] / "shops" / "four_box.yaml")
NAMES = [f"m{number}" for number in range(6)]
PLACES = {
    "west": (0, 0, 6, 9),
    "east": (6, 0, 12, 9),
    "bench": (4, 4, 8, 6),
    "corner": (0, 0, 2, 2),
}
SPOTS = [(1, 1), (5, 5), (7, 5), (10, 3), (3, 8)]


def machine(name, kind, **more):
    """A machine of one kind of attendance."""
    return Machine.model_validate(
        {
            "id": name, "volts": "120 V", "marked": "5 A", "plug": "5-15P",
            "always_on": kind == "always", "set_and_leave": kind == "left",
            "starts_by_itself": kind == "itself",
            **(more or {"at": ["1 ft", "1 ft"]}),
        }
    )  # fmt: skip


@st.composite
def places(draw):
    """Where a machine stands, or what a portable one is used over."""
    if draw(st.integers(0, 3)):
        x, y = draw(st.sampled_from(SPOTS))
        return {"at": [f"{x} ft", f"{y} ft"]}
    over = draw(st.sets(st.sampled_from(sorted(PLACES)), max_size=2))
    return {"portable": True, **({"over": sorted(over)} if over else {})}


@st.composite
def small_shops(draw):
    """Machines of every kind, followers of followers, groups, people here or there, loads."""
    kinds = draw(st.lists(st.sampled_from(["person", "person", "always", "left", "itself"]),
                          min_size=6, max_size=6))  # fmt: skip
    machines = [
        machine(name, kind, **draw(places())) for name, kind in zip(NAMES, kinds, strict=True)
    ]
    followers = []
    for follower in draw(st.sets(st.sampled_from(NAMES[3:]), max_size=2)):
        earlier = NAMES[: NAMES.index(follower)]
        leaders = draw(st.sets(st.sampled_from(earlier), min_size=1, max_size=3))
        followers.append(Follower(machine=follower, follows=tuple(sorted(leaders))))
    groups = [
        NeverTogether(
            machines=tuple(sorted(members)),
            at_most=draw(st.integers(1, 2)),
            by=draw(st.sampled_from(["promise", "interlock"])),
            device="relay",
        )
        for members in draw(st.lists(st.sets(st.sampled_from(NAMES), min_size=2), max_size=2))
    ]
    keeping = st.dictionaries(st.sampled_from(sorted(PLACES)), st.integers(0, 2), min_size=1)
    day = Day(id="usual", people=draw(st.one_of(st.integers(0, 4), keeping)))
    use = Use(days=(day,), followers=tuple(followers), never_together=tuple(groups))
    loads = {name: draw(st.integers(0, 20)) for name in NAMES}
    return shop_with(machines, use), loads


def shop_with(machines, use):
    """The four-box shop with other machines and use, and the places of this module."""
    zones = [
        {"id": name, "from": [f"{w} ft", f"{s} ft"], "to": [f"{e} ft", f"{n} ft"]}
        for name, (w, s, e, n) in PLACES.items()
    ]
    building = Building.model_validate(
        {**ROOM.building.model_dump(mode="json", by_alias=True), "zones": zones}
    )
    return ROOM.model_copy(update={"machines": tuple(machines), "use": use, "building": building})


def reaches(place, tool):
    """Whether somebody who keeps to a place may attend a machine, by the words of the file."""
    west, south, east, north = PLACES[place]
    if not tool.portable:
        return west <= tool.at[0] <= east and south <= tool.at[1] <= north
    return not tool.over or any(
        max(west, w) < min(east, e) and max(south, s) < min(north, n)
        for w, s, e, n in (PLACES[name] for name in tool.over)
    )


def attended_at_once(machines, people):
    """Whether each of these machines gets a person of its own, trying every assignment."""
    if isinstance(people, int):
        return len(machines) <= people
    persons = [place for place, count in people.items() for _ in range(count)]
    return len(machines) <= len(persons) and any(
        all(reaches(place, tool) for place, tool in zip(order, machines, strict=True))
        for order in permutations(persons, len(machines))
    )


def allowed(on, shop, promises=True):
    """The rules of use, one by one, as the words in the design say them."""
    use = shop.use
    follows = {follower.machine: set(follower.follows) for follower in use.followers}
    attended = [m for m in shop.machines if m.id in on and m.attended and m.id not in follows]
    if not attended_at_once(attended, use.days[0].people):
        return False
    if any((name in on) != bool(leaders & on) for name, leaders in follows.items()):
        return False
    return all(
        len(on & set(group.machines)) <= group.at_most
        for group in use.never_together
        if promises or group.by == "interlock"
    )


def brute_force(shop, loads, promises=True):
    """The greatest load over all 64 subsets of six machines."""
    subsets = chain.from_iterable(combinations(NAMES, size) for size in range(7))
    return max(
        sum(loads[name] for name in on) for on in map(set, subsets) if allowed(on, shop, promises)
    )


def check_worst(shop: Shop, loads):
    """The worst state has the greatest load, and the machines it names are allowed and add up."""
    crew = Crew.of(shop, shop.use.days[0])
    for promises in (True, False):
        rules = WorkingRules.of(shop.machines, shop.use, promises=promises)
        found = rules.worst(loads, crew)
        assert found.load == brute_force(shop, loads, promises)
        assert sum(loads[name] for name in found.machines) == found.load
        running = set(found.machines)
        assert allowed(running, shop, promises)


@settings(max_examples=1000, deadline=None)
@given(small_shops())
def test_worst_state_equals_brute_force(pair):
    check_worst(*pair)


@pytest.mark.long
@settings(max_examples=40_000, deadline=None)
@given(small_shops())
def test_worst_state_equals_brute_force_many_times(pair):
    check_worst(*pair)


def test_a_person_keeps_to_a_place():
    """One in each half: two machines of one half do not run together, one of each half does."""
    machines = [machine(name, "person", at=[f"{x} ft", "3 ft"]) for name, x in
                (("saw", 1), ("sander", 3), ("wheel", 10))]  # fmt: skip
    shop = shop_with(machines, Use(days=(Day(id="usual", people={"west": 1, "east": 1}),)))
    loads = {"saw": 9.0, "sander": 8.0, "wheel": 1.0}
    rules = WorkingRules.of(shop.machines, shop.use)
    assert rules.worst(loads, Crew.of(shop, shop.use.days[0])) == (("saw", "wheel"), 10.0)
    assert rules.worst(loads, Crew.anywhere(2)) == (("sander", "saw"), 17.0)


def test_a_machine_in_a_place_without_people_is_not_attended():
    machines = [machine("wheel", "person", at=["10 ft", "3 ft"])]
    shop = shop_with(machines, Use(days=(Day(id="usual", people={"west": 3}),)))
    rules = WorkingRules.of(shop.machines, shop.use)
    assert rules.worst({"wheel": 5.0}, Crew.of(shop, shop.use.days[0])).load == 0


def test_a_hard_wired_machine_is_where_its_box_is():
    """Box N1 of the four-box shop is on the north wall at x = 3 ft, so it is in the west."""
    shop = shop_with(
        [
            Machine.model_validate(
                {"id": "oven", "volts": "120 V", "marked": "5 A", "hard_wired_at": "N1"}
            )
        ],
        Use(days=(Day(id="usual", people={"west": 1}), Day(id="b", people={"east": 1}))),
    )
    here, there = (Crew.of(shop, day) for day in shop.use.days)
    assert here.attends(["oven"])
    assert not there.attends(["oven"])


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
    state = WorkingRules.of(machines, use).worst(
        {"collector": 9.0, "sander": 8.0}, Crew.anywhere(1)
    )
    assert state.machines == ("collector", "saw")
    assert state.load == 9.0


def test_only_binding_days_bind_and_they_are_in_order():
    days = [Day(id="b", people=1), Day(id="c", people=9, binds=False), Day(id="a", people=2)]
    assert [day.id for day in binding_days(days)] == ["a", "b"]


def test_loads_may_be_fractions():
    machines = [machine("saw", "person")]
    use = Use(days=(Day(id="usual", people=1),))
    found = WorkingRules.of(machines, use).worst({"saw": float(Fraction(1, 3))}, Crew.anywhere(1))
    assert found.load == 1 / 3


@settings(max_examples=200, deadline=None)
@given(small_shops())
def test_the_heaviest_states_with_a_largest_machine(pair):
    """Over all 64 subsets: the sum and what the largest machine of those on adds."""
    shop, loads = pair
    extras = {name: load / 4 for name, load in loads.items() if name in ("m0", "m2", "m4")}

    def total(on):
        return sum(loads[name] for name in on) + max((extras.get(n, 0) for n in on), default=0)

    subsets = chain.from_iterable(combinations(NAMES, size) for size in range(7))
    most = max(total(on) for on in map(set, subsets) if allowed(on, shop))
    crew = Crew.of(shop, shop.use.days[0])
    rules = WorkingRules.of(shop.machines, shop.use)
    assert max(map(total, rules.heaviest(loads, [crew], extras))) == pytest.approx(most)
