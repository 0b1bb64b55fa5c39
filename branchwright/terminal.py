"""The terminal: a plan's summary, tables, and causes with their remedies."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.table import Table as RichTable

from branchwright import cautions
from branchwright.changeover_words import changeover_sentences
from branchwright.findings_report import COLOURS, findings_lines, verdict_line
from branchwright.places import Places
from branchwright.sheets.binding import binding_table
from branchwright.sheets.circuit_directory import circuit_directory
from branchwright.sheets.sheet import shop_name
from branchwright.sheets.table import Table
from branchwright.sheets.worst_states import worst_states
from branchwright.words import clean, dollars, plain
from models.plan import Plan
from models.plan_file import PAGE_NAME

if TYPE_CHECKING:
    from solver.causes import Cause, Remedy
    from solver.remedies import LeastChanges

MOST_CHANGES = 6  # of one remedy, line by line
NARROW = 90
DIRECTORY_NARROW = (0, 1, 2, 3)
WORST_NARROW = (0, 1, 3, 4)
BINDING_NARROW = (0, 1)


def console() -> Console:
    """Where answers go; width, colour and NO_COLOR as the terminal says."""
    return Console(highlight=False)


def plan_report(out: Console, plan: Plan, folder: Path) -> None:
    """What was planned, what the checks say, and where the page is."""
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  NEC {plan.made_by.edition}")
    verdict_line(out, plan.findings)
    if plan.made_by.status == "stopped":
        out.print("Stopped early: this is the best plan found until then.")
    out.print()
    print_table(out, circuit_directory(plan), DIRECTORY_NARROW)
    print_table(out, worst_states(plan), WORST_NARROW)
    bound = binding_table(plan)
    print_table(out, bound, BINDING_NARROW)
    if bound.note:
        out.print(f"{escape(bound.note)}\n")
    for says in changeover_sentences(plan):
        out.print(f"{escape(says)}\n")
    findings_lines(out, plan.findings, Places(plan))
    out.print(_sum(plan))
    out.print(f"Page: {escape(str(folder / PAGE_NAME))}", soft_wrap=True)
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def causes_report(
    out: Console, causes: Sequence["Cause"], least: "LeastChanges | None" = None
) -> None:
    """Why there is no plan, and what would help: the least change first, with its price."""
    out.print("[bold]No feasible plan was found.[/bold]")
    if len(causes) > 1:
        out.print(f"{len(causes)} things stand in the way; a remedy of each is tried together.")
    for cause in causes:
        out.print(f"\n{escape(clean(cause.says))}")
        for remedy in cause.remedies:
            says, state = escape(clean(remedy.says)), escape(clean(tried_words(remedy, cause.says)))
            out.print(f"  • {says}  [dim]({state})[/dim]")
            change_lines(out, remedy.changes)
    if least is not None:
        out.print("\n[bold]The least changes found that lead to a plan[/bold]")
        for says in least.says:
            out.print(f"  • {escape(clean(says))}")
        more = "." if least.priced else "; the panel or feeder itself is not priced."
        out.print(f"The plan then takes about {dollars(least.cost_usd)} of material{more}")
        if len(least.says) > 1 and least.each_needed:
            out.print("With any one of them left out, no plan was found.")


def tried_words(remedy: "Remedy", cause: str = "") -> str:
    """What came of trying a remedy of a cause."""
    if remedy.works is None:
        return "not tried"
    if not remedy.works:
        still = remedy.leaves in ("", cause)
        return "tried: no help" if still else f"tried, and then: {remedy.leaves}"
    if remedy.cost_usd is None:
        return "tried: a plan exists then"
    more = f", {dollars(remedy.more_usd)} more than the cheapest" if remedy.more_usd else ""
    priced = "" if remedy.priced else "; the panel or feeder itself is not priced"
    return f"tried: a plan exists then, {dollars(remedy.cost_usd)} of material{more}{priced}"


def change_lines(out: Console, changes: Sequence[tuple[str, Any]]) -> None:
    """The changes of a remedy as they go into the shop file."""
    for path, value in changes[:MOST_CHANGES]:
        change = "taken away" if value is None else f"{value}"
        out.print(f"      [dim]{escape(path)}: {escape(change)}[/dim]")
    if len(changes) > MOST_CHANGES:
        out.print(f"      [dim]and {len(changes) - MOST_CHANGES} more alike (--json: all)[/dim]")


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
