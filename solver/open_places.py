"""Where a machine with a plug could be plugged in as a plan is: free receptacles that its cord
reaches, on circuits that carry it with all that runs beside it on a binding day. Amperes.

By loads, plug, cord and receptacle; the voltage drop is not looked at, and no circuit was chosen
with it in mind.
"""

from collections.abc import Iterator
from typing import NamedTuple

from models.formulas.motors import motor_conductor_amps
from models.formulas.receptacles import largest_cord_load_amps, receptacle
from models.plan import OutletPlan, Plan
from models.reach import receptacles_in_reach
from models.rules.reading import CONTINUOUS, Reading, amps_text, machine_amps, names
from models.shop import FutureMachine, Shop


class OpenPlace(NamedTuple):
    """A receptacle with room: what its circuit then carries at worst, of what it may."""

    outlet: str
    circuit: str
    state: tuple[str, ...]
    amps: float
    limit_amps: float

    @property
    def says(self) -> str:
        """The place in words."""
        carried = f"{names(self.state)} = {amps_text(self.amps)} of {amps_text(self.limit_amps)}"
        return f"plugged in at {self.outlet} on {self.circuit} as it is, by load: {carried}"


def open_place(plan: Plan, shop: Shop, machine: FutureMachine) -> OpenPlace | None:
    """The place with the most room to spare; None where there is none."""
    found = _open_places(plan, shop, machine)
    return min(found, key=lambda one: (one.amps / one.limit_amps, one.outlet), default=None)


def _open_places(plan: Plan, shop: Shop, machine: FutureMachine) -> Iterator[OpenPlace]:
    """Every place that has room."""
    then = shop.model_copy(update={"machines": (*shop.machines, machine)})
    reading, amps = Reading(plan, then), machine_amps(machine)
    reach = {fitting.yoke_id for fitting in receptacles_in_reach(then, machine)}
    taken = {one.outlet for one in plan.machines}
    for outlet in plan.outlets:
        if outlet.yoke not in reach or outlet.id in taken or outlet.volts != machine.volts:
            continue
        place = _loaded(reading, outlet, machine)
        breaker = round(reading.circuits[outlet.circuit].breaker.amps)
        rating = receptacle(outlet.configuration or "").amps
        cord = largest_cord_load_amps(breaker, rating, individual=False)
        if place is not None and amps <= cord and place.amps <= place.limit_amps:
            yield place


def _loaded(reading: Reading, outlet: OutletPlan, machine: FutureMachine) -> OpenPlace | None:
    """What the circuit of an outlet then carries at worst."""
    circuit = reading.circuits[outlet.circuit]
    on = [*reading.machines_on(circuit), machine]
    loads = {one.id: machine_amps(one) * (CONTINUOUS if one.lasting else 1.0) for one in on}
    if machine.motor_hp is not None:
        loads[machine.id] = motor_conductor_amps(machine_amps(machine))
    worst = reading.worst(loads, CONTINUOUS * reading.luminaire_amps(circuit))
    if worst is None:
        return None
    state = tuple(name for name in worst.state if name in loads)
    limit = reading.limit_amps(circuit)
    return OpenPlace(outlet.id, circuit.id, state, worst.amps, limit)
