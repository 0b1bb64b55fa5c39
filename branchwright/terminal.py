"""The terminal: a plan's summary and tables."""

from collections.abc import Sequence
from pathlib import Path

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.table import Table as RichTable

from branchwright import cautions
from branchwright.changeover_words import changeover_sentences
from branchwright.findings_report import COLOURS, findings_lines, verdict_line
from branchwright.later_words import later_sentences
from branchwright.places import Places
from branchwright.sheets.binding import binding_table
from branchwright.sheets.circuit_directory import circuit_directory
from branchwright.sheets.sheet import shop_name
from branchwright.sheets.table import Table
from branchwright.sheets.worst_states import worst_states
from branchwright.words import dollars, plain
from models.plan import Plan
from models.plan_file import PAGE_NAME

NARROW = 90
DIRECTORY_NARROW = (0, 1, 2, 3)
WORST_NARROW = (0, 1, 3, 4)
BINDING_NARROW = (0, 1)


class _Answers(Console):
    """A console that leaves it to the command how to leave when its reader has gone."""

    def on_broken_pipe(self) -> None:
        """As what is printed without it does; of itself it would leave with the 1 of violations."""
        raise BrokenPipeError


def console() -> Console:
    """Where answers go; width, colour and NO_COLOR as the terminal says."""
    return _Answers(highlight=False)


def plan_report(out: Console, plan: Plan, folder: Path) -> None:
    """What was planned, what the checks say, and where the page is."""
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  NEC {plan.made_by.edition}")
    verdict_line(out, plan.findings)
    if plan.made_by.status == "stopped":
        out.print("Stopped early: this is the best plan found until then.")
    if words := cautions.gap_words(plan):
        out.print(words)
    out.print()
    print_table(out, circuit_directory(plan), DIRECTORY_NARROW)
    print_table(out, worst_states(plan), WORST_NARROW)
    bound = binding_table(plan)
    print_table(out, bound, BINDING_NARROW)
    if bound.note:
        out.print(f"{escape(bound.note)}\n")
    for says in (*changeover_sentences(plan), *later_sentences(plan)):
        out.print(f"{escape(says)}\n")
    findings_lines(out, plan.findings, Places(plan))
    out.print(_sum(plan))
    out.print(f"Page: {escape(str(folder / PAGE_NAME))}", soft_wrap=True)
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def print_table(out: Console, table: Table, narrow: Sequence[int]) -> None:
    """A table as wide as the terminal; on a narrow one only the columns that matter most."""
    if not table.rows:
        return
    used = [i for i in table.used_columns() if out.width >= NARROW or i in narrow]
    drawn = RichTable(
        title=escape(table.title), title_justify="left", title_style="bold", box=box.SIMPLE_HEAD,
        pad_edge=False, show_edge=False,
    )  # fmt: skip
    for i in used:
        column = table.columns[i]
        drawn.add_column(
            escape(column.name), justify="right" if column.right else "left", overflow="fold"
        )
    for number, row in enumerate(table.rows):
        mark = table.marks[number] if table.marks else ""
        drawn.add_row(*(escape(row[i]) for i in used), style=COLOURS.get(mark))
    out.print(drawn)
    out.print()


def _sum(plan: Plan) -> str:
    """Cost, copper, cable and what is proved, in one line."""
    totals, goal = plan.totals, plan.objective
    gap = ""
    if goal.gap is not None and goal.proved != "global":
        gap = f" (the least possible is at most {plain(100 * goal.gap, 1)} % lower)"
    invented = ", invented prices" if plan.made_by.price_book.invented else ""
    return escape(
        f"{dollars(totals.material_cost_usd)} material{invented}, {plain(totals.copper_lb, 1)} lb"
        f" copper, {plain(totals.cable_ft, 0)} ft cable: {cautions.proved_words(goal)}{gap}."
    )
