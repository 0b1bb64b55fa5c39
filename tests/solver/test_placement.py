"""Placement against every placement there is, on random small panels."""

import itertools
import random

import pytest

from models.crew import Crew
from models.shop import Use
from models.states import WorkingRules
from solver.legs import binding_states
from solver.panel import free_pairs, leg_of
from solver.placement import Fed, Placement
from solver.solve import Control


def every_placement(fed, free):
    """All ways to put breakers into free spaces."""
    if not fed:
        yield {}
        return
    first, rest = fed[0], fed[1:]
    for space in free:
        places = (space,) if first.poles == 1 else (space, space + 2)
        if set(places) <= set(free):
            for others in every_placement(rest, [s for s in free if s not in places]):
                yield {first.id: places, **others}


def heavier_leg(shop, fed, spaces):
    """Amperes of the heavier leg in its worst state, by trying all sets of machines."""
    names = sorted({name for circuit in fed for name in circuit.machines})
    attended = {m.id for m in shop.machines if m.attended}
    worst = 0.0
    for size in range(len(names) + 1):
        for on in itertools.combinations(names, size):
            if len(attended & set(on)) > shop.use.days[0].people:
                continue
            for leg in "AB":
                here = [c for c in fed if leg in {leg_of(s) for s in spaces[c.id]}]
                worst = max(worst, sum(c.machines[n] for c in here for n in on if n in c.machines))
    return worst


def heavier_in(fed, spaces, on):
    """Amperes of the heavier leg while some machines run."""
    legs = ([c for c in fed if leg in map(leg_of, spaces[c.id])] for leg in "AB")
    return max(sum(c.machines.get(name, 0.0) for c in here for name in on) for here in legs)


@pytest.mark.parametrize("seed", range(12))
def test_the_heavier_leg_is_as_light_as_can_be(seed, make_shop, make_circuits):
    """Equal to the least over all placements of three or four breakers in six spaces."""
    rng = random.Random(seed)
    shop = make_shop(seed, boxes=4).model_copy(update={"existing": ()})
    shop = shop.model_copy(
        update={
            "supply": shop.supply.model_copy(
                update={"panels": (shop.panel().model_copy(update={"spaces": 6}),)}
            )
        }
    )
    circuits = make_circuits(shop)
    names = sorted(machine.id for machine in shop.machines)
    fed = [Fed(f"C{n}", 2 if n == 0 else 1, {}, 0.0) for n in range(rng.choice([3, 4]))]
    for name in names:
        fed[rng.randrange(len(fed))].machines[name] = float(rng.randrange(2, 15))  # type: ignore[index]
    placement = Placement(shop, shop.panel(), circuits.loads, fed, [])
    states = binding_states(placement, Control())
    every = list(every_placement(fed, placement.free))
    least = min(heavier_leg(shop, fed, spaces) for spaces in every)
    in_states = min(max(heavier_in(fed, spaces, on) for on in states) for spaces in every)
    assert in_states == pytest.approx(least), "the states found are all that matter"
    placed = placement.solve(Control(), 0)
    assert placed is not None
    assert placed.heavier_leg_amps == pytest.approx(least)
    assert heavier_leg(shop, fed, placed.spaces) == pytest.approx(least)


def test_no_two_breakers_meet_and_spare_spaces_stay(make_shop, make_circuits):
    shop = make_shop(1, boxes=4)
    shop = shop.model_copy(update={"later": shop.later.model_copy(update={"spare_spaces": 2})})
    fed = [Fed("C1", 2, {}, 0.0), Fed("C2", 1, {}, 0.0)]
    placed = Placement(shop, shop.panel(), make_circuits(shop).loads, fed, []).solve(Control(), 2)
    assert placed is not None
    taken = [space for places in placed.spaces.values() for space in places]
    assert len(set(taken) | set(placed.spare)) == len(taken) + 2
    first, second = placed.spaces["C1"]
    assert second == first + 2
    assert {leg_of(first), leg_of(second)} == {"A", "B"}


def test_breakers_that_do_not_go_in_are_told(make_shop, make_circuits):
    shop = make_shop(1, boxes=4)
    fed = [Fed(f"C{n}", 2, {}, 0.0) for n in range(20)]
    assert (
        Placement(shop, shop.panel(), make_circuits(shop).loads, fed, []).solve(Control(), 0)
        is None
    )


@pytest.mark.parametrize("seed", range(30))
def test_pairs_of_free_neighbours_are_counted_exactly(seed):
    """The most disjoint pairs s, s + 2, by brute force."""
    rng = random.Random(seed)
    free = sorted(rng.sample(range(1, 13), rng.randrange(0, 9)))
    pairs = [(s, s + 2) for s in free if s + 2 in free]
    most = max(
        size
        for size in range(len(pairs) + 1)
        for chosen in itertools.combinations(pairs, size)
        if len({s for pair in chosen for s in pair}) == 2 * size
    )
    assert free_pairs(free) == most


def test_a_use_without_rules_needs_nothing():
    """The search over states is exercised with an empty rule book too."""
    use = Use.model_validate({"days": [{"id": "d", "people": 0}]})
    assert WorkingRules.of([], use).worst({}, Crew.anywhere(0)).load == 0


def side_by_side(spaces):
    """Whether the first two circuits are in neighbouring spaces of a column."""
    return abs(spaces["C0"][0] - spaces["C1"][0]) == 2


@pytest.mark.parametrize("seed", range(8))
def test_the_halves_of_a_pair_are_neighbours_and_each_loads_its_own_leg(
    seed, make_shop, make_circuits
):
    """Equal to the least over all placements with the two halves side by side."""
    rng = random.Random(seed)
    shop = make_shop(seed, boxes=4)
    circuits = make_circuits(shop)
    fed = [Fed(f"C{n}", 1, {}, 0.0, beside={0: "C1", 1: "C0"}.get(n)) for n in range(4)]
    for name in sorted(machine.id for machine in shop.machines):
        fed[rng.randrange(len(fed))].machines[name] = float(rng.randrange(2, 15))  # type: ignore[index]
    placement = Placement(shop, shop.panel(), circuits.loads, fed, [])
    placed = placement.solve(Control(), 0)
    assert placed is not None
    assert side_by_side(placed.spaces)
    every = every_placement(fed, placement.free)
    least = min(heavier_leg(shop, fed, spaces) for spaces in every if side_by_side(spaces))
    assert heavier_leg(shop, fed, placed.spaces) == pytest.approx(least)
