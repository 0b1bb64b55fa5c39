"""The changeover day on the terminal, and the sentence that says why there is none."""

from rich.console import Console
from rich.markup import escape

from branchwright import cautions
from branchwright.sheets.changeover_day import (
    dead_table,
    label_table,
    numbers_table,
    off_table,
    parts_table,
    steps_table,
    way_table,
)
from branchwright.sheets.sheet import shop_name
from branchwright.terminal import print_table
from branchwright.words import clean, dollars, joined, machine_words
from models.changeover_day import ChangeoverDocument, Day, Refusal, WayOut
from models.plan import Plan


def refusal_report(out: Console, plan: Plan, machine: str, refused: Refusal) -> None:
    """Why this plan does not allow it, and what would."""
    name = machine_words(plan).get(machine, machine)
    out.print(f"[bold]No changeover of {escape(name)} in this plan.[/bold]")
    out.print(f"Why: {escape(clean(refused.says))}.")
    for number, way in enumerate(refused.ways):
        head = "Or" if number else "What would allow it"
        out.print(f"{head}: {escape(clean(way.says))}.{escape(_way_costs(way))}")
        if way.parts:
            out.print()
            print_table(out, way_table(way), (0, 1, 3))
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def _way_costs(way: WayOut) -> str:
    """What a way costs, where that is known."""
    usd = None if way.usd is None else f"{dollars(way.usd)} on the day"
    now = None if way.now_usd is None else f"{dollars(way.now_usd)} now"
    told = joined(filter(None, (now, usd)))
    return f" {told}, by the prices of the plan." if told else ""


def changeover_report(out: Console, plan: Plan, told: ChangeoverDocument) -> None:
    """The whole day."""
    day = told.day
    assert day is not None
    out.print(f"[bold]{escape(shop_name(plan))}[/bold]  NEC {plan.made_by.edition}")
    out.print(escape(title_words(day)))
    out.print()
    for caution in cautions.CAUTIONS[1:]:
        out.print(escape(caution))
    out.print()
    print_table(out, off_table(day), (0, 2, 3, 4))
    dead = dead_table(day)
    print_table(out, dead, (0, 1))
    out.print(f"{escape(dead.note)}\n")
    parts = parts_table(day)
    print_table(out, parts, (0, 1, 3))
    out.print(f"{escape(parts.note)}\n")
    print_table(out, steps_table(day), (0, 1, 2))
    print_table(out, label_table(day), (0, 1, 2))
    out.print("[bold]Checks afterwards[/bold]")
    for number, says in enumerate(day.checks, 1):
        out.print(f"{number}. {escape(clean(says))}")
    out.print()
    print_table(out, numbers_table(day), (0, 1, 2))
    out.print("[bold]In the shop file from then on[/bold]")
    for says in day.shop_file:
        out.print(f"  {escape(clean(says))}")
    out.print()
    for says in day.told_anew:
        out.print(f"New in the checks: {escape(clean(says))}.")
    for what, where in (("Page", told.page), ("New plan", told.new_plan)):
        if where is not None:
            out.print(f"{what}: {escape(where)}", soft_wrap=True)
    if told.new_plan is None:
        out.print("The plan after the day is written with `-o FOLDER`.")
    out.print(f"[dim]{escape(cautions.PLANNING_AID)}[/dim]")


def title_words(day: Day) -> str:
    """The day in a sentence."""
    return (
        f"The day {clean(day.name)} goes from {day.volts_before} V to {day.volts} V, on"
        f" {clean(day.circuit)}; off meanwhile: {joined(x.circuit for x in day.off)}."
    )
