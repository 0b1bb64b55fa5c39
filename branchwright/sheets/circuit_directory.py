"""The circuit directory: every breaker in the order of its spaces, and what it feeds."""

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, joined, life_words, spaces_text
from models.plan import CircuitPlan, Plan

COLUMNS = columns(
    "Space", "Circuit", "Feeds", ">Breaker", "Poles", "Volts", "Conductor", "GFCI", "Status"
)


def circuit_directory(plan: Plan) -> Table:
    """A row for each circuit; spaces kept free and not used at the end."""
    ordered = sorted(plan.circuits, key=lambda circuit: circuit.fed_from)
    rows = [_row(circuit) for circuit in ordered]
    vacant = [s for panel in plan.panels for s in panel.spaces if s.circuit is None]
    marks = ["existing" if circuit.life == "existing" else "" for circuit in ordered]
    for says, reserved in (("kept free", True), ("not used", False)):
        spaces = [space.space for space in vacant if bool(space.reserved_for) == reserved]
        if spaces:
            blank = [""] * (len(COLUMNS) - 3)
            rows.append((spaces_text(spaces), "", says, *blank))
            marks.append("quiet")
    return Table("Circuit directory", COLUMNS, tuple(rows), marks=tuple(marks))


def _row(circuit: CircuitPlan) -> tuple[str, ...]:
    """One breaker."""
    return (
        spaces_text(circuit.fed_from),
        clean(circuit.id),
        clean(circuit.says),
        amps(circuit.breaker.amps),
        str(circuit.breaker.poles),
        str(circuit.volts),
        f"{circuit.conductor.awg} AWG {clean(circuit.conductor.insulation)}",
        ", ".join("breaker" if at == "breaker" else f"at {clean(at)}" for at in circuit.gfci_at),
        joined(_status(circuit)),
    )


def _status(circuit: CircuitPlan) -> list[str]:
    """What is not new, and what else must be known at the panel."""
    status = life_words(circuit.life, circuit.known)
    if circuit.multiwire_with:
        shared = "neutral" if circuit.pole is None else "neutral and breaker"
        status.append(f"shares its {shared} with {circuit.multiwire_with}")
    if circuit.breaker.handle_tie:
        status.append("handle tie")
    return [*status, *(["pinned by the owner"] if circuit.pinned else [])]
