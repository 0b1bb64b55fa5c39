"""The bound of a shop: its relaxation with the cuts that a few rounds find."""

from typing import Final

from solver.bound.certificate import Certificate
from solver.bound.cuts import Cuts
from solver.bound.runs import Runs
from solver.circuit import Circuits
from solver.solve import Control

ROUNDS: Final = 12


def least(circuits: Circuits, control: Control) -> Certificate | None:
    """What no plan goes below, with what shows it; None where nothing is known.

    It covers every plan on these ways, boxes and junction boxes, with the builds and prices there
    are. Circuits that are there and may change cost what they did: of them nothing is known here.
    """
    if circuits.changing or not circuits.catalogue.rising:
        return None
    fresh = Circuits(circuits.shop, circuits.points, circuits.ways, circuits.catalogue)
    runs = Runs(fresh)
    cuts, best = Cuts(runs), None
    for _ in range(ROUNDS):
        if not runs.program.solve():
            return None
        found = runs.constant + runs.program.bound()
        if best is None or found > best.bound:
            best = Certificate(found, runs.program.priced())
        if control.over() or not cuts.add():
            break
    return best
