"""Papers on the terminal: each against its text on file, narrow and wide, nothing left out.

The texts on file are snapshots: they say what is printed, not what is right; a missing one fails.
`pytest tests/branchwright/papers/test_shown.py --snapshot-update` writes them: read the difference.
"""

import io
import re
from pathlib import Path

import pytest
from rich.cells import cell_len
from rich.console import Console

from branchwright import cautions
from branchwright.paper_report import paper_document, paper_report
from branchwright.papers.paper import Paper
from branchwright.sheet_set import PAPERS
from models.plan import Plan
from models.plan_file import read_plan
from tests.branchwright.conftest import HOSTILE

NARROW, WIDE = 72, 130
OF_PLAN = {
    "changeovers": "two_changeovers",
    "purchase": "every_section",
    "cutting": "every_section",
}


@pytest.fixture
def plans(request) -> Path:
    return request.config.rootpath / "tests" / "plans"


def shown(paper: Paper, width: int, violations: int = 0) -> str:
    """What is printed, without blanks at the ends of lines."""
    file = io.StringIO()
    out = Console(file=file, width=width, highlight=False, color_system=None)
    paper_report(out, paper, violations)
    return "".join(f"{line.rstrip()}\n" for line in file.getvalue().splitlines())


@pytest.mark.parametrize("width", [NARROW, WIDE])
@pytest.mark.parametrize("name", PAPERS)
def test_each_paper_is_printed_as_on_file(name, width, plans, snapshot):
    plan = read_plan(plans / OF_PLAN.get(name, "one_bay_garage"))
    assert shown(PAPERS[name](plan), width) == snapshot(name=f"{name} {width}")


def words(text: str) -> list[str]:
    return re.sub(r"[\s─]+", " ", text).split()


@pytest.mark.parametrize("width", [60, 80, 200])
@pytest.mark.parametrize("name", ["one_bay_garage", "every_section"])
def test_nothing_is_left_out_and_no_line_is_too_long(name, width, plans):
    """Every word of every cell, at any width; a first cell that repeats once."""
    plan = read_plan(plans / name)
    for paper in (make(plan) for make in PAPERS.values()):
        text = shown(paper, width)
        assert max(map(cell_len, text.splitlines())) <= width, paper.name
        printed = "".join(words(text))
        for row in paper.rows:
            for cell, field in zip(row[1:], paper.fields[1:], strict=True):
                if isinstance(cell, str):
                    for word in cell.split():
                        assert word in printed or len(word) > 16, (paper.name, word)
                elif cell is not None:
                    assert f"{cell:.{field.digits or 0}f}" in printed, (paper.name, cell)
        for caution in cautions.CAUTIONS:
            assert caution in " ".join(words(text))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_printed_as_text(name, renamed):
    for paper in (make(renamed(name)) for make in PAPERS.values()):
        text = shown(paper, NARROW)
        assert "\x1b" not in text
        assert max(map(cell_len, text.splitlines())) <= NARROW


def test_the_document_has_every_cell(plans):
    plan: Plan = read_plan(plans / "one_bay_garage")
    for make in PAPERS.values():
        paper = make(plan)
        told = paper_document(paper)
        assert told["rows"] == [list(row) for row in paper.rows]
        assert [field["name"] for field in told["fields"]] == [field.name for field in paper.fields]


def test_do_not_build_comes_first(violated):
    text = shown(PAPERS["takeoff"](violated), NARROW, violations=1)
    assert text.startswith("DO NOT BUILD\n")
