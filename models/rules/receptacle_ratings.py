"""Receptacle ratings: which receptacles a circuit of a given breaker may feed. Amperes."""

from collections.abc import Iterator

from models.formulas.receptacles import receptacle, receptacle_rating_allowed
from models.plan import Finding
from models.rules.reading import Reading, amps_text, is_worked
from models.rules.rule import RuleText, registry

RATING = RuleText(
    "receptacle-rating",
    "Rating of receptacles",
    "A single receptacle alone on a circuit is rated at least the circuit; two or more go by the "
    "table of circuit and receptacle ratings.",
    "NEC 210.21(B)(1), 210.21(B)(3)",
    "code",
)
CURRENT_TYPE = RuleText(
    "receptacle-type",
    "Receptacles for new circuits",
    "New circuits have receptacles with an equipment ground.",
    "NEC 250.114, 406.4(A)",
    "code",
    rests_on_memory=True,
)
RULES = registry(RATING, CURRENT_TYPE)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each receptacle that its circuit may not feed."""
    for circuit in reading.plan.circuits:
        single = reading.is_individual(circuit)
        for outlet in reading.receptacles_on(circuit):
            if outlet.configuration is None:
                continue
            found = receptacle(outlet.configuration)
            if not receptacle_rating_allowed(
                int(circuit.breaker.amps), found.amps, single=single, edition=reading.edition
            ):
                alone = "alone" if single else "with others"
                yield RATING.finding(
                    outlet.id,
                    f"{outlet.id} is a {outlet.configuration} {alone} on {circuit.id} of "
                    f"{amps_text(circuit.breaker.amps)}",
                    edition=reading.edition,
                    severity="violation" if is_worked(circuit) else "warning",
                    found=float(found.amps),
                    limit=circuit.breaker.amps,
                    unit="A",
                    fix="another receptacle, or another breaker with the conductors it asks for",
                )
            if circuit.life == "new" and not found.for_new_circuits:
                yield CURRENT_TYPE.finding(
                    outlet.id,
                    f"{outlet.id} is a {outlet.configuration}, which has no ground",
                    edition=reading.edition,
                    found=outlet.configuration,
                    fix="a receptacle of today with an equipment ground",
                )
