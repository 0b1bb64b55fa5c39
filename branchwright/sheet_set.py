"""The set of sheets of a plan: which there are, and the bytes of each.

A drawing is SVG with its title block, the floor plan DXF for exchange too; a paper is CSV, and all
papers stand in one workbook. All drawings of one name make a PDF, each paper makes one, and the
permit packet is made of both. One page has everything; a changeover day is a page of its own.
The same plan gives the same bytes: no clock, no random names.
"""

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from typing import Final, NamedTuple

from branchwright.changeover_days import changeover_days
from branchwright.changeover_page import changeover_page
from branchwright.dxf import floor_dxf
from branchwright.in_two import in_two
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
from branchwright.papers.fault_cards import fault_cards
from branchwright.papers.label_sheet import label_sheets
from branchwright.papers.paper import Paper
from branchwright.papers.workbook import workbook_bytes
from branchwright.pdf.document import pdf_bytes
from branchwright.pdf.drawing_page import circuit_pages, drawing_pages, floor_pages, largest_of_all
from branchwright.pdf.packet import TITLE, packet_pages, paper_pages
from branchwright.pdf.page import USUAL_PAPER, OnPaper, Page
from branchwright.set_links import Drawn
from branchwright.set_page import set_page
from branchwright.sheets.display import Drawing, Thing
from branchwright.sheets.elevations import elevations
from branchwright.sheets.floor_circuit import FloorCircuits, circuit_extent
from branchwright.sheets.floor_frame import Frame
from branchwright.sheets.floor_legend import breaker_words
from branchwright.sheets.floor_plan import placed_floor_plan
from branchwright.sheets.make_up import make_up
from branchwright.sheets.matrix import matrix
from branchwright.sheets.one_line import one_line
from branchwright.sheets.panel_face import panel_face
from branchwright.sheets.raceway_sections import raceway_sections
from branchwright.sheets.rolls_drawn import rolls_drawn
from branchwright.sheets.title_block import Block, with_title_block
from branchwright.since import MARKED, Shown, Since
from branchwright.since import NAMES as SINCE_NAMES
from branchwright.since import TITLES as SINCE_TITLES
from branchwright.words import clean, wall_words
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
DRAWINGS: Final[dict[str, str]] = {
    "floor": "Floor plan",
    "circuits": "Floor plans of the circuits",
    "panels": "Panel faces",
    "one-line": "One-line diagram",
    "sections": "Raceway sections",
    "elevations": "Wall elevations",
    "make-up": "Make-up of boxes",
    "matrix": "What runs together",
    "rolls": "Rolls and sticks",
    "cards": "Door cards, to cut out",
    "fault-cards": "Fault-finding cards, to cut out",
    "label-sheets": "Cover-plate labels, to cut out",
}
SEVERAL: Final[dict[str, tuple[str, Callable[[Plan], list[Drawing]]]]] = {
    "sections": ("Raceway sections", raceway_sections),
    "make-up": ("Make-up of boxes", make_up),
    "matrix": ("What runs together", matrix),
    "rolls": ("Rolls and sticks", rolls_drawn),
}
WORKBOOK: Final = "workbook"
PAGE: Final = "page"
PACKET: Final = "packet"
DAYS: Final = "changeover-pages"
NAMES: Final = (*DRAWINGS, *PAPERS, DAYS, WORKBOOK, PAGE, PACKET)
# What is written in which form, by the ending of its file.
FORMS: Final[dict[str, tuple[str, ...]]] = {
    "svg": (*DRAWINGS, *SINCE_NAMES),
    "pdf": (*DRAWINGS, *PAPERS, *SINCE_NAMES, PACKET),
    "dxf": ("floor",),
    "csv": (*PAPERS, *SINCE_NAMES),
    "xlsx": (WORKBOOK,),
    "html": (PAGE, DAYS),
}
WORKBOOK_FILE: Final = "papers.xlsx"
PACKET_FILE: Final = "permit_packet.pdf"
PAGE_FILE: Final = "sheets.html"
LONGEST_PART: Final = 40
FEW: Final = 2  # names that are told one by one
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
    plan: Plan,
    plan_sha256: str,
    only: Collection[str] = (),
    on: OnPaper = USUAL_PAPER,
    since: Since | None = None,
    forms: Collection[str] = (),
) -> list[Sheet]:
    """Every sheet, or those asked for by name and form.

    `on` says on which paper the PDFs are; with `since`, what changed is marked and listed.
    """
    made = _Made(plan, on, since)
    block = Block.of(plan, plan_sha256)

    def wants(name: str, form: str) -> bool:
        return (not only or name in only) and (not forms or form in forms)

    return [
        sheet for some in in_two(list(_jobs(made, block, plan_sha256, wants))) for sheet in some
    ]


def _jobs(
    made: "_Made", block: Block, plan_sha256: str, wants: Callable[[str, str], bool]
) -> Iterator[Callable[[], list[Sheet]]]:
    """What makes the files, in their order, some of the longest last; drawings and papers that they
    share are made before.
    """
    plan = made.plan
    for name, title in made.titles.items():
        if wants(name, "svg"):
            yield partial(_svgs, name, made.drawings(name), block)
        if wants(name, "pdf"):
            made.drawings(name)
            yield partial(_pdf, made, name, title, name.replace("-", "_"), block)
    if wants("floor", "dxf"):
        yield partial(_dxf, plan, made.placed, block)
    for name in made.makers:
        if wants(name, "csv"):
            yield partial(_csv, name, made.paper(name), block)
        if wants(name, "pdf") and name not in made.titles:
            paper = made.paper(name)
            yield partial(_pdf, made, name, paper.title, paper.name, block)
    if wants(DAYS, "html"):
        yield partial(_day_pages, plan)
    if wants(WORKBOOK, "xlsx"):
        yield partial(_workbook, [made.paper(name) for name in made.makers], block)
    if wants(PAGE, "html"):
        drawn = list(_framed(made, made.titles, block))
        papers = [made.paper(name) for name in made.makers]
        yield partial(_page, plan, plan_sha256, drawn, papers)
    if wants(PACKET, "pdf"):
        yield partial(_packet, made, block)


def _svgs(name: str, drawings: Iterable[Titled], block: Block) -> list[Sheet]:
    return [
        Sheet(name, f"{file}.svg", title, with_title_block(drawing, title, block).svg() + "\n")
        for file, title, drawing, _ in drawings
    ]


def _pdf(made: "_Made", name: str, title: str, file: str, block: Block) -> list[Sheet]:
    """None where no drawing is of the kind."""
    pages = made.pages(name)
    return [Sheet(name, f"{file}.pdf", title, pdf_bytes(title, pages, block))] if pages else []


def _dxf(plan: Plan, placed: tuple[Drawing, Frame], block: Block) -> list[Sheet]:
    dxf = floor_dxf(plan, *placed, block)
    return [Sheet("floor", "floor_plan.dxf", "Floor plan, for exchange", dxf)]


def _csv(name: str, paper: Paper, block: Block) -> list[Sheet]:
    return [Sheet(name, f"{paper.name}.csv", paper.title, csv_text(paper, len(block.stop)))]


def _workbook(papers: Sequence[Paper], block: Block) -> list[Sheet]:
    return [Sheet(WORKBOOK, WORKBOOK_FILE, "All papers", workbook_bytes(papers, block))]


def _page(
    plan: Plan, plan_sha256: str, drawn: Sequence[tuple[str, Drawn]], papers: Sequence[Paper]
) -> list[Sheet]:
    page = set_page(plan, plan_sha256, drawn, papers, changeover_days(plan))
    return [Sheet(PAGE, PAGE_FILE, "All drawings and papers", page)]


def _packet(made: "_Made", block: Block) -> list[Sheet]:
    pages = packet_pages(made.plan, made.on.paper, made.packed)
    return [Sheet(PACKET, PACKET_FILE, TITLE, pdf_bytes(TITLE, pages, block))]


def _day_pages(plan: Plan) -> list[Sheet]:
    """A page for each machine whose changeover is prepared."""
    sheets = []
    for number, day in enumerate(changeover_days(plan), start=1):
        file = f"changeover_{number:02}_{file_part(day.machine)}.html"
        told = ChangeoverDocument(plan="", status="ready", day=day)
        page = changeover_page(plan, told)
        sheets.append(Sheet(DAYS, file, f"Changeover of {clean(day.name)}", page))
    return sheets


def framed(plan: Plan, plan_sha256: str, only: Collection[str] = ()) -> Iterator[tuple[str, Drawn]]:
    """Every drawing, or those asked for by name, each with its title, in its title block."""
    names = [name for name in DRAWINGS if not only or name in only]
    yield from _framed(_Made(plan), names, Block.of(plan, plan_sha256))


def papers_of(plan: Plan, names: Iterable[str], since: Since | None) -> list[Paper]:
    """Papers by their names."""
    made = _Made(plan, since=since)
    return [made.paper(name) for name in names]


def _framed(made: "_Made", names: Iterable[str], block: Block) -> Iterator[tuple[str, Drawn]]:
    for name in names:
        for file, title, drawing, about in made.drawings(name):
            yield title, Drawn(name, file, with_title_block(drawing, title, block), about)


class _Made:
    """Drawings and papers of a plan, each made once."""

    def __init__(self, plan: Plan, on: OnPaper = USUAL_PAPER, since: Since | None = None) -> None:
        self.plan, self.on, self.since = plan, on, since
        self._drawings: dict[str, list[Titled]] = {}
        self._papers: dict[str, Paper] = {}
        self._pages: dict[str, list[Page]] = {}

    @property
    def titles(self) -> dict[str, str]:
        """The names of drawings, and what all of one name together are called."""
        return DRAWINGS | (SINCE_TITLES if self.since else {})

    @cached_property
    def makers(self) -> dict[str, Callable[[Plan], Paper]]:
        """The makers of every paper, by name."""
        return PAPERS | (self.since.papers(self.shown) if self.since else {})

    @cached_property
    def shown(self) -> Shown:
        """The sheets that show each number of what changed."""
        if self.since is None:
            return {}
        pointing = (one for name in MARKED for one in self.drawings(name))
        return self.since.shown((one.title, one.drawing) for one in pointing)

    @cached_property
    def placed(self) -> tuple[Drawing, Frame]:
        """The floor plan, of which those of the circuits are made, and where it lies."""
        return placed_floor_plan(self.plan)

    def drawings(self, name: str) -> list[Titled]:
        """The drawings of one kind, with clouds round what changed."""
        if name not in self._drawings:
            self._drawings[name] = list(self._made(name))
        return self._drawings[name]

    def _made(self, name: str) -> Iterator[Titled]:
        if self.since is None:
            yield from _drawings(self, name)
        elif name in SINCE_TITLES:
            yield from (Titled(*one) for one in self.since.drawings(name, self.shown))
        else:
            for one in _drawings(self, name):
                yield one._replace(drawing=self.since.marked(name, one.drawing))

    def paper(self, name: str) -> Paper:
        """A paper by its name."""
        if name not in self._papers:
            self._papers[name] = self.makers[name](self.plan)
        return self._papers[name]

    def pages(self, name: str) -> list[Page]:
        """A paper or the drawings of one kind, on pages."""
        if name not in self._pages and name in PAPERS:
            self._pages[name] = paper_pages(self.paper(name), self.on.paper)
        elif name not in self._pages:
            self._pages[name] = list(self._drawing_pages(name))
        return self._pages[name]

    def packed(self, name: str) -> list[Page]:
        """The same in the packet, where a paper without a row has no page."""
        return self.pages(name) if name not in PAPERS or self.paper(name).rows else []

    def _drawing_pages(self, name: str) -> Iterator[Page]:
        drawings = self.drawings(name)
        if name == "sections":  # to be compared: of one scale
            most = largest_of_all((one.drawing for one in drawings), self.on)
            for _, title, drawing, _ in drawings:
                yield from drawing_pages(title, drawing, self.on, most=most)
        elif name == "circuits":
            for (_, title, drawing, _), circuit in zip(drawings, self.plan.circuits, strict=True):
                about = circuit_extent(drawing, circuit.id)
                told = (f"{breaker_words(circuit)}. {clean(circuit.says)}",)
                yield from circuit_pages(title, drawing, self.on, about, told)
        else:
            pages = floor_pages if name == "floor" else drawing_pages
            for _, title, drawing, _ in drawings:
                yield from pages(title, drawing, self.on)


def _drawings(made: _Made, name: str) -> Iterator[Titled]:
    """The drawings of one kind."""
    plan = made.plan
    if name == "floor":
        yield Titled("floor_plan", "Floor plan", made.placed[0])
    elif name == "circuits":
        sheets = FloorCircuits(plan, made.placed[0])
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
    elif name == "elevations":
        for number, (wall, drawing) in enumerate(elevations(plan), start=1):
            file = f"elevation_{number:02}_{file_part(wall)}"
            yield Titled(file, f"Elevation, {wall_words(wall)}", drawing)
    elif name in SEVERAL:
        title, draw = SEVERAL[name]
        yield from _several(re.sub("[ -]", "_", title.lower()), title, list(draw(plan)))
    else:
        yield from _true_size(plan, name)


def _true_size(plan: Plan, name: str) -> Iterator[Titled]:
    """The drawings that are printed as large as they are."""
    if name == "cards":
        for number, panel in enumerate(plan.panels, start=1):
            file = f"door_card_{number:02}_{file_part(panel.id)}"
            yield Titled(file, f"Door card {clean(panel.id)}", door_card_drawing(plan, panel))
    elif name == "fault-cards":
        yield from _several("fault_cards", "Fault-finding cards", list(fault_cards(plan)))
    elif name == "label-sheets":
        yield from _several("cover_labels", "Cover-plate labels", list(label_sheets(plan)))


def _several(file: str, title: str, drawings: list[Drawing]) -> Iterator[Titled]:
    """Sheets of one kind; where there is more than one, with numbers and what each holds."""
    for number, drawing in enumerate(drawings, start=1):
        numbered = f"{title} {number}{_held(drawing.holds)}" if len(drawings) > 1 else title
        yield Titled(f"{file}_{number:02}", numbered, drawing)


def _held(holds: tuple[str, ...]) -> str:
    """What a sheet holds, behind its title; of many things the first and the last.

    >>> _held(("C1", "C2")), _held(("N1", "N1", "N2", "N3")), _held(())
    (': C1, C2', ': N1 to N3', '')
    """
    names = [clean(name) for name in dict.fromkeys(holds)]
    if len(names) > FEW:
        return f": {names[0]} to {names[-1]}"
    return f": {', '.join(names)}" if names else ""


def file_part(name: str) -> str:
    """A name as a part of a file's name: letters, digits, `-` and `_` alone.

    >>> file_part("X-opener"), file_part("../../etc"), file_part("\u202e=a")
    ('X-opener', '_etc', '_a')
    """
    return _NOT_IN_NAMES.sub("_", name)[:LONGEST_PART]
