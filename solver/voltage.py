"""What the outlets of one circuit lose of its voltage, in the state that costs each of them most.

Currents as the machines draw them, added up along the runs; 12 A of a tool alone at the farthest
receptacle. Amperes, feet, volts; two wires of one size, out and back.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from models.formulas.voltage_drop import voltage_drop_v
from solver.load import Load, Loads
from solver.points import Points

ASSUMED_PLUG_LOAD_AMPS: Final = 12.0  # common practice, no source
LOW_VOLTS: Final = 120

Run = tuple[str, str, float]  # from, to, how long; it starts at the panel or where one has come to
Drawn = Mapping[str, tuple[str, float]]  # of each machine its box, and what it draws


class Losses:
    """What may be lost along the runs of one circuit, each machine by itself.

    `lit`: current of luminaires at their boxes; `plugged`: boxes with a receptacle for a tool.
    """

    def __init__(
        self,
        runs: Sequence[Run],
        drawn: Drawn,
        lit: Mapping[str, float],
        plugged: Collection[str],
        ohm_per_kft: float,
    ) -> None:
        far_ft = {start: 0.0 for start, _, _ in runs[:1]}
        for start, end, length in runs:
            far_ft[end] = far_ft[start] + length
        farthest = max((far_ft[box] for box in plugged), default=0.0)
        self.tool_v = voltage_drop_v(ASSUMED_PLUG_LOAD_AMPS, farthest, ohm_per_kft)
        self.boxes: list[tuple[float, float, dict[str, float]]] = []
        each_v = voltage_drop_v(1.0, 1.0, ohm_per_kft)
        for box in {*lit, *(box for box, _ in drawn.values())}:
            shared_ft = _shared_ft(runs, box)
            along = {name: each_v * amps * shared_ft[at] for name, (at, amps) in drawn.items()}
            lights = each_v * sum(amps * shared_ft[at] for at, amps in lit.items())
            self.boxes.append((lights + sum(along.values()), lights, along))
        self.boxes.sort(key=lambda one: -one[0])  # first where most is lost with everything on

    def most_v(self, loads: Loads) -> float:
        """The most that any outlet loses, over all binding days and states. [V]"""
        most = self.tool_v
        for at_once, lights, along in self.boxes:
            if at_once <= most:
                break
            most = max(most, lights + loads.worst(along)[1].load)
        return most

    def exceed(self, wished_v: float, loads: Loads, running: Collection[str]) -> bool:
        """Whether any outlet loses more than is wished; `running`: a state there may be."""
        if self.tool_v > wished_v:
            return True
        doubtful = [one for one in self.boxes if one[0] > wished_v]
        return any(
            lights + sum(along[name] for name in running) > wished_v
            for _, lights, along in doubtful
        ) or any(lights + loads.worst(along)[1].load > wished_v for _, lights, along in doubtful)


def losses_of(points: Points, load: Load, runs: Sequence[Run], ohm_per_kft: float) -> Losses:
    """What a load may lose along some runs."""
    drawn = {name: (points.box_at(at), load.amps[name]) for name, at in load.placed.items()}
    low = load.volts == LOW_VOLTS
    plugged = {point.box for point in load.outlets if low and point.receptacles and point.box}
    return Losses(runs, drawn, load.lights_amps, plugged, ohm_per_kft)


def _shared_ft(runs: Sequence[Run], box: str) -> dict[str, float]:
    """How far the way to each end of a run is the way to a box too. [ft]"""
    on_the_way = set(_way_to(runs, box))
    shared = {runs[0][0]: 0.0}
    for start, end, length in runs:
        shared[end] = shared[start] + (length if end in on_the_way else 0.0)
    return shared


def _way_to(runs: Sequence[Run], box: str) -> Iterator[str]:
    """Ends of the runs that lead to a box."""
    come = {end: start for start, end, _ in runs}
    while box in come:
        yield box
        box = come[box]
