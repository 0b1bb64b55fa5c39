"""Conductors of each new run: ampacity, breaker, motors and equipment grounds.

Amperes, °C, AWG. Ambient and current-carrying counts are derived again from the ways of the runs
and from what lies in their raceways.
"""

from collections.abc import Iterator

from models.formulas.conductors import awg_sizes, circular_mils
from models.formulas.grounds import enlarged_ground_awg, equipment_ground_awg
from models.formulas.motors import motor_conductor_amps
from models.plan import CircuitPlan, Finding, Run
from models.rules.reading import (
    CARRYING,
    CONTINUOUS,
    Reading,
    WorstState,
    amps_text,
    machine_amps,
    new_runs,
)
from models.rules.rule import SAME_AMPS, RuleText, registry

PROTECTION = RuleText(
    "conductor-protection",
    "Breaker against conductor",
    "The breaker is not larger than the ampacity of each run where it lies; the next standard size "
    "up only without several receptacles; small sizes have a largest breaker.",
    "NEC 240.4(B), 240.4(D)",
    "code",
)
CONDITIONS = RuleText(
    "run-conditions",
    "Heat and company of a run",
    "Ambient temperature and current-carrying count of a run are those of the spaces it crosses "
    "and of the fullest raceway it lies in.",
    "NEC 310.15(B), 310.15(C)",
    "code",
    {2017: "NEC 310.15(B)(2), 310.15(B)(3)(a)"},
)
MOTORS = RuleText(
    "motor-conductor",
    "Conductors of motors",
    "Ampacity is at least 125 % of the largest motor that runs plus the rest.",
    "NEC 430.22, 430.24",
    "code",
)
GROUND = RuleText(
    "ground-size",
    "Equipment ground",
    "The equipment grounding conductor of every run is as large as its breaker asks for, and "
    "larger in proportion when the hots are.",
    "NEC 250.122(A), 250.122(B)",
    "code",
)
SMALLEST = RuleText(
    "smallest-receptacle-conductor",
    "Smallest conductor for receptacles",
    "Circuits with receptacles have conductors no smaller than the shop asks for.",
    "wish of the owner",
    "plan",
)
RULES = registry(PROTECTION, CONDITIONS, MOTORS, GROUND, SMALLEST)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each run whose conductors do not suit its circuit."""
    for circuit in reading.worked_circuits:
        for run in new_runs(circuit):
            yield from _conditions(reading, run)
        for run in (run for run in reading.runs_of(circuit) if run.life == "new"):
            yield from _protection(reading, circuit, run)
            yield from _ground(reading, circuit, run)
        yield from _motors(reading, circuit)
        yield from _smallest(reading, circuit)


def _conditions(reading: Reading, run: Run) -> Iterator[Finding]:
    """Ambient or count that the plan states wrongly."""
    for what, given, right, unit in (
        ("ambient", run.ambient_c, reading.ambient_c(run), "°C"),
        ("current-carrying count", run.current_carrying, reading.carrying(run), ""),
    ):
        if abs(given - right) > 0.05:
            yield CONDITIONS.finding(
                run.id,
                f"{what} of run {run.id} is {right:g} {unit}".rstrip()
                + f", the plan says {given:g}",
                edition=reading.edition,
                detail=what,
                found=float(given),
                limit=float(right),
                unit=unit or None,
                fix="work out ampacity again with the right value",
            )

    buried = {raceway.id for raceway in reading.shop.routes.raceways if raceway.laid == "buried"}
    if run.method == "raceway" and run.wet == buried.isdisjoint(run.raceways):
        yield CONDITIONS.finding(
            run.id,
            f"run {run.id} is called {'wet' if run.wet else 'dry'}, and its raceways are not",
            edition=reading.edition,
            detail="wet",
            fix="a raceway underground is wet inside, any other is dry",
        )


def _protection(reading: Reading, circuit: CircuitPlan, run: Run) -> Iterator[Finding]:
    """A breaker too large for a run; articles 430, 440 and 630 have limits of their own."""
    if has_own_article(reading, circuit):
        return
    several = len(reading.receptacles_on(circuit)) > 1
    for awg in sorted({c.awg for c in run.conductors if c.role not in ("ground", "spare")}):
        largest = reading.breaker_ceiling_amps(circuit, run, awg, several_receptacles=several)
        if circuit.breaker.amps > largest:
            carries = amps_text(reading.ampacity(circuit, run, awg))
            yield PROTECTION.finding(
                run.id,
                f"run {run.id} of {awg} AWG carries {carries} where it lies, breaker "
                f"{circuit.id} is {amps_text(circuit.breaker.amps)}",
                edition=reading.edition,
                detail=awg,
                found=circuit.breaker.amps,
                limit=float(largest),
                unit="A",
                fix="a larger conductor, a cooler way, fewer conductors together, or a smaller "
                "breaker with less on it",
            )


def has_own_article(reading: Reading, circuit: CircuitPlan) -> bool:
    """Whether one motor, welder or machine with an MCA is alone and hard-wired, 240.4(G).

    Into a receptacle anything may be plugged later: there the conductors go by the breaker.
    """
    return reading.is_individual(circuit) and any(
        machine.hard_wired_at and (machine.motor_hp or machine.mca_amps or machine.i1eff_amps)
        for machine in reading.machines_on(circuit)
    )


def _motors(reading: Reading, circuit: CircuitPlan) -> Iterator[Finding]:
    """Motors that ask for more ampacity than the worst run has."""
    ampacity, worst = reading.circuit_ampacity(circuit), _worst_of_motors(reading, circuit)
    if worst is not None and worst.amps > ampacity + SAME_AMPS:
        yield MOTORS.finding(
            circuit.id,
            f"{reading.names(worst.state)} on {circuit.id} ask for conductors of"
            f" {amps_text(worst.amps)}, they carry {amps_text(ampacity)}",
            edition=reading.edition,
            found=worst.amps,
            limit=ampacity,
            unit="A",
            fix="a larger conductor, or one of the motors on another circuit",
        )


def _worst_of_motors(reading: Reading, circuit: CircuitPlan) -> WorstState | None:
    """The state that asks for most with its largest motor at 125 %; None without motors."""
    machines = reading.machines_on(circuit)
    loads = {
        m.id: machine_amps(m) * (CONTINUOUS if m.lasting and m.motor_hp is None else 1)
        for m in machines
    }
    needs = []
    for motor in (machine for machine in machines if machine.motor_hp is not None):
        with_largest = loads | {motor.id: motor_conductor_amps(machine_amps(motor))}
        worst = reading.worst(with_largest, CONTINUOUS * reading.luminaire_amps(circuit))
        if worst is not None:
            needs.append(worst)
    return max(needs, key=lambda state: state.amps, default=None)


def conductor_amps(reading: Reading, circuit: CircuitPlan) -> float:
    """What the conductors of a circuit have to carry, its largest motor at 125 %. [A]"""
    states = (reading.worst_on(circuit), _worst_of_motors(reading, circuit))
    return max((state.amps for state in states if state is not None), default=0.0)


def _ground(reading: Reading, circuit: CircuitPlan, run: Run) -> Iterator[Finding]:
    """A ground that is missing or too small."""
    grounds = [c.awg for c in run.conductors if c.role == "ground"]
    hots = [c.awg for c in run.conductors if c.role in CARRYING and c.role != "neutral"]
    if not hots:
        return
    hot = min(hots, key=circular_mils)
    needed = _ground_needed(reading, circuit, run, hot)
    largest = max(grounds, key=circular_mils, default=None)
    if largest is None or circular_mils(largest) < circular_mils(needed):
        yield GROUND.finding(
            run.id,
            f"run {run.id} has {f'a {largest} AWG ground' if largest else 'no ground'}, "
            f"{needed} AWG is needed behind {amps_text(circuit.breaker.amps)}",
            edition=reading.edition,
            found=largest or "none",
            limit=needed,
            unit="AWG",
            fix=f"pull a {needed} AWG equipment grounding conductor",
        )


def _ground_needed(reading: Reading, circuit: CircuitPlan, run: Run, hot: str) -> str:
    """Least ground of a run: by the breaker, in proportion to hots larger than they need be."""
    material = circuit.conductor.material
    several = len(reading.receptacles_on(circuit)) > 1
    least = hot
    for awg in awg_sizes():
        breaker = reading.breaker_ceiling_amps(circuit, run, awg, several_receptacles=several)
        if breaker >= circuit.breaker.amps:
            least = min(awg, hot, key=circular_mils)
            break
    by_breaker = equipment_ground_awg(circuit.breaker.amps, material, circuit_awg=least)
    enlarged = enlarged_ground_awg(
        by_breaker, minimum_cmil=circular_mils(least), installed_cmil=circular_mils(hot)
    )
    return min(enlarged, hot, key=circular_mils)


def _smallest(reading: Reading, circuit: CircuitPlan) -> Iterator[Finding]:
    """Conductors of a receptacle circuit below the size that the shop asks for."""
    wished = reading.shop.code.smallest_receptacle_conductor
    runs = [run for run in reading.runs_of(circuit) if run.life == "new"]
    awgs = [c.awg for run in runs for c in run.conductors if c.role != "ground"]
    smallest = min(awgs, key=circular_mils, default=wished)
    if reading.receptacles_on(circuit) and circular_mils(smallest) < circular_mils(wished):
        yield SMALLEST.finding(
            circuit.id,
            f"{circuit.id} feeds receptacles with {smallest} AWG, the shop asks for {wished} AWG",
            edition=reading.edition,
            found=smallest,
            limit=wished,
            unit="AWG",
            fix=f"use {wished} AWG, or change smallest_receptacle_conductor in the shop file",
        )
