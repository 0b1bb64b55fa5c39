"""Machines that may come with a plug: the circuit that holds one, or its receptacle of that day.

That a circuit holds it is found by the checks of a circuit themselves, with the machine plugged in
in plan and shop. Amperes, cubic inches.
"""

from collections.abc import Iterator, Set
from itertools import chain
from typing import Final

from models.box_sizes import box_volume_in3
from models.formulas.box_fill import box_fill_in3
from models.formulas.receptacles import (
    largest_cord_load_amps,
    receptacle,
    receptacle_rating_allowed,
)
from models.gfci import place_in_scope, receptacle_needs_gfci, vehicle_receptacle_needs_gfci
from models.part_keys import box_key, device_key
from models.plan import Finding, LaterMachinePlan, MachinePlan, OutletPlan, Role, Worst
from models.reach import receptacles_open_to
from models.rules import (
    after_changeovers,
    box_fill,
    breaker_load,
    cord_and_plug,
    coverage,
    gfci,
    motors,
    nameplates,
    portable_tools,
    required_outlets,
    voltage_drop,
)
from models.rules.circuit_checks import CIRCUIT_CHECKS
from models.rules.reading import Reading, machine_amps
from models.rules.rule import SAME_AMPS
from models.shop import FutureMachine

ASKED_AGAIN: Final = (  # with the machine plugged in
    coverage,
    *CIRCUIT_CHECKS,
    voltage_drop,
    motors,
    nameplates,
    gfci,
    after_changeovers,
)
SHOP_CHECKS: Final = (required_outlets, portable_tools)  # that ask for receptacles to be there


def receptacle_faults(
    reading: Reading, one: LaterMachinePlan, machine: FutureMachine
) -> Iterator[str]:
    """What is wrong with the receptacle of a machine."""
    if machine.plug is None or one.chosen is None:
        if (one.yoke, one.configuration, one.held) != (None, None, None):
            yield f"{one.machine} has no receptacle in this plan"
        return
    lies = one.choice in ("raceway", "room", "run")
    if (one.configuration is None) == (one.held is None) or (lies and not one.yoke):
        yield f"{one.machine} has one receptacle: held by a circuit, in the place of one, or beside"
    elif one.held is not None:
        yield from _held_faults(reading, one, machine)
    else:
        yield from _own_faults(reading, one, machine)
    found = receptacles_open_to(reading.shop, machine)
    open_to = {fitting.yoke_id for fitting in found if fitting.box.id == one.box}
    at = {yoke for yoke in open_to if yoke in (one.yoke, _yoke_held(reading, one))}
    if not open_to or (not at and (one.yoke or one.held)):
        yield f"no cord of {one.machine} comes to its receptacle at {one.box}"
    others = [x for x in reading.plan.later_machines or () if x.machine != one.machine]
    if at & {yoke for x in others for yoke in (x.yoke, _yoke_held(reading, x))}:
        yield f"{min(at)} is given to another machine that may come"


def _yoke_held(reading: Reading, one: LaterMachinePlan) -> str | None:
    """The yoke of the receptacle where a circuit holds a machine."""
    outlet = reading.outlets.get(one.held.outlet) if one.held else None
    return None if outlet is None else outlet.yoke


# -- held by a circuit


def _held_faults(reading: Reading, one: LaterMachinePlan, machine: FutureMachine) -> Iterator[str]:
    """A circuit that does not hold a machine."""
    held = one.held
    assert held is not None
    outlet = reading.outlets.get(held.outlet)
    if outlet is None or outlet.circuit != held.circuit or held.circuit not in reading.circuits:
        yield f"{held.outlet} is no receptacle of {held.circuit}"
        return
    if machine.receptacle not in (None, outlet.id, outlet.yoke):
        yield f"{machine.id} is to be plugged in at {machine.receptacle}"
    others = [x.held for x in reading.plan.later_machines or () if x.machine != one.machine]
    if any(other and other.circuit == held.circuit for other in others):
        yield f"{held.circuit} is to hold two machines that may come"
    if held.worst is None:
        yield f"what {held.circuit} carries with {machine.id} is not told"
    yield from faults_with(reading, machine, outlet, held.worst)


def faults_with(
    reading: Reading, machine: FutureMachine, outlet: OutletPlan, worst: Worst | None = None
) -> Iterator[str]:
    """What the checks of circuits find, once a machine is plugged in, that they did not before.

    `worst`: what the plan says of the circuit then; without it no such claim is looked at.
    """
    then = plugged_in(reading, machine, outlet, worst)
    if "circuit faults" not in reading.kept:
        found_now = _found(reading)
        reading.kept["circuit faults"] = {(one.rule, one.where, one.says) for one in found_now}
    before = reading.kept["circuit faults"]
    for found in _found(then):
        claim = worst is None and found.rule == breaker_load.CLAIM.id
        if not claim and (found.rule, found.where, found.says) not in before:
            yield found.says


def plugged_in(
    reading: Reading, machine: FutureMachine, outlet: OutletPlan, worst: Worst | None
) -> Reading:
    """Plan and shop with a machine at a receptacle."""
    amps, table = machine_amps(machine), machine.motor_hp is not None
    placed = MachinePlan(
        id=machine.id,
        name=machine.name,
        volts=machine.volts,
        outlet=outlet.id,
        hard_wired_at=None,
        amps_table=amps if table else None,
        amps_nameplate=None if table else amps,
        circuit=outlet.circuit,
        portable=machine.portable,
    )
    plan, shop = reading.plan, reading.shop
    circuits = tuple(
        circuit.model_copy(
            update={
                "machines": tuple(sorted((*circuit.machines, machine.id))),
                "worst": worst,
                "voltage_drop_percent": None,
            }
        )
        if circuit.id == outlet.circuit
        else circuit
        for circuit in plan.circuits
    )
    update = {"machines": (*plan.machines, placed), "circuits": circuits}
    return Reading(
        plan.model_copy(update=update),
        shop.model_copy(update={"machines": (*shop.machines, machine)}),
    )


def _found(reading: Reading) -> Iterator[Finding]:
    """Violations of circuits, and drops beyond what is wished."""
    for found in chain.from_iterable(check.check(reading) for check in ASKED_AGAIN):
        if found.severity == "violation" or found.rule == voltage_drop.DROP.id:
            yield found


# -- a receptacle of its own


def _own_faults(reading: Reading, one: LaterMachinePlan, machine: FutureMachine) -> Iterator[str]:
    """A receptacle that does not suit a machine or its circuit, or that cannot be had."""
    made, name = one.circuit, one.configuration or ""
    if made is None:
        return
    found, breaker = receptacle(name), int(made.breaker_amps)
    suits = cord_and_plug.fits(machine, name) and found.for_new_circuits
    rated = receptacle_rating_allowed(breaker, found.amps, single=True, edition=reading.edition)
    most = largest_cord_load_amps(breaker, found.amps, individual=True)
    if not (suits and rated) or machine_amps(machine) > most + SAME_AMPS:
        yield f"a single {name} behind {breaker} A does not suit {one.machine}"
    if one.yoke is not None:
        yield from _changing_faults(reading, one)
        return
    sizes = [line.key.removeprefix("box ") for line in one.takeoff if line.key.startswith("box ")]
    needed = box_fill_in3(
        [made.awg] * 2,
        [(made.awg, 1)],
        [made.ground_awg],
        internal_clamps=False,
        edition=reading.edition,
    )
    if len(sizes) != 1 or box_volume_in3(sizes[0]) < needed:
        yield f"a box for the receptacle of {one.machine} holds {needed:g} in³"


def _changing_faults(reading: Reading, one: LaterMachinePlan) -> Iterator[str]:
    """A receptacle that its circuit cannot do without."""
    here = [outlet for outlet in reading.plan.outlets if outlet.yoke == one.yoke]
    ids = {outlet.id for outlet in here}
    used = [machine.id for machine in reading.plan.machines if machine.outlet in ids]
    if not here or any(outlet.life != "new" or outlet.switched_by for outlet in here):
        yield f"{one.yoke} is no receptacle of new work that could leave its circuit"
        return
    if used:
        yield f"{one.yoke} cannot leave its circuit: {used[0]} is plugged in there"
    others = [o for o in reading.plan.outlets if o.circuit == here[0].circuit and o.id not in ids]
    if not others or any(other.protected_by == one.yoke for other in others):
        yield f"{here[0].circuit} cannot do without {one.yoke}"
    yield from (f"without {one.yoke} {says}" for says in _missed(reading, ids))
    box, needed = reading.boxes.get(one.box or ""), _fill_then(reading, one)
    if box is None or box.volume_in3 is None or needed > box.volume_in3 + box_fill.SAME_IN3:
        yield f"{one.box} then needs {needed:g} in³ for the conductors of {one.machine}"


def _missed(reading: Reading, leaving: Set[str]) -> Iterator[str]:
    """What the shop asks for and lacks once some outlets have left: a receptacle in a vehicle bay
    or on the circuit of a garage, a place for portable tools.
    """
    left = tuple(outlet for outlet in reading.plan.outlets if outlet.id not in leaving)
    then = Reading(reading.plan.model_copy(update={"outlets": left}), reading.shop)
    today = {(found.rule, found.where, found.says) for found in _asked(reading)}
    for found in _asked(then):
        if (found.rule, found.where, found.says) not in today:
            yield found.says


def _asked(reading: Reading) -> Iterator[Finding]:
    """Receptacles that a shop asks for and that are not there."""
    return chain.from_iterable(check.check(reading) for check in SHOP_CHECKS)


def receptacle_parts(reading: Reading, one: LaterMachinePlan) -> dict[str, float]:
    """The receptacle of that day, and the box that is set for it, of the size the plan names."""
    if one.configuration is None:
        return {}
    found = {device_key("single", one.configuration): 1.0}
    if one.yoke is not None:
        return found
    box = reading.boxes_of_shop.get(one.box or "")
    size = next((line.key for line in one.takeoff if line.key.startswith("box ")), box_key("?"))
    return found | {size: 1.0, "cover in-use" if box and box.outdoors else "trim 1 gang": 1.0}


def asks_for_gfci(reading: Reading, one: LaterMachinePlan, machine: FutureMachine) -> bool:
    """Whether a receptacle of its own asks for ground-fault protection."""
    shop, edition, name = reading.shop, reading.edition, one.configuration or ""
    box = reading.boxes_of_shop.get(one.box or "")
    listed = box is not None and place_in_scope(shop, box, edition) is not None
    charger = machine.kind == "vehicle charger" and vehicle_receptacle_needs_gfci(edition, name)
    return charger or (listed and receptacle_needs_gfci(shop.building, edition, name))


def _fill_then(reading: Reading, one: LaterMachinePlan) -> float:
    """Volume that the box of a receptacle then needs, with the conductors of its circuit. [in³]"""
    box, made = reading.boxes.get(one.box or ""), one.circuit
    if box is None or made is None or one.yoke is None:
        return 0.0
    wires: list[tuple[Role, str]] = [("hot", made.awg), ("neutral", made.awg)]
    wires = [] if one.run or one.room else [*wires, ("ground", made.ground_awg)]
    drawn = reading.plan.rooms
    return box_fill.fill_in3(reading, box, drawn, wires, {one.yoke: made.awg})
