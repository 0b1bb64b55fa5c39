"""Existing circuits: they stay as the shop describes them, and what nobody knows is said."""

from collections.abc import Iterator

from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

EXISTING = RuleText(
    "existing-circuits",
    "Circuits that are there already",
    "An existing circuit keeps its panel, spaces, breaker, conductor and boxes.",
    "plan file against the shop",
    "plan",
)
UNKNOWN = RuleText(
    "existing-runs",
    "Runs nobody has seen",
    "The runs of an existing circuit are not known, so their way, length, ampacity in place, "
    "voltage drop and box fill are not checked.",
    "plan file",
    "plan",
)
RULES = registry(EXISTING, UNKNOWN)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each change of an existing circuit, and one for what is not known."""
    for circuit in reading.plan.circuits:
        if (circuit.life == "existing") != (circuit.id in reading.existing):
            says = f"circuit {circuit.id} is {circuit.life} in the plan, not so in the shop"
            fix = "plan the shop again"
            yield EXISTING.finding(
                circuit.id, says, edition=reading.edition, detail="life", fix=fix
            )
    for name, given in reading.existing.items():
        circuit_or_none = reading.circuits.get(name)
        if circuit_or_none is None:
            says = f"existing circuit {name} is not in the plan"
            fix = "plan the shop again"
            yield EXISTING.finding(name, says, edition=reading.edition, detail="missing", fix=fix)
            continue
        circuit = circuit_or_none
        feeds = {o.id for o in reading.plan.outlets if o.box in given.feeds}
        for what, found, wanted in (
            ("panel", circuit.panel, given.panel),
            ("spaces", sorted(circuit.breaker.spaces), sorted(given.spaces)),
            ("breaker [A]", circuit.breaker.amps, given.breaker_amps),
            ("GFCI breaker", circuit.breaker.gfci, given.gfci),
            ("conductor", circuit.conductor.awg, given.conductor),
            ("outlets", sorted(circuit.outlets), sorted(feeds)),
        ):
            if found != wanted:
                says = f"existing circuit {name}: {what} is {found}, the shop says {wanted}"
                fix = "an existing circuit stays as it is: plan the shop again"
                yield EXISTING.finding(name, says, edition=reading.edition, detail=what, fix=fix)
        yield UNKNOWN.finding(
            name,
            f"the runs of existing circuit {name} are not known: open its boxes and look",
            edition=reading.edition,
            severity="not-checked",
            fix=f"trace {name} before work starts",
        )
