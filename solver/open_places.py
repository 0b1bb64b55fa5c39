"""Where a machine with a plug could be plugged in as a plan is: free receptacles that its cord
reaches, on circuits that carry it by every check of a circuit. Amperes.

For plans that say nothing of it: no circuit was chosen with it in mind.
"""

from collections.abc import Iterator
from typing import NamedTuple

from models.plan import Plan
from models.reach import receptacles_open_to
from models.rules.later_receptacles import faults_with, plugged_in
from models.rules.reading import Reading, amps_text
from models.shop import FutureMachine, Shop


class OpenPlace(NamedTuple):
    """A receptacle with room: what its circuit then carries at worst, of what it may."""

    outlet: str
    circuit: str
    running: str
    amps: float
    limit_amps: float

    @property
    def says(self) -> str:
        """The place in words."""
        carried = f"{self.running} = {amps_text(self.amps)} of {amps_text(self.limit_amps)}"
        return f"plugged in at {self.outlet} on {self.circuit} as it is: {carried}"


def open_place(plan: Plan, shop: Shop, machine: FutureMachine) -> OpenPlace | None:
    """The place with the most room to spare; None where there is none."""
    reading = Reading(plan, shop)
    found = _loaded(reading, machine)
    for one in sorted(found, key=lambda one: (one.amps / one.limit_amps, one.outlet)):
        if not any(faults_with(reading, machine, reading.outlets[one.outlet])):
            return one
    return None


def _loaded(reading: Reading, machine: FutureMachine) -> Iterator[OpenPlace]:
    """Every free receptacle in reach whose circuit carries the load."""
    reach = {fitting.yoke_id for fitting in receptacles_open_to(reading.shop, machine)}
    taken = {one.outlet for one in reading.plan.machines}
    for outlet in reading.plan.outlets:
        named = machine.receptacle in (None, outlet.id, outlet.yoke)
        if outlet.yoke not in reach or outlet.id in taken or not named:
            continue
        circuit = reading.circuits[outlet.circuit]
        then = plugged_in(reading, machine, outlet, None)
        worst = then.worst_on(circuit)
        limit = reading.limit_amps(circuit)
        if worst is not None and worst.amps <= limit:
            yield OpenPlace(outlet.id, circuit.id, then.names(worst.state), worst.amps, limit)
