"""Passages: which runs go through each opening, and what bundling leaves of their ampacity."""

from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined, plain
from models.plan import Ledger, PassagePlan, Plan

COLUMNS = columns("Passage", "Runs through it", ">Cables", ">Current-carrying", ">Adjustment")


def passages(plan: Plan) -> Table:
    """A row for each passage and stage."""
    pairs = [(passage, ledger) for passage in plan.passages or () for ledger in passage.ledgers]
    return Table(
        "Passages",
        COLUMNS,
        tuple(_row(*pair) for pair in pairs),
        note="Openings where cables lie bundled; adjustment by NEC 310.15(C)(1) and 334.80.",
    )


def _row(passage: PassagePlan, ledger: Ledger) -> tuple[str, ...]:
    """One passage."""
    return (
        clean(passage.id),
        joined((content.run for content in ledger.contents), none="empty"),
        str(len(ledger.contents)),
        str(ledger.current_carrying),
        f"{plain(100 * ledger.adjustment)} %",
    )
