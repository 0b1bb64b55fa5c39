"""Breaker load: the machines that may run together on a circuit, against breaker and ampacity.

Amperes; continuous loads and luminaires at 125 %.
"""

from collections.abc import Iterator

from models.naming import on_day
from models.plan import CircuitPlan, Finding, Worst
from models.rules.reading import CONTINUOUS, Reading, WorstState, amps_text, machine_amps
from models.rules.rule import SAME_AMPS, RuleText, registry

LOAD = RuleText(
    "breaker-load",
    "Load of a circuit",
    "In every working state the loads of a circuit, continuous ones at 125 %, stay within the "
    "lesser of breaker and ampacity.",
    "NEC 210.19(A), 210.20(A), 210.23, 424.4(B), 625.42",
    "code",
    {2017: "NEC 210.19(A), 210.20(A), 210.23, 424.3(B), 625.42"},
)
CLAIM = RuleText(
    "worst-state",
    "The worst state named in the plan",
    "The state that the plan calls worst is allowed and loads the circuit most; its amperes and "
    "its limit are right.",
    "plan file",
    "plan",
)
RULES = registry(LOAD, CLAIM)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each circuit over its limit and each wrong claim about it."""
    for circuit in reading.plan.circuits:
        worst, limit = reading.worst_on(circuit), reading.limit_amps(circuit)
        if worst is not None and worst.amps > limit + SAME_AMPS:
            who = [*worst.state, *(["lights"] if reading.luminaire_amps(circuit) else [])]
            held_by = "breaker" if limit >= circuit.breaker.amps else "conductor"
            yield LOAD.finding(
                circuit.id,
                f"{reading.names(who)} on {circuit.id} = {amps_text(worst.amps)} of"
                f" {amps_text(limit)} ({held_by}) {on_day(worst.day)}",
                edition=reading.edition,
                found=worst.amps,
                limit=limit,
                unit="A",
                fix=f"move one of them to another circuit than {circuit.id}, or agree that they "
                "do not run together",
            )
        for detail, says in _claim_faults(reading, circuit, worst, limit):
            fix = "work out the worst state again"
            yield CLAIM.finding(circuit.id, says, edition=reading.edition, detail=detail, fix=fix)


def _claim_faults(
    reading: Reading, circuit: CircuitPlan, worst: WorstState | None, limit: float
) -> Iterator[tuple[str, str]]:
    """What is wrong with what the plan says of its worst state."""
    claim = circuit.worst
    if claim is None or worst is None:
        if (claim is None) != (worst is None):
            yield "load", f"{circuit.id}: the plan and its loads do not agree that it has none"
        return
    if abs(claim.amps - worst.amps) > SAME_AMPS:
        yield "amps", f"{circuit.id}: {claim.amps:g} A claimed, {worst.amps:.3f} A found"
    elif abs(_amps_of(reading, circuit, claim) - claim.amps) > SAME_AMPS:
        yield (
            "state",
            f"{circuit.id}: {reading.names(claim.state) or 'nothing'} is not {claim.amps:g} A",
        )
    if not reading.allows(claim.state, claim.day):
        yield (
            "allowed",
            f"{circuit.id}: {reading.names(claim.state)} is not a state of day {claim.day}",
        )
    if abs(claim.limit_amps - limit) > SAME_AMPS:
        yield "limit", f"{circuit.id}: limit {claim.limit_amps:g} A claimed, {limit:g} A found"
    held_by = "breaker" if limit >= circuit.breaker.amps else "ampacity"
    if claim.limited_by != held_by:
        yield "by", f"{circuit.id} is limited by its {held_by}, the plan says {claim.limited_by}"


def _amps_of(reading: Reading, circuit: CircuitPlan, claim: Worst) -> float:
    """Load of the state that the plan names, continuous at 125 %. [A]"""
    on = [machine for machine in reading.machines_on(circuit) if machine.id in claim.state]
    machines = sum(machine_amps(m) * (CONTINUOUS if m.lasting else 1) for m in on)
    return machines + CONTINUOUS * reading.luminaire_amps(circuit)
