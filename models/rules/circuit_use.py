"""What a circuit of its rating may feed when it has more than one outlet. Amperes.

Source: NFPA 70 (2017, 2020) 210.3, 210.23(A) to (D); (2023) 210.18, 210.23(A) to (E).
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from models.plan import CircuitPlan, Finding, OutletPlan, Severity
from models.rules.reading import Reading, amps_text, is_worked
from models.rules.rule import RuleText, registry

TEN_AMPS: Final = 10
SMALL_AMPS: Final = frozenset({15, 20})  # lights and anything else
COOKING_AMPS: Final = frozenset({40, 50})  # in dwellings for cooking appliances only
SHARED_AMPS: Final = frozenset({TEN_AMPS, 30}) | SMALL_AMPS | COOKING_AMPS
LARGEST_SHARED_AMPS: Final = 50

TEN = RuleText(
    "ten-amp-circuit",
    "10 A circuits",
    "A circuit of 10 A, which the code knows since 2023, feeds lights: no receptacle, and no fixed"
    " machine beside them.",
    "NEC 210.18, 210.23(A)",
    "code",
)
USE = RuleText(
    "circuit-use",
    "What shares a circuit of its rating",
    "Several outlets are on circuits of 15, 20, 30, 40 or 50 A. Lights are on 20 A at most, in a"
    " building that is no dwelling on 30 to 50 A with heavy-duty lampholders. In a dwelling 40 and"
    " 50 A are shared by cooking appliances only.",
    "NEC 210.3, 210.23",
    "code",
    {2023: "NEC 210.18, 210.23"},
)
RULES = registry(TEN, USE)


class Fault(NamedTuple):
    """What a circuit feeds and may not, or may only under a condition that nobody has stated."""

    says: str
    severity: Severity
    fix: str


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each circuit whose rating does not suit what shares it."""
    for circuit in reading.plan.circuits:
        outlets = reading.outlets_on(circuit)
        rule = TEN if circuit.breaker.amps == TEN_AMPS else USE
        fault = _ten(circuit, outlets) if rule is TEN else _fault(reading, circuit, outlets)
        if fault is not None:
            yield rule.finding(
                circuit.id,
                fault.says,
                edition=reading.edition,
                severity=fault.severity if is_worked(circuit) else "warning",
                found=circuit.breaker.amps,
                unit="A",
                fix=fault.fix,
            )


def _ten(circuit: CircuitPlan, outlets: list[OutletPlan]) -> Fault | None:
    """What a circuit of 10 A feeds beside lights."""
    kinds = {outlet.kind for outlet in outlets}
    if "receptacle" in kinds or (len(outlets) > 1 and "hard-wired" in kinds):
        what = "receptacles" if "receptacle" in kinds else "a hard-wired machine beside others"
        return Fault(
            f"{circuit.id} of 10 A feeds {what}, and may feed lights only",
            "violation",
            "lights only on this circuit; the rest on a circuit of its own",
        )
    return None


def _fault(reading: Reading, circuit: CircuitPlan, outlets: list[OutletPlan]) -> Fault | None:
    """What the rating of a shared circuit does not suit; a single outlet may have any."""
    if len(outlets) < 2:
        return None
    amps, building = circuit.breaker.amps, reading.shop.building
    rated, apart = f"{circuit.id} of {amps_text(amps)}", "one outlet alone on such a circuit"
    if any(outlet.kind == "luminaire" for outlet in outlets) and amps not in SMALL_AMPS:
        if building.dwelling or amps > LARGEST_SHARED_AMPS:
            return Fault(f"{rated} feeds lights", "violation", "lights on 15 or 20 A")
        says = f"{rated} feeds lights: they need heavy-duty lampholders"
        return Fault(says, "warning", "lights on 15 or 20 A, or lampholders marked for it")
    if amps > LARGEST_SHARED_AMPS and not building.dwelling:
        says = f"{rated} feeds several outlets, which is for industry with qualified people only"
        return Fault(says, "warning", apart)
    if amps not in SHARED_AMPS:
        return Fault(f"{rated} feeds several outlets", "violation", apart)
    if amps in COOKING_AMPS and building.dwelling:
        says = f"{rated} feeds several outlets; in a dwelling only cooking appliances share it"
        return Fault(says, "violation" if building.attached else "warning", apart)
    return None
