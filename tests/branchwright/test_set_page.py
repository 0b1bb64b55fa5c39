"""The page of a set: whole, offline, its numbers the plan's, drawings and rows linked both ways."""

import html
import math
import re
from collections import defaultdict
from html.parser import HTMLParser

import pytest

from branchwright.cautions import CAUTIONS, DO_NOT_BUILD
from branchwright.changeover_days import changeover_days
from branchwright.papers.paper import Field
from branchwright.papers.paper_table import cell_words
from branchwright.sheet_set import PAGE, PAPERS, framed, sheet_set
from models.plan import Plan
from models.plan_file import page_mark
from tests.branchwright.conftest import HOSTILE
from tests.plan_files import plan_on_file

MARK = "0123456789abcdef" * 4
VOID = {"meta", "br", "hr", "img", "link"}


def page_of(plan: Plan) -> str:
    (sheet,) = sheet_set(plan, MARK, [PAGE])
    assert isinstance(sheet.content, str)
    return sheet.content


CARD = " card"  # the link to it, behind the name of a circuit in the directory


class Reader(HTMLParser):
    """The sections of a page: rows of cells by heading, anchors with what they stand on, links."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str | None]] = []
        self.text: dict[str, list[str]] = defaultdict(list)
        self.rows: dict[str, list[dict[str, str]]] = defaultdict(list)
        self.row_of: dict[str, dict[str, str]] = {}
        self.links: dict[str, list[tuple[str, str]]] = defaultdict(list)  # section: (to, words)
        self.anchors: dict[str, str] = {}  # anchor: the section it is in
        self._section, self._column, self._to = "", "", ""
        self.feed(page)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        known = dict(attrs)
        self.tags.add(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)
        if tag == "section":
            self._section = known["id"]
        if "id" in known:
            assert known["id"] not in self.anchors
            self.anchors[known["id"]] = self._section
        if tag == "tr":
            self.rows[self._section].append({})
            if "id" in known:
                self.row_of[known["id"]] = self.rows[self._section][-1]
        if tag == "td":
            self._column = known.get("data-label", "")
        if tag == "a":
            self._to = known["href"][1:]
            self.links[self._section].append((self._to, ""))

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text[self._section].append(data)
        if "td" in self.open:
            row = self.rows[self._section][-1]
            row[self._column] = row.get(self._column, "") + data
        if "a" in self.open:
            to, words = self.links[self._section].pop()
            self.links[self._section].append((to, f"{words} {data}".strip()))


def test_it_holds_every_drawing_and_paper_and_lists_them(plan):
    page = page_of(plan)
    read = Reader(page)
    wanted = {drawn.anchor: title for title, drawn in framed(plan, MARK)}
    wanted |= {paper.name: paper.title for make in PAPERS.values() if (paper := make(plan))}
    wanted |= {
        f"changeover_day_{n:02}": f"Changeover of {day.name}"
        for n, day in enumerate(changeover_days(plan), start=1)
    }
    assert set(wanted.items()) == {link for link in read.links[""] if link[0] != ""}
    for anchor, title in wanted.items():
        assert title in read.text[anchor]
        told = " ".join(read.text[anchor])
        assert all(caution in told for caution in CAUTIONS), anchor
        assert f"NEC {plan.made_by.edition}" in told
        assert MARK[:12] in told
    assert page_mark(MARK) in page


def test_a_changeover_day_says_what_its_own_page_says():
    """Steps, checks and what the parts cost; the rows of the paper lead to it."""
    plan = plan_on_file("two_changeovers")
    read = Reader(page_of(plan))
    days = changeover_days(plan)
    assert len(days) == 2
    for number, day in enumerate(days, start=1):
        anchor = f"changeover_day_{number:02}"
        told = " ".join(read.text[anchor])
        assert all(step.says in told for step in day.steps)
        assert all(check in told for check in day.checks)
        assert f"${day.parts_usd:,.2f}" in told
        assert (anchor, day.name) in read.links["changeovers"]


def test_it_needs_nothing_else(plan):
    page = page_of(plan)
    read = Reader(page)
    assert not read.tags & {"script", "iframe", "img", "link", "object", "embed", "form"}
    for name, value in read.attributes:
        assert not name.startswith("on")
        if name in ("href", "src", "action"):
            assert value is not None
            assert value[1:] in read.anchors, value
    assert set(re.findall(r"https?://[^\s\"'<]+", page)) <= {"http://www.w3.org/2000/svg"}


def test_a_box_drawn_leads_to_its_row_and_the_row_back(plan):
    """Every box and circuit, by what stands at the other end of each link."""
    read = Reader(page_of(plan))
    for box in plan.boxes:
        (row,) = {to for to, words in read.links["floor_plan"] if words.split()[:1] == [box.id]}
        assert read.anchors[row] == "box_schedule"
        assert read.row_of[row]["Box"] == box.id
        back = {to for to, words in read.links["box_schedule"] if words == box.id}
        assert [read.anchors[to] for to in back] == ["floor_plan"]
    sheets = {drawn.about.id: drawn.anchor for _, drawn in framed(plan, MARK, ["circuits"])
              if drawn.about}  # fmt: skip
    for circuit in plan.circuits:
        for drawing in ("floor_plan", "one_line"):
            rows = {to for to, words in read.links[drawing] if circuit.id in words.split()
                    and read.anchors[to] == "circuit_directory"}  # fmt: skip
            named = {read.row_of[row]["Circuit"].removesuffix(CARD) for row in rows}
            assert circuit.id in named
            assert named <= {circuit.id, circuit.multiwire_with}
        back = {to for to, words in read.links["circuit_directory"] if words == circuit.id}
        assert back == {sheets[circuit.id]}
    for run in (run for circuit in plan.circuits for run in circuit.runs if run.life == "new"):
        place = {to for to, words in read.links["pull_list"] if words == run.id}
        assert len(place) == 1


def test_the_row_of_a_circuit_leads_to_its_card_and_the_card_back(plan):
    read = Reader(page_of(plan))
    cards = {to for to, words in read.links["circuit_directory"] if words == CARD.strip()}
    assert len(cards) == len(plan.circuits)
    on_cards = [
        link for sheet in {read.anchors[card] for card in cards} for link in read.links[sheet]
    ]
    for circuit in plan.circuits:
        (row,) = {to for to, words in on_cards if words.startswith(f"{circuit.id} · ")}
        assert read.row_of[row]["Circuit"] == circuit.id + CARD


def test_numbers_on_it_are_the_plans(plan):
    """Read back out of the tables: cut lengths, fill of boxes and raceways, amperes, money."""
    read = Reader(page_of(plan))
    runs = {row["Run"]: row for row in read.rows["pull_list"] if row.get("Run")}
    for run in (run for circuit in plan.circuits for run in circuit.runs if run.life == "new"):
        cut_in = math.ceil(round(12 * (run.length_ft + run.allowance_ft), 6))
        assert runs[run.id]["Cut [in]"].replace(",", "") == str(cut_in)
        assert float(runs[run.id]["Path [ft]"].replace(",", "")) == run.length_ft
    boxes = {row["Box"]: row for row in read.rows["box_schedule"] if row.get("Box")}
    for box in plan.boxes:
        if box.fill_in3 is not None:
            assert float(boxes[box.id]["Fill [in³]"]) == box.fill_in3
        if box.volume_in3 is not None:
            assert float(boxes[box.id]["Volume [in³]"]) == box.volume_in3
    for circuit in plan.circuits:
        rows = [
            row for row in read.rows["circuit_directory"] if row.get("Circuit") == circuit.id + CARD
        ]
        assert {float(row["Breaker [A]"]) for row in rows} == {circuit.breaker.amps}
        assert {row["Space"] for row in rows} == set(map(str, circuit.fed_from))
    fills = {float(row["Fill [%]"]) for row in read.rows["raceway_ledger"] if "Fill [%]" in row}
    assert fills == {ledger.fill_percent for way in plan.raceways for ledger in way.ledgers}
    costs = [row["Cost [USD]"] for row in read.rows["takeoff"] if "Cost [USD]" in row]
    assert costs[:-1] == [f"{line.cost_usd:,.2f}" for line in plan.takeoff]
    assert float(costs[-1].replace(",", "")) == pytest.approx(
        sum(line.cost_usd for line in plan.takeoff), abs=0.005
    )


def test_a_violation_is_across_every_sheet(violated):
    page = page_of(violated)
    read = Reader(page)
    for anchor in {*read.text} - {""}:
        assert DO_NOT_BUILD in " ".join(read.text[anchor]), anchor
    assert page.index(DO_NOT_BUILD) < page.index("<main>")


def test_what_sheets_share_is_written_once(garage):
    """Nine circuits on nine floor plans take less than three floor plans written out."""
    page = page_of(garage)
    sections = re.findall(r'<section id="circuit_\d.*?</section>', page, re.DOTALL)
    (whole,) = re.findall(r'<section id="floor_plan".*?</section>', page, re.DOTALL)
    assert len(sections) == 9
    assert sum(map(len, sections[1:])) < 4 * len(whole)
    assert page_of(garage) == page


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_break_nothing(name, renamed):
    page = page_of(renamed(name))
    read = Reader(page)
    assert not read.tags & {"script", "img", "iframe"}
    page.encode("utf-8")
    assert html.escape("<script>") in page or "<script>" not in name


def test_a_number_reads_as_it_is_said():
    """Cents stay, other zeros go, nothing is rounded beyond the digits of its column."""
    said = [(0.425, 4, "0.425"), (2.4, 4, "2.40"), (12.5, 1, "12.5"), (1500, 0, "1,500"),
            (3.0, 2, "3.00"), (-0.5, 2, "-0.50"), (None, 2, "")]  # fmt: skip
    for value, digits, words in said:
        assert cell_words(value, Field("x", digits=digits)) == words
