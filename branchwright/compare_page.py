"""Plans beside each other as a page: floor plans in two columns, then tables and sentences."""

from collections.abc import Iterable, Sequence
from html import escape

from branchwright.compare_words import (
    copper_sentences,
    move_sentences,
    settled_sentence,
    shop_sentences,
    violation_sentences,
)
from branchwright.page import answer_page, listed, sheet_html, stop_html, table_html
from branchwright.sheets.compare import (
    figures_table,
    later_table,
    margins_table,
    mattered_table,
    takeoff_in_short,
)
from branchwright.sheets.floor_plan import floor_plan
from branchwright.words import clean, joined
from models.compare import Comparison, Named

BELOW = margins_table, takeoff_in_short  # what stands under the floor plans


def compare_page(found: Comparison, named: Sequence[Named], *, ranked: bool) -> str:
    """The page; floor plans stand side by side where there is room for two."""
    title = clean(found.plans[0].name) if found.plans else "no plan"
    others = joined((f"{one.mark}: {clean(one.name)}" for one in found.plans[1:]), "; ")
    every = [
        figures_table(found),
        mattered_table(found) if ranked else None,
        later_table(found),
        *(below(found) for below in BELOW),
    ]
    tables = [table for table in every if table is not None]
    sections = [(table.title, table_html(table)) for table in tables]
    sections.insert(-len(BELOW), ("Floor plans", "".join(_floors(found, named))))
    sections += [(f"From A to {one.plan}", listed(_told(found, one.plan)))
                 for one in found.against_first]  # fmt: skip
    sections.append(("The price of copper", listed(copper_sentences(found))))
    head = [
        '<p class="kicker">Plans side by side</p>',
        f"<h1>{escape(title)}</h1>",
        f'<p class="lead">A, and against it {escape(others)}</p>',
    ]
    return answer_page(f"Plans side by side: {title}", head, sections, _banner(found))


def _banner(found: Comparison) -> Iterable[str]:
    """Across the page when a plan has a violation."""
    broken = [one.mark for one in found.plans if one.findings.violations]
    if broken:
        yield stop_html(" ".join(violation_sentences(found)))


def _floors(found: Comparison, named: Sequence[Named]) -> Iterable[str]:
    """The floor plan of every plan under its mark."""
    yield '<div class="beside">'
    for one, plan in zip(found.plans, named, strict=True):
        head = f"{one.mark} · {escape(clean(one.name))}"
        drawing = floor_plan(plan.plan)
        yield f"<figure><figcaption>{head}</figcaption>"
        yield f"{sheet_html(drawing, drawing.svg())}</figure>"
    yield "</div>"


def _told(found: Comparison, mark: str) -> Iterable[str]:
    one = next(one for one in found.against_first if one.plan == mark)
    other = next(plan for plan in found.plans if plan.mark == mark)
    yield from shop_sentences(one)
    yield from move_sentences(one.moves, found.machines)
    yield settled_sentence(found.plans[0], other, one)
