"""Worst states: which machines meet on which circuit, and how far it is then loaded."""

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, machine_words, plain, state_words
from models.plan import CircuitPlan, Plan

COLUMNS = columns("Circuit", "On together, at worst", "Day", ">Load", ">Limit", "Limit is", ">Drop")


def worst_states(plan: Plan) -> Table:
    """A row for each circuit that has a load."""
    names = machine_words(plan)
    loaded = [circuit for circuit in plan.circuits if circuit.worst is not None]
    note = (
        "Continuous loads and lights at 125 %. Drop is the voltage drop at the worst outlet;"
        " 3 % is a recommendation, not a rule."
    )
    return Table(
        "What runs together, circuit by circuit",
        COLUMNS,
        tuple(_row(circuit, names) for circuit in loaded),
        note=note,
        shares=tuple(_share(circuit) for circuit in loaded),
    )


def _share(circuit: CircuitPlan) -> float | None:
    worst = circuit.worst
    return worst.amps / worst.limit_amps if worst and worst.limit_amps else None


def _row(circuit: CircuitPlan, names: dict[str, str]) -> tuple[str, ...]:
    """One circuit in its worst state; machines on other circuits are left out."""
    worst = circuit.worst
    assert worst is not None
    here = [machine for machine in worst.state if machine in circuit.machines]
    drop = circuit.voltage_drop_percent
    return (
        clean(circuit.id),
        state_words(here, names),
        clean(worst.day),
        amps(worst.amps),
        amps(worst.limit_amps),
        "the breaker" if worst.limited_by == "breaker" else "the conductor",
        "" if drop is None else f"{plain(drop)} %",
    )
