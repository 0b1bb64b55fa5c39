"""Voltage drop of each new circuit in its worst state and at its farthest receptacle. Percent.

A recommendation; direct-current resistance of stranded copper at 75 °C, two wires out and back.
"""

from collections.abc import Iterator
from typing import Final

from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import drop_percent, voltage_drop_v
from models.plan import CircuitPlan, Finding, Run
from models.rules.reading import LUMINAIRE_VOLTS, Reading, machine_amps
from models.rules.rule import SAME_PERCENT, RuleText, registry

TEST_LOAD_AMPS: Final = 12.0  # one portable machine at the farthest receptacle: common practice

DROP = RuleText(
    "voltage-drop",
    "Voltage drop",
    "A circuit loses no more than the wished share of its voltage in its worst state, nor with "
    "12 A at its farthest 120 V receptacle.",
    "NEC 210.19 informational note (a recommendation)",
    "habit",
)
CLAIM = RuleText(
    "voltage-drop-claim",
    "Voltage drop stated in the plan",
    "The drop that the plan states for a circuit is the one found.",
    "plan file",
    "plan",
)
RULES = registry(DROP, CLAIM)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a warning for each circuit that loses much, a violation for each wrong claim."""
    for circuit in reading.new_circuits:
        percent, limit = worst_percent(reading, circuit), reading.shop.code.voltage_drop_percent
        claim = circuit.voltage_drop_percent
        if percent > limit + SAME_PERCENT:
            yield DROP.finding(
                circuit.id,
                f"{circuit.id} loses {percent:.1f} % of its voltage, {limit:g} % is wished",
                edition=reading.edition,
                severity="warning",
                found=percent,
                limit=limit,
                unit="%",
                fix=f"larger conductors or a shorter way for {circuit.id}",
            )
        if claim is not None and abs(claim - percent) > SAME_PERCENT:
            yield CLAIM.finding(
                circuit.id,
                f"{circuit.id} loses {percent:.2f} %, the plan says {claim:g} %",
                edition=reading.edition,
                found=claim,
                limit=percent,
                unit="%",
                fix="work out the voltage drop again",
            )


def worst_percent(reading: Reading, circuit: CircuitPlan) -> float:
    """Largest drop at any outlet of a circuit, over the two cases. [%]"""
    cases = [_worst_state_amps(reading, circuit)]
    if circuit.volts == LUMINAIRE_VOLTS:
        cases += [{outlet.box: TEST_LOAD_AMPS} for outlet in reading.receptacles_on(circuit)]
    return max(_drop_percent(reading, circuit, amps_at) for amps_at in cases)


def _worst_state_amps(reading: Reading, circuit: CircuitPlan) -> dict[str, float]:
    """Amperes at each box in the worst state, as the machines draw them."""
    worst = reading.worst_on(circuit)
    amps_at: dict[str, float] = {}
    for outlet in reading.outlets_on(circuit):
        watts = reading.box_of_shop(outlet).luminaire_watts
        if outlet.kind == "luminaire" and watts is not None:
            amps_at[outlet.box] = amps_at.get(outlet.box, 0.0) + watts / LUMINAIRE_VOLTS
    for placed in reading.plan.machines:
        place = reading.outlet_of(placed)
        if worst and place and place.circuit == circuit.id and placed.id in worst.state:
            amps = machine_amps(reading.machines_of_shop[placed.id])
            amps_at[place.box] = amps_at.get(place.box, 0.0) + amps
    return amps_at


def _drop_percent(reading: Reading, circuit: CircuitPlan, amps_at: dict[str, float]) -> float:
    """Largest drop from the panel to a box with a load, currents added along the tree. [%]"""
    tree = reading.trees[circuit.id]

    def lost_v(run: Run) -> float:
        amps = sum(amps_at.get(box, 0.0) for box in tree.beyond(run))
        sizes = [c.awg for c in run.conductors if c.role not in ("ground", "spare")]
        ohms = max((ohm_per_kft(awg) for awg in sizes), default=0.0)
        return voltage_drop_v(amps, run.length_ft, ohms)

    drops = [sum(lost_v(run) for run in tree.way(box)) for box in amps_at]
    return drop_percent(max(drops, default=0.0), circuit.volts)
