"""The load calculation of a plan's feeder: what the shop and the places of its machines give.

The readings that were taken where the code leaves a choice are told as assumptions.
"""

from collections.abc import Collection, Iterable, Mapping
from itertools import combinations
from typing import Final

from models.crew import Crew
from models.formulas.feeders import feeder_sizes
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
)
from models.plan import CircuitPlan, LoadLine, MachinePlan
from models.shop import Machine, Panel, Shop
from models.shop.machines import NAMEPLATES
from models.shop_edit import Change, changed
from models.states import WorkingRules, binding_days
from models.tables import NotInTableError
from solver.causes import Remedy
from solver.panel import panels_behind
from solver.points import machine_amps

FEEDER_VOLTS: Final = 240
PAIR: Final = 2
MOST_INTERLOCKS: Final = 3
MOST_HEAVY: Final = 6  # machines that an interlock is thought of for
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


def feeder_remedies(shop: Shop, panel: Panel, load_amps: float) -> list[Remedy]:
    """What brings a feeder up to its calculated load: a larger one, or a listed interlock."""
    feeder = _feeder_for(shop, panel, load_amps)
    remedies = [] if feeder is None else [feeder]
    if shop.code.noncoincident is None:
        says = (
            "ask the authority whether it leaves out what nobody is there to attend (220.60,"
            " 430.26), and say `noncoincident: attended`"
        )
        remedies.append(Remedy(says, (("code.noncoincident", "attended"),)))
    heavy = _heaviest(shop)
    if len(heavy) >= PAIR:
        remedies.append(_interlock(shop, *heavy[:PAIR]))
    if feeder is None:
        remedies = [*_several(shop, panel, load_amps), *remedies]
    return remedies


def _heaviest(shop: Shop) -> list[str]:
    """Machines with a place of their own, those that draw most first."""
    loads = (_load(machine) for machine in shop.machines if not machine.portable)
    return [load.id for load in sorted(loads, key=lambda load: (-load.va, load.id))]


def _interlock(shop: Shop, one: str, two: str) -> Remedy:
    """A device that keeps one machine off while another runs."""
    groups = list(shop.canonical()["use"].get("never_together", []))
    lock = {"machines": [one, two], "by": "interlock", "device": "to be chosen"}
    says = f"a listed interlock between {one} and {two}"
    return Remedy(says, (("use.never_together", [*groups, lock]),))


def _feeder_for(shop: Shop, panel: Panel, load_amps: float) -> Remedy | None:
    """A feeder large enough; None where the tables have none."""
    try:
        return _larger_feeder(panel, load_amps, shop.code.edition)
    except NotInTableError:
        return None


def _several(shop: Shop, panel: Panel, load_amps: float) -> list[Remedy]:
    """Less load by the authority's word and by interlocks, until some feeder carries it.

    What each change takes off the calculation is worked out for the whole shop.
    """
    began = _calculated_va(shop)
    taken: list[Remedy] = []
    if shop.code.noncoincident is None:
        says = "the authority's word that what nobody is there to attend is left out"
        taken.append(Remedy(says, (("code.noncoincident", "attended"),)))
    for _ in range(MOST_INTERLOCKS + 1):
        now = changed(shop, [change for remedy in taken for change in remedy.changes])
        left = load_amps - (began - _calculated_va(now)) / FEEDER_VOLTS
        feeder = _feeder_for(now, panel, left)
        if feeder is not None:
            taken.append(feeder)
            changes = {path: value for remedy in taken for path, value in remedy.changes}
            says = "; ".join(remedy.says for remedy in taken)
            return [Remedy(says, tuple(changes.items()))]
        pairs = combinations(_heaviest(now)[:MOST_HEAVY], PAIR)
        locks = [_interlock(now, *pair) for pair in pairs]
        if not locks:
            break
        taken.append(min(locks, key=lambda lock: _calculated_va(changed(now, lock.changes))))
    return []


def _calculated_va(shop: Shop) -> float:
    """The calculation with every machine at the place that the shop file names, or at its own."""
    seats = {
        machine.id: machine.hard_wired_at or machine.receptacle or machine.id
        for machine in shop.machines
        if not machine.portable
    }
    outlets = {yoke for _, yoke, _, _ in shop.receptacles()} | {box.id for box in shop.boxes}
    return sum(line.va for line in shop_feeder_lines(shop_feeder(shop, seats, outlets)))


def _larger_feeder(panel: Panel, load_amps: float, edition: int) -> Remedy:
    """A feeder, and a panel, large enough for the load."""
    material = panel.feeder.conductors.material
    marked_75 = panel.terminals == "75 C"
    sizes = feeder_sizes(
        load_amps,
        load_amps,
        edition=edition,
        material=material,
        terminal_c=75 if marked_75 and panel.feeder.raceway is not None else 60,
    )
    breaker = f"{sizes.breaker_amps} A"
    path = f"supply.panels[{panel.id}]"
    changes: list[Change] = [
        (f"{path}.feeder.breaker", breaker),
        (
            f"{path}.feeder.conductors",
            {
                "hot": sizes.hot_awg,
                "neutral": sizes.hot_awg,
                "ground": sizes.ground_awg,
                "material": material,
            },
        ),
    ]
    says = f"a feeder of {breaker}, {sizes.hot_awg} AWG {material}"
    if panel.bus_amps < sizes.breaker_amps:
        changes.append((f"{path}.bus", breaker))
        says += f", and a panel with a bus of {breaker}"
    if panel.main != "main lug" and panel.main < sizes.breaker_amps:
        changes.append((f"{path}.main", breaker))
        says += f" and a main breaker of {breaker}"
    return Remedy(says, tuple(changes))
