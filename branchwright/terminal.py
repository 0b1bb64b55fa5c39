"""The terminal: a plan's summary, the findings of a check, and causes with their remedies."""

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rich import box
from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table as RichTable

from branchwright import cautions
from branchwright.sheets.circuit_directory import circuit_directory
from branchwright.sheets.findings import open_questions, source_words, value_words
from branchwright.sheets.sheet import shop_name
from branchwright.sheets.table import Table
from branchwright.sheets.worst_states import worst_states
from branchwright.words import clean, dollars, plain
from models.plan import Finding, Plan
from models.plan_file import PAGE_NAME
from models.rules import RULES

if TYPE_CHECKING:
    from solver.causes import Cause

NARROW = 90
DIRECTORY_NARROW = (0, 1, 2, 3)
WORST_NARROW = (0, 1, 3, 4)


def console() -> Console:
    """Where answers go; width, colour and NO_COLOR as the terminal says."""
    return Console(highlight=False)


def plan_report(out: Console, plan: Plan, folder: Path) -> None:
    """What was planned, what the checks say, and where the page is."""
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  NEC {plan.made_by.edition}")
    _verdict(out, plan.findings)
    if plan.made_by.status == "stopped":
        out.print("Stopped early: this is the best plan found until then.")
    out.print()
    print_table(out, circuit_directory(plan), DIRECTORY_NARROW)
    print_table(out, worst_states(plan), WORST_NARROW)
    findings_lines(out, plan.findings)
    out.print(_sum(plan))
    out.print(f"Page: {escape(str(folder / PAGE_NAME))}", soft_wrap=True)
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def findings_report(out: Console, path: Path, plan: Plan, findings: Sequence[Finding]) -> None:
    """What a check of its own found in a finished plan."""
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  {escape(str(path))}", soft_wrap=True)
    _verdict(out, findings)
    out.print()
    findings_lines(out, findings)
    asked = open_questions(findings)
    if asked:
        out.print("[bold]Not checked[/bold]")
        for subject, says in asked:
            out.print(f"  {escape(subject)}: {escape(says)}")
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def causes_report(out: Console, causes: Iterable["Cause"]) -> None:
    """Why there is no plan, and what would help."""
    out.print("[bold]No feasible plan was found.[/bold]")
    for cause in causes:
        out.print(f"\n{escape(clean(cause.says))}")
        for remedy in cause.remedies:
            state = "not tried" if remedy.works is None else "tried: a plan exists then"
            if remedy.works is False:
                state = f"tried, and then: {clean(remedy.leaves)}" if remedy.leaves else "no help"
            out.print(f"  • {escape(clean(remedy.says))}  [dim]({state})[/dim]")
            for path, value in remedy.changes:
                change = "taken away" if value is None else f"{value}"
                out.print(f"      [dim]{escape(path)}: {escape(change)}[/dim]")


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
        style = {"violation": "bold red", "warning": "yellow"}.get(mark)
        drawn.add_row(*(escape(row[i]) for i in used), style=style)
    out.print(drawn)
    out.print()


def findings_lines(out: Console, findings: Sequence[Finding]) -> None:
    """Each finding with its limit, its source and the next step, without the open questions."""
    told = [finding for finding in findings if finding.severity != "not-checked"]
    if told:
        out.print("[bold]Findings[/bold]")
    for finding in told:
        colour = {"violation": "bold red", "warning": "yellow"}.get(finding.severity, "bold")
        limit = f" ({value_words(finding)})" if finding.limit is not None else ""
        source = escape(f"[{finding.rule}: {source_words(finding)}]")
        says = f"{escape(clean(finding.says) + limit)} [dim]{source}[/dim]"
        out.print(Padding(f"[{colour}]{finding.severity}[/{colour}]  {says}", (0, 0, 0, 2)))
        if finding.fix:
            out.print(Padding(f"next: {escape(clean(finding.fix))}", (0, 0, 0, 4)))
    if told:
        out.print()


def _verdict(out: Console, findings: Sequence[Finding]) -> None:
    """The sentence at the top; DO NOT BUILD in front of it when there is a violation."""
    says = cautions.verdict(findings, len(RULES))
    if cautions.violations(findings):
        out.print(f"[bold red]{cautions.DO_NOT_BUILD}[/bold red]  {escape(says)}")
    else:
        out.print(escape(says))


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
