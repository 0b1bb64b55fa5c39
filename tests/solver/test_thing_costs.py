"""What a crowded raceway costs circuits that have to be there: worked out by hand."""

from types import SimpleNamespace
from typing import Any

from solver.candidate import HEAT, WayShare, heat_of
from solver.thing_costs import crowding_costs

CIRCUITS: Any = SimpleNamespace(rank=lambda made: (made.cost,))


def built(cost, **survives):
    return SimpleNamespace(
        cost=cost, raceways={name: WayShare(100, 2, most) for name, most in survives.items()}
    )


def test_larger_conductors_when_others_come_beside():
    """6 AWG for 100 alone in tube T, 4 AWG for 170 among up to six conductors, 3 AWG for nine."""
    made: Any = [[built(100, T=3), built(170, T=6), built(250, T=9)]]
    steps = [(HEAT * 3, 0), (HEAT * 6, 70), (HEAT * 9, 150)]
    assert crowding_costs(CIRCUITS, made) == {heat_of("T"): steps}


def test_a_way_round_costs_what_it_costs_and_two_circuits_add_up():
    """One circuit may go round T for 30 more; the other grows by 70 and has nothing for nine."""
    made: Any = [[built(100, T=3), built(130)], [built(50, T=3), built(120, T=6)]]
    assert crowding_costs(CIRCUITS, made) == {heat_of("T"): [(HEAT * 3, 0), (HEAT * 6, 100)]}
