"""Bounds from prices of rows, in whole numbers."""

import random

from solver.bound.program import SCALE, Program, bound_of

INFEASIBLE = float("inf")


def diet():
    """Minimize 3x + 2y, x + y >= 4, x >= 1, x and y up to 3: by hand x = 1, y = 3, cost 9."""
    program = Program()
    x, y = program.variable(3, 3), program.variable(2, 3)
    program.add({x: 1, y: 1}, 4)
    program.add({x: 1}, 1)
    return program


def test_the_bound_meets_the_least_cost_of_a_program_done_by_hand():
    program = diet()
    assert program.solve()
    assert program.bound() == 9
    assert program.values == [1.0, 3.0]


def test_a_program_without_a_solution_says_so():
    program = diet()
    program.add({0: 1, 1: 1}, 7)
    assert not program.solve()


def test_whatever_the_prices_no_whole_solution_costs_less():
    """Every solution of 300 random programs is tried; prices are right, rounded off, or random."""
    rng = random.Random(5)
    met = 0
    for _ in range(300):
        program = Program()
        numbers = [program.variable(rng.randint(-5, 9), 2) for _ in range(4)]
        for _ in range(3):
            program.add({n: rng.randint(-2, 4) for n in numbers}, rng.randint(-3, 5))
        least = least_of(program)
        solved = program.solve()
        assert solved or least == INFEASIBLE
        if solved:
            assert program.bound() <= least
            met += program.bound() == least
        prices = [rng.randint(0, 3 * SCALE) for _ in program.rows]
        assert bound_of(program.costs, program.most, program.rows, prices) <= least
    assert met > 50, "a bound that is far off would pass the rest"


def least_of(program):
    """The least cost of all whole solutions, one by one."""
    best = INFEASIBLE
    for code in range(3**4):
        values = [code // 3**n % 3 for n in range(4)]
        if all(
            sum(factor * values[n] for n, factor in row.terms.items()) >= row.least
            for row in program.rows
        ):
            best = min(best, sum(c * v for c, v in zip(program.costs, values, strict=True)))
    return best
