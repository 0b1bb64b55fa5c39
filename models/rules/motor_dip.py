"""The dip of the voltage at each motor on a new circuit while it starts. Percent.

Through feeder and circuit, alternating-current impedance at 75 °C (chapter 9 Table 9), the motor
starting alone. What service and transformer lose before that is not known and comes on top.
"""

from collections.abc import Iterator

from models.formulas.conductors import circular_mils
from models.formulas.motor_start import USUAL_PERCENT, WORST_PERCENT, motor_start_dip_v
from models.formulas.motors import locked_rotor_amps, motor_amps
from models.formulas.voltage_drop import (
    STEEL,
    CollapseError,
    RunTuple,
    drop_percent,
    impedance_ohm_per_kft,
)
from models.plan import CircuitPlan, Finding, Run
from models.rules.feeders import panels_before
from models.rules.reading import Reading, amps_text
from models.rules.rule import SAME_PERCENT, RuleText, registry
from models.shop import Feeder

DIP = RuleText(
    "motor-start-dip",
    "Voltage dip as a motor starts",
    "While a motor draws its locked-rotor current the voltage at it dips by about 10 % at most, and"
    " by 15 % at worst, counted from the source of the feeder.",
    "motor starting guidance as commonly quoted",
    "habit",
    rests_on_memory=True,
)
RULES = registry(DIP)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a warning for each motor that pulls the voltage down far as it starts."""
    for circuit in reading.worked_circuits:
        for placed in reading.plan.machines:
            machine, place = reading.machines_of_shop[placed.id], reading.outlet_of(placed)
            if machine.motor_hp is None or place is None or place.circuit != circuit.id:
                continue
            amps = locked_rotor_amps(motor_amps(machine.motor_hp, machine.volts))
            percent = _dip_percent(machine.volts, _way(reading, circuit, place.box), amps)
            if percent <= USUAL_PERCENT + SAME_PERCENT:
                continue
            higher = "240 V instead of 120 V, " if machine.volts == 120 else ""
            grave = "; it may not come up to speed" if percent > WORST_PERCENT else ""
            yield DIP.finding(
                placed.id,
                f"{reading.called[placed.id]} draws about {amps_text(amps)} as it starts and pulls"
                f" the voltage at {place.box} down by {percent:.1f} %, {USUAL_PERCENT:g} % is"
                f" usual{grave}",
                edition=reading.edition,
                severity="warning",
                found=percent,
                limit=WORST_PERCENT if grave else USUAL_PERCENT,
                unit="%",
                fix=f"larger conductors in feeder or circuit, {higher}or a starter that keeps the"
                " current down",
            )


def _dip_percent(volts: int, way: list[RunTuple], amps: float) -> float:
    """The dip on a way, up to all of the voltage. [%]"""
    try:
        return drop_percent(motor_start_dip_v(volts, way, amps), volts) if way else 0.0
    except CollapseError:
        return 100.0


def _way(reading: Reading, circuit: CircuitPlan, box: str) -> list[RunTuple]:
    """The runs from the source to a box, one after the other."""
    panels = panels_before(reading.shop, circuit.panel)
    two_pole = len(circuit.fed_from) == 2
    parts = [(p.feeder.length_ft, _feeder_impedance(p.feeder, two_pole=two_pole)) for p in panels]
    parts += [
        (run.length_ft, _run_impedance(reading, circuit, run))
        for run in reading.trees[circuit.id].way(box)
    ]
    return [(f"{n + 1}", f"{n}", length_ft, ohm) for n, (length_ft, ohm) in enumerate(parts)]


def _feeder_impedance(feeder: Feeder, *, two_pole: bool) -> complex:
    """Impedance of a feeder's conductor; the mean of hot and neutral at 120 V. [Ω/1000 ft]"""
    raceway = feeder.raceway.partition(" ")[0] if feeder.raceway else None
    back = feeder.conductors.hot if two_pole else feeder.conductors.neutral
    pair = (feeder.conductors.hot, back)
    material = feeder.conductors.material
    return sum(impedance_ohm_per_kft(awg, raceway, material) for awg in pair) / 2


def _run_impedance(reading: Reading, circuit: CircuitPlan, run: Run) -> complex:
    """Impedance of a run's smallest conductor; steel where any of its raceways is. [Ω/1000 ft]"""
    kinds = {raceway.id: raceway.kind for raceway in reading.plan.raceways}
    steel = next((kinds[name] for name in run.raceways if kinds[name] in STEEL), None)
    awgs = [c.awg for c in run.conductors if c.role not in ("ground", "spare")]
    awg = min(awgs, key=circular_mils, default=circuit.conductor.awg)
    return impedance_ohm_per_kft(awg, steel, circuit.conductor.material)
