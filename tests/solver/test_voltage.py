"""What a circuit loses, against nodal analysis of the same wires with numpy, state by state.

Ohm's and Kirchhoff's laws: conductances of the runs as a matrix, currents drawn at the boxes.
"""

from itertools import combinations
from random import Random

import numpy as np
import pytest

from models.states import State
from solver.load import Loads
from solver.voltage import ASSUMED_PLUG_LOAD_AMPS, Losses
from tests.slow.test_least_plan import compare, readable

OHM_PER_KFT = 1.98  # 12 AWG, chapter 9 Table 8


class SomeStates(Loads):
    """Working rules given as a list of all states."""

    def __init__(self, states):  # and no shop
        self.states = states

    def worst(self, loads):
        """The state with the greatest sum of loads."""
        best = max(self.states, key=lambda state: sum(loads[name] for name in state))
        return "day", State(best, sum(loads[name] for name in best))


def lost_v(runs, amps_at):
    """Voltage lost out and back at every node, the root first."""
    nodes = [runs[0][0], *(end for _, end, _ in runs)]
    matrix, drawn = np.zeros((len(nodes), len(nodes))), np.zeros(len(nodes))
    for start, end, length_ft in runs:
        siemens = 1000 / (2 * OHM_PER_KFT * length_ft)
        a, b = nodes.index(start), nodes.index(end)
        matrix[a, a] += siemens
        matrix[b, b] += siemens
        matrix[a, b] -= siemens
        matrix[b, a] -= siemens
    for box, amps in amps_at:
        drawn[nodes.index(box)] += amps
    return np.concatenate(([0.0], np.linalg.solve(matrix[1:, 1:], drawn[1:])))


@pytest.mark.parametrize("seed", range(60))
def test_every_state_is_looked_at(seed):
    draw = Random(seed)
    boxes = [f"B{n}" for n in range(draw.randint(1, 6))]
    runs = [
        (draw.choice(["P", *boxes[:n]]) if n else "P", box, draw.uniform(1, 60))
        for n, box in enumerate(boxes)
    ]
    drawn = {f"M{n}": (draw.choice(boxes), draw.uniform(0.5, 16)) for n in range(4)}
    every = [some for size in range(5) for some in combinations(sorted(drawn), size)]
    states = [(), *draw.sample(every, 5)]
    lit = {draw.choice(boxes): draw.uniform(0.1, 2)}
    plugged = draw.sample(boxes, draw.randint(0, len(boxes)))
    most = 0.0
    for state in states:
        most = max(most, lost_v(runs, [*lit.items(), *(drawn[name] for name in state)]).max())
    for box in plugged:
        most = max(most, lost_v(runs, [(box, ASSUMED_PLUG_LOAD_AMPS)]).max())
    losses, loads = Losses(runs, drawn, lit, plugged, OHM_PER_KFT), SomeStates(states)
    assert losses.most_v(loads) == pytest.approx(most)
    for running in states:
        assert losses.exceed(most - 1e-6, loads, running)
        assert not losses.exceed(most + 1e-6, loads, running)


def test_of_two_that_never_run_together_the_farther_one_asks_for_larger_wire():
    """Both draw 10 A; counted out, the least plan has 10 AWG to the farther one, 100.35 USD."""
    assert compare(readable(1806)) == "proved"
