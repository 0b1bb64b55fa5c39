"""Legs and feeder: the state that loads a leg most, against breaker, main and bus. Amperes.

Plain currents: this is demand, not the load calculation of article 220.
"""

from collections.abc import Iterator

from models.naming import on_day
from models.plan import CircuitPlan, Finding
from models.rules.feeders import legs_of, panels_before
from models.rules.reading import LUMINAIRE_VOLTS, Reading, amps_text, machine_amps
from models.rules.rule import SAME_AMPS, RuleText, registry
from models.shop import Panel

LEGS = RuleText(
    "legs",
    "Load of legs and feeder",
    "In every working state of a binding day each leg stays within the feeder's breaker, the main"
    " breaker and the bus.",
    "NEC 215.3, 408.36",
    "code",
)
CLAIM = RuleText(
    "leg-claims",
    "Leg and feeder loads named in the plan",
    "For each binding day the plan names the state that loads each leg most, with its amperes, and"
    " for the feeder the one that loads its heavier leg most.",
    "plan file",
    "plan",
)
RULES = registry(LEGS, CLAIM)
FIX = "let fewer machines run at once, or ask the electrician what a larger feeder would take"


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each leg over its limit and each wrong claim."""
    for panel in reading.shop.supply.panels:
        limit, who = panel_limit(panel)
        rows = [row for row in reading.plan.legs if row.panel == panel.id]
        feeder = next((f for f in reading.plan.feeders if f.to == panel.id), None)
        expected = [(day, leg) for day in reading.days for leg in "AB"]
        if len(rows) != len(expected):
            says = f"{len(rows)} rows of leg loads for panel {panel.id}, not {len(expected)}"
            yield CLAIM.finding(panel.id, says, edition=reading.edition, detail="rows")
            continue
        for (day, leg), row in zip(expected, rows, strict=True):
            on_leg = machines_on_leg(reading, panel.id, leg)
            worst = reading.rules.worst(on_leg, reading.crews[day.id])
            amps = worst.load + lights_on_leg(reading, panel.id, leg)
            if amps > limit + SAME_AMPS:
                yield LEGS.finding(
                    panel.id,
                    f"{reading.names(worst.machines)} on leg {leg} of {panel.id} ="
                    f" {amps_text(amps)} of {amps_text(limit)} ({who}) {on_day(day.id)}",
                    edition=reading.edition,
                    detail=f"{day.id}.{leg}",
                    found=amps,
                    limit=limit,
                    unit="A",
                    fix=FIX,
                )
            claimed = row.a_amps if leg == "A" else row.b_amps
            right = row.day == day.id and reading.allows(row.state, row.day)
            agree = all(
                _agree(reading, panel.id, row.state, given, side)
                for side, given in (("A", row.a_amps), ("B", row.b_amps))
            )
            if not (right and agree and abs(claimed - amps) <= SAME_AMPS):
                says = f"leg {leg} on day {day.id}: {claimed:g} A claimed, {amps:.3f} A found"
                yield CLAIM.finding(
                    panel.id, says, edition=reading.edition, detail=f"{day.id}.{leg}"
                )
        pairs = zip(rows[::2], rows[1::2], strict=True)
        heavier = [max(pair, key=lambda row: max(row.a_amps, row.b_amps)) for pair in pairs]
        demand = [(row.day, row.state, row.a_amps, row.b_amps) for row in heavier]
        found = [(d.day, d.state, d.a_amps, d.b_amps) for d in feeder.demand] if feeder else []
        given = panel.feeder
        told = (feeder.source, feeder.breaker_amps, feeder.length_ft) if feeder else None
        if told != (given.source, given.breaker_amps, given.length_ft) or (
            feeder and feeder.conductors != given.conductors.model_dump()
        ):
            says = f"the feeder of {panel.id} is not as the shop gives it"
            yield CLAIM.finding(panel.id, says, edition=reading.edition, detail="given")
        if demand != found:
            says = f"the demand of the feeder of {panel.id} is not that of its heavier leg"
            yield CLAIM.finding(panel.id, says, edition=reading.edition, detail="feeder")


def panel_limit(panel: Panel) -> tuple[float, str]:
    """The least of feeder breaker, main breaker and bus, and which it is. [A]"""
    limits = [(panel.feeder.breaker_amps, "feeder breaker"), (panel.bus_amps, "bus")]
    if panel.main != "main lug":
        limits.append((float(panel.main), "main breaker"))
    return min(limits)


def _on_leg(reading: Reading, panel: str, leg: str) -> list[CircuitPlan]:
    """Circuits with a pole on a leg of a panel, or of one that hangs on it."""
    return [
        circuit
        for circuit in reading.plan.circuits
        if leg in legs_of(circuit)
        and any(before.id == panel for before in panels_before(reading.shop, circuit.panel))
    ]


def machines_on_leg(reading: Reading, panel: str, leg: str) -> dict[str, float]:
    """Machines on a leg with their current. [A]"""
    return {
        machine.id: machine_amps(machine)
        for circuit in _on_leg(reading, panel, leg)
        for machine in reading.machines_on(circuit)
        if leg in legs_of(circuit, machine.volts)
    }


def lights_on_leg(reading: Reading, panel: str, leg: str) -> float:
    """Luminaires on a leg, all on. [A]"""
    on_leg = _on_leg(reading, panel, leg)
    return sum(reading.luminaire_amps(c) for c in on_leg if leg in legs_of(c, LUMINAIRE_VOLTS))


def _agree(reading: Reading, panel: str, state: tuple[str, ...], amps: float, leg: str) -> bool:
    """Whether a state puts these amperes on a leg."""
    machines = machines_on_leg(reading, panel, leg)
    load = sum(machines.get(machine, 0.0) for machine in state)
    load += lights_on_leg(reading, panel, leg)
    return abs(load - amps) <= SAME_AMPS
