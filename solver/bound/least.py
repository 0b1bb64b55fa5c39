"""The bound of a shop: its relaxation with the cuts that a few rounds find."""

from typing import Final

from solver.bound.certificate import Certificate
from solver.bound.cuts import Cuts
from solver.bound.group_cuts import GroupCuts
from solver.bound.large_runs import LargeRuns, runs_of
from solver.bound.runs import Runs
from solver.circuit import Circuits
from solver.solve import DEFAULT_EFFORT, Control

ROUNDS: Final = 6
EFFORT_PER_ROUND: Final = 5
LEAST_GAIN: Final = 0.0002  # of the bound; rounds that gain less are idle
LAST: Final = 2  # idle rounds in a row, the next one is not begun
LAID: Final = 4  # times that runs afar are looked for after a round
CELLS: Final = 500_000_000  # rows times variables of all rounds
LARGE_CELLS: Final = 700_000_000  # the same of a large shop


def least(circuits: Circuits, control: Control) -> Certificate | None:
    """What no plan goes below, with what shows it; None where nothing is known.

    It covers every plan on these ways, boxes and junction boxes, with the builds and prices there
    are. Circuits that are there and may change cost what they did: of them nothing is known here.

    A search waits for it, so no round is begun that would be much work for the little it adds.
    """
    if circuits.changing or not circuits.catalogue.rising:
        return None
    fresh = Circuits(circuits.shop, circuits.points, circuits.ways, circuits.catalogue)
    runs = runs_of(fresh)
    cuts, groups, best, idle = Cuts(runs), GroupCuts(runs), None, 0
    cells = LARGE_CELLS if isinstance(runs, LargeRuns) else CELLS
    most, done = cells * max(1, control.effort / DEFAULT_EFFORT), 0
    for _ in range(ROUNDS + control.effort // EFFORT_PER_ROUND):
        found = _solved(runs)
        if found is None:
            return None
        before = found.bound if best is None else best.bound
        if best is None or found.bound > best.bound:
            best = found
        idle = idle + 1 if found.bound - before < LEAST_GAIN * before else 0
        each = len(runs.program.rows) * len(runs.program.costs)
        done += each
        if idle > LAST or done + each > most or control.over():
            break
        if not cuts.add() + groups.add():
            break
    return best


def _solved(runs: Runs) -> Certificate | None:
    """The best bound with the rows there are; runs afar that lower it get variables."""
    best: Certificate | None = None
    for _ in range(LAID):
        if not runs.program.solve():
            return None
        prices = runs.program.priced()
        found = runs.constant + runs.program.bound(runs.worth_afar(prices))
        if best is None or found > best.bound:
            best = Certificate(found, prices)
        if not runs.lay_afar(prices):
            break
    return best
