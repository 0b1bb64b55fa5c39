"""Plans beside each other on the terminal."""

from typing import Final

from rich.console import Console
from rich.markup import escape

from branchwright import cautions
from branchwright.compare_words import (
    copper_sentences,
    move_sentences,
    settled_sentence,
    shop_sentences,
    violation_sentences,
)
from branchwright.sheets.compare import (
    FIGURES,
    FIGURES_LEAST,
    FIGURES_NARROW,
    figures_table,
    later_table,
    margins_table,
    mattered_table,
    takeoff_in_short,
    takeoff_table,
)
from branchwright.terminal import print_table
from models.compare import Comparison

WIDE: Final = 132  # characters that a table of all figures takes
NARROW: Final = 76


def compare_report(out: Console, found: Comparison, page: str | None, *, ranked: bool) -> None:
    """Tables first, then what moved and what copper does; `ranked`: variants of one shop."""
    every = range(2 * len(found.plans) + len(FIGURES))
    table = figures_table(found)
    if out.width < WIDE:
        table = table.only(FIGURES_NARROW if out.width >= NARROW else FIGURES_LEAST)
    print_table(out, table, every)
    out.print(f"{escape(table.note)}\n")
    if (later := later_table(found)) is not None:
        print_table(out, later, every)
        out.print(f"{escape(later.note)}\n")
    for says in violation_sentences(found):
        out.print(f"{escape(says)} {cautions.DO_NOT_BUILD}.\n")
    for gone in found.without_plan:
        out.print(f"{escape(gone.name)} has no plan: {escape(gone.says)}")
    if ranked and found.against_first:
        print_table(out, mattered_table(found), every)
    margins = margins_table(found)
    print_table(out, margins, every)
    takeoff = takeoff_table(found) if out.width >= WIDE else takeoff_in_short(found)
    print_table(out, takeoff, every)
    first = found.plans[0] if found.plans else None
    for one in found.against_first:
        out.print(f"[bold]From A to {one.plan}[/bold]")
        other = next(plan for plan in found.plans if plan.mark == one.plan)
        assert first is not None
        for says in (
            *shop_sentences(one),
            *move_sentences(one.moves, found.machines),
            settled_sentence(first, other, one),
        ):
            out.print(escape(says))
        out.print()
    for says in copper_sentences(found):
        out.print(escape(says))
    out.print("Findings are counted as the plans carry them; `branchwright inspect` checks again.")
    if page is not None:
        out.print(f"Page: {escape(page)}", soft_wrap=True)
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")
