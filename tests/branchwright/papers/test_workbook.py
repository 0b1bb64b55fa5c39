"""The workbook read back from its XML: numbers are the plan's, sums are formulas, text is text."""

import io
import re
import zipfile
from typing import NamedTuple
from xml.etree import ElementTree

import openpyxl
import openpyxl.utils
import pytest

from branchwright.papers.workbook import HEAD_ROW, workbook_bytes
from branchwright.sheet_set import PAPERS
from branchwright.sheets.title_block import Block
from models.plan import Plan
from tests.branchwright.conftest import HOSTILE
from tests.plan_files import plan_on_file

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
MARK = "0123456789abcdef" * 4


class Cell(NamedTuple):
    """What stands in a cell: text or a number, and the formula it comes from."""

    value: str | float
    formula: str


class Book:
    """A workbook as it is stored."""

    def __init__(self, data: bytes) -> None:
        self.archive = zipfile.ZipFile(io.BytesIO(data))
        self.names = self.archive.namelist()
        strings = self.xml("xl/sharedStrings.xml").iter(f"{MAIN}si")
        self.strings = ["".join(text.text or "" for text in s.iter(f"{MAIN}t")) for s in strings]
        sheets = self.xml("xl/workbook.xml").iter(f"{MAIN}sheet")
        self.sheets = {
            sheet.attrib["name"]: self.xml(f"xl/worksheets/sheet{number}.xml")
            for number, sheet in enumerate(sheets, start=1)
        }

    def xml(self, name: str) -> ElementTree.Element:
        return ElementTree.fromstring(self.archive.read(name))

    def cells(self, sheet: str) -> dict[str, Cell]:
        found = {}
        for cell in self.sheets[sheet].iter(f"{MAIN}c"):
            value = cell.find(f"{MAIN}v")
            if value is None or value.text is None:
                continue
            text = cell.attrib.get("t") == "s"
            formula = cell.find(f"{MAIN}f")
            found[cell.attrib["r"]] = Cell(
                self.strings[int(value.text)] if text else float(value.text),
                "" if formula is None else formula.text or "",
            )
        return found


@pytest.fixture(params=["one_bay_garage", "every_section"])
def plan(request) -> Plan:
    return plan_on_file(request.param)


def book_of(plan: Plan) -> Book:
    return Book(workbook_bytes([make(plan) for make in PAPERS.values()], Block.of(plan, MARK)))


def test_every_cell_reads_back(plan):
    book = book_of(plan)
    assert list(book.sheets) == [make(plan).title for make in PAPERS.values()]
    for make in PAPERS.values():
        paper = make(plan)
        cells = book.cells(paper.title)
        for number, row in enumerate(paper.rows, start=HEAD_ROW + 2):
            for column, cell in enumerate(row):
                found = cells.get(f"{chr(65 + column)}{number}")
                if cell is None or cell == "":
                    assert found is None
                else:
                    assert found is not None
                    assert found.value == cell
                    assert isinstance(found.value, str) == isinstance(cell, str)


def test_costs_and_lengths_are_the_plans(plan):
    """Against the plan itself, by the headings in the file."""
    book = book_of(plan)
    cells = book.cells("Takeoff")
    heads = {cell.value: ref[0] for ref, cell in cells.items() if ref[1:] == str(HEAD_ROW + 1)}
    for number, line in enumerate(plan.takeoff, start=HEAD_ROW + 2):
        assert cells[f"{heads['Cost [USD]']}{number}"].value == line.cost_usd
        assert cells[f"{heads['Quantity']}{number}"].value == line.quantity
    total = [cell for cell in cells.values() if cell.formula]
    assert [cell.value for cell in total] == [
        pytest.approx(plan.totals.material_cost_usd, abs=0.005)
    ]


def test_the_only_formulas_are_sums_of_the_rows_above(plan):
    book = book_of(plan)
    count = 0
    for name in book.sheets:
        cells = book.cells(name)
        for ref, cell in cells.items():
            if not cell.formula:
                continue
            count += 1
            asked = re.fullmatch(r"SUM\(([A-Z])(\d+):\1(\d+)\)", cell.formula)
            assert asked, cell.formula
            assert ref[0] == asked[1]
            parts = [cells[f"{asked[1]}{n}"].value for n in range(int(asked[2]), int(asked[3]) + 1)]
            assert sum(map(float, parts)) == pytest.approx(float(cell.value), abs=0.006)
    assert count >= 2


def test_each_sheet_filters_and_prints_with_its_cautions(plan):
    book = book_of(plan)
    defined = [
        (name.attrib["name"], name.attrib["localSheetId"])
        for name in book.xml("xl/workbook.xml").iter(f"{MAIN}definedName")
    ]
    for index, (name, sheet) in enumerate(book.sheets.items()):
        for kind in ("Print_Area", "Print_Titles", "_FilterDatabase"):
            assert (f"_xlnm.{kind}", str(index)) in defined
        assert sheet.find(f"{MAIN}autoFilter") is not None
        values = " ".join(str(cell.value) for cell in book.cells(name).values())
        assert "Treat spare conductors as live until proved dead." in values
        assert f"NEC {plan.made_by.edition} · plan {MARK[:12]}" in values


def test_a_violation_is_on_every_sheet_and_every_page(violated):
    book = book_of(violated)
    for name, sheet in book.sheets.items():
        first = book.cells(name)["A1"].value
        assert str(first).startswith("DO NOT BUILD: 1 violation")
        footer = sheet.find(f"{MAIN}headerFooter/{MAIN}oddFooter")
        assert footer is not None
        assert "DO NOT BUILD" in (footer.text or "")


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_text(name, renamed):
    book = book_of(renamed(name))
    for sheet in book.sheets:
        formulas = {cell.formula for cell in book.cells(sheet).values() if cell.formula}
        assert all(re.fullmatch(r"SUM\([A-Z]\d+:[A-Z]\d+\)", formula) for formula in formulas)
    assert not [
        part for part in book.names if "externalLink" in part or part.endswith("sheet1.xml.rels")
    ]
    assert not any(list(sheet.iter(f"{MAIN}hyperlink")) for sheet in book.sheets.values())


def test_same_bytes_each_time(four_box):
    papers = [make(four_box) for make in PAPERS.values()]
    block = Block.of(four_box, MARK)
    assert workbook_bytes(papers, block) == workbook_bytes(papers, block)


def test_another_library_reads_the_same(plan):
    """openpyxl: text as text, numbers as numbers, sums as formulas with the plan's total beside."""
    papers = [make(plan) for make in PAPERS.values()]
    data = workbook_bytes(papers, Block.of(plan, MARK))
    book, values = (openpyxl.load_workbook(io.BytesIO(data), data_only=only) for only in (0, 1))
    assert book.sheetnames == [paper.title for paper in papers]
    for paper in papers:
        sheet = book[paper.title]
        first = HEAD_ROW + 2
        last = HEAD_ROW + 1 + len(paper.rows)
        for row, cells in zip(sheet.iter_rows(first, max(first, last)), paper.rows, strict=False):
            for found, cell, field in zip(row, cells, paper.fields, strict=True):
                assert found.value == (None if cell == "" else cell)
                if found.value is not None:
                    assert found.data_type == ("s" if field.digits is None else "n")
                    high = sheet.row_dimensions[found.row].height or 15  # left out where usual
                    lines = len(str(cell)) / field.width if field.digits is None else 1
                    assert high >= min(409, 15 * lines)
        letters = [openpyxl.utils.get_column_letter(n) for n in (1, len(paper.fields))]
        assert sheet.auto_filter.ref.startswith(f"{letters[0]}{HEAD_ROW + 1}:{letters[1]}")
        assert sheet.print_title_rows == f"$1:${HEAD_ROW + 1}"
        assert sheet.page_setup.fitToWidth in (None, 1)  # 1 where it is left out
        assert sheet.page_setup.fitToHeight == 0
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        area = sheet.print_area.replace("$", "").rpartition("!")[2]
        assert area.startswith("A1:")
        assert int(re.sub(r"\D", "", area.partition(":")[2])) >= last
        for number, one in enumerate(paper.sums, start=last + 2):
            cell = sheet.cell(number, one.column + 1)
            assert cell.data_type == "f"
            assert values[paper.title].cell(number, one.column + 1).value == paper.total(one)
    cost = next(f for f in values["Takeoff"]["E"][::-1] if f.value is not None)
    assert cost.value == pytest.approx(plan.totals.material_cost_usd, abs=0.005)


@pytest.mark.parametrize("name", HOSTILE)
def test_no_cell_of_a_hostile_name_is_a_formula(name, renamed):
    papers = [make(renamed(name)) for make in PAPERS.values()]
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(papers, Block.of(renamed(name), MARK))))
    for paper in papers:
        sums = {one.column + 1 for one in paper.sums}
        for row in book[paper.title].iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    assert cell.column in sums
                    assert re.fullmatch(r"=SUM\([A-Z]+\d+:[A-Z]+\d+\)", str(cell.value))
                assert cell.hyperlink is None
