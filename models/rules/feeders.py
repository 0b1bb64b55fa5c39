"""What lies before a panel: its feeder, and those of the panels that it hangs on. Volts, feet."""

from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import three_wire_drop_v
from models.plan import CircuitPlan
from models.rules.panel_spaces import leg_of
from models.shop import Feeder, Panel, Shop


def panels_before(shop: Shop, panel_id: str) -> list[Panel]:
    """A panel and those before it, the one nearest the source first."""
    by_id = {panel.id: panel for panel in shop.supply.panels}
    found: list[Panel] = []
    while (panel := by_id.get(panel_id)) and panel not in found:
        found.insert(0, panel)
        panel_id = panel.feeder.source
    return found


def legs_of(circuit: CircuitPlan, volts: int | None = None) -> frozenset[str]:
    """The legs that a circuit takes its current from, or an outlet of a voltage on it."""
    spaces = circuit.fed_from
    if volts is not None and circuit.hot_space is not None and volts < circuit.volts:
        spaces = (circuit.hot_space,)
    return frozenset(leg_of(space) for space in spaces)


def lost_in_feeder_v(
    feeder: Feeder, seen_by: frozenset[str], a_amps: float, b_amps: float
) -> float:
    """Voltage that currents on two legs cost what hangs on one leg and neutral, or on both. [V]

    Plain resistance of stranded conductors at 75 °C, chapter 9 Table 8.
    """
    material = feeder.conductors.material
    hot = ohm_per_kft(feeder.conductors.hot, material)
    neutral = ohm_per_kft(feeder.conductors.neutral, material)
    sides = {"A": (a_amps, b_amps), "B": (b_amps, a_amps)}
    return sum(
        three_wire_drop_v(*sides[leg], feeder.length_ft, hot, neutral) for leg in sorted(seen_by)
    )
