"""The page: whole, offline, true to the plan, calm under hostile names."""

import hashlib
import html
import math
import os
import re
import subprocess
import sys
from html.parser import HTMLParser

import pytest

from branchwright.cautions import CAUTIONS, DO_NOT_BUILD
from branchwright.page import page_html
from models.plan_file import page_mark, plan_text
from tests.branchwright.conftest import HOSTILE

SHA = "0" * 64
VOID = {"meta", "br", "hr", "img", "link"}


class Reader(HTMLParser):
    """Text of a page, cells by row, and whether its elements close in order."""

    def __init__(self):
        super().__init__()
        self.open, self.text, self.rows, self.attributes, self.tags = [], [], [], [], set()

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th") and self.rows:
            self.rows[-1].append("")

    def handle_startendtag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes += attrs

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)
        if self.rows and self.rows[-1] and "td" in self.open[-3:]:
            self.rows[-1][-1] += data


def read(page):
    reader = Reader()
    reader.feed(page)
    assert reader.open == []
    return reader


def test_it_names_its_plan_and_needs_nothing_else(garage):
    page = page_html(garage, SHA)
    assert page_mark(SHA) in page
    reader = read(page)
    assert not reader.tags & {"script", "iframe", "img", "link", "object", "embed", "form"}
    addresses = [value for name, value in reader.attributes if name in ("href", "src", "action")]
    assert all(value.startswith("#") for value in addresses)
    outside = set(re.findall(r"https?://[^\s\"'<]+", page))
    assert outside <= {"http://www.w3.org/2000/svg"}


def test_everything_of_the_plan_is_on_it(garage):
    text = " ".join(read(page_html(garage, SHA)).text)
    named = [circuit.id for circuit in garage.circuits]
    named += [
        run.id for circuit in garage.circuits if circuit.life == "new" for run in circuit.runs
    ]
    named += [box.id for box in garage.boxes] + [outlet.id for outlet in garage.outlets]
    named += [raceway.id for raceway in garage.raceways]
    for name in named:
        assert re.search(rf"(?<![\w.]){re.escape(name)}(?![\w])", text), name
    for caution in CAUTIONS:
        assert caution in text
    for assumption in garage.made_by.assumptions:
        assert assumption in text
    for finding in garage.findings:
        assert finding.says in text


def test_numbers_on_it_are_the_plans(garage):
    """Read back out of the tables: circuits, cut lengths, box fill, takeoff."""
    rows = read(page_html(garage, SHA)).rows
    cells = {tuple(cell.replace("\xa0", " ").strip() for cell in row) for row in rows}

    def some_row(*wanted):
        return any(all(any(w == cell for cell in row) for w in wanted) for row in cells)

    for circuit in garage.circuits:
        assert some_row(circuit.id, circuit.says, f"{circuit.breaker.amps:g} A")
    for line in garage.takeoff:
        assert some_row(line.item, f"${line.cost_usd:,.2f}")
    for circuit in garage.circuits:
        for run in circuit.runs if circuit.life == "new" else ():
            inches = math.ceil(round(12 * (run.length_ft + run.allowance_ft), 6))
            feet, rest = divmod(inches, 12)
            cut = f"{feet} ft {rest} in" if rest else f"{feet} ft"
            assert some_row(run.id, run.start, run.end, cut)
    for box in garage.boxes:
        if box.volume_in3 is not None:
            assert some_row(box.id, f"{box.fill_in3:.2f}", f"{box.volume_in3:.2f}")
    assert f"${garage.totals.material_cost_usd:,.2f}" in " ".join(
        cell for row in cells for cell in row
    )


def test_a_violation_forbids_building_everywhere(violated, four_box):
    page = page_html(violated, SHA)
    drawings = re.findall(r"<svg.*?</svg>", page, re.DOTALL)
    assert len(drawings) >= 2
    assert all(DO_NOT_BUILD in drawing for drawing in drawings)
    assert page.count(DO_NOT_BUILD) > len(drawings)
    assert DO_NOT_BUILD not in page_html(four_box, SHA)


def test_an_open_question_is_told_and_none_is_said_in_words(violated, four_box):
    none = four_box.model_copy(update={"findings": ()})
    says = "left no question open"
    assert says in page_html(none, SHA)
    page = page_html(violated, SHA)
    assert says not in page
    assert "Open." in page


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_break_nothing(name, renamed):
    page = page_html(renamed(name), SHA)
    reader = read(page)
    assert not reader.tags & {"script", "img", "iframe"}
    assert not any(key.startswith("on") for key, _ in reader.attributes)
    page.encode("utf-8")


def test_no_word_that_only_an_inspector_may_say(garage, violated):
    for plan in (garage, violated):
        text = " ".join(read(page_html(plan, SHA)).text).lower()
        for word in ("complies", "compliant", "passes code", "code approved"):
            assert word not in text
        assert not re.search(r"\bsafe\b", text)


def test_a_proof_is_claimed_only_as_the_plan_claims_it(four_box):
    words = {
        ("global", 236.2, 0.0): "proved least cost for this model",
        ("pool", 230.0, 0.02625): "not proved",
        ("none", None, None): "not proved",
    }
    for (proved, bound, gap), says in words.items():
        goal = four_box.objective.model_copy(
            update={"proved": proved, "lower_bound": bound, "gap": gap}
        )
        page = page_html(four_box.model_copy(update={"objective": goal}), SHA)
        text = html.unescape(page).lower()
        assert says in text
        assert ("the least possible cost is at most" in text) == (gap not in (None, 0.0))


def test_the_same_bytes_whatever_the_hash_seed(request, garage):
    code = (
        "import sys; from pathlib import Path; from models.plan_file import read_plan;"
        "from branchwright.page import page_html;"
        "sys.stdout.buffer.write(page_html(read_plan(Path(sys.argv[1])), '0' * 64).encode())"
    )
    folder = request.config.rootpath / "tests" / "plans" / "one_bay_garage"
    pages = {
        subprocess.run(
            [sys.executable, "-c", code, str(folder)], capture_output=True, check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert pages == {page_html(garage, SHA).encode()}


def test_the_hash_on_the_page_is_that_of_the_plan_file(four_box):
    text = plan_text(four_box)
    sha = hashlib.sha256(text.encode()).hexdigest()
    assert page_mark(sha) in page_html(four_box, sha)
