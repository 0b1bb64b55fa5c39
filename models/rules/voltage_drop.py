"""Voltage drop of each new circuit in any working state and at its farthest receptacle. Percent.

A recommendation; direct-current resistance of stranded copper at 75 °C, two wires out and back.
With the feeder the state counts that costs an outlet most in both; what the current of the other
leg takes off the neutral of the feeder is not counted.
"""

from collections.abc import Iterator
from typing import Final, NamedTuple

from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import (
    BRANCH_PERCENT,
    TOTAL_PERCENT,
    drop_percent,
    voltage_drop_v,
)
from models.plan import CircuitPlan, Finding
from models.rules.feeders import legs_of, lost_in_feeder_v, panels_before
from models.rules.reading import LUMINAIRE_VOLTS, Reading, machine_amps, names
from models.rules.rule import SAME_PERCENT, RuleText, registry
from models.shop import Panel

TEST_LOAD_AMPS: Final = 12.0  # one portable machine at the farthest receptacle: common practice

DROP = RuleText(
    "voltage-drop",
    "Voltage drop",
    "A circuit loses no more than the wished share of its voltage at any outlet, in any working"
    " state of a binding day, nor with 12 A at its farthest 120 V receptacle.",
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
FEEDER = RuleText(
    "voltage-drop-feeder",
    "Voltage drop of the feeder",
    "In no working state of a binding day does a feeder lose more than 3 % of the voltage.",
    "NEC 215.2 informational note (a recommendation)",
    "habit",
)
TOTAL = RuleText(
    "voltage-drop-total",
    "Voltage drop with the feeder",
    "Feeder and circuit together lose no more than 5 % of the voltage at any outlet, in any working"
    " state of a binding day, nor with 12 A at a 120 V receptacle beside what runs by itself.",
    "NEC 210.19 and 215.2 informational notes (a recommendation)",
    "habit",
)
RULES = registry(DROP, CLAIM, FEEDER, TOTAL)


class Total(NamedTuple):
    """What an outlet loses in feeder and circuit in the state that costs it most."""

    percent: float
    box: str
    state: tuple[str, ...]


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a warning for each circuit or feeder that loses much, a violation for a wrong claim."""
    for panel in reading.shop.supply.panels:
        yield from _feeder(reading, panel)
    for circuit in reading.worked_circuits:
        yield from _branch(reading, circuit)
        yield from _with_feeder(reading, circuit)


def _branch(reading: Reading, circuit: CircuitPlan) -> Iterator[Finding]:
    """A circuit that loses more than is wished, or not what the plan says."""
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


def _feeder(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A feeder that loses more than is recommended, seen from either leg."""
    for leg in "AB":
        worst = reading.worst(*_in_feeders(reading, [panel], frozenset(leg)))
        percent = drop_percent(worst.amps, LUMINAIRE_VOLTS) if worst else 0.0
        if worst and percent > BRANCH_PERCENT + SAME_PERCENT:
            yield FEEDER.finding(
                panel.id,
                f"the feeder of {panel.id} loses {percent:.1f} % of the voltage of leg {leg} with"
                f" {names(worst.state) or 'lights'} on, {BRANCH_PERCENT:g} % is recommended",
                edition=reading.edition,
                severity="warning",
                detail=leg,
                found=percent,
                limit=BRANCH_PERCENT,
                unit="%",
                fix=f"larger conductors in the feeder of {panel.id}, or less at once on leg {leg}",
            )


def _with_feeder(reading: Reading, circuit: CircuitPlan) -> Iterator[Finding]:
    """A circuit whose farthest outlet loses more than is recommended from the source on."""
    total = worst_total(reading, circuit)
    if total.percent > TOTAL_PERCENT + SAME_PERCENT:
        yield TOTAL.finding(
            circuit.id,
            f"with {names(total.state) or 'a 12 A tool'} on, {total.box} on {circuit.id} loses"
            f" {total.percent:.1f} % of its voltage, feeder and circuit together;"
            f" {TOTAL_PERCENT:g} % is recommended",
            edition=reading.edition,
            severity="warning",
            found=total.percent,
            limit=TOTAL_PERCENT,
            unit="%",
            fix=f"larger conductors in the feeder or in {circuit.id}",
        )


def worst_percent(reading: Reading, circuit: CircuitPlan) -> float:
    """Largest drop at any outlet of a circuit in any state, or of 12 A at a receptacle. [%]"""
    lights, volts = _lights_amps(reading, circuit), _volts(circuit)
    own = _machine_amps_at(reading, circuit)
    drops = []
    for box in sorted({*lights, *(at for at, _ in own.values())}):
        along = _along(reading, circuit, box, own)
        worst = reading.worst(along, _lost_v(reading, circuit, box, lights))
        drops.append(worst.amps if worst else 0.0)
    if volts == LUMINAIRE_VOLTS:
        boxes = {outlet.box for outlet in reading.receptacles_on(circuit)}
        drops += [_lost_v(reading, circuit, box, {box: TEST_LOAD_AMPS}) for box in sorted(boxes)]
    return drop_percent(max(drops, default=0.0), volts)


def _volts(circuit: CircuitPlan) -> int:
    """The voltage a drop is a share of; that of the 120 V outlets where there are both.

    Their drop is counted as if the neutral carried what the other hot does.
    """
    return LUMINAIRE_VOLTS if circuit.is_mixed else circuit.volts


def worst_total(reading: Reading, circuit: CircuitPlan) -> Total:
    """The outlet of a circuit that loses most in feeder and circuit together."""
    panels, volts = panels_before(reading.shop, circuit.panel), _volts(circuit)
    legs = legs_of(circuit, volts)
    machines, lights_v = _in_feeders(reading, panels, legs)
    lights = _lights_amps(reading, circuit)
    own = _machine_amps_at(reading, circuit)
    by_themselves = {
        name: lost
        for name, lost in machines.items()
        if name not in own and name not in reading.rules.attended
    }
    found = []
    for box in sorted({outlet.box for outlet in reading.outlets_on(circuit)}):
        along = _along(reading, circuit, box, own)
        with_own = machines | {name: machines[name] + lost for name, lost in along.items()}
        cases = [(with_own, lights_v + _lost_v(reading, circuit, box, lights))]
        if (
            any(outlet.box == box for outlet in reading.receptacles_on(circuit))
            and volts == LUMINAIRE_VOLTS
        ):
            tool_v = _one_in_feeders(panels, legs, legs, TEST_LOAD_AMPS)
            tool_v += _lost_v(reading, circuit, box, {box: TEST_LOAD_AMPS})
            cases.append((by_themselves, lights_v + tool_v))
        found += [(box, worst) for case in cases if (worst := reading.worst(*case))]
    totals = [Total(drop_percent(w.amps, volts), box, w.state) for box, w in found]
    return max(totals, default=Total(0.0, "", ()))


def _in_feeders(
    reading: Reading, panels: list[Panel], seen_by: frozenset[str]
) -> tuple[dict[str, float], float]:
    """What each machine, and all luminaires, cost these legs in these feeders. [V]"""
    key = "in feeders", tuple(panel.id for panel in panels), seen_by
    if key not in reading.kept:
        reading.kept[key] = _worked_out_in_feeders(reading, panels, seen_by)
    found: tuple[dict[str, float], float] = reading.kept[key]
    return found


def _worked_out_in_feeders(
    reading: Reading, panels: list[Panel], seen_by: frozenset[str]
) -> tuple[dict[str, float], float]:
    machines: dict[str, float] = {}
    lights_v = 0.0
    for circuit in reading.plan.circuits:
        before = panels_before(reading.shop, circuit.panel)
        shared = [panel for panel in panels if panel in before]
        for machine in reading.machines_on(circuit):
            legs, amps = legs_of(circuit, machine.volts), machine_amps(machine)
            machines[machine.id] = _one_in_feeders(shared, seen_by, legs, amps)
        legs = legs_of(circuit, LUMINAIRE_VOLTS)
        lights_v += _one_in_feeders(shared, seen_by, legs, reading.luminaire_amps(circuit))
    return machines, lights_v


def _one_in_feeders(
    panels: list[Panel], seen_by: frozenset[str], legs: frozenset[str], amps: float
) -> float:
    """What a current on some legs costs others in feeders; what it saves is not counted. [V]"""
    a_amps, b_amps = (amps if leg in legs else 0.0 for leg in "AB")
    return sum(
        max(0.0, lost_in_feeder_v(panel.feeder, seen_by, a_amps, b_amps)) for panel in panels
    )


def _along(
    reading: Reading, circuit: CircuitPlan, box: str, drawn: dict[str, tuple[str, float]]
) -> dict[str, float]:
    """What each machine, by the box and the amperes it draws there, costs another box. [V]"""
    return {name: _lost_v(reading, circuit, box, {at: amps}) for name, (at, amps) in drawn.items()}


def _lights_amps(reading: Reading, circuit: CircuitPlan) -> dict[str, float]:
    """Amperes of the luminaires of a circuit at their boxes."""
    amps_at: dict[str, float] = {}
    for outlet in reading.outlets_on(circuit):
        watts = reading.box_of_shop(outlet).luminaire_watts
        if outlet.kind == "luminaire" and watts is not None:
            amps_at[outlet.box] = amps_at.get(outlet.box, 0.0) + watts / LUMINAIRE_VOLTS
    return amps_at


def _machine_amps_at(reading: Reading, circuit: CircuitPlan) -> dict[str, tuple[str, float]]:
    """The machines of a circuit with the box they take their current from, and their amperes."""
    return {
        placed.id: (outlet.box, machine_amps(reading.machines_of_shop[placed.id]))
        for placed, outlet in reading.placed_on(circuit)
    }


def _lost_v(reading: Reading, circuit: CircuitPlan, box: str, amps_at: dict[str, float]) -> float:
    """Voltage lost from the panel to a box, currents added along the tree. [V]"""
    tree = reading.trees[circuit.id]
    lost = 0.0
    for run in tree.way(box):
        beyond = tree.beyond(run)
        amps = sum(drawn for other, drawn in amps_at.items() if other in beyond)
        if amps:
            sizes = {c.awg for c in run.conductors if c.role not in ("ground", "spare")}
            ohms = max(map(ohm_per_kft, sizes), default=0.0)
            lost += voltage_drop_v(amps, run.length_ft, ohms)
    return lost
