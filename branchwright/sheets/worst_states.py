"""Worst states: which machines meet on which circuit, and how far it is then loaded."""

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, load_amps, machine_words, state_words
from models.plan import CircuitPlan, Plan

COLUMNS = columns("Circuit", "On together, at worst", "Day", ">Load", ">Limit", "Limit is", ">Drop")


def worst_states(plan: Plan) -> Table:
    """A row for each circuit; one without any listed load has only its voltage drop."""
    names = machine_words(plan)
    note = (
        "Continuous loads and lights at 125 %. Drop is the voltage drop at the worst outlet;"
        " 3 % is a recommendation, not a rule."
    )
    return Table(
        "What runs together, circuit by circuit",
        COLUMNS,
        tuple(_row(circuit, names) for circuit in plan.circuits),
        note=note,
        shares=tuple(_share(circuit) for circuit in plan.circuits),
    )


def _share(circuit: CircuitPlan) -> float | None:
    worst = circuit.worst
    return worst.amps / worst.limit_amps if worst and worst.limit_amps else None


def _row(circuit: CircuitPlan, names: dict[str, str]) -> tuple[str, ...]:
    """One circuit in its worst state; machines on other circuits are left out."""
    worst, drop = circuit.worst, circuit.voltage_drop_percent
    dropped = "" if drop is None else f"{drop:.2f} %"
    if worst is None:
        return (clean(circuit.id), "no listed load", "", "", "", "", dropped)
    here = [machine for machine in worst.state if machine in circuit.machines]
    return (
        clean(circuit.id),
        state_words(here, names),
        clean(worst.day),
        load_amps(worst.amps),
        amps(worst.limit_amps),
        "the breaker" if worst.limited_by == "breaker" else "the conductor",
        dropped,
    )
