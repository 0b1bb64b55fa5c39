"""The load calculation of a plan's feeder: what the shop and the places of its machines give.

The readings that were taken where the code leaves a choice are told as assumptions.
"""

from collections.abc import Collection, Iterable, Mapping
from typing import Final

from models.crew import Crew
from models.formulas.load_calculation import YOKE_VA
from models.formulas.shop_feeder import (
    Interlock,
    MachineLoad,
    Nameplate,
    ShopFeeder,
    area_lit_ft2,
    floor_area_ft2,
    floor_counted,
    shop_feeder_lines,
    total_va,
)
from models.plan import CircuitPlan, LoadLine, MachinePlan
from models.reach import receptacles_in_reach
from models.shop import Machine, Panel, Shop
from models.shop.machines import NAMEPLATES
from models.states import WorkingRules, binding_days
from solver.panel import panels_behind
from solver.points import machine_amps

FEEDER_VOLTS: Final = 240
KIND_OF: dict[str, Nameplate] = {
    "motor_hp": "motor",
    "marked_amps": "marked",
    "power_watts": "power",
    "mca_amps": "mca",
    "i1max_amps": "i1eff",
}


def load_lines(
    shop: Shop, panel: Panel, placed: Iterable[MachinePlan], circuits: Iterable[CircuitPlan]
) -> tuple[LoadLine, ...]:
    """The lines of the calculation for the feeder of a panel, with the panels that hang on it.

    `placed` says in which receptacle each machine is.
    """
    behind = panels_behind(shop, panel)
    served = [circuit for circuit in circuits if circuit.panel in behind]
    fed = {circuit.id for circuit in served}
    outlets = {outlet for circuit in served for outlet in circuit.outlets}
    here = [machine for machine in placed if machine.circuit in fed and not machine.portable]
    seats = {machine.id: machine.outlet or machine.hard_wired_at or "" for machine in here}
    lines = shop_feeder_lines(shop_feeder(shop, seats, outlets))
    return tuple(LoadLine(says=line.says, va=line.va, source=line.source) for line in lines)


def shop_feeder(shop: Shop, seats: Mapping[str, str], outlets: Collection[str]) -> ShopFeeder:
    """What a feeder serves: machines by where they take their current, and outlets."""
    loads = {machine.id: _load(machine) for machine in shop.machines if machine.id in seats}
    edition, building = shop.code.edition, shop.building
    lit = sum(box.luminaire_watts or 0 for box in shop.boxes if box.id in outlets)
    everything = sum(box.luminaire_watts or 0 for box in shop.boxes)
    feeder = ShopFeeder(
        edition=edition,
        floor=floor_counted(building.kind, edition, dwelling=building.dwelling),
        area_ft2=area_lit_ft2(floor_area_ft2(building.corners), lit, everything),
        luminaires_va=lit,
        yokes=sum(
            sum(loads[name].va for name, at in seats.items() if at in _outlets(yoke)) < YOKE_VA
            for _, yoke, _, _ in shop.receptacles()
            if any(outlet in outlets for outlet in _outlets(yoke))
        ),
        machines=tuple(loads.values()),
        interlocks=tuple(
            Interlock(frozenset(group.machines), group.at_most)
            for group in shop.use.never_together
            if group.by == "interlock"
        ),
    )
    if shop.code.noncoincident == "attended":
        rules = WorkingRules.of(shop.machines, shop.use, promises=False)
        crews = [Crew.of(shop, day) for day in binding_days(shop.use.days)]
        sets = rules.heaviest(feeder.counted_va(), crews, feeder.largest_motor_va())
        feeder = feeder._replace(sets=sets)
    return feeder


def _outlets(yoke: str) -> tuple[str, str, str]:
    """What the receptacles of a yoke may be called."""
    return yoke, f"{yoke}.top", f"{yoke}.bottom"


def _load(machine: Machine) -> MachineLoad:
    """A machine as the calculation wants it."""
    nameplate = next(name for name in NAMEPLATES if getattr(machine, name) is not None)
    return MachineLoad(
        id=machine.id,
        name=machine.name,
        kind=machine.kind,
        nameplate=KIND_OF[nameplate],
        volts=machine.volts,
        amps=machine_amps(machine),
        continuous=machine.continuous,
    )


def load_assumptions(shop: Shop) -> tuple[str, ...]:
    """How the load calculation was read where the code leaves a choice, in sentences."""
    feeder = shop.panel().feeder
    told = [
        "The load calculation is the standard one of article 220, part III: every machine with a"
        " place of its own counts at its rating, whatever the people agree on; only a listed"
        " interlock leaves one out."
        if shop.code.noncoincident != "attended"
        else "The load calculation is the standard one of article 220, part III. The authority is"
        " said to take as noncoincident what the people of a day cannot attend at once (220.60,"
        " 430.26): ask, and keep the answer with the plan. A promise leaves nothing out.",
        "Each receptacle yoke counts once: 180 VA, or the machines that have their place at it."
        " Portable tools are in the 180 VA.",
        "A machine marked in amperes may be the largest motor, unless it heats, charges or runs for"
        " hours.",
        "The feeder's terminals at its far end are taken to be rated as the panel's, and its"
        " conductors to lie by themselves, no hotter than the room of the panel.",
    ]
    floor = floor_counted(shop.building.kind, shop.code.edition, dwelling=shop.building.dwelling)
    if floor == "dwelling unit":
        told.append(
            "The floor is in the area of the dwelling: lights and general receptacles count by"
            " outlets, or at 3 VA for each square foot where that is more; the outline is taken as"
            " the outside."
        )
    elif floor is None:
        told.append(
            "A garage is not in the floor area of its dwelling in this edition: its lights and"
            " receptacles count by outlets all the same."
        )
    elif shop.code.edition >= 2020:
        told.append(
            "The building is taken as a workshop: its lighting counts by floor area where that is"
            " more than its luminaires; the outline is taken as the outside."
        )
    if any(machine.kind == "space heat" for machine in shop.machines):
        told.append("Fixed heat counts at 100 %, at 125 % where the file calls it continuous.")
    if feeder.raceway is None:
        told.append(
            "The file names no raceway for the feeder: what its conductors carry is also told as"
            " for NM cable at 60 °C."
        )
    return tuple(told)


def machines_by_load(shop: Shop) -> list[str]:
    """Machines with a place of their own, those that draw most first."""
    loads = (_load(machine) for machine in shop.machines if not machine.portable)
    return [load.id for load in sorted(loads, key=lambda load: (-load.va, load.id))]


def likely_seats(shop: Shop) -> dict[str, str]:
    """Every machine with a place of its own where the shop says, or at its nearest receptacle."""
    placed = [machine for machine in shop.machines if not machine.portable]
    return {
        m.id: m.hard_wired_at or m.receptacle or receptacles_in_reach(shop, m)[0].yoke_id
        for m in placed
    }


def calculated_va(shop: Shop, seats: Mapping[str, str]) -> int:
    """The calculation of a feeder that carries all, with the machines at these places."""
    return total_va(shop_feeder_lines(_whole_feeder(shop, seats)))


def least_va(shop: Shop) -> int:
    """The same at least, wherever the planner seats machines that the shop gives no receptacle.

    Each of them keeps the 180 VA of one yoke away, at most.
    """
    placed = [machine for machine in shop.machines if not machine.portable]
    seats = {m.id: m.hard_wired_at or m.receptacle or m.id for m in placed}
    feeder = _whole_feeder(shop, seats)
    to_seat = sum(not (m.hard_wired_at or m.receptacle) for m in placed)
    return total_va(shop_feeder_lines(feeder._replace(yokes=max(0, feeder.yokes - to_seat))))


def _whole_feeder(shop: Shop, seats: Mapping[str, str]) -> ShopFeeder:
    """A feeder that carries every outlet."""
    outlets = {yoke for _, yoke, _, _ in shop.receptacles()} | {box.id for box in shop.boxes}
    return shop_feeder(shop, seats, outlets)
