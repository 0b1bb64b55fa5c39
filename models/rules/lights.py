"""Lights and the garage's receptacle circuit: kept apart, with a neutral at every switch."""

from collections.abc import Iterator

from models.plan import CircuitPlan, Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

GARAGE_CIRCUIT_AMPS = 20

APART = RuleText(
    "lights-apart",
    "Lights apart from receptacles",
    "No circuit feeds luminaires and receptacles, so that a tripped machine leaves the lights on.",
    "common practice, no source",
    "habit",
)
TWO = RuleText(
    "two-lighting-circuits",
    "Two circuits of lights",
    "The luminaires are on at least two circuits, so that one trip does not leave the shop dark.",
    "common practice, no source",
    "habit",
)
NEUTRAL = RuleText(
    "neutral-at-switch",
    "Neutral at switches",
    "The neutral of the lighting circuit is in the box of every switch.",
    "NEC 404.2(C)",
    "code",
)
GARAGE = RuleText(
    "garage-branch-circuit",
    "Receptacle circuit of a garage",
    "A dwelling's garage has a 120 V 20 A circuit for its receptacles that feeds nothing else.",
    "NEC 210.11(C)(4)",
    "code",
)
RULES = registry(APART, TWO, NEUTRAL, GARAGE)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield findings about lights, switches and the garage circuit."""
    for circuit in reading.plan.circuits:
        kinds = {outlet.kind for outlet in reading.outlets_on(circuit)}
        if reading.shop.code.lights_apart and {"luminaire", "receptacle"} <= kinds:
            yield APART.finding(
                circuit.id,
                f"{circuit.id} feeds lights and receptacles",
                edition=reading.edition,
                severity="note" if circuit.life == "existing" else "violation",
                fix="a circuit of their own for the lights, or lights_apart: no",
            )
    yield from _two_circuits(reading)
    yield from _neutral(reading)
    yield from _garage(reading)


def _two_circuits(reading: Reading) -> Iterator[Finding]:
    """All luminaires on one circuit."""
    luminaires = [outlet for outlet in reading.plan.outlets if outlet.kind == "luminaire"]
    circuits = {outlet.circuit for outlet in luminaires}
    if len(circuits) == 1:
        several = len(luminaires) > 1
        (circuit,) = circuits
        yield TWO.finding(
            circuit,
            f"one trip of {circuit} turns off every light of the shop",
            edition=reading.edition,
            severity="warning" if several else "note",
            found=1.0,
            limit=2.0,
            unit="circuits",
            fix="a second lighting circuit, or an emergency light that works by itself",
        )


def _neutral(reading: Reading) -> Iterator[Finding]:
    """Switch boxes that no neutral of the circuit comes to."""
    for switch in reading.plan.switches:
        circuit = reading.circuits[switch.circuit]
        run = reading.trees[circuit.id].run_to.get(switch.box)
        roles = {conductor.role for conductor in run.conductors} if run else set()
        if circuit.life == "new" and switch.controls and "neutral" not in roles:
            yield NEUTRAL.finding(
                switch.id,
                f"no neutral comes to switch {switch.id} of {circuit.id}",
                edition=reading.edition,
                fix="bring the power to the switch box first",
            )


def _garage(reading: Reading) -> Iterator[Finding]:
    """A dwelling's garage without the receptacle circuit that it must have."""
    building = reading.shop.building
    if building.kind != "garage" or not building.dwelling:
        return
    if not any(_serves_garage(reading, circuit) for circuit in reading.plan.circuits):
        yield GARAGE.finding(
            building.kind,
            "no 120 V 20 A circuit feeds the garage's receptacles and nothing else",
            edition=reading.edition,
            fix="a 20 A circuit for 120 V receptacles inside, without lights or hard-wired loads",
        )


def _serves_garage(reading: Reading, circuit: CircuitPlan) -> bool:
    """Whether a circuit is the one asked for: receptacles only, one of them inside."""
    outlets = reading.outlets_on(circuit)
    return (
        circuit.volts == 120
        and circuit.breaker.amps == GARAGE_CIRCUIT_AMPS
        and all(outlet.kind == "receptacle" for outlet in outlets)
        and any(not reading.box_of_shop(outlet).outdoors for outlet in outlets)
    )
