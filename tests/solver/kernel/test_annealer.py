"""The annealer: every move keeps all items and sums; full groups, by every way to deal them out."""

import pytest

from solver.kernel.search import Annealer, Grouping, Limits
from solver.sketch import Sketched
from tests.dealt_out import dealt_out

LIMITS = Limits(poles=20, lights=0)
HOLDS = 12  # weight that one group holds


def problem(seed):
    """Items on a line, each with a weight; groups cost their stretch, and much where too heavy."""
    places = [7 * n * (seed + 3) % 100 for n in range(9)]
    weights = [3 + (n * (seed + 5)) % 4 for n in range(9)]

    def taken(group):
        stretch = max(places[n] for n in group) - min(places[n] for n in group)
        over = max(0, sum(weights[n] for n in group) - HOLDS)
        return Sketched(30 + 2 * stretch + 1_000 * over, 1)

    def apart(one):
        return lambda other: abs(places[one] - places[other])

    near = [sorted(set(range(9)) - {n}, key=apart(n)) for n in range(9)]
    steps = [{other: apart(n)(other) for other in range(9)} for n in range(9)]
    return taken, near, steps


@pytest.mark.parametrize("seed", range(6))
def test_every_move_keeps_all_items_and_all_sums(seed):
    taken, near, steps = problem(seed)
    annealer = Annealer(taken, near, steps, LIMITS, seed, lambda: False)
    at = Grouping([frozenset([n]) for n in range(9)], taken, LIMITS)
    for _ in range(3_000):
        changes = annealer._move(at)
        if changes is None:
            continue
        sums = at.after(changes)
        total = sums.cost + LIMITS.beyond(sums.poles, sums.lights)
        at.change(changes, sums, total)
        assert sorted(item for group in at.groups for item in group) == list(range(9))
        assert at.total == Grouping(at.groups, taken, LIMITS).total
        assert all(item in at.groups[place] for item, place in at.place.items())


@pytest.mark.parametrize("seed", range(6))
def test_groups_that_are_nearly_full(seed):
    """The least over all 21,147 ways to deal nine items out."""
    taken, near, steps = problem(seed)
    least = min(sum(taken(group).cost for group in groups) for groups in dealt_out(range(9)))
    annealer = Annealer(taken, near, steps, LIMITS, seed, lambda: False)
    found = annealer.run([frozenset([n]) for n in range(9)], 20_000, 100.0, 1.0)
    assert sum(taken(group).cost for group in found) == least
