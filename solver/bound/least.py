"""The bound of a shop: its relaxation with the cuts that a few rounds find."""

from typing import Final

from solver.bound.cuts import Cuts
from solver.bound.runs import Runs
from solver.circuit import Circuits
from solver.solve import Control

ROUNDS: Final = 12


def least(circuits: Circuits, control: Control) -> int | None:
    """What no plan goes below, in whole units of the first objective; None where none is known.

    It covers every plan on these ways, boxes and junction boxes, with the builds and prices there
    are. Circuits that are there and may change cost what they did: of them nothing is known here.
    """
    if circuits.changing or not circuits.catalogue.rising:
        return None
    fresh = Circuits(circuits.shop, circuits.points, circuits.ways, circuits.catalogue)
    runs = Runs(fresh)
    cuts, best = Cuts(runs), 0
    for _ in range(ROUNDS):
        if not runs.program.solve():
            return None
        best = max(best, runs.constant + runs.program.bound())
        if control.over() or not cuts.add():
            break
    return best
