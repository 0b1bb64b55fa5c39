"""Papers that only some plans have: several panels, a back-fed main, switches, what comes out."""

from typing import Literal

import pytest

from branchwright.page import page_html
from branchwright.sheets.box_schedule import box_schedule
from branchwright.sheets.circuit_directory import circuit_directory
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.panel_face import panel_face
from branchwright.sheets.passages import passages
from branchwright.sheets.pull_list import pull_list
from branchwright.sheets.purchase import cutting_plan, purchase
from branchwright.sheets.switches import switch_table
from branchwright.sheets.taken_apart import taken_apart
from models.plan import (
    BoxPlan,
    CutPiece,
    FeederPlan,
    Main,
    Plan,
    PurchaseLine,
    Space,
    SwitchPlan,
    YokePlan,
)
from tests.plan_files import plan_on_file


def said(drawing):
    return [text.text for text in drawing.root.texts()]


@pytest.fixture
def every_section(request) -> Plan:
    return plan_on_file("every_section")


def vacant(number: int, name: str | None = None) -> Space:
    """A space without a circuit, held for something."""
    leg: Literal["A", "B"] = "A" if (number + 1) // 2 % 2 else "B"
    return Space(space=number, leg=leg, reserved_for=name)


@pytest.fixture
def two_panels(four_box) -> Plan:
    """The four-box plan with a back-fed main, and a second panel fed from two of its spaces."""
    first = four_box.panels[0]
    held = {5: "main", 7: "main", 6: "B", 8: "B", 9: None, 10: "spare"}
    assert [s.space for s in first.spaces if s.circuit is None] == [5, 6]
    spaces = first.spaces[:-2] + tuple(vacant(number, name) for number, name in held.items())
    panel = first.model_copy(update={"spaces": spaces, "main": Main(kind="back-fed", amps=60)})
    lugs = Main(kind="lug", amps=None)
    empty = tuple(map(vacant, range(1, 7)))
    other = first.model_copy(update={"id": "B", "main": lugs, "spaces": empty})
    to_b = FeederPlan(
        id="B.feeder", source=panel.id, to="B", breaker_amps=50, length_ft=40,
        conductors={}, load_calculation=None, demand=(),
    )  # fmt: skip
    return four_box.model_copy(
        update={"panels": (panel, other), "feeders": (*four_box.feeders, to_b)}
    )


def test_a_feeder_and_a_back_fed_main_stand_in_the_panel_face(two_panels):
    face = said(panel_face(two_panels, two_panels.panels[0]))
    assert {"feeds panel B", "main of the building", "60 A", "50 A"} <= set(face)
    assert (face.count("not used"), face.count("kept free")) == (1, 1)
    assert "feeds panel B" not in said(panel_face(two_panels, two_panels.panels[1]))


@pytest.mark.parametrize(("count", "whole"), [(20, True), (60, False)])
def test_a_long_list_stands_whole_in_the_panel_face_or_says_where(four_box, count, whole):
    says = ", ".join(f"receptacle-{number}" for number in range(count))
    changed = four_box.circuits[0].model_copy(update={"says": says})
    plan = four_box.model_copy(update={"circuits": (changed, *four_box.circuits[1:])})
    face = said(panel_face(plan, plan.panels[0]))
    assert (says in " ".join(face)) == whole
    assert any(text.startswith("What ends in …") for text in face) == (not whole)


def test_the_directory_of_two_panels_says_whose_spaces_it_means(two_panels):
    first = two_panels.panels[0].id
    rows = circuit_directory(two_panels).rows
    assert all(row[0].startswith((f"{first}: ", "B: ")) for row in rows)
    feeds = {row[2]: row[3] for row in rows}
    assert (feeds["feeds panel B"], feeds["main of the building"]) == ("50 A", "60 A")
    assert [row[0] for row in rows if row[0].startswith("B: ")] == ["B: 1–6"]
    page = page_html(two_panels, "0" * 64)
    assert f'id="panel-{first.lower()}"' in page
    assert 'id="panel-b"' in page


def test_one_panel_needs_no_name_in_the_directory(four_box):
    assert all(":" not in row[0] for row in circuit_directory(four_box).rows)


def test_switches_say_of_which_kind_they_are(four_box):
    """One box of the plan with a 3-way and a 4-way switch, drawn as S with a small number."""
    box, circuit = four_box.boxes[0], four_box.circuits[0].id
    yokes = tuple(
        YokePlan(
            id=f"{box.id}.{kind}", device="switch", configuration=kind, circuit=circuit,
            largest_awg="14",
        )
        for kind in ("3-way", "4-way")
    )  # fmt: skip
    changed: BoxPlan = box.model_copy(update={"yokes": yokes, "kind": "device"})
    group = tuple(
        SwitchPlan(
            id=yoke.id, box=box.id, kind=yoke.configuration, controls=("L1",), circuit=circuit,
            pair_with=next_one.id,
        )
        for yoke, next_one in zip(yokes, (yokes[1], yokes[0]), strict=True)
    )  # fmt: skip
    plan = four_box.model_copy(update={"boxes": (changed, *four_box.boxes[1:]), "switches": group})
    drawn = said(floor_plan(plan))
    assert {"3-way switch", "4-way switch"} <= set(drawn)
    assert {"3", "4"} <= set(drawn)
    devices = next(row[3] for row in box_schedule(plan).rows if row[0] == box.id)
    assert devices == "3-way switch, 4-way switch"
    assert [row[2] for row in switch_table(plan).rows] == ["3-way", "4-way"]
    assert switch_table(plan).title in page_html(plan, "0" * 64)


def test_new_runs_of_a_circuit_that_is_there_are_pulled(four_box):
    """An extended circuit is existing, its last run is new."""
    circuit = four_box.circuits[0]
    old, new = circuit.runs[0].model_copy(update={"life": "existing"}), circuit.runs[1]
    extended = circuit.model_copy(update={"life": "existing", "runs": (old, new)})
    plan = four_box.model_copy(update={"circuits": (extended, *four_box.circuits[1:])})
    pulled = {row[0] for row in pull_list(plan).rows}
    assert new.id in pulled
    assert old.id not in pulled
    status = next(row[-1] for row in circuit_directory(plan).rows if row[1] == circuit.id)
    assert status.endswith("extended")


def test_what_is_taken_apart_is_on_the_page(request):
    plan = plan_on_file("taken_apart")
    assert plan.removed
    for circuit in plan.removed:
        row = next(row for row in taken_apart(plan).rows if row[0] == circuit.id)
        assert row[5] == ", ".join(f"{run.start}–{run.end}" for run in circuit.runs)
        homes = {o.circuit for o in plan.outlets if o.box in {run.end for run in circuit.runs}}
        assert set(row[6].split(", ")) == homes
    assert "<h2>Taken apart" in page_html(plan, "0" * 64)


def test_what_goes_through_passages_is_on_the_page(every_section):
    assert every_section.passages
    for passage in every_section.passages:
        row = next(row for row in passages(every_section).rows if row[0] == passage.id)
        assert row[3] == str(passage.ledgers[0].current_carrying)
    assert "<h2>Passages" in page_html(every_section, "0" * 64)


def test_pages_without_them_do_not_mention_them(four_box):
    page = page_html(four_box, "0" * 64)
    assert "Taken apart" not in page
    assert "Passages" not in page


def test_what_is_bought_and_cut_is_on_the_page(four_box):
    pieces = (
        CutPiece(of="C1.1", package=1, length_in=200),
        CutPiece(of="C2.1", package=1, length_in=301),
        CutPiece(of="C3.1", package=2, length_in=590),
    )
    roll = PurchaseLine(
        key="NM-B 12-2", item="cable <12>", packages=2, package="50 ft", package_ft=50.0,
        price_usd=41.0, cost_usd=82.0, pieces=pieces,
    )  # fmt: skip
    foot = PurchaseLine(
        key="THHN 8", item="wire", colour="black", packages=1, package="by the foot",
        price_usd=0.84, cost_usd=8.4, pieces=(CutPiece(of="C4.1", package=1, length_in=120),),
    )  # fmt: skip
    plan = four_box.model_copy(update={"purchase": (roll, foot)})
    assert purchase(plan).rows == (
        ("cable <12>", "", "2", "50 ft", "$41.00", "$82.00", "8 ft 3 in"),
        ("wire", "black", "10 ft", "by the foot", "$0.84", "$8.40", ""),
    )
    assert purchase(plan).foot[5] == "$90.40"
    assert cutting_plan(plan).rows == (
        ("cable <12>", "", "1 of 2, 50 ft", "C2.1 25 ft 1 in, C1.1 16 ft 8 in", "8 ft 3 in"),
        ("cable <12>", "", "2 of 2, 50 ft", "C3.1 49 ft 2 in", "10 in"),
    )
    page = page_html(plan, "0" * 64)
    assert "<h2>Purchase" in page
    assert "<h2>Cutting plan" in page
    assert "cable &lt;12&gt;" in page
    assert "Cutting plan" not in page_html(four_box, "0" * 64)
