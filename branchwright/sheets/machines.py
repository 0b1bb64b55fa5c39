"""Machines: the current of each, and the outlet and circuit it takes it from."""

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, machine_words
from models.plan import MachinePlan, Plan

COLUMNS = columns(
    "Machine", ">Volts", ">By motor table", ">By nameplate", "Plugs in at", "Circuit", "Chosen"
)


def machine_table(plan: Plan) -> Table:
    """A row for each machine in the plan's order."""
    names = machine_words(plan)
    return Table(
        "Machines",
        COLUMNS,
        tuple(_row(machine, names[machine.id]) for machine in plan.machines),
        note="Motors count by the table of NEC article 430, other machines by their nameplate.",
    )


def _row(machine: MachinePlan, name: str) -> tuple[str, ...]:
    """One machine; a portable tool has no outlet of its own."""
    wired = f"hard-wired at {clean(machine.hard_wired_at)}" if machine.hard_wired_at else ""
    carried = "any receptacle in reach" if machine.portable else ""
    return (
        name,
        str(machine.volts),
        amps(machine.amps_table),
        amps(machine.amps_nameplate),
        clean(machine.outlet or "") or wired or carried,
        clean(machine.circuit or ""),
        clean(machine.why_there or ""),
    )
