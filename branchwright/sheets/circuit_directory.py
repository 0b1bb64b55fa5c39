"""The circuit directory: every breaker in the order of its spaces, and what it feeds."""

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, spaces_text
from models.plan import CircuitPlan, Plan

COLUMNS = columns(
    "Space", "Circuit", "Feeds", ">Breaker", "Poles", "Volts", "Conductor", "GFCI", "Status"
)


def circuit_directory(plan: Plan) -> Table:
    """A row for each circuit; spare spaces at the end."""
    ordered = sorted(plan.circuits, key=lambda circuit: circuit.breaker.spaces)
    rows = [_row(circuit) for circuit in ordered]
    spare = [space.space for panel in plan.panels for space in panel.spaces if space.reserved_for]
    marks = ["existing" if circuit.life == "existing" else "" for circuit in ordered]
    if spare:
        blank = [""] * (len(COLUMNS) - 3)
        rows.append((spaces_text(spare), "", "kept free", *blank))
        marks.append("quiet")
    return Table("Circuit directory", COLUMNS, tuple(rows), marks=tuple(marks))


def _row(circuit: CircuitPlan) -> tuple[str, ...]:
    """One breaker."""
    known = f"existing, {circuit.known}" if circuit.life == "existing" else circuit.life
    return (
        spaces_text(circuit.breaker.spaces),
        clean(circuit.id),
        clean(circuit.says),
        amps(circuit.breaker.amps),
        str(circuit.breaker.poles),
        str(circuit.volts),
        f"{circuit.conductor.awg} AWG {clean(circuit.conductor.insulation)}",
        ", ".join("breaker" if at == "breaker" else f"at {clean(at)}" for at in circuit.gfci_at),
        known,
    )
