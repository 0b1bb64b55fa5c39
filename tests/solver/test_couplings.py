"""Circuits that get in each other's way: what is chosen with a coupling, and what without it.

Each shop in `tests/shops` is invented. Adjustment: Table 310.15(C)(1), 4 to 6 conductors 80 %, 7 to
9 70 %, 10 to 20 50 %. Correction of 90 °C conductors: Table 310.15(B)(1), 40 °C 0.91, 50 °C 0.82.
12 AWG carries 30 A at 90 °C, chapter 9 Tables 4 and 5 give the areas. Volumes: Table 314.16(B).
"""

import pytest

from tests.solver.conftest import TO_ONE_BOX, TO_TWO_BOXES

SMALL_BOX, DEEP_BOX = "4 x 1-1/2 square", "4 x 2-1/8 square"
DETOUR = ("routes.raceways[D]", {"kind": "EMT", "trade_size": "1/2", "ends": ["P", "N2"]})


def runs_of(plan):
    return [run for circuit in plan.circuits for run in circuit.runs]


def cost(plan):
    return plan.objective.value


# Heat


def test_a_hot_attic_is_gone_round(plan_of):
    """12 AWG there: 30 A x 0.58 = 17.4 A, less than its breaker; over the wall it needs no 10 AWG.

    Correction at 66 to 70 °C: 0.58, the same table.
    """
    hot, mild = plan_of("hot_attic"), plan_of("hot_attic", ("building.ambient.attic", "40 C"))
    assert [circuit.conductor.awg for circuit in hot.circuits] == ["12"]
    assert [run.ambient_c for run in runs_of(hot)] == [25.0, 25.0]
    assert [run.ambient_c for run in runs_of(mild)] == [25.0, 40.0]
    assert hot.objective.proved == "global"
    assert cost(mild) < cost(hot)


def test_a_larger_conductor_goes_where_it_is_too_hot_when_the_way_round_is_longer(plan_of):
    """10 AWG carries 40 A x 0.58 = 23.2 A there: dear by the foot, and here much shorter."""
    far = [("boxes[S1].x", "30 ft"), ("boxes[N1].x", "30 ft"), ("code.voltage_drop_percent", 5)]
    walls = [[0, 0], [60, 0], [60, 10], [0, 10]]
    names = ("south", "east", "north", "west")
    wide = [
        (f"building.walls[{name}].from", [f"{x} ft", f"{y} ft"])
        for name, (x, y) in zip(names, walls, strict=True)
    ]
    plan = plan_of("hot_attic", *far, *wide)
    assert [circuit.conductor.awg for circuit in plan.circuits] == ["10"]
    assert 66.0 in [run.ambient_c for run in runs_of(plan)]


# Conductors beside each other


@pytest.mark.parametrize(
    ("changes", "counted", "awg"),
    [
        # 3 and 4: 30 A x 0.82 = 24.6 A, x 0.8 = 19.7 A; with 0.91 it is 21.8 A
        ((("building.ambient.room", "50 C"), ("machines[M2]", None),
          ("boxes[N1].two_circuits", None), *TO_ONE_BOX), 2, "12"),
        ((("building.ambient.room", "50 C"), *TO_ONE_BOX), 4, "10"),
        ((("building.ambient.room", "40 C"), *TO_ONE_BOX), 4, "12"),
        # 9 and 10: 30 A x 0.7 = 21 A, 30 A x 0.5 = 15 A, 10 AWG 40 A x 0.5 = 20 A
        (TO_TWO_BOXES, 8, "12"),
        ((), 10, "10"),
    ],
)  # fmt: skip
def test_conductors_grow_when_one_more_circuit_joins_them(plan_of, changes, counted, awg):
    plan = plan_of("one_raceway", *changes)
    homes = [circuit.runs[0] for circuit in plan.circuits]
    assert {run.current_carrying for run in homes if "T" in run.raceways} == {counted}
    assert {circuit.conductor.awg for circuit in plan.circuits} == {awg}


def test_a_full_raceway_forces_a_detour(plan_of):
    """12 conductors of 12 AWG are 0.160 in²; 1/2 EMT takes 0.122 in², 1 EMT takes 0.346 in²."""
    tight = plan_of("one_raceway", *TO_TWO_BOXES, DETOUR, ("routes.raceways[T].trade_size", "1/2"))
    roomy = plan_of("one_raceway", *TO_TWO_BOXES, DETOUR)
    used = {name for run in runs_of(tight) for name in run.raceways}
    assert {"T", "D"} <= used
    assert "D" not in {raceway.id for raceway in roomy.raceways}
    assert cost(roomy) < cost(tight)


def test_a_raceway_to_a_box_that_is_not_used_is_left_out(plan_of):
    spare = {"kind": "EMT", "trade_size": "1/2", "ends": ["P", "J"], "existing": True}
    corner = {"wall": "south", "x": "6 ft", "height": "7 ft", "existing": True}
    changes = ("routes.junction_boxes[J]", corner), ("routes.raceways[S]", spare)
    plan = plan_of("one_raceway", *TO_ONE_BOX, *changes)
    assert [box.id for box in plan.boxes] == ["N1"]
    assert [raceway.id for raceway in plan.raceways] == ["T"]


# Room in boxes and panels


def test_two_circuits_in_a_box_of_two_gangs_want_a_deeper_box(plan_of):
    """Each brings 4 conductors and a device of 2: 12, and a ground, x 2.25 in³ are 29.25 in³.

    A 4 x 1-1/2 square box has 21.0 in³ and holds one of them, or one with both devices: 20.25 in³.
    """
    alone = (("boxes[N1].two_circuits", None), ("boxes[N2].two_circuits", None))
    shared, single = plan_of("two_gangs"), plan_of("two_gangs", *alone)
    assert {box.id: box.box for box in shared.boxes} == {"N1": DEEP_BOX, "N2": SMALL_BOX}
    assert {box.id: box.box for box in single.boxes} == {"N1": SMALL_BOX, "N2": SMALL_BOX}


def test_free_spaces_that_are_no_neighbours_hold_no_pair(plan_of):
    """Two neighbours in a column are on both legs; spaces 2 and 3 of the panel are none."""
    odd, even = plan_of("odd_spaces"), plan_of("odd_spaces", ("existing[X2].spaces", [3]))
    paired = [c for c in even.circuits if c.multiwire_with is not None]
    assert [c.breaker.spaces for c in paired] == [(2,), (4,)]
    assert [c for c in odd.circuits if c.multiwire_with is not None] == []
    assert cost(even) < cost(odd)
