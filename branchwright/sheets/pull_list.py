"""The pull list: every new run with its cut length and what to write on its ends."""

import re
from typing import Final

from branchwright.measures import cut_length, exact_length
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined
from models.plan import THEN, Conductor, Plan, Run

COLUMNS = columns(
    "Run", "From", "To", "Through", "Pull", ">Path", ">Slack", ">Cut", "Mark both ends", "Re-mark"
)

_CABLE: Final = re.compile(r" \d+-\d")  # `NM-B 12-2`: one that is there may lie in a raceway


def pull_list(plan: Plan) -> Table:
    """A row for each run to pull, circuit by circuit, from the panel outwards; at the end those
    for machines to come, and the pull strings where room is kept for them.
    """
    runs = [run for circuit in plan.circuits for run in circuit.runs if run.life == "new"]
    runs += [*plan.later_runs, *plan.rooms]
    total = sum(run.length_ft + run.allowance_ft for run in runs)
    blank = [""] * 6
    return Table(
        "Pull list",
        COLUMNS,
        tuple(_row(run) for run in runs),
        note="Cut is path and slack together, rounded up to the next inch. Slack is for making up"
        " at both ends.",
        foot=("", "all runs", *blank[:5], cut_length(total), "", ""),
    )


def _row(run: Run) -> tuple[str, ...]:
    """One run."""
    return (
        clean(run.id),
        clean(run.start),
        clean(run.end),
        joined((*run.raceways, *(f"past {box}" for box in run.via))),
        clean(pulled_words(run)),
        exact_length(run.length_ft),
        exact_length(run.allowance_ft),
        cut_length(run.length_ft + run.allowance_ft),
        f"{clean(run.id)} {clean(run.start)}–{clean(run.end)}",
        joined(marking_words(wire) for wire in run.conductors if wire.marked),
    )


def pulled_words(run: Run) -> str:
    """What is pulled: a cable, so many conductors, or where room is kept for them a pull string."""
    if run.stage == THEN:
        return "pull string"
    if run.method == "cable":
        return run.make
    made = run.make.partition(" in ")[0]  # behind it the names of raceways, of whatever letters
    return made if _CABLE.search(made) else f"{len(run.conductors)} × {made}"


def marking_words(wire: Conductor) -> str:
    """How a conductor is marked at both ends."""
    if wire.role == "spare":
        return f"{wire.colour}: cap and mark as {wire.marked}"
    return f"{wire.colour} to {wire.marked}"
