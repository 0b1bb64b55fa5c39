"""Lights: apart from what people plug in, on two circuits, with a neutral at every switch."""

from collections.abc import Iterator

from models.plan import Finding
from models.rules.reading import Reading, is_worked
from models.rules.rule import RuleText, registry

APART = RuleText(
    "lights-apart",
    "Lights apart from machines",
    "No circuit feeds luminaires and anything else, so that a tripped machine leaves the lights"
    " on.",
    "common practice, no source",
    "habit",
)
TWO = RuleText(
    "two-lighting-circuits",
    "Two circuits of lights",
    "The luminaires are on at least two circuits, or one of them lights by its battery, so that one"
    " trip does not leave the shop dark.",
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
RULES = registry(APART, TWO, NEUTRAL)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield findings about lights and switches."""
    for circuit in reading.plan.circuits:
        kinds = {outlet.kind for outlet in reading.outlets_on(circuit)}
        if reading.shop.code.lights_apart and "luminaire" in kinds and len(kinds) > 1:
            others = "receptacles" if "receptacle" in kinds else "a hard-wired machine"
            yield APART.finding(
                circuit.id,
                f"{circuit.id} feeds lights and {others}",
                edition=reading.edition,
                severity="violation" if is_worked(circuit) else "note",
                fix="a circuit of their own for the lights, or lights_apart: no",
            )
    yield from _two_circuits(reading)
    yield from _neutral(reading)


def _two_circuits(reading: Reading) -> Iterator[Finding]:
    """All luminaires inside on one circuit, and none with a battery."""
    lights = [outlet for outlet in reading.plan.outlets if outlet.kind == "luminaire"]
    luminaires = [outlet for outlet in lights if not reading.box_of_shop(outlet).outdoors]
    circuits = {outlet.circuit for outlet in luminaires}
    backup = any(reading.box_of_shop(outlet).battery_backup for outlet in luminaires)
    if len(circuits) == 1 and not backup:
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
            fix="a second lighting circuit, or a light with `battery_backup: yes`",
        )


def _neutral(reading: Reading) -> Iterator[Finding]:
    """Switch boxes that no neutral of the circuit comes to."""
    for switch in reading.plan.switches:
        circuit = reading.circuits[switch.circuit]
        run = reading.trees[circuit.id].run_to.get(switch.box)
        roles = {conductor.role for conductor in run.conductors} if run else set()
        if is_worked(circuit) and switch.controls and "neutral" not in roles:
            yield NEUTRAL.finding(
                switch.id,
                f"no neutral comes to switch {switch.id} of {circuit.id}",
                edition=reading.edition,
                fix="bring the power to the switch box first",
            )
