"""Recombination against every choice there is, on small random groups."""

import itertools
import random

import pytest

from solver.kernel.recombine import recombined
from solver.kernel.search import Grouping, Limits
from solver.sketch import Sketched
from solver.solve import Control

ITEMS = 5


def groups_of(rng):
    """Single items, so that there is a choice, and random sets; what each costs and takes."""
    sets = [frozenset([item]) for item in range(ITEMS)]
    sets += [frozenset(rng.sample(range(ITEMS), rng.randint(2, 3))) for _ in range(7)]
    groups = sorted(set(sets), key=sorted)
    return {
        group: Sketched(
            rng.randint(20, 60) + 10 * len(group),
            rng.choice([1, 1, 2]),
            rng.choice([0, 1]),
            {"box": rng.randint(0, 4), "tube": rng.randint(0, 3)},
        )
        for group in groups
    }


@pytest.mark.parametrize("seed", range(25))
def test_no_choice_is_cheaper(seed):
    rng = random.Random(seed)
    made = groups_of(rng)
    costs = {"box": [(4, 5), (8, 30)], "tube": [(3, 25)]}
    limits = Limits(rng.randint(4, 7), rng.randint(0, 2), costs, over=40)
    groups = list(made)
    first = [number for number, group in enumerate(groups) if len(group) == 1]
    chosen = recombined(
        [sorted(group) for group in groups], list(made.values()), limits, {}, first, Control(), 1.0
    )
    assert chosen is not None
    every = (
        some
        for size in range(1, ITEMS + 1)
        for some in itertools.combinations(groups, size)
        if sorted(item for group in some for item in group) == list(range(ITEMS))
    )
    found = [groups[number] for number in chosen]
    assert sorted(item for group in found for item in group) == list(range(ITEMS))

    def total(some):
        return Grouping(some, made.__getitem__, limits).total

    assert total(found) == min(map(total, every))


def test_with_next_to_no_work_nothing_dearer_than_the_first_choice():
    """The first choice is told whole, boxes and raceways with it, so that it is there at once."""
    rng = random.Random(1)
    made = [
        Sketched(rng.randint(20, 60), 1, 0, {f"box {rng.randrange(40)}": rng.randint(1, 9)})
        for _ in range(800)
    ]
    costs = {f"box {n}": [(4, 5), (8, 30), (14, 70)] for n in range(40)}
    limits = Limits(200, 0, costs, over=400)
    items = [[n // 4] for n in range(800)]
    first = [min(range(at, at + 4), key=lambda n: made[n].cost) for at in range(0, 800, 4)]
    chosen = recombined(items, made, limits, {}, first, Control(), 3e-3)
    assert chosen is not None

    def total(numbers):
        groups = {frozenset([n]): made[n] for n in numbers}
        return Grouping(list(groups), groups.__getitem__, limits).total

    assert total(chosen) <= total(first)


@pytest.mark.parametrize(("poles", "best"), [(2, [1, 2]), (1, [0])])
def test_items_alike_are_wanted_more_than_once(poles, best):
    """Item 0 stands for two: two groups are cheaper, where there are two poles for them."""
    made = [Sketched(55, 1), Sketched(20, 1), Sketched(30, 1)]
    chosen = recombined([[0, 0], [0], [0]], made, Limits(poles, 0), {0: 2}, [0], Control(), 1.0)
    assert chosen == best
