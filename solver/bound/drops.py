"""Whether a circuit may keep the voltage that the shop wishes, on the straightest ways.

Every run as long as the shortest way between its ends, so that no circuit loses less.
"""

from collections.abc import Sequence

from models.formulas.conductors import ohm_per_kft
from solver.bound.near import Near
from solver.circuit import Circuits
from solver.load import Load, boxes_of
from solver.voltage import Run, losses_of
from solver.wiring import Wiring


class Drops:
    """Voltage drops of circuits of one shop, at least."""

    def __init__(self, circuits: Circuits, near: Near) -> None:
        self.circuits, self.near = circuits, near

    def reaches(self, load: Load, awg: str, panel: str) -> bool:
        """Whether a conductor keeps the voltage on the straightest way to each box by itself."""
        far_ft, names = self.near.from_panel(panel), self.circuits.points.box_at
        boxes = {*map(names, load.placed.values()), *boxes_of(load)}
        return self._keep(load, awg, [(panel, box, far_ft.get(box, 0.0)) for box in boxes])

    def keeps(self, wiring: Wiring, runs: Sequence[tuple[str, str]]) -> bool:
        """Whether a tree of runs, each from a box that is reached already, keeps the voltage."""
        lengths = [(start, end, self.near.run_ft(start, end)) for start, end in runs]
        return self._keep(wiring.load, wiring.awg, lengths)

    def _keep(self, load: Load, awg: str, runs: Sequence[Run]) -> bool:
        losses = losses_of(self.circuits.points, load, runs, ohm_per_kft(awg))
        wished_v = self.circuits.wished_v(load.volts)
        return not losses.exceed(wished_v, self.circuits.loads, load.running)
