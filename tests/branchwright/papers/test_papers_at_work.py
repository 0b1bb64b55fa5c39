"""Papers for work and for later, read back: what runs together, joints, scope, tests, days."""

import re
from collections import Counter

import pytest

from branchwright import cautions
from branchwright.papers.changeovers import changeovers
from branchwright.papers.commissioning import commissioning
from branchwright.papers.fault_finding import fault_finding
from branchwright.papers.joints import joints
from branchwright.papers.paper import Paper
from branchwright.papers.runs_together import runs_together
from branchwright.papers.scope import scope
from models.changeover_day import changeover_day
from models.plan import Plan
from models.price_book import PriceBook
from solver.changing_over import changed_over
from solver.plan import plan_shop
from solver.solve import Control
from tests.plan_files import LISTED, plan_data, plan_on_file
from tests.solver.pair_shops import hand_shop


@pytest.fixture(params=LISTED)
def plan(request) -> Plan:
    return plan_on_file(request.param)


def rows(paper: Paper, **wanted: str) -> list[dict[str, str | float | None]]:
    """The rows as dictionaries, those with these cells."""
    names = [field.name for field in paper.fields]
    found = [dict(zip(names, row, strict=True)) for row in paper.rows]
    return [row for row in found if all(row[key] == value for key, value in wanted.items())]


def test_what_runs_together_in_the_garage(garage):
    """C7, 20 A: chargers 3 A, drill press 9.8 A, hand tool 10 A; by hand 12.8, 13 and 19.8 + 3."""
    found = rows(runs_together(garage), Circuit="C7")
    told = {(row["Machine"], row["With"]): (row["Load [A]"], row["Fits"]) for row in found}
    tool = "hand tool (portable)"
    assert told["battery chargers", "drill press"] == (pytest.approx(12.8), "yes")
    assert told["battery chargers", tool] == (pytest.approx(13.0), "yes")
    assert told["drill press", tool] == (pytest.approx(22.8), "TOO MUCH")
    pair = next(row for row in found if row["With"] == "drill press")
    assert (pair["In use"], pair["A third too much"]) == ("on saturday", tool)


def test_every_machine_of_a_circuit_is_in_the_matrix(plan):
    paper = runs_together(plan)
    names = {machine.id: machine.name or machine.id for machine in plan.machines}
    for circuit in plan.circuits:
        told = {row["Machine"] for row in rows(paper, Circuit=circuit.id, With="")}
        assert {names[machine] for machine in circuit.machines} <= told
        for row in rows(paper, Circuit=circuit.id):
            assert circuit.worst is None or row["Limit [A]"] == circuit.worst.limit_amps


def test_only_a_motor_is_asked_which_way_it_turns(garage):
    """Of the garage: three machines are given in horsepower; the chargers, in amperes, turn not."""
    told = [str(row["Verify"]) for row in rows(commissioning(garage), When="in use")]
    turning = {says.partition(" at work")[0] for says in told if "turns" in says}
    motors = ("band saw", "table saw", "drill press")
    assert turning == {f"Current of {name}" for name in motors}
    assert "Current of battery chargers at work" in told


def test_joints_are_those_of_the_plan(plan):
    paper = joints(plan)
    for box in plan.boxes:
        joined = rows(paper, Box=box.id, How="joined")
        wires = [len(splice.joins) + len(splice.pigtails) for splice in box.splices]
        assert [row["Wires"] for row in joined] == wires
        others = Counter(wire.ends for wire in box.conductors if wire.ends != "spliced")
        assert others == Counter(row["How"] for row in rows(paper, Box=box.id) if not row["Joint"])


@pytest.mark.parametrize("plan", [p for p in LISTED if p != "every_section"], indirect=True)
def test_the_scope_counts_as_the_plan_does(plan):
    """The plan with every section has totals of its own, made up by hand."""
    paper = scope(plan)
    runs = rows(paper, Part="runs")
    cable = sum(float(r["Quantity"] or 0) for r in runs if "cable" in str(r["Where or how"]))
    assert cable == pytest.approx(plan.totals.cable_ft, abs=0.005)
    material = [(row["What"], row["Quantity"]) for row in rows(paper, Part="material")]
    assert material == [(line.item, line.quantity) for line in plan.takeoff]
    count = sum(float(row["Quantity"] or 0) for row in rows(paper, Part="circuits"))
    worked = [c for c in plan.circuits if any(run.life == "new" for run in c.runs)]
    assert count == len(worked)
    stays = sum(float(row["Quantity"] or 0) for row in rows(paper, Part="stays as it is"))
    assert count + stays == len(plan.circuits)
    later = [row for row in rows(paper) if str(row["What"]).endswith(", which may come")]
    assert len(later) == len(plan.later_machines or ())
    assert all(str(row["Where or how"]).startswith("now: ") for row in later)


def test_an_interlock_and_an_amendment_reach_those_who_build():
    """Neither is in the takeoff; a load calculation may rest on the one, a permit on the other."""
    data = plan_data("four_box")
    shop = data["source"]["shop"]
    lock = {"machines": ["saw", "drill-press"], "by": "interlock", "device": "transfer switch"}
    shop["use"]["never_together"] = [lock]
    shop["code"]["amendments"] = ["a labelled disconnect at each hard-wired machine"]
    plan = Plan.model_validate(data)
    [told] = rows(scope(plan), Part="interlocks")
    names = {machine.id: machine.name for machine in plan.machines}
    keeps = f"no two at once of {names['saw']}, {names['drill-press']}"
    assert told["What"] == "transfer switch"
    assert told["Where or how"] == f"not in the material above; {keeps}"
    [tried] = rows(commissioning(plan), At="interlock")
    assert (tried["When"], tried["Expected"]) == ("in use", keeps)
    [amended] = rows(scope(plan), What="local amendment, not checked")
    assert amended["Where or how"] == shop["code"]["amendments"][0]


def test_bidders_see_no_price(plan):
    """No money in any heading or cell; no number of the takeoff's prices and costs."""
    paper = scope(plan)
    told = " ".join(str(cell) for row in paper.rows for cell in row)
    assert not re.search(r"\$|USD|dollar", f"{told} {paper.note}".replace("no prices", ""))
    assert not any("USD" in field.name for field in paper.fields)
    assert not paper.sums
    numbers = {row["Quantity"] for row in rows(paper)}
    assert plan.totals.material_cost_usd not in numbers


def test_each_circuit_is_tested_dead_live_and_in_use(plan):
    paper = commissioning(plan)
    for circuit in plan.circuits:
        mine = rows(paper, Of=circuit.id)
        order = [("look", "dead", "live", "in use").index(str(row["When"])) for row in mine]
        assert order == sorted(order)
        outlets = [one for one in plan.outlets if one.circuit == circuit.id]
        volts = {one.volts for one in outlets if one.kind != "luminaire"}
        expected = " ".join(str(row["Expected"]) for row in mine)
        assert all(f"about {volt} V" in expected for volt in volts)
        if circuit.worst is not None and circuit.voltage_drop_percent is not None:
            lost = f"{circuit.voltage_drop_percent:.2f} %"  # of the circuit, so against its panel
            assert f"at most {lost} below that in {circuit.panel}" in expected
        slots = any(one.kind == "receptacle" and one.volts == 120 for one in outlets)
        assert any(row["Verify"] == "Polarity" for row in mine) == slots
        hots = any("lamps out: hot to hot" in str(row["Verify"]) for row in mine)
        assert hots == (len(circuit.fed_from) > 1)
        buttons = [row for row in mine if str(row["Verify"]).startswith("Test button")]
        assert len(buttons) == len(circuit.gfci_at)
        assert any(
            "torque" in str(row["Verify"]) or "Terminals" in str(row["Verify"]) for row in mine
        )
    for row in rows(paper):
        assert (row["Measured"], row["Initials"], row["Date"]) == ("", "", "")
        source = str(row["Source"])
        assert source == "common practice, no source" or source.startswith("NEC ")


def test_every_test_button_kills_what_the_plan_says(garage):
    paper = commissioning(garage)
    for circuit in garage.circuits:
        for device in circuit.gfci_at:
            behind = {o.yoke or o.box for o in garage.outlets if o.protected_by == device}
            if device == "breaker":
                own = {o.yoke or o.box for o in garage.outlets if o.circuit == circuit.id}
                behind &= own
            told = [
                row for row in rows(paper, Of=circuit.id)
                if row["Expected"] == f"dead: {', '.join(sorted(behind))}"
            ]  # fmt: skip
            assert told, (circuit.id, device)


def test_nothing_is_opened_before_it_is_dead(plan):
    paper = fault_finding(plan)
    for circuit in plan.circuits:
        steps = rows(paper, Circuit=circuit.id)
        assert [step["Step"] for step in steps] == list(range(1, len(steps) + 1))
        order = [("look", "make dead", "open", "after").index(str(s["First"])) for s in steps]
        assert order == sorted(order)
        dead = [str(step["Do"]) for step in steps if step["First"] == "make dead"]
        assert cautions.TEST_BEFORE_TOUCH in dead
        assert dead[0].startswith("Switch off")
        opened = [step for step in steps if step["First"] == "open"]
        boxes = {o.box for o in plan.outlets if o.circuit == circuit.id}
        assert boxes <= {step["At"] for step in opened}
        for step in opened:
            says, back = str(step["Do"]), str(step["Way back"])
            assert back.startswith(str(step["At"]))
            if back == f"{step['At']} ← {circuit.panel}":
                assert cautions.LUGS_STAY_LIVE in says
        inside = {
            wire.circuit for box in plan.boxes if box.id in {step["At"] for step in opened}
            for wire in box.conductors
        }  # fmt: skip
        for other in inside - {circuit.id, circuit.multiwire_with}:
            assert any(f"{other} (space" in line for line in dead)


def test_where_a_gfci_is_reset_and_what_it_takes_down(garage):
    found = rows(fault_finding(garage), Circuit="C4", First="look", At="W2.left")
    assert [row["Dead with it"] for row in found] == ["O1, W1 (miter saw), W2.left"]
    found = rows(fault_finding(garage), Circuit="C6", First="look", At="P")
    assert "reset" in str(found[-1]["Do"])


def test_the_shared_neutral_of_a_pair_is_never_opened_live():
    plan = plan_shop(
        hand_shop(["blank"], ["blank"]), PriceBook.read(), Control(effort=1), explain=False
    ).plan
    assert plan is not None
    for circuit in plan.circuits:
        off = rows(fault_finding(plan), Circuit=circuit.id, First="make dead")[0]
        assert "C1 (space" in str(off["Do"])
        assert "C2 (space" in str(off["Do"])
        assert "Never open their shared neutral while either is live" in str(off["Do"])
        live = [str(row["Verify"]) for row in rows(commissioning(plan), Of=circuit.id, When="live")]
        assert any("both off with one move" in says for says in live)


def test_changeover_days_are_those_of_the_command(request):
    plan = plan_on_file("two_changeovers")
    paper = changeovers(plan)
    for machine in ("M1", "M2"):
        then = changed_over(plan, machine)
        assert isinstance(then, Plan)
        day = changeover_day(plan, then, machine)
        mine = rows(paper, Machine=day.name)
        assert [r["Do"] for r in mine if r["What"] == "step"] == [step.says for step in day.steps]
        assert [r["Do"] for r in mine if r["What"] == "check"] == list(day.checks)
        parts = [(r["Do"], r["Quantity"], r["Cost [USD]"]) for r in mine if r["What"] == "part"]
        assert parts == [(line.item, line.quantity, line.cost_usd) for line in day.parts]
        total = next(s for s in paper.sums if s.says == f"parts for {day.name}")
        assert paper.total(total) == day.parts_usd
