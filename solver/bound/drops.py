"""Whether a circuit may keep the voltage that the shop wishes, on the straightest ways.

Every run as long as the shortest way between its ends, so that no circuit loses less.
"""

from collections.abc import Sequence

from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import drop_percent
from solver.bound.near import Near
from solver.circuit import Circuits
from solver.load import Load
from solver.voltage import Run, drawn_by, most_lost_v, plugged_in
from solver.wiring import Wiring


class Drops:
    """Voltage drops of circuits of one shop, at least."""

    def __init__(self, circuits: Circuits, near: Near) -> None:
        self.circuits, self.near = circuits, near

    def reaches(self, load: Load, awg: str, panel: str) -> bool:
        """Whether a conductor keeps the voltage on the straightest way to each box by itself."""
        far_ft = self.near.from_panel(panel)
        drawn = drawn_by(self.circuits.points, load).values()
        boxes = {*plugged_in(load), *load.lights_amps, *(box for box, _ in drawn)}
        return self._keep(load, awg, [(panel, box, far_ft.get(box, 0.0)) for box in boxes])

    def keeps(self, wiring: Wiring, runs: Sequence[tuple[str, str]]) -> bool:
        """Whether a tree of runs, each from a box that is reached already, keeps the voltage."""
        lengths = [(start, end, self.near.run_ft(start, end)) for start, end in runs]
        return self._keep(wiring.load, wiring.awg, lengths)

    def _keep(self, load: Load, awg: str, runs: Sequence[Run]) -> bool:
        drawn = drawn_by(self.circuits.points, load)
        lit, plugged = load.lights_amps, plugged_in(load)
        lost_v = most_lost_v(self.circuits.loads, runs, drawn, lit, plugged, ohm_per_kft(awg))
        return self.circuits.keeps_voltage(drop_percent(lost_v, load.volts))
