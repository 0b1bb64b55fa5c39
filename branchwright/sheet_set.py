"""The set of sheets of a plan: which there are, and the bytes of each.

A drawing is SVG with its title block, a paper is CSV; all papers stand in one workbook as well. A
changeover day is a page.
The same plan gives the same bytes: no clock, no random names.
"""

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from typing import Final, NamedTuple

from branchwright.changeover_days import changeover_days
from branchwright.changeover_page import changeover_page
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
from branchwright.sheets.display import Drawing
from branchwright.sheets.elevations import elevations
from branchwright.sheets.floor_circuit import floor_circuit
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.make_up import make_up
from branchwright.sheets.matrix import matrix
from branchwright.sheets.one_line import one_line
from branchwright.sheets.panel_face import panel_face
from branchwright.sheets.raceway_sections import raceway_sections
from branchwright.sheets.title_block import Block, with_title_block
from branchwright.words import clean
from models.changeover_day import ChangeoverDocument
from models.plan import Plan

PAPERS: Final[dict[str, Callable[[Plan], Paper]]] = {
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
DRAWINGS: Final = (
    "floor", "circuits", "panels", "one-line", "sections", "elevations", "make-up", "matrix",
    "cards", "label-sheets",
)  # fmt: skip
SEVERAL: Final[dict[str, tuple[str, Callable[[Plan], list[Drawing]]]]] = {
    "make-up": ("Make-up of boxes", make_up),
    "matrix": ("What runs together", matrix),
}
WORKBOOK: Final = "workbook"
DAYS: Final = "changeover-pages"
NAMES: Final = (*DRAWINGS, *PAPERS, DAYS, WORKBOOK)
WORKBOOK_FILE: Final = "papers.xlsx"
LONGEST_PART: Final = 40
_NOT_IN_NAMES: Final = re.compile(r"[^A-Za-z0-9_-]+")


class Titled(NamedTuple):
    """A drawing with the name of its file, without ending, and what its title block says."""

    file: str
    title: str
    drawing: Drawing


@dataclass(frozen=True)
class Sheet:
    """A file of the set; `name` is what it is asked for by."""

    name: str
    file: str
    title: str
    content: str | bytes


def sheet_set(plan: Plan, plan_sha256: str, only: Collection[str] = ()) -> Iterator[Sheet]:
    """Every sheet, or those asked for by name."""
    block = Block.of(plan, plan_sha256)
    for name in (name for name in DRAWINGS if not only or name in only):
        for file, title, drawing in _drawings(plan, name):
            svg = with_title_block(drawing, title, block).svg() + "\n"
            yield Sheet(name, f"{file}.svg", title, svg)
    violations = len(block.stop)
    all_of_them = not only or WORKBOOK in only
    papers = {name: make(plan) for name, make in PAPERS.items() if all_of_them or name in only}
    for name, paper in papers.items():
        if not only or name in only:
            yield Sheet(name, f"{paper.name}.csv", paper.title, csv_text(paper, violations))
    if not only or DAYS in only:
        yield from _day_pages(plan)
    if all_of_them:
        book = workbook_bytes(list(papers.values()), block)
        yield Sheet(WORKBOOK, WORKBOOK_FILE, "All papers", book)


def _day_pages(plan: Plan) -> Iterator[Sheet]:
    """A page for each machine whose changeover is prepared."""
    for number, day in enumerate(changeover_days(plan), start=1):
        file = f"changeover_{number:02}_{file_part(day.machine)}.html"
        told = ChangeoverDocument(plan="", status="ready", day=day)
        title = f"Changeover of {clean(day.name)}"
        yield Sheet(DAYS, file, title, changeover_page(plan, told))


def _drawings(plan: Plan, name: str) -> Iterator[Titled]:
    """The drawings of one kind."""
    if name == "floor":
        yield Titled("floor_plan", "Floor plan", floor_plan(plan))
    elif name == "circuits":
        whole = floor_plan(plan)
        for number, circuit in enumerate(plan.circuits, start=1):
            file = f"circuit_{number:03}_{file_part(circuit.id)}"
            yield Titled(file, f"Circuit {clean(circuit.id)}", floor_circuit(plan, whole, circuit))
    elif name == "panels":
        for number, panel in enumerate(plan.panels, start=1):
            file = f"panel_{number:02}_{file_part(panel.id)}"
            yield Titled(file, f"Panel {clean(panel.id)}", panel_face(plan, panel))
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
