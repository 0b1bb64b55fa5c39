"""Outlets: each one with its circuit, where its GFCI is reset and what switches it."""

from branchwright.sheets.table import Table, columns
from branchwright.spaces import named_spaces
from branchwright.words import clean, joined, life_words
from models.plan import OutletPlan, Plan

COLUMNS = columns("Outlet", "Kind", "Circuit", ">Volts", "Reset GFCI at", "Switched by", "Status")


def outlet_table(plan: Plan) -> Table:
    """A row for each outlet in the plan's order."""
    spaces = {
        circuit.id: named_spaces(plan, circuit, circuit.breaker.spaces) for circuit in plan.circuits
    }
    return Table(
        "Outlets",
        COLUMNS,
        tuple(_row(outlet, spaces) for outlet in plan.outlets),
        note="When an outlet is dead, look first where its GFCI is reset.",
        marks=tuple("existing" if outlet.life == "existing" else "" for outlet in plan.outlets),
    )


def _row(outlet: OutletPlan, spaces: dict[str, str]) -> tuple[str, ...]:
    """One outlet."""
    watts = f"{outlet.watts} W" if outlet.watts is not None else ""
    kind = " ".join(part for part in (outlet.kind, outlet.configuration or watts) if part)
    reset = clean(outlet.protected_by or "")
    if reset == "breaker":
        reset = f"breaker, {spaces.get(outlet.circuit, '')}"
    return (
        clean(outlet.id),
        clean(kind),
        clean(outlet.circuit),
        str(outlet.volts),
        reset,
        clean(outlet.switched_by or ""),
        joined(life_words(outlet.life, outlet.known)),
    )
