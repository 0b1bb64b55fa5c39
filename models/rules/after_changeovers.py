"""What is prepared, as it will be: circuits and raceways after the chosen changeovers.

Amperes, °C, percent. A machine draws the same power at its other voltage. A spare that two hots and
a neutral are made of counts for heat from then on, the neutral with it (stricter than 310.15(E)).
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cached_property

from models.changeovers import changed_machine
from models.formulas.conductors import ohm_per_kft
from models.formulas.motors import motor_breaker_ceiling_amps, motor_conductor_amps
from models.formulas.receptacles import (
    largest_cord_load_amps,
    plug_fits,
    receptacle,
    receptacle_rating_allowed,
)
from models.formulas.voltage_drop import drop_percent, voltage_drop_v
from models.gfci import hard_wired_needs_gfci, place_in_scope, receptacle_needs_gfci
from models.plan import CircuitPlan, Finding, Run
from models.rules.changeovers import Served, guards_before, is_alone, needed, served
from models.rules.conductors import conductor_amps, has_own_article
from models.rules.reading import CARRYING, CONTINUOUS, Reading, amps_text, machine_amps
from models.rules.required_outlets import garage_faults, serving_garage
from models.rules.rule import SAME_AMPS, RuleText, registry
from models.shop import Machine

AFTER = RuleText(
    "after-changeovers",
    "Circuits after their changeovers",
    "After every changeover that is prepared for, the new breaker and receptacle suit the machine"
    " and the conductors, a GFCI protects what the edition asks for, every conductor beside them,"
    " or beside what room is kept for, still carries its load, and a dwelling's garage keeps its"
    " receptacle circuit.",
    "NEC 210.4(C), 210.8, 210.11(C)(4), 210.21, 210.23, 240.4, 310.15(C)",
    "code",
    {2017: "NEC 210.4(C), 210.8, 210.11(C)(4), 210.21, 210.23, 240.4, 310.15(B)(3)"},
)
RULES = registry(AFTER)
UNRATED_HP = Fraction(1, 3)  # 430.109(F)


class ReadingAfter(Reading):
    """The plan with all that is prepared changed over and drawn in: more conductors in some
    raceways count.
    """

    @cached_property
    def more(self) -> dict[str, int]:
        """Conductors that count more, by raceway: each spare beside a neutral that stays in use,
        and those of machines to come that room is kept for.
        """
        found: dict[str, int] = {}
        prepared = [one for one in served(self) if one.draft.prepared and not is_alone(self, one)]
        runs = {run.id: run for one in prepared for run in needed(self, one)}
        for run in runs.values():
            for raceway in run.raceways:
                found[raceway] = found.get(raceway, 0) + 1
        for raceway, kept in self.rooms_in_raceway.items():
            count = sum(wire.role in CARRYING for run in kept for wire in run.conductors)
            found[raceway] = found.get(raceway, 0) + count
        return found

    def carrying_in(self, raceway: str) -> int:
        """Current-carrying conductors of all runs in a raceway then."""
        return super().carrying_in(raceway) + self.more.get(raceway, 0)


def reading_after(reading: Reading) -> ReadingAfter:
    """The plan with all that is prepared done, read once."""
    if AFTER not in reading.kept:
        reading.kept[AFTER] = ReadingAfter(reading.plan, reading.shop)
    found: ReadingAfter = reading.kept[AFTER]
    return found


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each thing that will not do after a changeover that is prepared for."""
    after = reading_after(reading)
    for one in served(reading):
        if one.draft.prepared:
            for says in _faults(after, one):
                fix = "prepare it otherwise, or nothing"
                yield AFTER.finding(
                    one.draft.machine, says, edition=reading.edition, detail=says, fix=fix
                )
    for says in _garage(after):
        fix = "prepare for it on another circuit than the garage's receptacle circuit, or not"
        yield AFTER.finding("garage", says, edition=reading.edition, detail=says, fix=fix)
    for where, says in _beside(after):
        fix = "pull no spare here, larger conductors, or go another way"
        yield AFTER.finding(where, says, edition=reading.edition, detail=says, fix=fix)


def _faults(after: ReadingAfter, one: Served) -> Iterator[str]:
    """What is wrong with one circuit after the changeover of one machine on it."""
    now = after.machines_of_shop[one.draft.machine]
    machine = changed_machine(now, one.change, one.draft.configuration)
    alone, breaker = is_alone(after, one), one.draft.breaker_amps or 0.0
    who = after.called[machine.id]
    on = after.machines_on(one.circuit)
    mates = [m for m in on if m.id != machine.id and _seat(after, m.id) == one.outlet.yoke]
    if mates:
        other, place = after.called[mates[0].id], one.outlet.yoke
        yield f"{other} is plugged in at {place} too, which changes with {who}"
    if not alone and not (after.shop.code.multiwire and one.widens):
        yield f"{one.circuit.id} has other outlets, and no two hots and a neutral may serve both"
    if not alone and breaker != one.circuit.breaker.amps:
        yield f"{one.circuit.id} stays at {one.circuit.breaker.amps:g} A, not {breaker:g} A"
    yield from _receptacle_faults(after, one, machine, alone)
    yield from _conductor_faults(after, one, [machine] if alone else _with(on, machine), breaker)
    if alone:
        length = sum(run.length_ft for run in one.way)
        lost = voltage_drop_v(machine_amps(machine), length, ohm_per_kft(one.circuit.conductor.awg))
        percent, limit = drop_percent(lost, machine.volts), after.shop.code.voltage_drop_percent
        if percent > limit + 0.01:
            yield f"{who} then loses {percent:.1f} % of its voltage, {limit:g} % is the most"
    if _gfci_asked(after, one, machine) and not one.draft.breaker_gfci:
        yield f"{who} then asks for a GFCI, and its breaker is none"


def _seat(after: Reading, machine: str) -> str | None:
    """The yoke that a machine is at."""
    outlet = after.outlet_of(after.machines[machine])
    return outlet.yoke if outlet else None


def _with(machines: Sequence[Machine], changed: Machine) -> list[Machine]:
    return [changed if one.id == changed.id else one for one in machines]


def _receptacle_faults(after: Reading, one: Served, machine: Machine, alone: bool) -> Iterator[str]:
    """A receptacle that does not suit machine or breaker."""
    name, amps = one.draft.configuration, machine_amps(machine)
    who = after.called[machine.id]
    if (name is None) != (machine.plug is None):
        yield f"{who} is plugged in or wired, and its changeover says the other"
    if name is None or machine.plug is None:
        ceiling = motor_breaker_ceiling_amps(amps, after.edition) if machine.motor_hp else None
        if alone and ceiling is not None and (one.draft.breaker_amps or 0) > ceiling:
            yield f"the motor of {who} may be behind {ceiling} A at most"
        return
    given, breaker = receptacle(name), round(one.draft.breaker_amps or 0)
    if (
        not plug_fits(machine.plug, name)
        or given.volts != machine.volts
        or (given.neutral and given.hots > 1)
    ):
        yield f"{who} on {machine.volts} V with a {machine.plug} does not go into a {name}"
    if not receptacle_rating_allowed(breaker, given.amps, single=alone, edition=after.edition):
        yield f"a {name} is not for a circuit of {breaker} A"
    limit = largest_cord_load_amps(breaker, given.amps, individual=alone)
    if amps > limit + SAME_AMPS:
        yield f"{who} draws {amps_text(amps)}, a {name} there carries {limit} A"
    if machine.motor_hp is not None and machine.motor_hp > max(given.horsepower, UNRATED_HP):
        yield f"{who} has {machine.motor_hp} hp, a {name} is for {given.horsepower}"


def _conductor_faults(
    after: Reading, one: Served, machines: Sequence[Machine], breaker: float
) -> Iterator[str]:
    """A breaker too small for what is on it, or too large for a run on the way."""
    loads = {m.id: machine_amps(m) * (CONTINUOUS if m.lasting else 1) for m in machines}
    worst = after.worst(loads)
    drawn = worst.amps if worst else 0.0
    awg = one.circuit.conductor.awg
    ampacity = min((after.ampacity(one.circuit, run, awg) for run in one.way), default=0.0)
    if drawn > min(breaker, ampacity) + SAME_AMPS:
        yield f"{one.circuit.id} then carries {amps_text(drawn)} of {amps_text(ampacity)}"
    for motor in (m for m in machines if m.motor_hp is not None):
        asked = after.worst(loads | {motor.id: motor_conductor_amps(machine_amps(motor))})
        if asked is not None and asked.amps > ampacity + SAME_AMPS:
            yield f"{motor.id} then asks for conductors of {amps_text(asked.amps)}"
    wired = len(machines) == 1 and machines[0].plug is None
    if not (wired and (machines[0].motor_hp or machines[0].mca_amps or machines[0].i1eff_amps)):
        several = not is_alone(after, one)
        for run in one.way:
            if says := _unprotected(after, one.circuit, run, breaker, several=several):
                yield says


def _unprotected(
    after: Reading, circuit: CircuitPlan, run: Run, breaker: float, *, several: bool
) -> str | None:
    """Why a breaker is too large for a run then; None when it is not."""
    hots = {c.awg for c in run.conductors if c.role in CARRYING}
    for awg in sorted(hots):
        if breaker > after.breaker_ceiling_amps(circuit, run, awg, several_receptacles=several):
            carries = amps_text(after.ampacity(circuit, run, awg))
            return f"run {run.id} then carries {carries}, its breaker is {breaker:g} A"
    return None


def _gfci_asked(after: Reading, one: Served, machine: Machine) -> bool:
    """Whether the breaker then has to be a GFCI: nothing else protects the other hot."""
    box, building = after.box_of_shop(one.outlet), after.shop.building
    if one.draft.configuration is None:
        breaker = one.draft.breaker_amps or 0.0
        asked = hard_wired_needs_gfci(
            building, after.edition, outdoors=box.outdoors, breaker_amps=breaker
        )
    else:
        listed = place_in_scope(after.shop, box, after.edition) is not None
        asked = listed and receptacle_needs_gfci(building, after.edition, one.draft.configuration)
    if asked or is_alone(after, one):
        return asked
    leaving = {"breaker", one.outlet.yoke or ""} & set(one.circuit.gfci_at)
    return bool(leaving or guards_before(after, one))


def _garage(after: ReadingAfter) -> Iterator[str]:
    """A dwelling's garage that has its receptacle circuit today and then has none, 210.11(C)(4)."""
    building = after.shop.building
    if building.kind != "garage" or not building.dwelling:
        return
    leaving = {one.circuit.id for one in served(after) if one.draft.prepared}
    today = serving_garage(after)
    there = {detail for detail, _, _ in garage_faults(after, today)}
    for detail, says, _ in garage_faults(after, today - leaving):
        if detail not in there:
            yield f"after changeovers {says}"


def _beside(after: ReadingAfter) -> Iterator[tuple[str, str]]:
    """Runs that the conductors put to use then make too hot."""
    for raceway in sorted(after.more):
        for circuit, run in after.runs_in_raceway.get(raceway, []):
            if run.life != "new":
                continue
            several = len(after.receptacles_on(circuit)) > 1
            says = _unprotected(after, circuit, run, circuit.breaker.amps, several=several)
            if says and not has_own_article(after, circuit):
                yield run.id, says
            needed = conductor_amps(after, circuit)
            if needed > after.run_ampacity(circuit, run) + SAME_AMPS:
                yield run.id, f"run {run.id} then carries less than {amps_text(needed)}"
