"""Changeovers that a plan prepares for: a machine that takes its other voltage where it is plugged
in now. Amperes at the new voltage go by the same power.

Left aside: a machine that moves, takes another receptacle, is carried about or may change in
several ways.
"""

from typing import Final

from models.formulas.receptacles import plug_fits, receptacle
from models.naming import called
from models.plan import Plan
from models.reach import known_configurations
from models.shop import Changeover, FutureMachine, Later, Machine, Shop
from models.shop_edit import changed

USUAL_CONFIGURATIONS: Final = {
    240: ("6-15R", "6-20R", "6-30R", "6-50R"),
    120: ("5-15R", "5-20R"),
}  # where the plug to come is not told
SPARE_MARK: Final = "spare"  # on both ends of a conductor pulled for later
_AMPERES: Final = ("marked_amps", "mca_amps", "mocp_amps", "i1max_amps", "i1eff_amps")


def planned_changeovers(shop: Shop) -> dict[str, Changeover]:
    """The changeovers that are prepared for, by machine."""
    machines = {machine.id: machine for machine in shop.machines}
    named = [change.machine for change in shop.later.changeovers]
    return {
        change.machine: change
        for change in sorted(shop.later.changeovers, key=lambda one: one.machine)
        if named.count(change.machine) == 1 and _in_place(machines.get(change.machine), change)
    }


def counted_share(later: Later, one: Changeover | FutureMachine) -> float:
    """The part of a cost of that day that counts today: its likelihood, less the shop's discount
    for the years until then.

    Present value, 1 / (1 + rate)^years, as any book of engineering economy has it.
    """
    growth: float = (1 + (later.discount or 0.0)) ** one.within_years
    return round(one.likelihood / growth, 6)


def _in_place(machine: Machine | None, change: Changeover) -> bool:
    """Whether only the voltage, and with it the plug, changes."""
    moves = (change.at, change.hard_wired_at, change.plugs_into) != (None, None, None)
    return (
        machine is not None
        and not machine.portable
        and not moves
        and change.volts not in (None, machine.volts)
    )


def changed_machine(machine: Machine, change: Changeover, configuration: str | None) -> Machine:
    """A machine after its changeover, with a plug for the receptacle that it then gets."""
    volts = change.volts or machine.volts
    amps = {
        name: round(given * machine.volts / volts, 3)
        for name in _AMPERES
        if (given := getattr(machine, name)) is not None
    }
    plug = machine.plug
    if configuration is not None:
        plug = change.plug or f"{configuration[:-1]}P"
    return machine.model_copy(update={"volts": volts, "plug": plug, **amps})


def shop_after(shop: Shop, change: Changeover, yoke: str, configuration: str | None) -> Shop:
    """A shop after a changeover: the machine at its yoke, which has its receptacle to come alone.

    `yoke`: the box of a machine that is wired. The machine may change back; nothing else is later.
    """
    now = next(machine for machine in shop.machines if machine.id == change.machine)
    then = changed_machine(now, change, configuration)
    if configuration is not None:
        box = next(box for box in shop.boxes if yoke in box.yoke_ids)
        texts = [
            f"single {configuration}" if name == yoke else text
            for name, text in zip(box.yoke_ids, box.yokes, strict=True)
        ]
        shop = changed(shop, [(f"boxes[{box.id}].yokes", texts)])
        then = then.model_copy(update={"plugs_into": yoke})
    then = then.model_copy(update={"reconnects_to_volts": now.volts})
    machines = tuple(then if one.id == then.id else one for one in shop.machines)
    return shop.model_copy(update={"machines": machines, "later": Later()})


def new_configurations(machine: Machine, change: Changeover) -> tuple[str | None, ...]:
    """Receptacles that may serve a machine after its changeover; None alone where it is wired."""
    if machine.plug is None:
        return (None,)
    volts = change.volts or machine.volts
    if change.plug is None:
        return USUAL_CONFIGURATIONS[volts]
    return fitting_configurations(change.plug, volts)


def fitting_configurations(plug: str, volts: int) -> tuple[str, ...]:
    """Receptacles of a new circuit of two wires that a plug goes into."""
    fitting = [name for name in sorted(known_configurations()) if plug_fits(plug, name)]
    found = ((name, receptacle(name)) for name in fitting)
    return tuple(
        name
        for name, made in found
        if made.volts == volts and made.for_new_circuits and not (made.hots > 1 and made.neutral)
    )


def changeover_of(machine: str) -> str:
    """What a panel space is kept for, beside the breaker of a machine that may change."""
    return f"changeover of {machine}"


def later_machine_of(machine: str) -> str:
    """What panel spaces are kept for that a machine to come will need."""
    return f"later machine {machine}"


def coming_names(plan: Plan) -> dict[str, str]:
    """What the shop calls the machines that may come, by id."""
    machines = plan.source.shop.get("later", {}).get("machines", [])
    return {one["id"]: one.get("name") or one["id"] for one in machines}


def kept_words(plan: Plan, reserved: str | None) -> str:
    """What a directory says of a space without a breaker; machines by name."""
    if not reserved:
        return "not used"
    kept = {changeover_of(key): changeover_of(name) for key, name in called(plan.machines).items()}
    kept |= {
        later_machine_of(key): later_machine_of(name) for key, name in coming_names(plan).items()
    }
    return f"kept for the {kept[reserved]}" if reserved in kept else "kept free"
