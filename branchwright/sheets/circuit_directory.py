"""The circuit directory: every breaker in the order of its spaces, and what it feeds."""

from collections.abc import Iterator

from branchwright.measures import gauge
from branchwright.sheets.breakers import OtherBreaker, other_breakers
from branchwright.sheets.table import Table, columns
from branchwright.spaces import at_spaces
from branchwright.words import amps, clean, joined, life_words, spaces_text
from models.plan import CircuitPlan, PanelPlan, Plan

COLUMNS = columns(
    "Space", "Circuit", "Feeds", ">Breaker", "Poles", "Volts", "Conductor", "GFCI", "Status"
)

Marked = tuple[tuple[str, ...], str]


def circuit_directory(plan: Plan) -> Table:
    """A row for each breaker, panel by panel; spaces kept free and not used after them.

    Of several panels, each space is said with its panel.
    """
    rows = [row for panel in plan.panels for row in _panel(plan, panel)]
    return Table(
        "Circuit directory",
        COLUMNS,
        tuple(cells for cells, _ in rows),
        marks=tuple(mark for _, mark in rows),
    )


def _panel(plan: Plan, panel: PanelPlan) -> Iterator[Marked]:
    """The rows of one panel."""
    prefix = f"{clean(panel.id)}: " if len(plan.panels) > 1 else ""
    rows = [
        (
            (circuit.fed_from, at_spaces(plan, circuit)),
            _row(circuit),
            "existing" if circuit.life == "existing" else "",
        )
        for circuit in plan.circuits
        if circuit.panel == panel.id
    ]
    others = other_breakers(plan, panel)
    rows += [((one.spaces, spaces_text(one.spaces)), _other(one), "") for one in others]
    taken = {space for breaker in others for space in breaker.spaces}
    vacant = [s for s in panel.spaces if s.circuit is None and s.space not in taken]
    for (_, at), row, mark in sorted(rows, key=lambda row: row[0]):
        yield (prefix + at, *row), mark
    for says, reserved in (("kept free", True), ("not used", False)):
        free = [space.space for space in vacant if bool(space.reserved_for) == reserved]
        if free:
            blank = [""] * (len(COLUMNS) - 3)
            yield (prefix + spaces_text(free), "", says, *blank), "quiet"


def _row(circuit: CircuitPlan) -> tuple[str, ...]:
    """One breaker, without its spaces."""
    return (
        clean(circuit.id),
        clean(circuit.says),
        amps(circuit.breaker.amps),
        str(circuit.breaker.poles),
        circuit.volts_text,
        f"{gauge(circuit.conductor.awg)} {clean(circuit.conductor.insulation)}",
        gfci_words(circuit),
        joined(status_words(circuit)),
    )


def _other(breaker: OtherBreaker) -> tuple[str, ...]:
    """A breaker that feeds no circuit."""
    poles = str(len(breaker.spaces))
    return ("", clean(breaker.says), amps(breaker.amps), poles, "240", "", "", breaker.under)


def gfci_words(circuit: CircuitPlan) -> str:
    """Where its ground-fault protection is."""
    return ", ".join("breaker" if at == "breaker" else f"at {clean(at)}" for at in circuit.gfci_at)


def status_words(circuit: CircuitPlan) -> list[str]:
    """What is not new, and what else must be known at the panel."""
    status = life_words(circuit.life, circuit.known)
    if circuit.life == "existing" and any(run.life == "new" for run in circuit.runs):
        status.append("extended")
    if circuit.breaker.exchanged:
        status.append("breaker exchanged")
    if circuit.multiwire_with:
        shared = "neutral" if circuit.pole is None else "neutral and breaker"
        status.append(f"shares its {shared} with {circuit.multiwire_with}")
    if circuit.breaker.handle_tie:
        status.append("handle tie")
    return [*status, *(["pinned by the owner"] if circuit.pinned else [])]
