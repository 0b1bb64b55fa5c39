"""The set of sheets of a plan: which there are, and the bytes of each.

A drawing is SVG with its title block, a paper is CSV; all papers stand in one workbook as well.
The same plan gives the same bytes: no clock, no random names.
"""

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final, NamedTuple

from branchwright.dxf import floor_dxf
from branchwright.measures import in_units
from branchwright.papers import (
    at_the_panel,
    cover_labels,
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
from branchwright.sheets.floor_plan import floor_plan, placed_floor_plan
from branchwright.sheets.one_line import one_line
from branchwright.sheets.panel_face import panel_face
from branchwright.sheets.raceway_sections import raceway_sections
from branchwright.sheets.title_block import Block, with_title_block
from branchwright.since import MARKED, Since
from branchwright.since import NAMES as SINCE_NAMES
from branchwright.words import clean
from models.plan import Plan

_PAPERS: Final[dict[str, Callable[[Plan], Paper]]] = {
    "directory": at_the_panel.directory,
    "door-card": at_the_panel.door_card,
    "labels": cover_labels.cover_labels,
    "pull-list": to_build_from.pull_list,
    "boxes": to_build_from.box_schedule,
    "raceways": to_build_from.raceway_ledger,
    "load": to_inspect_by.load_calculation,
    "takeoff": to_buy_from.takeoff,
    "purchase": to_buy_from.purchase,
    "cutting": to_buy_from.cutting_plan,
    "findings": to_inspect_by.findings,
}
PAPERS: Final = {name: in_units(make) for name, make in _PAPERS.items()}
DRAWINGS: Final = (
    "floor", "circuits", "panels", "one-line", "sections", "elevations", "cards", "label-sheets"
)  # fmt: skip
WORKBOOK: Final = "workbook"
NAMES: Final = (*DRAWINGS, *PAPERS, WORKBOOK)
# What is written in which form, by the ending of its file.
FORMS: Final[dict[str, tuple[str, ...]]] = {
    "svg": (*DRAWINGS, *SINCE_NAMES),
    "dxf": ("floor",),
    "csv": (*PAPERS, *SINCE_NAMES),
    "xlsx": (WORKBOOK,),
}
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


def sheet_set(
    plan: Plan, plan_sha256: str, only: Collection[str] = (), since: Since | None = None
) -> Iterator[Sheet]:
    """Every sheet, or those asked for by name; with `since`, what changed is marked and listed."""
    block = Block.of(plan, plan_sha256)
    made = cache(lambda name: list(_drawings(plan, name)))
    for name in (name for name in DRAWINGS if not only or name in only):
        for file, title, bare in made(name):
            drawing = since.marked(name, bare) if since else bare
            yield _svg(name, Titled(file, title, drawing), block)
    if not only or "floor" in only:
        dxf = floor_dxf(plan, *placed_floor_plan(plan), block)
        yield Sheet("floor", "floor_plan.dxf", "Floor plan, for exchange", dxf)
    makers = PAPERS
    if since and (not only or not {*SINCE_NAMES, WORKBOOK}.isdisjoint(only)):
        shown = since.shown((one.title, one.drawing) for name in MARKED for one in made(name))
        makers = PAPERS | since.papers(shown)
        for name in (name for name in SINCE_NAMES if not only or name in only):
            for one in since.drawings(name, shown):
                yield _svg(name, Titled(*one), block)
    violations = len(block.stop)
    for name in (name for name in makers if not only or name in only):
        paper = makers[name](plan)
        yield Sheet(name, f"{paper.name}.csv", paper.title, csv_text(paper, violations))
    if not only or WORKBOOK in only:
        papers = [make(plan) for make in makers.values()]
        yield Sheet(WORKBOOK, WORKBOOK_FILE, "All papers", workbook_bytes(papers, block))


def _svg(name: str, one: Titled, block: Block) -> Sheet:
    """A drawing in its title block, as a file."""
    svg = with_title_block(one.drawing, one.title, block).svg() + "\n"
    return Sheet(name, f"{one.file}.svg", one.title, svg)


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
