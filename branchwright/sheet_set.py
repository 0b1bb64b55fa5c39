"""The set of sheets of a plan: which there are, and the bytes of each.

A drawing is SVG with its title block, a paper is CSV; all papers stand in one workbook as well, and
everything on one page. A
changeover day is a page.
The same plan gives the same bytes: no clock, no random names.
"""

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

from branchwright.changeover_days import changeover_days
from branchwright.changeover_page import changeover_page
from branchwright.dxf import floor_dxf
from branchwright.measures import in_units
from branchwright.papers import (
    at_the_panel,
    changeovers,
    commissioning,
    cover_labels,
    fault_finding,
    joints,
    runs_together,
    scope,
    to_build_from,
    to_buy_from,
    to_inspect_by,
)
from branchwright.papers.csv_file import csv_text
from branchwright.papers.door_card import door_card_drawing
from branchwright.papers.label_sheet import label_sheets
from branchwright.papers.paper import Paper
from branchwright.papers.workbook import workbook_bytes
from branchwright.set_links import Drawn
from branchwright.set_page import set_page
from branchwright.sheets.display import Drawing, Thing
from branchwright.sheets.elevations import elevations
from branchwright.sheets.floor_circuit import FloorCircuits
from branchwright.sheets.floor_plan import placed_floor_plan
from branchwright.sheets.make_up import make_up
from branchwright.sheets.matrix import matrix
from branchwright.sheets.one_line import one_line
from branchwright.sheets.panel_face import panel_face
from branchwright.sheets.raceway_sections import raceway_sections
from branchwright.sheets.title_block import Block, with_title_block
from branchwright.since import MARKED, Since
from branchwright.since import NAMES as SINCE_NAMES
from branchwright.words import clean
from models.changeover_day import ChangeoverDocument
from models.plan import Plan

_PAPERS: Final[dict[str, Callable[[Plan], Paper]]] = {
    "directory": at_the_panel.directory,
    "door-card": at_the_panel.door_card,
    "labels": cover_labels.cover_labels,
    "pull-list": to_build_from.pull_list,
    "boxes": to_build_from.box_schedule,
    "joints": joints.joints,
    "raceways": to_build_from.raceway_ledger,
    "load": to_inspect_by.load_calculation,
    "together": runs_together.runs_together,
    "takeoff": to_buy_from.takeoff,
    "purchase": to_buy_from.purchase,
    "cutting": to_buy_from.cutting_plan,
    "scope": scope.scope,
    "commissioning": commissioning.commissioning,
    "fault-finding": fault_finding.fault_finding,
    "changeovers": changeovers.changeovers,
    "findings": to_inspect_by.findings,
}
PAPERS: Final = {name: in_units(make) for name, make in _PAPERS.items()}
DRAWINGS: Final = (
    "floor", "circuits", "panels", "one-line", "sections", "elevations", "make-up", "matrix",
    "cards", "label-sheets",
)  # fmt: skip
SEVERAL: Final[dict[str, tuple[str, Callable[[Plan], list[Drawing]]]]] = {
    "make-up": ("Make-up of boxes", make_up),
    "matrix": ("What runs together", matrix),
}
WORKBOOK: Final = "workbook"
PAGE: Final = "page"
DAYS: Final = "changeover-pages"
NAMES: Final = (*DRAWINGS, *PAPERS, DAYS, WORKBOOK, PAGE)
# What is written in which form, by the ending of its file.
FORMS: Final[dict[str, tuple[str, ...]]] = {
    "svg": (*DRAWINGS, *SINCE_NAMES),
    "dxf": ("floor",),
    "csv": (*PAPERS, *SINCE_NAMES),
    "xlsx": (WORKBOOK,),
    "html": (PAGE, DAYS),
}
WORKBOOK_FILE: Final = "papers.xlsx"
PAGE_FILE: Final = "sheets.html"
LONGEST_PART: Final = 40
_NOT_IN_NAMES: Final = re.compile(r"[^A-Za-z0-9_-]+")


class Titled(NamedTuple):
    """A drawing with the name of its file, without ending, and what its title block says.

    `about` is the thing of the plan that the whole drawing is about.
    """

    file: str
    title: str
    drawing: Drawing
    about: Thing | None = None


@dataclass(frozen=True)
class Sheet:
    """A file of the set; `name` is what it is asked for by."""

    name: str
    file: str
    title: str
    content: str | bytes


def sheet_set(
    plan: Plan, plan_sha256: str, only: Collection[str] = (), since: Since | None = None
) -> Iterator[Sheet]:
    """Every sheet, or those asked for by name; with `since`, what changed is marked and listed."""
    paged = not only or PAGE in only
    listed = since is not None and (paged or not {WORKBOOK, *SINCE_NAMES}.isdisjoint(only))
    asked = () if paged else (*only, *MARKED) if listed else only
    drawn: list[tuple[str, Drawn]] = []
    for title, one in framed(plan, plan_sha256, asked, since):
        drawn.append((title, one))
        if not only or one.name in only:
            yield Sheet(one.name, f"{one.anchor}.svg", title, one.drawing.svg() + "\n")
    block = Block.of(plan, plan_sha256)
    if not only or "floor" in only:
        dxf = floor_dxf(plan, *placed_floor_plan(plan), block)
        yield Sheet("floor", "floor_plan.dxf", "Floor plan, for exchange", dxf)
    makers = PAPERS
    if since and listed:
        shown = since.shown((title, one.drawing) for title, one in drawn if one.name in MARKED)
        makers = PAPERS | since.papers(shown)
        for name in SINCE_NAMES:
            for file, title, bare in since.drawings(name, shown):
                one = Drawn(name, file, with_title_block(bare, title, block))
                drawn.append((title, one))
                if not only or name in only:
                    yield Sheet(name, f"{file}.svg", title, one.drawing.svg() + "\n")
    violations = len(block.stop)
    all_of_them = paged or WORKBOOK in only
    papers = {name: make(plan) for name, make in makers.items() if all_of_them or name in only}
    for name, paper in papers.items():
        if not only or name in only:
            yield Sheet(name, f"{paper.name}.csv", paper.title, csv_text(paper, violations))
    if not only or DAYS in only:
        yield from _day_pages(plan)
    if not only or WORKBOOK in only:
        book = workbook_bytes(list(papers.values()), block)
        yield Sheet(WORKBOOK, WORKBOOK_FILE, "All papers", book)
    if paged:
        page = set_page(plan, plan_sha256, drawn, list(papers.values()))
        yield Sheet(PAGE, PAGE_FILE, "All drawings and papers", page)


def _day_pages(plan: Plan) -> Iterator[Sheet]:
    """A page for each machine whose changeover is prepared."""
    for number, day in enumerate(changeover_days(plan), start=1):
        file = f"changeover_{number:02}_{file_part(day.machine)}.html"
        told = ChangeoverDocument(plan="", status="ready", day=day)
        title = f"Changeover of {clean(day.name)}"
        yield Sheet(DAYS, file, title, changeover_page(plan, told))


def paper_makers(
    plan: Plan, plan_sha256: str, since: Since | None
) -> dict[str, Callable[[Plan], Paper]]:
    """The makers of every paper, by name."""
    if since is None:
        return PAPERS
    drawn = framed(plan, plan_sha256, MARKED, since)
    return PAPERS | since.papers(since.shown((title, one.drawing) for title, one in drawn))


def framed(
    plan: Plan, plan_sha256: str, only: Collection[str] = (), since: Since | None = None
) -> Iterator[tuple[str, Drawn]]:
    """Every drawing, or those asked for by name, each with its title, in its title block."""
    block = Block.of(plan, plan_sha256)
    whole = cache(lambda: placed_floor_plan(plan)[0])
    for name in (name for name in DRAWINGS if not only or name in only):
        for file, title, bare, about in _drawings(plan, name, whole):
            marked = since.marked(name, bare) if since else bare
            yield title, Drawn(name, file, with_title_block(marked, title, block), about)


def _drawings(plan: Plan, name: str, whole: Callable[[], Drawing]) -> Iterator[Titled]:
    """The drawings of one kind; `whole` gives the floor plan."""
    if name == "floor":
        yield Titled("floor_plan", "Floor plan", whole())
    elif name == "circuits":
        sheets = FloorCircuits(plan, whole())
        for number, circuit in enumerate(plan.circuits, start=1):
            file = f"circuit_{number:03}_{file_part(circuit.id)}"
            drawing = sheets.sheet(circuit)
            about = Thing("circuit", circuit.id)
            yield Titled(file, f"Circuit {clean(circuit.id)}", drawing, about)
    elif name == "panels":
        for number, panel in enumerate(plan.panels, start=1):
            file = f"panel_{number:02}_{file_part(panel.id)}"
            about = Thing("panel", panel.id)
            yield Titled(file, f"Panel {clean(panel.id)}", panel_face(plan, panel), about)
    elif name == "one-line":
        yield Titled("one_line", "One-line diagram", one_line(plan))
    elif name == "sections" and plan.raceways:
        yield Titled("raceway_sections", "Raceway sections", raceway_sections(plan))
    elif name == "elevations":
        for number, (wall, drawing) in enumerate(elevations(plan), start=1):
            file = f"elevation_{number:02}_{file_part(wall)}"
            yield Titled(file, f"Elevation, {clean(wall)} wall", drawing)
    elif name in SEVERAL:
        title, draw = SEVERAL[name]
        for number, drawing in enumerate(draw(plan), start=1):
            file = f"{re.sub('[ -]', '_', title.lower())}_{number:02}"
            yield Titled(file, f"{title} {number}", drawing)
    else:
        yield from _true_size(plan, name)


def _true_size(plan: Plan, name: str) -> Iterator[Titled]:
    """The drawings that are printed as large as they are."""
    if name == "cards":
        for number, panel in enumerate(plan.panels, start=1):
            file = f"door_card_{number:02}_{file_part(panel.id)}"
            yield Titled(file, f"Door card {clean(panel.id)}", door_card_drawing(plan, panel))
    elif name == "label-sheets":
        for number, drawing in enumerate(label_sheets(plan), start=1):
            yield Titled(f"cover_labels_{number:02}", f"Cover labels {number}", drawing)


def file_part(name: str) -> str:
    """A name as a part of a file's name: letters, digits, `-` and `_` alone.

    >>> file_part("X-opener"), file_part("../../etc"), file_part("\u202e=a")
    ('X-opener', '_etc', '_a')
    """
    return _NOT_IN_NAMES.sub("_", name)[:LONGEST_PART]
