"""The changeover day as a page to print: cautions first, a box to tick before every step."""

from collections.abc import Iterable
from html import escape

from branchwright import cautions
from branchwright.changeover_report import title_words
from branchwright.page import answer_page, listed, table_html
from branchwright.sheets.changeover_day import (
    dead_table,
    label_table,
    numbers_table,
    off_table,
    parts_table,
)
from branchwright.sheets.sheet import shop_name
from branchwright.words import clean
from models.changeover_day import ChangeoverDocument, Day
from models.plan import Plan
from models.rules import RULES

TICK = "☐"


def changeover_page(plan: Plan, told: ChangeoverDocument) -> str:
    """The page of a day; nothing in it but the day."""
    day = told.day
    assert day is not None
    head = [
        f'<p class="kicker">Changeover day · NEC {plan.made_by.edition}</p>',
        f"<h1>{escape(shop_name(plan))}</h1>",
        *day_lead(day),
    ]
    title = f"{shop_name(plan)}: changeover of {clean(day.name)}"
    return answer_page(title, head, day_parts(day))


def day_lead(day: Day) -> tuple[str, str]:
    """What the day is, and what the checks say of the plan after it."""
    return (
        f'<p class="lead">{escape(title_words(day))}</p>',
        f'<p class="verdict">The plan after the day: {escape(_verdict())}</p>',
    )


def day_parts(day: Day) -> list[tuple[str, str]]:
    """The parts of a day in their order: title and HTML of each."""
    return [
        ("Off and locked", table_html(off_table(day))),
        ("Dead meanwhile", _dead(day)),
        ("Parts", table_html(parts_table(day))),
        ("Steps", _steps(day)),
        ("Labels to print again", table_html(label_table(day))),
        ("Checks afterwards", _ticked(clean(says) for says in day.checks)),
        ("Before and after", table_html(numbers_table(day))),
        ("In the shop file from then on", listed(day.shop_file)),
        *([("New in the checks", listed(day.told_anew))] if day.told_anew else []),
    ]


def _dead(day: Day) -> str:
    """What is dead with its circuits off, and that all else is while the feeder is."""
    table = dead_table(day)
    return table_html(table) if table.rows else f"<p>{escape(table.note)}</p>"


def _verdict() -> str:
    """What the checks say of the plan after the day; one with a violation is refused before."""
    said = cautions.verdict((), len(RULES))
    return said[0].lower() + said[1:]


def _steps(day: Day) -> str:
    """Every step with its place."""
    return _ticked(f"{step.at} {clean(step.place)}: {clean(step.says)}" for step in day.steps)


def _ticked(lines: Iterable[str]) -> str:
    """Numbered lines with a box to tick."""
    rows = (
        f"<dt>{TICK} {number}</dt><dd>{escape(line)}</dd>" for number, line in enumerate(lines, 1)
    )
    return f'<dl class="ticks">{"".join(rows)}</dl>'
