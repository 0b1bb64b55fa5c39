"""The set of sheets of a plan: which there are, and the bytes of each.

A drawing is SVG with its title block, a paper is CSV; all papers stand in one workbook as well. All
drawings of one name make a PDF, each paper makes one, and the permit packet is made of both.
The same plan gives the same bytes: no clock, no random names.
"""

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

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
from branchwright.pdf.document import pdf_bytes
from branchwright.pdf.drawing_page import drawing_pages, largest_of_all
from branchwright.pdf.packet import TITLE, packet_pages, paper_pages
from branchwright.pdf.page import USUAL_PAPER, OnPaper, Page
from branchwright.sheets.display import Drawing
from branchwright.sheets.elevations import elevations
from branchwright.sheets.floor_circuit import circuit_extent, floor_circuit
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.one_line import one_line
from branchwright.sheets.panel_face import panel_face
from branchwright.sheets.raceway_sections import raceway_sections
from branchwright.sheets.title_block import Block, with_title_block
from branchwright.words import clean
from models.plan import Plan

PAPERS: Final[dict[str, Callable[[Plan], Paper]]] = {
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
DRAWINGS: Final[dict[str, str]] = {
    "floor": "Floor plan",
    "circuits": "Floor plans of the circuits",
    "panels": "Panel faces",
    "one-line": "One-line diagram",
    "sections": "Raceway sections",
    "elevations": "Wall elevations",
    "cards": "Door cards, to cut out",
    "label-sheets": "Cover-plate labels, to cut out",
}
WORKBOOK: Final = "workbook"
PACKET: Final = "packet"
NAMES: Final = (*DRAWINGS, *PAPERS, WORKBOOK, PACKET)
WORKBOOK_FILE: Final = "papers.xlsx"
PACKET_FILE: Final = "permit_packet.pdf"
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
    plan: Plan, plan_sha256: str, only: Collection[str] = (), on: OnPaper = USUAL_PAPER
) -> Iterator[Sheet]:
    """Every sheet, or those asked for by name; `on` says on which paper the PDFs are."""
    made = _Made(plan, on)
    block = Block.of(plan, plan_sha256)
    violations = len(block.stop)
    for name in (name for name in DRAWINGS if not only or name in only):
        for file, title, drawing in made.drawings(name):
            svg = with_title_block(drawing, title, block).svg() + "\n"
            yield Sheet(name, f"{file}.svg", title, svg)
        if pages := made.pages(name):
            title, file = DRAWINGS[name], f"{name.replace('-', '_')}.pdf"
            yield Sheet(name, file, title, pdf_bytes(title, pages, block))
    for name in (name for name in PAPERS if not only or name in only):
        paper = made.paper(name)
        yield Sheet(name, f"{paper.name}.csv", paper.title, csv_text(paper, violations))
        pdf = pdf_bytes(paper.title, made.pages(name), block)
        yield Sheet(name, f"{paper.name}.pdf", paper.title, pdf)
    if not only or WORKBOOK in only:
        papers = [made.paper(name) for name in PAPERS]
        yield Sheet(WORKBOOK, WORKBOOK_FILE, "All papers", workbook_bytes(papers, block))
    if not only or PACKET in only:
        packet = packet_pages(plan, on.paper, made.pages)
        yield Sheet(PACKET, PACKET_FILE, TITLE, pdf_bytes(TITLE, packet, block))


class _Made:
    """Drawings and papers of a plan, each made once."""

    def __init__(self, plan: Plan, on: OnPaper) -> None:
        self.plan, self.on = plan, on
        self._drawings: dict[str, list[Titled]] = {}
        self._papers: dict[str, Paper] = {}
        self._pages: dict[str, list[Page]] = {}

    @cached_property
    def whole(self) -> Drawing:
        """The floor plan, of which those of the circuits are made."""
        return floor_plan(self.plan)

    def drawings(self, name: str) -> list[Titled]:
        """The drawings of one kind."""
        if name not in self._drawings:
            self._drawings[name] = list(_drawings(self, name))
        return self._drawings[name]

    def paper(self, name: str) -> Paper:
        """A paper by its name."""
        if name not in self._papers:
            self._papers[name] = PAPERS[name](self.plan)
        return self._papers[name]

    def pages(self, name: str) -> list[Page]:
        """A paper or the drawings of one kind, on pages."""
        if name not in self._pages and name in PAPERS:
            self._pages[name] = paper_pages(self.paper(name), self.on.paper)
        elif name not in self._pages:
            self._pages[name] = list(self._drawing_pages(name))
        return self._pages[name]

    def _drawing_pages(self, name: str) -> Iterator[Page]:
        drawings = self.drawings(name)
        if name == "sections":  # to be compared: of one scale
            most = largest_of_all((one.drawing for one in drawings), self.on)
            for _, title, drawing in drawings:
                yield from drawing_pages(title, drawing, self.on, most=most)
        elif name == "circuits":
            for (_, title, drawing), circuit in zip(drawings, self.plan.circuits, strict=True):
                about = circuit_extent(drawing, circuit.id)
                yield from drawing_pages(title, drawing, self.on, about=about)
        else:
            for _, title, drawing in drawings:
                yield from drawing_pages(title, drawing, self.on, in_parts=name == "floor")


def _drawings(made: _Made, name: str) -> Iterator[Titled]:
    """The drawings of one kind."""
    plan = made.plan
    if name == "floor":
        yield Titled("floor_plan", "Floor plan", made.whole)
    elif name == "circuits":
        for number, circuit in enumerate(plan.circuits, start=1):
            file = f"circuit_{number:03}_{file_part(circuit.id)}"
            yield Titled(
                file, f"Circuit {clean(circuit.id)}", floor_circuit(plan, made.whole, circuit)
            )
    elif name == "panels":
        for number, panel in enumerate(plan.panels, start=1):
            file = f"panel_{number:02}_{file_part(panel.id)}"
            yield Titled(file, f"Panel {clean(panel.id)}", panel_face(plan, panel))
    elif name == "one-line":
        yield Titled("one_line", "One-line diagram", one_line(plan))
    elif name == "sections":
        for number, drawing in enumerate(raceway_sections(plan), start=1):
            yield Titled(f"raceway_sections_{number:02}", f"Raceway sections {number}", drawing)
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
