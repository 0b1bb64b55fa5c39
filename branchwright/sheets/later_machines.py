"""Machines that may come: for each what is done now, and what its day asks for."""

from branchwright.changeover_words import chosen_of, discount_words, others_words
from branchwright.later_words import (
    at_words,
    circuit_words,
    kept_words,
    laid_words,
    later_names,
    receptacle_words,
)
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, dollars, joined, percent, plain
from models.plan import LaterMachinePlan, Plan

COLUMNS = columns(
    "Machine", "At", ">Likely", "Its circuit", "Done now", ">Now", ">On the day", ">Expected",
    "Instead", "Parts of the day",
)  # fmt: skip


def later_machine_table(plan: Plan) -> Table:
    """A row for each machine that may come."""
    names = later_names(plan)
    rows = tuple(_row(one, names.get(one.machine, ""), plan) for one in plan.later_machines or ())
    beside = ", but in raceways where room is kept" if plan.rooms else ""
    note = (
        f"Each by itself: how several new circuits heat each other is not looked at{beside}. What"
        " is laid or pulled now ends at both ends unconnected, capped and marked; treat it as live"
        " until it is proved dead. Expected is now, and the day at its likelihood."
        f" {discount_words(plan)}"
    )
    return Table("Machines that may come", COLUMNS, rows, note=note.rstrip())


def _row(one: LaterMachinePlan, name: str, plan: Plan) -> tuple[str, ...]:
    """One machine."""
    chosen = chosen_of(one)
    where = receptacle_words(one, plan)
    parts = (
        f"{plain(line.quantity)} {clean(line.unit)}: {clean(line.item)}" for line in one.takeoff
    )
    return (
        name or clean(one.machine),
        clean(at_words(one)),
        percent(one.likelihood),
        circuit_words(one),
        joined(
            filter(None, [clean(one.chosen or "") + kept_words(one) + laid_words(one), where]),
            by="; ",
        ),
        "" if chosen is None else dollars(chosen.cost_now_usd),
        "" if chosen is None else dollars(chosen.cost_later_usd),
        "" if chosen is None else dollars(chosen.expected_usd),
        joined(filter(None, [*others_words(one), clean(one.why or "")]), by="; "),
        joined(parts),
    )
