"""Promises: what only people keep apart, told beside what a listed interlock keeps apart. Amperes.

A promise is a working rule: circuits are planned with it, and a code calculation is not reduced by
it. So both numbers stand in the plan: with the promises kept, and with one forgotten.
"""

from collections.abc import Iterator

from models.plan import Finding
from models.rules.legs import lights_on_leg, machines_on_leg, panel_limit
from models.rules.reading import Reading, WorstState, amps_text
from models.rules.rule import SAME_AMPS, RuleText, registry
from models.states import WorkingRules

PROMISES = RuleText(
    "promises",
    "What a promise holds",
    "Where a circuit or a leg stays within its limit only because people promised not to run"
    " machines together, the plan says what would run without the promise. Only a listed interlock"
    " makes a load noncoincident.",
    "NEC 220.60",
    "code",
)
RULES = registry(PROMISES)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a note for each circuit and leg that only a promise keeps within its limit."""
    use, machines = reading.shop.use, reading.shop.machines
    if all(group.by == "interlock" for group in use.never_together):
        return
    rules = WorkingRules.of(machines, use, promises=False)
    for circuit in reading.plan.circuits:
        loads, luminaires = reading.loads_on(circuit)
        kept = reading.worst(loads, luminaires)
        broken = reading.worst(loads, luminaires, rules)
        limit = reading.limit_amps(circuit)
        if kept and broken and kept.amps <= limit + SAME_AMPS < broken.amps:
            yield _note(reading, circuit.id, circuit.id, broken, kept, limit)
    for panel in reading.shop.supply.panels:
        limit, _ = panel_limit(panel)
        for leg in "AB":
            on_leg = machines_on_leg(reading, panel.id, leg)
            lights = lights_on_leg(reading, panel.id, leg)
            kept, broken = reading.worst(on_leg, lights), reading.worst(on_leg, lights, rules)
            if kept and broken and kept.amps <= limit + SAME_AMPS < broken.amps:
                yield _note(reading, panel.id, f"leg {leg} of {panel.id}", broken, kept, limit)


def _note(
    reading: Reading, where: str, what: str, broken: WorstState, kept: WorstState, limit: float
) -> Finding:
    """What runs when a promise is forgotten."""
    return PROMISES.finding(
        where,
        f"only a promise keeps {what} within {amps_text(limit)}: {reading.names(broken.state)}"
        f" would be {amps_text(broken.amps)}; with the promise kept it is {amps_text(kept.amps)}",
        edition=reading.edition,
        severity="note",
        detail=what if what != where else "",
        found=broken.amps,
        limit=limit,
        unit="A",
        fix="a listed interlock makes it certain; or one of them on another circuit"
        if what == where
        else "a listed interlock makes it certain; or a larger feeder, worked out anew",
    )
