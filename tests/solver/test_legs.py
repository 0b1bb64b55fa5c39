"""States that load a leg most: where one is not enough, against every deal in every state.

Machines of one attended kind, two people: whichever two run together are the worst state of some
deal to the two legs, so a deal that is good in the first state found is bad in another.
"""

import random
from itertools import combinations

import pytest

from solver.legs import binding_states
from solver.panel import leg_of
from solver.placement import Fed, Placement
from solver.solve import Control
from tests.solver.sheds import shed

PEOPLE = 2


def shop_of(count):
    """So many receptacles in a row, a machine at each, and a panel of as many spaces."""
    return shed(
        30,
        [
            {"id": f"B{n}", "wall": "south", "x": f"{2 * n + 4} ft", "height": "4 ft",
             "yokes": ["duplex 5-20R"]}
            for n in range(count)
        ],
        terminals="75 C",
        spaces=count,
        machines=[
            {"id": f"M{n}", "volts": "120 V", "marked": "6 A", "plug": "5-15P",
             "plugs_into": f"B{n}", "at": [f"{2 * n + 4} ft", "3 ft"], "cord": "6 ft"}
            for n in range(count)
        ],
        use={"days": [{"id": "usual", "people": PEOPLE}]},
        code={"edition": 2023},
    )  # fmt: skip


def placement_of(amps, make_circuits):
    """A circuit for each machine, one pole each, of these amperes."""
    shop = shop_of(len(amps))
    assert all(machine.attended for machine in shop.machines)
    fed = [Fed(f"C{n}", 1, {f"M{n}": float(one)}, 0.0) for n, one in enumerate(amps)]
    return Placement(shop, shop.panel(), make_circuits(shop).loads, fed, [])


def heavier(amps, on_a, running):
    """Amperes of the heavier leg while some machines run, by number."""
    a = sum(amps[n] for n in running & on_a)
    return max(a, sum(amps[n] for n in running) - a)


def every_deal(count):
    """Every half of the machines on leg A: the panel has as many spaces on each leg."""
    return [frozenset(half) for half in combinations(range(count), count // 2)]


def least(amps, states):
    """The heavier leg of the best deal, only these states looked at. [A]"""
    return min(max(heavier(amps, deal, on) for on in states) for deal in every_deal(len(amps)))


def numbers(state):
    return frozenset(int(name.removeprefix("M")) for name in state)


@pytest.mark.parametrize(
    "amps",
    [
        (10, 9, 8, 7),  # 10 with 7 against 9 with 8: 17 A, and no other deal is below 18 A
        *(tuple(random.Random(seed).sample(range(2, 16), 6)) for seed in range(8)),
    ],
)
def test_states_are_added_until_no_deal_is_better_than_it_is(amps, make_circuits):
    placement = placement_of(amps, make_circuits)
    states = [numbers(state) for state in binding_states(placement, Control())]
    every = [frozenset(on) for on in combinations(range(len(amps)), PEOPLE)]
    best = least(amps, every)
    assert len(states) >= 3
    assert least(amps, states[:1]) < best, "the first state alone says too little"
    assert least(amps, states[:2]) < best, "nor do the first two"
    assert least(amps, states) == best
    placed = placement.solve(Control(), 0)
    assert placed is not None
    on_a = frozenset(n for n in range(len(amps)) if leg_of(placed.spaces[f"C{n}"][0]) == "A")
    assert max(heavier(amps, on_a, on) for on in every) == best
    assert placed.heavier_leg_amps == pytest.approx(best)


def test_the_deal_that_is_best_by_hand(make_circuits):
    """17 A: {10, 7} and {9, 8} on a leg each."""
    placed = placement_of((10, 9, 8, 7), make_circuits).solve(Control(), 0)
    assert placed is not None
    assert placed.heavier_leg_amps == 17
    legs = [leg_of(placed.spaces[f"C{n}"][0]) for n in range(4)]
    assert legs[0] == legs[3] != legs[1] == legs[2]
