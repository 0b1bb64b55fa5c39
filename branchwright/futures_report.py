"""What may come on the terminal and as a page: the table, what to pull now, what would help."""

from collections.abc import Iterator
from html import escape

from rich.console import Console
from rich.markup import escape as marked

from branchwright import cautions
from branchwright.changeover_words import discount_words
from branchwright.page import answer_page, listed, table_html
from branchwright.sheets.futures import (
    NARROW,
    WIDE,
    demand_sentences,
    futures_table,
    help_sentences,
    run_sentences,
)
from branchwright.sheets.sheet import shop_name
from branchwright.sheets.table import Table
from branchwright.terminal import print_table
from branchwright.words import clean
from models.plan import Plan
from solver.futures_answer import Answered

PULL_NOW = "What to pull now, for each by itself"
HELPS = "What would help"


def futures_report(out: Console, plan: Plan, told: Answered, page: str | None) -> None:
    """The answer on the terminal."""
    out.print(f"[bold]{marked(shop_name(plan))}[/bold]  NEC {plan.made_by.edition}\n")
    table = _table(told)
    print_table(out, table if out.width >= WIDE else table.only(NARROW), range(len(table.columns)))
    for says in demand_sentences(told.futures, told.every):
        out.print(marked(says))
    for title, lines in _told(told):
        out.print(f"\n[bold]{title}[/bold]")
        for says in lines:
            out.print(marked(says))
    out.print()
    for says in _notes(told):
        out.print(marked(says))
    if page is not None:
        out.print(f"Page: {marked(page)}", soft_wrap=True)
    out.print(f"[dim]{marked(cautions.PLANNING_AID)}[/dim]")


def futures_page(plan: Plan, told: Answered) -> str:
    """The same as a page."""
    sections = [("What comes, and what it takes", table_html(_table(told).only(NARROW)))]
    sections.append(("In words", listed(demand_sentences(told.futures, told.every))))
    sections += [(title, listed(lines, marks=title != HELPS)) for title, lines in _told(told)]
    sections.append(("How this is meant", listed(_notes(told))))
    head = [
        f'<p class="kicker">What may come · NEC {plan.made_by.edition}</p>',
        f"<h1>{escape(shop_name(plan))}</h1>",
    ]
    return answer_page(f"{shop_name(plan)}: what may come", head, sections)


def _table(told: Answered) -> Table:
    return futures_table(told.every, {one.id: one.name for one in told.futures.coming})


def _told(told: Answered) -> Iterator[tuple[str, list[str]]]:
    """Headings with their sentences, where there are any."""
    if told.runs:
        yield (
            PULL_NOW,
            [
                *run_sentences(told.runs, told.futures.coming),
                *filter(None, [discount_words(told.futures.plan)]),
            ],
        )
    if not all(future.holds for future in told.every):
        yield HELPS, list(help_sentences(told.alone, told.together, len(told.every)))


def _notes(told: Answered) -> Iterator[str]:
    """What is taken for granted, and what is not looked at."""
    panel = clean(told.futures.panel.id)
    if told.futures.left_out:
        yield f"{told.futures.left_out} less likely things are not combined."
    yield (
        f"Likelihoods are taken as independent. A new circuit goes to panel {panel}, by itself"
        " within the heat of its way and the drop wished; how several new ones heat each other, and"
        " what else would be planned otherwise, is not looked at: plan the shop with them to know."
        " No book has the price of an interlock, a feeder or a panel."
    )
