"""Papers read back: the numbers are the plan's, words are the trade's, nothing is a formula."""

import csv
import io
import re

import pytest

from branchwright.papers.at_the_panel import directory, door_card, door_lines
from branchwright.papers.cover_labels import cover_labels
from branchwright.papers.csv_file import STARTS_FORMULA, csv_text, guarded
from branchwright.papers.paper import Field, Paper
from branchwright.papers.to_buy_from import cutting_plan, purchase
from branchwright.sheet_set import PAPERS
from branchwright.sheets.one_line import one_line
from branchwright.sheets.pull_list import pulled_words
from models.plan import CutPiece, Plan, PurchaseLine
from tests.branchwright.conftest import HOSTILE
from tests.plan_files import LISTED, plan_on_file


@pytest.fixture(params=LISTED)
def plan(request) -> Plan:
    return plan_on_file(request.param)


def read(plan: Plan, name: str, violations: int = 0) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_text(PAPERS[name](plan), violations))))


def spaces_of(row: dict[str, str]) -> list[int]:
    """The spaces that a row of the directory is about: its own, or those not used from there on."""
    unused = re.fullmatch(r"not used: (\d+)–(\d+)", row["Feeds"])
    first, last = map(int, unused.groups()) if unused else (int(row["Space"]),) * 2
    assert first == int(row["Space"])
    return list(range(first, last + 1))


def test_the_directory_has_every_space_in_order(plan):
    rows = read(plan, "directory")
    legs = {(panel.id, s.space): s.leg for panel in plan.panels for s in panel.spaces}
    told = [(row["Panel"], space) for row in rows for space in spaces_of(row)]
    assert sorted(told) == sorted((p.id, s.space) for p in plan.panels for s in p.spaces)
    for row in rows:
        several = len(spaces_of(row)) > 1
        assert row["Leg"] == ("" if several else legs[row["Panel"], int(row["Space"])])
        assert not several or (row["Circuit"], row["Breaker [A]"]) == ("", "")
    of_panel = [int(row["Space"]) for row in rows if row["Panel"] == plan.panels[0].id]
    assert of_panel == sorted(of_panel)
    for circuit in plan.circuits:
        mine = [row for row in rows if row["Circuit"] == circuit.id]
        assert {int(row["Space"]) for row in mine} == set(circuit.fed_from)
        assert {float(row["Breaker [A]"]) for row in mine} == {circuit.breaker.amps}


def test_the_door_card_has_odd_spaces_at_the_left(garage):
    """12 spaces, 9 circuits: C6 takes 5 and 7, both at the left."""
    rows = read(garage, "door-card")
    assert [row["Left space"] for row in rows] == ["1", "3", "5", "7", "9", "11"]
    assert [row["Right space"] for row in rows] == ["2", "4", "6", "8", "10", "12"]
    says = {circuit.id: circuit.says for circuit in garage.circuits}
    by_space = {n: c for c in garage.circuits for n in c.fed_from}
    for row in rows:
        for side in ("Left", "Right"):
            circuit = by_space.get(int(row[f"{side} space"]))
            if circuit:
                assert row[f"Feeds ({side.lower()})"] == says[circuit.id]
                assert float(row[f"Breaker ({side.lower()}) [A]"]) == circuit.breaker.amps


def test_a_tandem_is_one_line_of_the_door_card(four_box):
    panel = four_box.panels[0]
    first = panel.spaces[0]
    other = next(s for s in panel.spaces if s.circuit not in (None, first.circuit))
    halves = [
        first.model_copy(update={"tandem": "a"}),
        first.model_copy(update={"tandem": "b", "circuit": other.circuit}),
    ]
    spaces = (*halves, *(s for s in panel.spaces if s.space != first.space))
    changed = panel.model_copy(update={"spaces": spaces})
    says = {circuit.id: circuit.says for circuit in four_box.circuits}
    number, feeds, _ = door_lines(four_box, changed)[first.space - 1]
    assert number == str(first.space)
    assert feeds.startswith(f"{says[first.circuit or '']} / {says[other.circuit or '']}")


def test_circuits_of_one_tandem_are_told_apart_on_every_paper(four_box):
    """Two breakers are in one space: who is to switch one off needs to know which."""
    panel, circuit = four_box.panels[0], four_box.circuits[0]
    (space,) = circuit.breaker.spaces
    breaker = circuit.breaker.model_copy(update={"kind": "tandem"})
    halved = circuit.model_copy(update={"breaker": breaker})
    spaces = [
        one.model_copy(update={"tandem": "b"}) if one.circuit == circuit.id else one
        for one in panel.spaces
    ]
    plan = four_box.model_copy(
        update={
            "panels": (panel.model_copy(update={"spaces": tuple(spaces)}),),
            "circuits": (halved, *four_box.circuits[1:]),
        }
    )
    at = f"{space}b"
    labels = [row for row in read(plan, "labels") if row["Circuit"] == circuit.id]
    assert labels
    assert {row["Space"] for row in labels} == {at}
    steps = " ".join(row["Do"] for row in read(plan, "fault-finding"))
    assert f"Switch off {circuit.id} (space {at})" in steps
    checks = [row["At"] for row in read(plan, "commissioning") if row["Of"] == circuit.id]
    assert f"{panel.id} space {at}" in checks
    drawn = {text.text for text in one_line(plan).root.texts()}
    assert at in drawn


def test_labels_say_panel_space_amperes_and_where_to_reset(garage):
    rows = {(row["Box"], row["At"]): row for row in read(garage, "labels")}
    circuits = {circuit.id: circuit for circuit in garage.circuits}
    outlets = [outlet for outlet in garage.outlets if outlet.kind != "luminaire"]
    assert {outlet.box for outlet in outlets} <= {box for box, _ in rows}
    for outlet in outlets:
        row = rows[(outlet.box, outlet.yoke or outlet.id)]
        circuit = circuits[outlet.circuit]
        assert (row["Panel"], row["Circuit"]) == (circuit.panel, circuit.id)
        assert float(row["Breaker [A]"]) == circuit.breaker.amps
        assert row["Space"] == ", ".join(map(str, circuit.fed_from))
        spaces = ", ".join(map(str, circuit.breaker.spaces))
        reset = {
            None: "",
            "breaker": f"breaker, space{'s' * (',' in spaces)} {spaces}",
            outlet.yoke: "here",
        }
        assert row["Reset GFCI at"] == reset.get(outlet.protected_by, outlet.protected_by)
    assert rows[("E1", "E1")]["Text"] == "P 3 · 20 A · reset here"
    assert rows[("S1", "S1")]["Circuit"] == "C5"
    assert not any(box.startswith("L") for box, _ in rows)


def test_a_split_yoke_has_a_label_for_each_half(four_box):
    """Top and bottom of one yoke on two circuits."""
    outlet = next(o for o in four_box.outlets if o.position == "bottom")
    other = next(c for c in four_box.circuits if c.id != outlet.circuit and c.volts == 120)
    moved = outlet.model_copy(update={"circuit": other.id})
    outlets = tuple(moved if o is outlet else o for o in four_box.outlets)
    rows = cover_labels(four_box.model_copy(update={"outlets": outlets})).rows
    mine = [row for row in rows if row[0] == outlet.box]
    assert {(outlet.id, other.id), (f"{outlet.yoke}.top", outlet.circuit)} <= {
        (row[1], row[7]) for row in mine
    }


def test_the_pull_list_reads_back(plan):
    rows = {row["Run"]: row for row in read(plan, "pull-list")}
    runs = {r.id: r for c in plan.circuits for r in c.runs if r.life == "new"}
    assert rows.keys() == runs.keys()
    for run in runs.values():
        row = rows[run.id]
        assert float(row["Path [ft]"]) == run.length_ft
        assert float(row["Slack [ft]"]) == run.allowance_ft
        cut_in = int(row["Cut [in]"])
        length_in = 12 * (run.length_ft + run.allowance_ft)
        assert 0 <= cut_in - length_in + 1e-6 < 1 + 1e-6
        assert row["Mark both ends"] == f"{run.id} {run.start}–{run.end}"


def test_a_cable_in_a_raceway_is_one_cable(garage):
    """What is there may be a cable in tubing; conductors of their own are counted."""
    run = next(run for circuit in garage.circuits for run in circuit.runs if run.raceways)
    assert pulled_words(run) == f"{len(run.conductors)} × THHN 12"
    assert pulled_words(run.model_copy(update={"make": "NM-B 12-2"})) == "NM-B 12-2"
    named_so = run.model_copy(update={"make": "THHN 12 in tube 2-1"})
    assert pulled_words(named_so) == f"{len(run.conductors)} × THHN 12"


def test_boxes_and_raceways_read_back(plan):
    rows = {row["Box"]: row for row in read(plan, "boxes")}
    assert rows.keys() == {box.id for box in plan.boxes}
    for box in plan.boxes:
        row = rows[box.id]
        assert float(row["Height [ft]"]) == box.place[2]
        assert row["Fill [in³]"] == "" if box.fill_in3 is None else (
            float(row["Fill [in³]"]) == box.fill_in3
        )  # fmt: skip
        if box.volume_in3 is not None:
            assert float(row["Volume [in³]"]) == box.volume_in3
    ledgers = [(way, ledger) for way in plan.raceways for ledger in way.ledgers]
    for row, (way, ledger) in zip(read(plan, "raceways"), ledgers, strict=True):
        assert (row["Raceway"], row["Stage"]) == (way.id, ledger.stage)
        assert float(row["Fill [%]"]) == ledger.fill_percent
        assert int(row["Conductors"]) == sum(len(c.conductors) for c in ledger.contents)
        assert int(row["Carrying current"]) == ledger.current_carrying


def test_boxes_are_measured_from_the_left_of_their_wall_and_from_a_corner(garage):
    """Measured in the shop file: E2 at y 16 ft of a wall of 24 ft whose north end is at the left
    of one who looks at it, O1 at x 1 ft 3 in of 14 ft with the west end at the right.
    """
    rows = {row["Box"]: row for row in read(garage, "boxes")}
    told = {
        name: (row["From left [ft]"], row["Height [ft]"], row["Where"])
        for name, row in rows.items()
    }
    assert told["E2"] == ("8.00", "3.67", "")
    assert told["O1"] == ("12.75", "2.00", "outside")
    assert told["L1"] == ("", "9.00", "ceiling, 4 ft east, 11 ft north")


def test_money_reads_back(plan):
    rows = read(plan, "takeoff")
    for row, line in zip(rows, plan.takeoff, strict=True):
        assert float(row["Quantity"]) == line.quantity
        assert float(row["Price [USD]"]) == line.unit_price_usd
        assert float(row["Cost [USD]"]) == line.cost_usd
    paper = PAPERS["takeoff"](plan)
    assert [paper.total(one) for one in paper.sums] == [
        pytest.approx(plan.totals.material_cost_usd, abs=0.005)
    ]


def test_the_load_calculation_has_a_sum_for_each_feeder(plan):
    paper = PAPERS["load"](plan)
    lines = [f.load_calculation for f in plan.feeders if f.load_calculation]
    sums = [sum(line.va for line in one) for one in lines]
    assert [paper.total(one) for one in paper.sums] == sums
    assert sum(int(row["VA"]) for row in read(plan, "load")) == sum(sums)


def test_cuts_come_off_one_after_the_other(four_box):
    """Two rolls of 50 ft (600 in): 240 + 130 of the first leave 230, 300 of the second 300."""
    line = PurchaseLine(
        key="nm", item="12-2 NM-B", packages=2, package="roll of 50 ft", package_ft=50,
        price_usd=40.25, cost_usd=80.5,
        pieces=tuple(
            CutPiece(of=of, package=package, length_in=inches)
            for of, package, inches in (("C1.2", 1, 130), ("C1.1", 1, 240), ("C2.1", 2, 300))
        ),
    )  # fmt: skip
    by_foot = line.model_copy(update={"package_ft": None, "cost_usd": 9.5, "package": "foot"})
    plan = four_box.model_copy(update={"purchase": (line, by_foot)})
    assert [row[4:] for row in cutting_plan(plan).rows] == [
        (1, 1, "C1.1", 240, "20 ft", 360),
        (1, 2, "C1.2", 130, "10 ft 10 in", 230),
        (2, 1, "C2.1", 300, "25 ft", 300),
    ]
    paper = purchase(plan)
    assert [(row[2], row[5], row[6]) for row in paper.rows] == [(2, 3, 670), (2, 3, 670)]
    assert paper.total(paper.sums[0]) == 90.0


def test_every_finding_is_told_the_worst_first(violated):
    rows = read(violated, "findings")
    assert [row["Kind"] for row in rows] == ["violation", "not checked"]
    assert (rows[0]["Found"], rows[0]["Limit"], rows[0]["Unit"]) == ("31.5", "30.3", "in³")


def test_with_a_violation_each_row_of_each_paper_says_so(violated):
    for name, make in PAPERS.items():
        rows = list(csv.reader(io.StringIO(csv_text(make(violated), 1))))
        assert all(row[0] == "DO NOT BUILD" for row in rows), name
        assert "DO NOT BUILD" not in csv_text(make(violated), 0)


@pytest.mark.parametrize(
    "text", ["=cmd|' /C calc'!A0", "+1", "-saw", "@SUM(A1)", "\t=1", "\r=1", " =1", "＝1"]
)
def test_no_text_starts_a_formula(text):
    assert guarded(text) == f"'{text}"


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_stay_one_cell_of_text(name, renamed):
    for paper in (make(renamed(name)) for make in PAPERS.values()):
        rows = list(csv.reader(io.StringIO(csv_text(paper, 0)), strict=True))
        assert len(rows) == 1 + len(paper.rows)
        for row in rows:
            assert len(row) == len(paper.fields)
        for row, cells in zip(rows[1:], paper.rows, strict=True):
            for told, cell in zip(row, cells, strict=True):
                if isinstance(cell, str):
                    assert told.removeprefix("'") == cell
                    assert not told.startswith(STARTS_FORMULA)


def test_numbers_are_never_rounded_and_negative_ones_stay_numbers():
    paper = Paper("p", "P", (Field("a", 5, 2), Field("b", 5, 0)), ((-2.125, 3), (1.5, None)))
    assert csv_text(paper, 0) == "a,b\n-2.125,3\n1.50,\n"


def test_a_row_that_does_not_match_its_headings_is_refused():
    with pytest.raises(ValueError, match="2 cells under 1"):
        Paper("p", "P", (Field("a"),), (("x", "y"),))
    with pytest.raises(ValueError, match="under 'a'"):
        Paper("p", "P", (Field("a"),), ((1,),))


def test_spaces_not_used_in_a_row_are_told_together(four_box):
    """Spaces 4 to 6 are cleared by hand: 2 of them told one by one would be no shorter."""
    panel = four_box.panels[0]
    free = {"circuit": None, "pole": None, "reserved_for": None}
    for last, told in ((6, ["not used: 4–6"]), (5, ["not used"] * 2)):
        spaces = tuple(
            s.model_copy(update=free) if 4 <= s.space <= last else s
            for s in panel.spaces
            if s.space <= last
        )
        plan = four_box.model_copy(
            update={"panels": (panel.model_copy(update={"spaces": spaces}),)}
        )
        rows = read(plan, "directory")
        assert [r["Feeds"] for r in rows if not r["Circuit"] and int(r["Space"]) >= 4] == told


def test_the_directory_names_what_a_back_fed_main_is_for(four_box):
    """Spaces held for `main` are the main of the building, not `kept free`."""
    panel = four_box.panels[0]
    held = [s for s in panel.spaces if s.circuit is None][:2]
    spaces = tuple(
        s.model_copy(update={"reserved_for": "main"}) if s in held else s for s in panel.spaces
    )
    main = panel.main.model_copy(update={"kind": "back-fed", "amps": 60.0})
    changed = panel.model_copy(update={"spaces": spaces, "main": main})
    plan = four_box.model_copy(update={"panels": (changed,)})
    rows = [row for row in directory(plan).rows if row[1] in {s.space for s in held}]
    assert [(row[5], row[6], row[7]) for row in rows] == [("main of the building", 60.0, 2)] * 2
    assert any("main of the building" in str(row) for row in door_card(plan).rows)
