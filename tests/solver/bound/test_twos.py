"""Circuits of one item or two of a large shop, against the circuits that can be built."""

from itertools import combinations
from pathlib import Path

import pytest

from benchmarks.halls import hall
from solver.bound.large_runs import LargeRuns
from solver.bound.least import least
from solver.bound.recheck import CertificateError, _Relaxation
from solver.bound.twos import Straight, Twos
from solver.refusal import Refusal
from solver.solve import Control
from tests.solver.bound.test_large_runs import make_all_runs, make_large, shown
from tests.solver.conftest import circuits_of


@pytest.fixture(scope="module")
def priced():
    """The circuits of a hall with junction boxes, and all of its parts where two share at most."""
    circuits = circuits_of(hall(1, 140))
    assert circuits.junctions
    runs = LargeRuns(circuits)
    parts = [runs.parts[number] for number in sorted(runs.without_runs)]
    twos = [Twos(p, runs._apart_of(p), runs.priced(p, p.sizes[0])[0]) for p in parts]
    assert twos
    return circuits, twos


def cost(circuits, items):
    """What the cheapest circuit of some items costs; None where there is none."""
    made = circuits.candidates(frozenset(items))
    return None if isinstance(made, Refusal) else min(circuits.rank(one)[0] for one in made)


def test_no_circuit_costs_less_than_it_is_priced_at(priced):
    """And most cost just that."""
    circuits, every = priced
    both = [
        (cost(circuits, items), min(form.cost for form in forms))
        for twos in every
        for items, forms in twos.forms.items()
    ]
    assert all(built is None or least <= built for built, least in both)
    assert sum(least == built for built, least in both) > 0.9 * len(both)
    assert max(len(items) for twos in every for items in twos.forms) == 2


def test_two_that_are_left_out_cost_no_less_than_one_circuit_for_each(priced):
    circuits, every = priced
    looked_at = 0
    for twos in every:
        for pair in map(frozenset, combinations(twos.items, 2)):
            if pair not in twos.forms and (built := cost(circuits, pair)) is not None:
                assert built >= sum(twos._alone[item] for item in pair)
                looked_at += 1
    assert looked_at > 5


def test_three_never_share_a_circuit(priced):
    circuits, every = priced
    for twos in every:
        for three in combinations(twos.items[:8], 3):
            assert cost(circuits, three) is None


def test_no_way_is_shorter_than_a_straight_one(priced):
    circuits, every = priced
    boxes = sorted(box for twos in every for box in twos.part.at)[:12]
    straight = Straight(circuits, boxes)
    for start, end in combinations(boxes, 2):
        ways = circuits.ways_between(start, end)
        assert all(way.length_cft / 100 >= straight.run_ft(start, end) for way in ways)


def test_they_raise_the_bound_and_are_rechecked(monkeypatch):
    shop = hall(1, 60)
    make_large(monkeypatch)
    priced = least(circuits_of(shop), Control())
    assert priced is not None
    assert any(key[0] == "in a set" for key in priced.prices)
    assert shown(shop, priced) == priced.bound
    make_all_runs(monkeypatch)
    by_runs = least(circuits_of(shop), Control())
    assert by_runs is not None
    assert priced.bound > by_runs.bound


def test_no_row_asks_for_runs_where_there_are_none():
    runs = LargeRuns(circuits_of(hall(1, 60)))
    number = min(runs.without_runs)
    box = min(runs.parts[number].at)
    for key in ("enter", number, frozenset([(box, "12", 0)]), None), ("box", number, box):
        with pytest.raises(CertificateError, match="no row"):
            _Relaxation(runs, Path("bound.json")).row(key)
