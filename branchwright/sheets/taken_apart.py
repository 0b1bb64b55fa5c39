"""Circuits that are there and are taken apart: where each was, what it fed, where that is now."""

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, joined, spaces_text
from models.plan import CircuitPlan, Plan

COLUMNS = columns(
    "Circuit", "Fed", "Panel", "Space", ">Breaker", "Cables and wires", "Boxes now on"
)


def taken_apart(plan: Plan) -> Table:
    """A row for each circuit that is removed."""
    return Table(
        "Taken apart",
        COLUMNS,
        tuple(_row(plan, circuit) for circuit in plan.removed or ()),
        note="Existing circuits that this plan has no place for: their boxes go on other circuits,"
        " their breakers and runs come out. Prove each dead before it is touched.",
    )


def _row(plan: Plan, gone: CircuitPlan) -> tuple[str, ...]:
    """One circuit."""
    boxes = {run.end for run in gone.runs}
    fed = dict.fromkeys(outlet.circuit for outlet in plan.outlets if outlet.box in boxes)
    return (
        clean(gone.id),
        clean(gone.says),
        clean(gone.panel),
        spaces_text(gone.breaker.spaces),
        amps(gone.breaker.amps),
        joined(f"{run.start}–{run.end}" for run in gone.runs),
        joined(fed, none="none"),
    )
