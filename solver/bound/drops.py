"""Whether voltage can be kept: on the straightest way to each box, and along a tree of runs.

Every run is taken to be as short as the shortest way between its ends, so what is refused here no
circuit keeps, whatever ways its runs take. Only what the circuit draws in its worst state counts,
and a tool of 12 A at the farthest receptacle, as in `solver.conductors`.
"""

from collections.abc import Iterator, Sequence

from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import drop_percent, voltage_drop_v
from solver.bound.near import Near
from solver.bound.parts import PLUGGED_VOLTS
from solver.circuit import Circuits
from solver.conductors import ASSUMED_PLUG_LOAD_AMPS
from solver.load import Load
from solver.wiring import Wiring


class Drops:
    """Voltage drops of circuits of one shop, at least."""

    def __init__(self, circuits: Circuits, near: Near) -> None:
        self.circuits, self.near = circuits, near

    def reaches(self, load: Load, awg: str, panel: str) -> bool:
        """Whether a conductor keeps the voltage on the straightest way to each box by itself."""
        far_ft, ohm = self.near.from_panel(panel), ohm_per_kft(awg)
        drawn = [*self._drawn(load), *((ASSUMED_PLUG_LOAD_AMPS, box) for box in _plugged(load))]
        drops = (voltage_drop_v(amps, far_ft.get(box, 0.0), ohm) for amps, box in drawn)
        return self._keeps(max(drops, default=0.0), load.volts)

    def keeps(self, wiring: Wiring, runs: Sequence[tuple[str, str]]) -> bool:
        """Whether a tree of runs, each from a box that is reached already, keeps the voltage."""
        load, ohm = wiring.load, ohm_per_kft(wiring.awg)
        flow: dict[str, float] = {}
        for amps, box in self._drawn(load):
            flow[box] = flow.get(box, 0.0) + amps
        for start, end in reversed(runs):
            flow[start] = flow.get(start, 0.0) + flow.get(end, 0.0)
        far_ft, lost_v = {wiring.panel: 0.0}, {wiring.panel: 0.0}
        for start, end in runs:
            length = self.near.run_ft(start, end)
            far_ft[end] = far_ft[start] + length
            lost_v[end] = lost_v[start] + voltage_drop_v(flow.get(end, 0.0), length, ohm)
        most = max(lost_v.values())
        plugged = [far_ft[box] for box in _plugged(load)]
        if plugged:
            most = max(most, voltage_drop_v(ASSUMED_PLUG_LOAD_AMPS, max(plugged), ohm))
        return self._keeps(most, load.volts)

    def _drawn(self, load: Load) -> Iterator[tuple[float, str]]:
        """Currents of the worst state with their boxes."""
        yokes = self.circuits.points.yokes
        for machine in load.running:
            at = load.placed[machine]
            yield load.amps[machine], (yokes[at].box if at in yokes else None) or at
        yield from ((amps, box) for box, amps in load.lights_amps.items())

    def _keeps(self, drop_v: float, volts: int) -> bool:
        return self.circuits.keeps_voltage(drop_percent(drop_v, volts))


def _plugged(load: Load) -> list[str]:
    """Boxes where a tool of 120 V may be plugged in."""
    if load.volts != PLUGGED_VOLTS:
        return []
    return [point.box for point in load.outlets if point.receptacles and point.box]
