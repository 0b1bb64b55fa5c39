"""The load calculation in the plan: made again from the finished plan, line by line. VA, ft².

What a feeder serves is read from the circuits, outlets, yokes and machines that hang on it, and
from the nameplates and interlocks of the shop.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import zip_longest

from models.formulas.load_calculation import YOKE_VA, feeder_amps
from models.formulas.shop_feeder import (
    Interlock,
    Line,
    MachineLoad,
    Nameplate,
    ShopFeeder,
    area_lit_ft2,
    floor_area_ft2,
    floor_counted,
    shop_feeder_lines,
    total_va,
)
from models.plan import CircuitPlan, Finding, LoadLine, MachinePlan, OutletPlan
from models.rules.feeders import legs_of, panels_before
from models.rules.reading import (
    LUMINAIRE_VOLTS,
    Reading,
    amps_text,
    configuration_of,
    machine_amps,
)
from models.rules.rule import RuleText, registry
from models.shop import Machine
from models.states import WorkingRules

CLAIM = RuleText(
    "load-calculation",
    "The load calculation",
    "Every line of a feeder's load calculation is what the finished plan gives: words,"
    " volt-amperes and section.",
    "plan file",
    "plan",
)
RULES = registry(CLAIM)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each line that is wrong or missing, a warning where all are."""
    edition = reading.plan.made_by.edition
    for feeder in reading.plan.feeders:
        lines = shop_feeder_lines(served(reading, feeder.to, edition))
        if feeder.load_calculation is None:
            va = total_va(lines)
            says = f"the feeder of {feeder.to} has no load calculation in the plan; it comes to"
            yield CLAIM.finding(
                feeder.to,
                f"{says} {va} VA, {amps_text(feeder_amps(va))}",
                edition=edition,
                severity="warning",
                detail="missing",
                fix="plan the shop again",
            )
            continue
        for number, (claim, line) in enumerate(zip_longest(feeder.load_calculation, lines), 1):
            if _text(claim) != _text(line):
                yield CLAIM.finding(
                    feeder.to,
                    f"line {number} of the load calculation of {feeder.to} is {_text(claim)},"
                    f" the plan gives {_text(line)}",
                    edition=edition,
                    detail=f"{number}",
                    fix="work out the load calculation again",
                )


def _text(line: LoadLine | Line | None) -> str:
    """A line in words."""
    return f"“{line.says}” {line.va} VA, {line.source}" if line else "not there"


def calculated_amps(reading: Reading, panel: str) -> int:
    """The load of a panel's feeder by article 220, in the edition it is read in. [A]"""
    return feeder_amps(total_va(shop_feeder_lines(served(reading, panel, reading.edition))))


def leg_amps(reading: Reading, panel: str, leg: str, *, to_neutral: bool = False) -> int:
    """What the calculation puts on one leg, or of it line to neutral. [A]

    As Annex D Example D1(b) does: the leg with all that hangs on it, its own largest motor at
    125 %. Receptacles have their demand factor above 10 kVA on a leg.
    """
    on_leg = served(reading, panel, reading.edition, leg, to_neutral=to_neutral)
    return feeder_amps(total_va(shop_feeder_lines(on_leg)), LUMINAIRE_VOLTS)


def served(
    reading: Reading, panel: str, edition: int, leg: str | None = None, *, to_neutral: bool = False
) -> ShopFeeder:
    """What a feeder serves, through panels that hang on it; one leg of it; or that to neutral.

    On one leg a load counts with its current at 120 V.
    """
    plan, shop = reading.plan, reading.shop
    behind = [
        circuit
        for circuit in plan.circuits
        if any(before.id == panel for before in panels_before(shop, circuit.panel))
    ]
    circuits = {
        circuit.id
        for circuit in behind
        if (leg is None or leg in legs_of(circuit))
        and (not to_neutral or _has_neutral(reading, circuit))
    }
    placed = [m for m in plan.machines if not reading.machines_of_shop[m.id].portable]
    outlets = [
        outlet
        for outlet in plan.outlets
        if outlet.circuit in circuits
        and (leg is None or leg in legs_of(reading.circuits[outlet.circuit], outlet.volts))
        and not (to_neutral and _between_hots(reading, outlet))
    ]
    fed = {outlet.id for outlet in outlets}
    yokes = {o.yoke for o in outlets if o.kind == "receptacle"} - _taken(reading, placed)
    lights = [reading.box_of_shop(o) for o in outlets if o.kind == "luminaire"]
    building, use = shop.building, shop.use
    feeder = ShopFeeder(
        edition=edition,
        floor=floor_counted(building.kind, edition, dwelling=building.dwelling),
        area_ft2=_area_lit_ft2(reading, behind) / (1 if leg is None else 2),
        luminaires_va=sum(box.luminaire_watts or 0 for box in lights),
        yokes=len(yokes),
        machines=tuple(
            _load(reading.machines_of_shop[machine.id], edition, on_leg=leg is not None)
            for machine in placed
            if (outlet := reading.outlet_of(machine)) and outlet.id in fed
        ),
        interlocks=tuple(
            Interlock(frozenset(group.machines), group.at_most)
            for group in use.never_together
            if group.by == "interlock"
        ),
    )
    if shop.code.noncoincident != "attended":
        return feeder
    rules = WorkingRules.of(shop.machines, use, promises=False)
    crews = reading.crews.values()
    return feeder._replace(
        sets=rules.heaviest(feeder.counted_va(), crews, feeder.largest_motor_va())
    )


def _area_lit_ft2(reading: Reading, circuits: Sequence[CircuitPlan]) -> float:
    """The floor that the luminaires of some circuits light. [ft²]"""
    lit = round(LUMINAIRE_VOLTS * sum(map(reading.luminaire_amps, circuits)))
    everything = sum(box.luminaire_watts or 0 for box in reading.shop.boxes)
    return area_lit_ft2(floor_area_ft2(reading.shop.building.corners), lit, everything)


def _taken(reading: Reading, placed: list[MachinePlan]) -> set[str | None]:
    """Yokes that machines of their own load with 180 VA at least."""
    load_va: Counter[str | None] = Counter()
    for machine in placed:
        if machine.outlet in reading.outlets:
            of_shop = reading.machines_of_shop[machine.id]
            load_va[reading.outlets[machine.outlet].yoke] += round(
                machine_amps(of_shop) * of_shop.volts
            )
    return {yoke for yoke, va in load_va.items() if va >= YOKE_VA}


def _between_hots(reading: Reading, outlet: OutletPlan) -> bool:
    """Whether an outlet takes both hots, on a circuit whose neutral serves others."""
    circuit = reading.circuits[outlet.circuit]
    return circuit.is_mixed and outlet.volts == circuit.volts


def _has_neutral(reading: Reading, circuit: CircuitPlan) -> bool:
    """Whether a circuit carries load to neutral: 120 V, or a receptacle that brings it out."""
    found = (configuration_of(outlet) for outlet in reading.receptacles_on(circuit))
    return len(circuit.fed_from) == 1 or any(one.neutral for one in found if one)


def _load(machine: Machine, edition: int, *, on_leg: bool) -> MachineLoad:
    """A machine as the calculation wants it; on one leg its current at 120 V."""
    load = MachineLoad(
        id=machine.id,
        name=machine.name,
        kind=machine.kind,
        nameplate=_nameplate(machine),
        volts=machine.volts,
        amps=machine_amps(machine),
        continuous=machine.continuous,
    )
    return load.on_one_leg(edition) if on_leg else load


def _nameplate(machine: Machine) -> Nameplate:
    """Which kind of nameplate a machine has."""
    if machine.motor_hp is not None:
        return "motor"
    if machine.marked_amps is not None:
        return "marked"
    if machine.mca_amps is not None:
        return "mca"
    return "power" if machine.i1eff_amps is None else "i1eff"
