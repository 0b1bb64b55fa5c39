"""What the terminal prints, narrow and wide, plain and coloured, with hostile names."""

import io
from pathlib import Path

import pytest
from rich.console import Console

from branchwright.causes_report import causes_report
from branchwright.cautions import DO_NOT_BUILD
from branchwright.findings_report import findings_report
from branchwright.terminal import plan_report
from solver.causes import Cause, Remedy
from tests.branchwright.conftest import HOSTILE


def printed(report, *arguments, width=100):
    stream = io.StringIO()
    report(Console(file=stream, width=width, highlight=False, force_terminal=False), *arguments)
    return stream.getvalue()


@pytest.mark.parametrize("width", [60, 80, 160])
def test_every_circuit_is_printed_at_every_width(garage, width):
    text = printed(plan_report, garage, Path("out"), width=width)
    for circuit in garage.circuits:
        assert circuit.id in text
    assert "index.html" in text
    assert max(len(line) for line in text.splitlines()) <= width


def test_a_violation_forbids_building(violated, four_box):
    assert DO_NOT_BUILD in printed(plan_report, violated, Path("out"))
    report = printed(findings_report, Path("p"), violated, violated.findings)
    assert DO_NOT_BUILD in report
    assert "Too full." in report
    assert "take a larger box" in printed(
        findings_report, Path("p"), violated, violated.findings, width=160
    )
    assert DO_NOT_BUILD not in printed(plan_report, four_box, Path("out"))


def test_causes_tell_remedies_and_whether_they_were_tried():
    changes = (("supply.panels[P].spaces", 12),)
    cause = Cause(
        "spaces", "P", "panel P is 2 spaces short",
        (Remedy("a panel with 12 spaces", changes, True), Remedy("fewer boxes", (), None)),
    )  # fmt: skip
    text = printed(causes_report, [cause])
    for words in (
        "2 spaces short",
        "a plan exists then",
        "supply.panels[P].spaces: 12",
        "not tried",
    ):
        assert words in text


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_printed_as_text(name, renamed):
    text = printed(plan_report, renamed(name), Path("out"))
    assert "\x1b" not in text
    assert "\x00" not in text
