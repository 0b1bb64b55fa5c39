"""Plans after a changeover: no rule finds anything wrong with them, in any order of the days.

What may be pulled and kept is as in `test_changeovers`; what a day buys is known beforehand from
the plan that prepares for it, and told here from the difference of two takeoffs.
"""

from collections import Counter
from itertools import permutations

import pytest

from models.part_keys import breaker_key, device_key
from models.plan import Source
from models.plan_file import canonical_json, sha256_text
from models.rules import check_plan
from models.shop import Shop
from models.shop_edit import changed
from solver.changeover_refused import Refused
from solver.changing_over import changed_over
from tests.solver.conftest import TO_ONE_BOX, TO_TWO_BOXES
from tests.solver.test_changeovers import (
    MULTIWIRE,
    ONE_CIRCUIT,
    changeover,
    drill,
    may_change,
)
from tests.violations import violations

IN_N2 = {
    "volts": "120 V", "marked": "6 A", "plug": "5-15P", "plugs_into": "N2.left",
    "at": ["20 ft", "8 ft"], "cord": "12 ft",
}  # fmt: skip
SHED = (
    ("building.kind", "accessory building"), ("building.dwelling", True),
    ("building.floor", "at or below grade"), ("code.edition", 2020),
    ("code.gfci_at", "device"),
)  # fmt: skip
SHOPS = {
    "alone in a cable": ("two_gangs", (
        ("boxes[N1].yokes", ["duplex 5-20R"]), ("boxes[N1].two_circuits", None),
        ("boxes[N2]", None), drill("N1"), *may_change("10 %", "M1"))),
    "alone in a raceway": ("one_raceway", (*TO_TWO_BOXES, *may_change("60 %", "M1"))),
    "three machines": ("one_raceway", (
        *TO_TWO_BOXES, ("machines[M4]", None), *may_change("90 %", "M1", "M2", "M3"))),
    "beside others in cables": ("two_gangs", (
        *ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), *may_change("60 %", "M1"))),
    "at the end of its runs": ("two_gangs", (
        *ONE_CIRCUIT, MULTIWIRE, drill("N2.left", "20 ft"), *may_change("90 %", "M1"))),
    "two on one circuit": ("two_gangs", (
        *ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), ("machines[M2]", IN_N2),
        ("use.never_together", [{"machines": ["M1", "M2"]}]), *may_change("90 %", "M1", "M2"))),
    "behind a GFCI device": ("two_gangs", (
        *ONE_CIRCUIT, MULTIWIRE, *SHED, drill("N2.left", "20 ft"), *may_change("90 %", "M1"))),
    "back to 120 V": ("two_gangs", (
        ("boxes[N1].yokes", ["blank"]), ("boxes[N1].two_circuits", None), ("boxes[N2]", None),
        ("machines[M1]", {"volts": "240 V", "reconnects_to": "120 V", "marked": "14 A",
                          "hard_wired_at": "N1"}),
        ("later.changeovers", [{"machine": "M1", "volts": "120 V", "likelihood": "90 %",
                                "within": "3 years"}]),
        ("code.voltage_drop_percent", 10))),
}  # fmt: skip


@pytest.fixture(scope="module")
def planned(plan_of):
    """The plan of each shop, made once."""
    made = {}

    def plan(name):
        if name not in made:
            shop, changes = SHOPS[name]
            made[name] = plan_of(shop, *changes)
        return made[name]

    return plan


def prepared(plan):
    return [draft.machine for draft in plan.changeovers or () if draft.prepared]


def quantities(plan):
    return {line.key: line.quantity for line in plan.takeoff}


def after(plan, *machines):
    for machine in machines:
        plan = changed_over(plan, machine)
        assert not isinstance(plan, Refused), plan
    return plan


@pytest.mark.parametrize("name", SHOPS)
def test_no_rule_finds_anything_wrong_in_any_order(planned, name):
    plan = planned(name)
    machines = prepared(plan)
    assert machines
    ends = set()
    for order in permutations(machines):
        now = plan
        for count, machine in enumerate(order, 1):
            now = changed_over(now, machine)
            assert not isinstance(now, Refused), now
            assert violations(check_plan(now)) == []
            assert [one.machine for one in now.made_by.changed or ()] == list(order[:count])
        same = now.model_copy(update={"made_by": plan.made_by, "findings": ()})
        ends.add(canonical_json(same.model_dump(mode="json")))
    assert len(ends) == 1, "the order of the days makes no difference to what is there then"


def taken_out(plan, machine):
    """The breaker, the machine's receptacle and GFCI devices that leave, by the old plan."""
    draft = changeover(plan, machine)
    circuit = next(c for c in plan.circuits if c.id == draft.circuit)
    seat = next(m for m in plan.machines if m.id == machine).outlet
    yoke = next((o.yoke for o in plan.outlets if o.id == seat), None)
    breaker = circuit.breaker
    found = Counter([breaker_key(breaker.amps, breaker.poles, breaker.gfci)])
    for box in plan.boxes:
        for one in box.yokes:
            if one.id == yoke or (one.circuit == circuit.id and one.gfci):
                found[device_key(one.device, one.configuration, one.gfci)] += 1
    return found


@pytest.mark.parametrize("name", SHOPS)
def test_the_day_buys_what_the_plan_says_it_does(planned, name):
    """Old and new takeoff differ by the parts of the day, and by what they replace."""
    plan = planned(name)
    for machine in prepared(plan):
        wanted = Counter(quantities(plan))
        wanted.subtract(taken_out(plan, machine))
        wanted.update({x.key: x.quantity for x in changeover(plan, machine).takeoff})
        assert quantities(after(plan, machine)) == {k: n for k, n in wanted.items() if n}


@pytest.mark.parametrize("name", SHOPS)
def test_every_other_id_stays(planned, name):
    plan = planned(name)
    for machine in prepared(plan):
        then = after(plan, machine)
        for section in ("circuits", "boxes", "machines", "raceways", "panels", "switches"):
            assert [x.id for x in getattr(then, section)] == [x.id for x in getattr(plan, section)]
        runs, runs_then = ({r.id for c in p.circuits for r in c.runs} for p in (plan, then))
        assert runs == runs_then
        gone = {o.id for o in plan.outlets} - {o.id for o in then.outlets}
        came = {o.id for o in then.outlets} - {o.id for o in plan.outlets}
        seat = next(one for one in then.machines if one.id == machine).outlet
        assert came <= {seat}
        assert all(name.rpartition(".")[0] == seat for name in gone)


def test_a_second_hot_is_the_spare_and_the_white_stays_a_neutral(planned):
    """Beside others in cables: 12-3, black and red hots, the white for what stays at 120 V."""
    then = after(planned("beside others in cables"), "M1")
    (circuit,) = (c for c in then.circuits if "M1" in c.machines)
    home = circuit.runs[0]
    assert [(w.role, w.colour) for w in home.conductors] == [
        ("hot", "black"), ("neutral", "white"), ("hot2", "red"), ("ground", "bare"),
    ]  # fmt: skip
    assert {o.volts for o in then.outlets if o.circuit == circuit.id} == {120, 240}
    assert (circuit.breaker.poles, circuit.volts, circuit.is_mixed) == (2, 240, True)


def test_a_white_alone_in_a_cable_is_marked(planned):
    """200.7(C)(1)."""
    then = after(planned("alone in a cable"), "M1")
    (circuit,) = then.circuits
    (white,) = (w for run in circuit.runs for w in run.conductors if w.colour == "white")
    assert (white.role, white.marked) == ("hot2", "black")


def test_a_white_alone_in_a_raceway_is_capped(planned):
    then = after(planned("alone in a raceway"), "M1")
    (circuit,) = (c for c in then.circuits if "M1" in c.machines)
    wires = {w.colour: (w.role, w.marked) for run in circuit.runs for w in run.conductors}
    assert wires["red"] == ("hot2", None)
    assert wires["white"] == ("spare", "spare")
    assert then.made_by.changed[0].capped_runs == tuple(run.id for run in circuit.runs)


def test_a_gfci_device_on_the_way_is_exchanged(planned):
    """Behind its load side one hot of the machine would come without the other: it would trip."""
    plan = planned("behind a GFCI device")
    draft = changeover(plan)
    assert draft.breaker_gfci
    assert {line.key: line.quantity for line in draft.takeoff} == {
        "breaker 20 A 2-pole GFCI": 1, "duplex 5-20R": 1, "single 6-15R": 1,
    }  # fmt: skip
    then = after(plan, "M1")
    assert not any(yoke.gfci for box in then.boxes for yoke in box.yokes)


# What is refused


def test_a_garage_keeps_a_circuit_for_its_receptacles(plan_of):
    """210.11(C)(4): with its only 120 V circuit changed none would be left: nothing is prepared."""
    garage = (("building.kind", "garage"), *SHED[1:])
    plan = plan_of(
        "two_gangs", *ONE_CIRCUIT, MULTIWIRE, *garage, drill("N2.left", "20 ft"),
        *may_change("90 %", "M1"),
    )  # fmt: skip
    assert prepared(plan) == []


def test_a_plan_that_would_leave_a_garage_without_its_circuit_is_found(planned):
    """The same in another building, which is then called a garage."""
    plan = planned("behind a GFCI device")
    shop = changed(Shop.model_validate(plan.source.shop), [("building.kind", "garage")])
    data = shop.canonical()
    source = Source(shop=data, sha256=sha256_text(canonical_json(data)))
    found = check_plan(plan.model_copy(update={"source": source}))
    (says,) = [f.says for f in found if f.rule == "after-changeovers"]
    assert "after changeovers no 120 V 20 A circuit feeds the garage's receptacles" in says


def test_a_plan_that_prepares_nothing_says_what_would(plan_of):
    plan = plan_of("two_gangs", *ONE_CIRCUIT, drill("N1.left"), *may_change("60 %", "M1"))
    found = changed_over(plan, "M1")
    assert isinstance(found, Refused)
    assert "multiwire circuits are not allowed" in found.says
    assert "code.multiwire: yes" in found.would


def test_a_machine_of_which_the_shop_says_nothing(planned):
    found = changed_over(planned("alone in a raceway"), "M2")
    assert isinstance(found, Refused)
    assert "names no changeover of M2" in found.says


def test_a_changeover_that_is_done(planned):
    found = changed_over(after(planned("alone in a raceway"), "M1"), "M1")
    assert isinstance(found, Refused)
    assert "takes 240 V already" in found.says


def test_a_plan_with_violations_is_mended_first(planned):
    plan = planned("alone in a raceway")
    spoiled = plan.model_copy(update={"totals": plan.totals.model_copy(update={"circuits": 99})})
    found = changed_over(spoiled.model_copy(update={"findings": check_plan(spoiled)}), "M1")
    assert isinstance(found, Refused)
    assert "violations already" in found.says


@pytest.mark.parametrize("why", ["moves", "carried about"])
def test_a_changeover_that_no_run_prepares_for(planned, why, plan_of):
    change: dict[str, object] = {"machine": "M1", "likelihood": "60 %", "within": "3 years"}
    change |= {"at": ["13 ft", "8 ft"]} if why == "moves" else {"volts": "240 V", "plug": "6-15P"}
    machine = drill("N1.left", "14 ft")[1] | {"reconnects_to": "240 V"}
    if why == "carried about":
        machine = {key: value for key, value in machine.items() if key not in ("plugs_into", "at")}
        machine["portable"] = True
    plan = plan_of(
        "one_raceway", *TO_ONE_BOX, ("machines[M1]", machine), ("later.changeovers", [change])
    )
    found = changed_over(plan, "M1")
    assert isinstance(found, Refused)
    assert "no change of voltage alone" in found.says
