"""Changeovers: for each machine that may change, what is done now and what the day asks for."""

from branchwright.changeover_words import chosen_of, discount_words, others_words, where
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, dollars, joined, machine_words, percent
from models.plan import ChangeoverPlan, Plan

COLUMNS = columns(
    "Machine", "On", "Then", ">Likely", "Done now", ">Now", ">On the day", ">Expected",
    "Instead", "Parts of the day", "Steps of the day",
)  # fmt: skip


def changeover_table(plan: Plan) -> Table:
    """A row for each changeover that the plan counts."""
    names = machine_words(plan)
    rows = tuple(_row(draft, names) for draft in plan.changeovers or ())
    return Table(
        "Changeovers",
        COLUMNS,
        rows,
        note="Now: more than the least circuit that prepares nothing. What is not prepared is"
        " counted as a run of its own later. Expected is now, and the day at its likelihood."
        f" {discount_words(plan)}".rstrip(),
    )


def _row(draft: ChangeoverPlan, names: dict[str, str]) -> tuple[str, ...]:
    """One changeover."""
    chosen = chosen_of(draft)
    steps = (f"{number}. {clean(step)}" for number, step in enumerate(draft.steps, 1))
    return (
        names.get(draft.machine, clean(draft.machine)),
        clean(draft.circuit or ""),
        "" if draft.volts is None else f"{draft.volts} V",
        "" if draft.likelihood is None else percent(draft.likelihood),
        clean(draft.chosen) + where(draft),
        "" if chosen is None else dollars(chosen.cost_now_usd),
        "" if chosen is None else dollars(chosen.cost_later_usd),
        "" if chosen is None or chosen.expected_usd is None else dollars(chosen.expected_usd),
        joined(filter(None, [*others_words(draft), draft.why]), by="; "),
        joined(map(clean, draft.parts)),
        joined(steps, by=" "),
    )
