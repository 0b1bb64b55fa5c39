"""The pool: enumeration finds every circuit there is, and the search finds good ones alone."""

import itertools

import pytest

from solver.kernel.shortlist import Column, Relaxation
from solver.pool import Search, enumerate_all, rows_of
from solver.refusal import Refusal
from solver.selection import Selection
from solver.solve import Control


def test_enumeration_leaves_no_circuit_out(garage, make_circuits):
    """Against every one of the 2,047 sets of items, machines that choose their place included."""
    circuits, every = make_circuits(garage), make_circuits(garage)
    assert enumerate_all(circuits, Control())
    items = range(len(every.points.items))
    sets = itertools.chain.from_iterable(
        itertools.combinations(items, size) for size in range(1, len(items) + 1)
    )
    found = {made for made in sets if not isinstance(every.candidates(frozenset(made)), Refusal)}
    assert found == {candidate.items for candidate in circuits.pool()}
    assert len(found) > 50


def test_a_final_refusal_is_final(garage, make_circuits):
    """No larger set is a circuit: tried by adding every item to every set of up to three."""
    circuits = make_circuits(garage)
    items = range(len(circuits.points.items))
    for size in (1, 2, 3):
        for made in itertools.combinations(items, size):
            refusal = circuits.candidates(frozenset(made))
            if isinstance(refusal, Refusal) and refusal.final:
                for more in items:
                    assert isinstance(circuits.candidates(frozenset({*made, more})), Refusal)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_search_alone_finds_the_best_grouping_of_the_garage(seed, garage, make_circuits):
    """Selection over what the search looked at equals selection over everything."""
    searched, every = make_circuits(garage), make_circuits(garage)
    search = Search(searched, Control(seed=seed))
    groups = search.run(20_000)
    assert {item for group in groups for item in group} == set(range(len(searched.points.items)))
    made = search.worth_making(search.bettered([groups], 5_000))
    selection = Selection(
        garage, searched.ways, searched.catalogue, made, alike=search.sketch.first_alike
    )
    found = selection.solve(Control())
    assert found is not None
    assert enumerate_all(every, Control())

    def least(circuits):
        pool = circuits.pool()
        found = Selection(garage, circuits.ways, circuits.catalogue, pool).solve(Control())
        assert found is not None
        return found.value

    assert found.value == least(every)


def test_a_shortlist_keeps_the_incumbent_and_the_optimum(garage, make_circuits):
    """Half of the pool by reduced cost still holds a choice of the same cost."""
    circuits = make_circuits(garage)
    enumerate_all(circuits, Control())
    pool = circuits.pool()
    best = Selection(garage, circuits.ways, circuits.catalogue, pool).solve(Control())
    columns = [Column(c.items, c.cost, c.poles, int(c.lights)) for c in pool]
    dear = pool.index(max(pool, key=lambda candidate: candidate.cost))
    relaxation = Relaxation(rows_of(garage), columns)
    numbers = relaxation.shortest(relaxation.solve([dear]), [dear], len(pool) // 2)
    assert dear in numbers
    assert len(numbers) <= len(pool) // 2 + 1
    kept = [pool[number] for number in numbers]
    again = Selection(garage, circuits.ways, circuits.catalogue, kept).solve(Control())
    assert best is not None
    assert again is not None
    assert again.value == best.value
