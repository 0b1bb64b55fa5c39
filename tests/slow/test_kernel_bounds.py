"""The kernel's bounds on 2,000 invented problems against trying everything, and the checker's word.

Uneven demands, demands of 1, and demands of which some are 0.
"""

import numpy as np
import pytest

from benchmarks.recheck_trees import excluded
from solver.kernel.bound import Bound
from tests.solver.kernel.every_partition import invented, least
from tests.solver.kernel.test_kernel import priced

PROBLEMS = 2_000
SOME_LARGER = 20  # one in so many has 6 items


@pytest.mark.long
def test_bounds_stay_below_the_least_and_above_four_fifths():
    """The checker finds the very bound, and says of the optimum that it is one."""
    shares = []
    for seed in range(PROBLEMS):
        problem = invented(seed, 6 if seed % SOME_LARGER == 0 else 4 + seed % 2).weighing()
        optimum = least(problem)
        bound = Bound(problem, [[item] for item in range(problem.size)])
        value = bound.run(60)
        assert 0.8 * optimum <= value <= optimum
        checker = priced(problem, bound.best)
        assert checker.bound() == value
        assert excluded(checker, optimum)
        assert not excluded(checker, optimum + 1)
        shares.append(value / optimum)
    assert np.mean(shares) > 0.97
