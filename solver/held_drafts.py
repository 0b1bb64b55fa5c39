"""Where a machine that may come is plugged in as it is, and what its circuit then carries. [A]"""

from collections.abc import Iterable, Iterator, Sequence

from models.plan import CircuitPlan, HeldPlug, Worst
from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.points import yoke_of
from solver.worst import run_ampacity, worst_of


def held_plugs(
    circuits: Circuits,
    chosen: Iterable[Candidate],
    plans: Sequence[CircuitPlan],
    taken: frozenset[str],
) -> Iterator[tuple[str, HeldPlug]]:
    """For each machine that a circuit holds, its receptacle; `taken`: outlets with a machine."""
    for made in chosen:
        what = made.for_later
        if what is None or what.seat is None or what.seat.how != "held":
            continue
        yoke = what.seat.yoke
        machine = circuits.plugs.machines[what.machine]
        found = [
            (circuit, outlet)
            for circuit in plans
            for outlet in circuit.outlets
            if yoke_of(outlet, circuits.points.yokes) == yoke and outlet not in taken
        ]
        named = [one for one in found if one[1] == machine.receptacle]
        circuit, outlet = min(named or found, key=lambda one: one[1] != f"{yoke}.top")
        yield (
            machine.id,
            HeldPlug(
                outlet=outlet,
                circuit=circuit.id,
                worst=_worst(circuits, circuit, machine.id),
            ),
        )


def _worst(circuits: Circuits, circuit: CircuitPlan, machine: str) -> Worst | None:
    """The state that then loads the circuit most."""
    then, panel = circuits.plugs.then(machine), circuits.panels[circuit.panel]
    ampacity = min(run_ampacity(run, circuit.conductor.awg, panel) for run in circuit.runs)
    after = circuit.model_copy(update={"machines": (*circuit.machines, machine)})
    return worst_of(then.points, then.loads, after, ampacity)
