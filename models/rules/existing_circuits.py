"""Existing circuits: they stay as the shop describes them, and what nobody knows is said."""

from collections.abc import Iterator

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.overcurrent import largest_breaker_amps
from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop import ExistingCircuit

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
OVERSIZED = RuleText(
    "existing-breaker",
    "Breakers that are there already",
    "The breaker of an existing circuit is not larger than its conductor allows at best: the 75 °C"
    " column, the next size up, and the limits of small conductors. Motor circuits may differ.",
    "NEC 240.4(B), (D)",
    "code",
)
RULES = registry(EXISTING, UNKNOWN, OVERSIZED)


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
        yield from _oversized(reading, given)
        feeds = {o.id for o in reading.plan.outlets if o.box in given.feeds}
        for what, found, wanted in (
            ("panel", circuit.panel, given.panel),
            ("spaces", sorted(circuit.breaker.spaces), sorted(given.spaces)),
            ("breaker [A]", circuit.breaker.amps, given.breaker_amps),
            ("GFCI breaker", circuit.breaker.gfci, given.gfci),
            ("conductor", circuit.conductor.awg, given.conductor),
            ("certainty", circuit.known, given.known),
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


def _oversized(reading: Reading, given: ExistingCircuit) -> Iterator[Finding]:
    """A breaker that no reading of the rules allows for the conductor that the shop names."""
    largest = largest_breaker_amps(
        given.conductor,
        table_ampacity_amps(given.conductor, 75),
        several_receptacles=False,
        edition=reading.edition,
    )
    if largest is not None and given.breaker_amps > largest:
        yield OVERSIZED.finding(
            given.id,
            f"existing circuit {given.id} has a {given.breaker_amps:g} A breaker on"
            f" {given.conductor} AWG, which allows {largest} A at most",
            edition=reading.edition,
            found=given.breaker_amps,
            limit=float(largest),
            unit="A",
            fix="leave it switched off until an electrician has looked at breaker and conductor",
        )
