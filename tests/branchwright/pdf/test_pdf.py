"""PDFs read back: the plan's numbers, every page's own words, hostile names, the same bytes."""

import io
import re
import subprocess
import sys
from collections.abc import Iterable
from typing import Any

import pypdf
import pytest

from branchwright.cautions import CAUTIONS
from branchwright.measures import printed_in
from branchwright.pdf.lettering import BOLD, REGULAR, faces, pieces
from branchwright.pdf.packet import OF_MANY
from branchwright.pdf.page import PAPERS as PAPER_SIZES
from branchwright.pdf.page import OnPaper
from branchwright.sheet_set import DRAWINGS, PACKET, PAPERS, Sheet, sheet_set
from branchwright.words import clean
from models.plan import Plan
from models.rules import RULES
from tests.branchwright.conftest import HOSTILE
from tests.plan_files import plan_on_file

MARK = "0123456789abcdef" * 4


def pdfs(plan: Plan, only: Iterable[str] = (), on: OnPaper = OnPaper()) -> list[Sheet]:  # noqa: B008
    names = list(only) or [*DRAWINGS, *PAPERS, PACKET]
    return [sheet for sheet in sheet_set(plan, MARK, names, on) if sheet.file.endswith(".pdf")]


def reader(sheet: Sheet) -> pypdf.PdfReader:
    assert isinstance(sheet.content, bytes)
    return pypdf.PdfReader(io.BytesIO(sheet.content))


def pages(sheet: Sheet) -> list[pypdf.PageObject]:
    return list(reader(sheet).pages)


def drawn(page: pypdf.PageObject) -> list[str]:
    """The texts of a page in the order they are drawn, each as it was set."""
    found: list[str] = []
    page.extract_text(visitor_text=lambda text, *_: found.append(text.strip("\n")))
    return [text for text in found if text.strip()]


def one(plan: Plan, name: str) -> list[str]:
    """The texts of the one PDF with this name."""
    (sheet,) = pdfs(plan, [name])
    return [text for page in pages(sheet) for text in drawn(page)]


def rows(texts: list[str], first: str, count: int) -> list[list[str]]:
    """So many texts from each place where a text begins a row."""
    return [texts[n : n + count] for n, text in enumerate(texts) if text == first]


def test_numbers_of_the_papers_are_those_of_the_plan(plan):
    """Each looked for in the row of its thing, rounded as its column is."""
    takeoff = one(plan, "takeoff")
    for line in plan.takeoff:
        if line.cost_usd is not None:
            assert f"{line.cost_usd:,.2f}" in takeoff
            digits = 0 if line.unit == "each" else 2  # pieces are counted
            assert f"{line.quantity:,.{digits}f}" in takeoff
    assert f"{plan.totals.material_cost_usd:,.2f}" in takeoff[takeoff.index("Material") :]
    pulls = one(plan, "pull-list")
    for circuit in plan.circuits:
        for run in (run for run in circuit.runs if run.life == "new"):
            told = [row for row in rows(pulls, circuit.id, 12) if run.id in row[1:2]]
            assert any(f"{run.length_ft:.2f}" in row for row in told), run.id
    boxes = one(plan, "boxes")
    for box in (box for box in plan.boxes if box.fill_in3 is not None):
        told = rows(boxes, clean(box.id), 14)
        assert any(f"{box.fill_in3:.2f}" in row for row in told), box.id
    ways = one(plan, "raceways")
    for way in plan.raceways:
        for ledger in way.ledgers:
            told = rows(ways, way.id, 14)
            assert any(f"{ledger.fill_percent:.2f}" in row for row in told), way.id


def test_the_load_calculation_adds_up_on_paper(request):
    plan = plan_on_file("two_changeovers")
    texts = one(plan, "load")
    calculated = [feeder for feeder in plan.feeders if feeder.load_calculation]
    assert calculated
    for feeder in calculated:
        lines = feeder.load_calculation or ()
        for line in lines:
            assert f"{line.va:,}" in texts
        at = next(n for n, text in enumerate(texts) if text.startswith(f"feeder of {feeder.to}"))
        assert f"{sum(line.va for line in lines):,}" in texts[at : at + 4]


def test_the_directory_has_each_space_with_its_circuit_and_amperes(plan):
    texts = one(plan, "directory")
    unused = [re.findall(r"not used: (\d+)–(\d+)", text) for text in texts]
    together = {n for found in unused for a, b in found for n in range(int(a) + 1, int(b) + 1)}
    for panel in plan.panels:
        assert all(space.circuit is None for space in panel.spaces if space.space in together)
        for space in (space for space in panel.spaces if space.space not in together):
            told = [row for row in rows(texts, clean(panel.id), 9) if str(space.space) in row[1:2]]
            assert told, space.space
            if space.circuit:
                amps = next(c.breaker.amps for c in plan.circuits if c.id == space.circuit)
                row = next(row for row in told if space.circuit in row)
                assert f"{amps:g}" in row


def test_drawings_name_boxes_circuits_and_loads(plan):
    floor, line, sections = (one(plan, name) for name in ("floor", "one-line", "panels"))
    for box in plan.boxes:
        assert box.id in floor
    for circuit in plan.circuits:
        assert circuit.id in line
        assert any(circuit.id in text for text in sections)
        if circuit.worst:
            load = f"{round(circuit.worst.amps, 1):g} of {circuit.worst.limit_amps:g} A"
            assert load in line


def test_every_page_says_shop_edition_plan_its_number_and_the_cautions(plan):
    for sheet in pdfs(plan):
        told = pages(sheet)
        for number, page in enumerate(told, start=1):
            texts = drawn(page)
            assert {"SHEET", f"NEC {plan.made_by.edition}", MARK[:12]} <= set(texts), sheet.file
            assert f"{number} of {len(told)}" in texts
            words = " ".join(texts)
            assert all(caution in words for caution in CAUTIONS), sheet.file
            assert "DO NOT BUILD" not in words


def test_a_violation_is_across_every_page(violated):
    for sheet in pdfs(violated):
        for page in pages(sheet):
            texts = drawn(page)
            assert "DO NOT BUILD: 1 violation" in texts, sheet.file
            assert "DO NOT BUILD" in texts, sheet.file  # from corner to corner


def test_the_packet_lists_what_stands_where_and_asks_first(garage):
    (sheet,) = pdfs(garage, [PACKET])
    told = [drawn(page) for page in pages(sheet)]
    titles = [texts[texts.index("SHEET") + 1] for texts in told]
    listed = told[0][told[0].index("Page") + 1 : told[0].index("SHEET")]
    contents = {title: int(number) for title, number in zip(listed[::2], listed[1::2], strict=True)}
    assert list(contents)[:2] == ["Open questions", "What the checks found"]
    assert set(contents) == set(titles) - {"Permit packet"}
    for title, number in contents.items():
        assert titles.index(title) == number - 1
    words = " ".join(text for texts in told[1:3] for text in texts)
    for assumption in garage.made_by.assumptions:
        assert assumption in words
    for finding in garage.findings:
        if finding.severity == "not-checked":
            alone = f"{finding.where}: {finding.says}" in words
            before, gathered, _ = words.partition(OF_MANY.get(finding.rule, "nothing of many"))
            assert alone or (gathered and finding.where in before.rpartition("Open questions")[2])
    checked = " ".join(text for texts in told[titles.index("What was checked") :] for text in texts)
    assert all(rule.title in checked for rule in RULES.values())
    assert [getattr(mark, "title", "") for mark in reader(sheet).outline] == [
        "Permit packet",
        *contents,
    ]


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_shown_to_the_last_character(name, renamed):
    """Whatever the machines are called: each character is drawn, or its number and name told."""
    plan = renamed(name)
    texts = one(plan, "takeoff")
    words = "".join("".join(texts).split())
    for char in clean(name):
        if char.isspace():
            continue
        shown = any(ord(char) in face.face.charToGlyph for face in faces().values())
        if shown:
            assert char in words, char
        else:
            number = f"{ord(char):06X}"
            assert number[:3] + number[3:] in words
            assert f"U+{ord(char):04X}" in words
    if "saw" in name:
        assert "saw" in words
    for sheet in pdfs(plan, ["floor", "one-line", "panels", "cards", "takeoff"]):
        assert len(pages(sheet)) >= 1
        assert re.fullmatch(r"[A-Za-z0-9_-]+\.pdf", sheet.file)


def test_characters_come_from_the_face_that_has_them():
    assert [piece.face for piece in pieces("saw", True)] == [BOLD]
    assert [piece.face for piece in pieces("saw 🪚", False)] == [REGULAR, ""]


def test_letters_are_embedded_and_nothing_runs_or_leads_elsewhere(garage):
    for sheet in pdfs(garage):
        assert len(sheet.content) < 3_000_000
        file = reader(sheet)
        for page in file.pages:
            fonts: Any = page["/Resources"]["/Font"]  # type: ignore[index]
            for font in (fonts[key].get_object() for key in fonts):
                if "DejaVu" in font["/BaseFont"]:
                    assert "/FontFile2" in font["/FontDescriptor"].get_object()
            assert "/Annots" not in page
        assert not {"/OpenAction", "/AA", "/Names"} & set(file.root_object)


def test_same_bytes_each_time_and_no_clock(garage):
    first, again = pdfs(garage), pdfs(garage)
    assert len(first) == len(DRAWINGS) - 1 + len(PAPERS) + 1  # it buys nothing in rolls
    assert first == again
    for sheet in first:
        info = reader(sheet).metadata
        assert info is not None
        assert "2000" in str(info.get("/CreationDate", ""))


@pytest.mark.parametrize(("paper", "larger"), [("letter", "tabloid"), ("a4", "a3"), ("a4", "a4")])
def test_pages_are_of_the_paper_asked_for(garage, paper, larger):
    for sheet in pdfs(garage, ["takeoff", "floor"], OnPaper(paper, larger)):
        wanted = PAPER_SIZES[larger if sheet.name == "floor" else paper]
        for page in pages(sheet):
            sides = sorted((float(page.mediabox.width), float(page.mediabox.height)))
            assert sides == pytest.approx(sorted(wanted), abs=0.01)


def test_cards_and_labels_are_as_large_as_they_are_cut(garage):
    """The card's frame is 7 in less its margins wide on paper, in points of the page."""
    (sheet,) = pdfs(garage, ["cards"])
    (page,) = pages(sheet)
    assert "as cut, 1:1" in drawn(page)
    content = page.get_contents()
    assert content is not None
    code = content.get_data().decode("latin-1")
    widths = [float(wide) for wide in re.findall(r"([\d.]+) -?[\d.]+ re", code)]
    assert pytest.approx((504 - 44) / 2, abs=0.01) in widths


@pytest.mark.parametrize("arguments", ["['--help']", "['sheets', '--help']"])
def test_help_imports_no_pdf_library(arguments):
    code = (
        "import sys\nfrom branchwright.cli import cli\n"
        f"try:\n    cli({arguments})\nexcept SystemExit:\n    pass\n"
        "print([name for name in ('reportlab', 'PIL', 'pypdf') if name in sys.modules])\n"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.splitlines()[-1] == "[]"


def test_the_packet_counts_spaces_and_says_lengths_as_the_set_does(garage):
    """A tandem is two poles in one space; 1 ft = 0.3048 m."""
    (panel,), (feeder,) = garage.panels, garage.feeders
    spaces = {space.space for space in panel.spaces}
    halves = [panel.spaces[-1].model_copy(update={"tandem": half}) for half in ("a", "b")]
    tandem = panel.model_copy(update={"spaces": (*panel.spaces[:-1], *halves)})
    with printed_in("metric"):
        texts = " ".join(one(garage.model_copy(update={"panels": (tandem,)}), PACKET))
    assert f"{len(spaces)} spaces, " in texts
    assert f"breaker {feeder.breaker_amps:g} A, {0.3048 * feeder.length_ft:.2f} m" in texts
