"""The permit packet: one PDF with one numbering for whoever reviews the plan.

First what is asked of the reader: what was not checked, what was taken for granted, what the
checks found. Then the papers and drawings that answer the usual questions, and what was checked.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Final

from branchwright import cautions
from branchwright.interlocks import interlocks
from branchwright.measures import length_and_unit
from branchwright.papers.paper import Paper
from branchwright.pdf.flow import NOTE, SIZES, Flow, lies_better
from branchwright.pdf.grid import Grid, Head, grid_of_paper, grid_of_table
from branchwright.pdf.page import PAPERS, Page
from branchwright.sheets.findings import findings_table, open_questions, told_on_paper
from branchwright.sheets.legs import leg_loads
from branchwright.sheets.table import Table
from branchwright.sheets.worst_states import worst_states
from branchwright.words import clean, fed_by_words, joined, local_answer_words, plain
from models.plan import Plan
from models.rules import RULES, box_fill, existing_circuits
from models.rules.not_checked import ASK_AND_LOOK

TITLE: Final = "Permit packet"
QUESTIONS: Final = "Open questions"
FOUND: Final = "What the checks found"
CHECKED: Final = "What was checked"
NOTHING_OPEN: Final = "The checks left no question open."
SMALL_PRINT: Final = 7.0
FEW: Final = 0.35  # of a last page
LOADS: Final = "What runs together"
OF_MANY: Final = {  # what is asked, by rule, of more things than one
    box_fill.UNMEASURED.id: "nobody measured these boxes: their fill is not checked; measure them,"
    " or read the volume marked in them",
    existing_circuits.UNKNOWN.id: "the runs of these existing circuits are not known: open their"
    " boxes and look; trace each before work starts",
}
# By the names that the sheets are asked for; LOADS stands here too, beside the load calculation.
ORDER: Final = (
    "directory", "load", LOADS, "one-line", "panels", "floor", "raceways", "sections", "boxes",
)  # fmt: skip


def packet_pages(
    plan: Plan, paper: str, sheet_pages: Callable[[str], Sequence[Page]]
) -> list[Page]:
    """All pages; `sheet_pages` gives those of a sheet by its name."""
    chapters: list[Sequence[Page]] = [_questions(plan, paper), _found(plan, paper)]
    for name in ORDER:
        pages = _loads(plan, paper) if name == LOADS else sheet_pages(name)
        chapters += [pages] if pages else []
    chapters.append(_checked(plan, paper))
    cover = _cover(plan, paper, chapters, 1)
    if len(cover) > 1:  # the list of contents moves what it counts
        cover = _cover(plan, paper, chapters, len(cover))
    return [*cover, *(page for chapter in chapters for page in chapter)]


def table_pages(title: str, note: str, grid: Grid, paper: str, none: str = "None.") -> list[Page]:
    """A table on as many pages as it takes, standing or lying.

    In smaller letters where that spares a last page with a few rows.
    """

    def made(largest: float) -> Flow:
        flow = Flow(title, PAPERS[paper], lies_better(grid, PAPERS[paper]))
        if note:
            flow.paragraph(note, NOTE)
        if grid.rows:
            flow.table(grid, largest)
        else:
            flow.paragraph(none)
        return flow

    flow = made(SIZES[0])
    if len(flow.pages) > 1 and flow.filled < FEW:
        smaller = (made(size) for size in SIZES[1:-1])
        return next((one.pages for one in smaller if len(one.pages) < len(flow.pages)), flow.pages)
    return flow.pages


def paper_pages(paper: Paper, size: str) -> list[Page]:
    """A paper of the set on pages."""
    return table_pages(paper.title, paper.note, grid_of_paper(paper), size)


def _cover(plan: Plan, paper: str, chapters: Sequence[Sequence[Page]], covers: int) -> list[Page]:
    """What the plan is of, the verdict of the checks, and what stands where."""
    flow = Flow(TITLE, PAPERS[paper])
    shop = plan.source.shop
    if note := clean(str(shop.get("note", ""))):
        flow.paragraph(note, NOTE)
    flow.paragraph(cautions.verdict(plan.findings, len(RULES)))
    if cautions.violations(plan.findings):
        flow.paragraph(f"{cautions.DO_NOT_BUILD} until the violations in this packet are mended.")
    flow.heading("Installation")
    flow.table(_pairs("", "", _facts(plan)))
    flow.heading("Contents")
    rows = []
    number = 1 + covers
    for pages in chapters:
        for page in (page for page in pages if page.begins):
            rows.append((page.title, str(number + list(pages).index(page))))
        number += len(pages)
    heads = (Head("Sheet", False, 60.0), Head("Page", True, 6.0))
    flow.table(Grid(heads, tuple(rows)))
    return flow.pages


def _facts(plan: Plan) -> Iterable[tuple[str, str]]:
    """Shop, edition, supply, and which file this was made from."""
    made = plan.made_by
    yield "Shop", clean(str(plan.source.shop.get("name", "")))
    yield "Code", f"NEC {made.edition}, with the local answers listed under open questions"
    for feeder in plan.feeders:
        length, unit = length_and_unit(feeder.length_ft)
        breaker = f"breaker {plain(feeder.breaker_amps, 1)} A, {plain(length)} {unit}"
        source = fed_by_words(plan, feeder)
        yield "Feeder", f"of panel {clean(feeder.to)}, from {source}: {breaker}"
    for panel in plan.panels:
        main = "main lugs" if panel.main.amps is None else f"main {plain(panel.main.amps, 1)} A"
        bus = f"bus {plain(panel.bus_amps, 1)} A, {main}"
        mine = sum(circuit.panel == panel.id for circuit in plan.circuits)
        spaces = len({one.space for one in panel.spaces})  # a tandem has two poles in one
        yield "Panel", f"{clean(panel.id)}: {bus}, {spaces} spaces, {mine} circuits"
    new = sum(circuit.life == "new" for circuit in plan.circuits)
    old = len(plan.circuits) - new
    yield "Branch circuits", f"{new} new" + f", {old} existing" * bool(old)
    yield "Outlets, boxes", f"{len(plan.outlets)} outlets in {len(plan.boxes)} boxes"
    yield "Made by", f"{clean(made.tool)}; shop file SHA-256 {plan.source.sha256}"


def _pairs(left: str, right: str, pairs: Iterable[tuple[str, str]]) -> Grid:
    heads = (Head(left, False, 16.0), Head(right, False, 60.0))
    return Grid(heads, tuple((clean(key), clean(value)) for key, value in pairs))


def _gathered(plan: Plan) -> Iterator[tuple[str, str]]:
    """Subject and sentence of what was not checked; what is asked of many alike stands once."""
    asked = [finding for finding in plan.findings if finding.severity == "not-checked"]
    of_rule = Counter(finding.rule for finding in asked)
    told = set[str]()
    for finding, question in zip(asked, open_questions(plan), strict=True):
        says = OF_MANY.get(finding.rule) if of_rule[finding.rule] > 1 else None
        if not says:
            yield question
        elif finding.rule not in told:
            told.add(finding.rule)
            yield joined(one.where for one in asked if one.rule == finding.rule), says


def _questions(plan: Plan, paper: str) -> list[Page]:
    """What a reader is asked to decide or to look at."""
    flow = Flow(QUESTIONS, PAPERS[paper])
    flow.heading("Not checked: please decide, ask the electrician or look on the spot")
    asked = (f"{subject}: {says}" for subject, says in _gathered(plan))
    flow.items([text.removesuffix(f"; {ASK_AND_LOOK}") for text in asked], NOTHING_OPEN)
    flow.heading("Local answers that the plan rests on")
    flow.table(_pairs("Question", "Taken as", local_answer_words(plan)))
    if kept_apart := [f"{device}: {keeps}" for device, keeps in interlocks(plan)]:
        flow.heading("Interlocks that the load calculation rests on")
        flow.items(kept_apart, "None.")
    flow.heading("Taken for granted: please strike what does not hold")
    flow.items([told_on_paper(text) for text in plan.made_by.assumptions], "Nothing.")
    return flow.pages


def _found(plan: Plan, paper: str) -> list[Page]:
    """What the checks found, the worst first."""
    found = grid_of_table(findings_table(plan))
    note = "Of the checks that were made; what each rests on stands beside it."
    return table_pages(FOUND, note, found, paper, "Nothing.")


def _loads(plan: Plan, paper: str) -> list[Page]:
    """Demand by working state, beside the load calculation: legs first, then circuits."""
    tables: list[Table] = [leg_loads(plan), worst_states(plan)]
    flow = Flow(LOADS, PAPERS[paper])
    for table in tables:
        flow.heading(table.title)
        flow.paragraph(table.note, NOTE)
        flow.table(grid_of_table(table))
    return flow.pages


def _checked(plan: Plan, paper: str) -> list[Page]:
    """Each check and what it rests on in this edition, two beside each other."""
    edition = plan.made_by.edition
    heads = (Head("Check", False, 20.0), Head("Rests on", False, 20.0)) * 2
    told = [(rule.title, rule.source_in(edition)) for rule in RULES.values()]
    told += [("", "")] * (len(told) % 2)
    rows = tuple((*left, *right) for left, right in zip(told[::2], told[1::2], strict=True))
    note = f"Against NEC {edition}. Checked means computed again from the finished plan."
    flow = Flow(CHECKED, PAPERS[paper])
    flow.paragraph(note, NOTE)
    flow.table(Grid(heads, rows), SMALL_PRINT)
    return flow.pages
