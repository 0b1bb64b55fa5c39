"""What is pulled and kept now for machines that may change their voltage, and what gets in its way.

Each shop in `tests/shops` is invented. Prices: the invented book (12-2 cable 0.75 USD/ft, 12-3
1.15 USD/ft, THHN 12 0.28 USD/ft, two-pole breaker 16 USD, single 6-15R 6 USD). A white is re-marked
as a hot in a cable only: 200.7(C)(1). Areas: chapter 9 Tables 4 and 5; adjustment: 310.15(C)(1).
"""

import pytest

from models.plan import Source
from models.plan_file import canonical_json, sha256_text
from models.rules import check_plan
from models.shop import Shop
from models.shop_edit import changed
from tests.solver.conftest import TO_TWO_BOXES
from tests.violations import violated

NOTHING = "nothing now"
SPACE = "a space kept beside its breaker"
SPARE = f"a spare conductor pulled now and {SPACE}"
ONE_CIRCUIT = (("boxes[N1].two_circuits", None), ("boxes[N2].two_circuits", None))
MULTIWIRE = ("code.multiwire", True)


def may_change(likelihood, *machines):
    """Machines that may go from 120 to 240 V."""
    changes = [
        {"machine": m, "volts": "240 V", "plug": "6-15P", "likelihood": likelihood,
         "within": "3 years"}
        for m in machines
    ]  # fmt: skip
    nameplates = [(f"machines[{machine}].reconnects_to", "240 V") for machine in machines]
    return *nameplates, ("later.changeovers", changes)


def drill(at, place="12 ft"):
    """A machine of 10 A, which takes 5 A at twice the voltage."""
    machine = {"volts": "120 V", "marked": "10 A", "plug": "5-15P", "plugs_into": at,
               "at": [place, "8 ft"], "cord": "12 ft"}  # fmt: skip
    return ("machines[M1]", machine)


def changeover(plan, machine="M1"):
    return next(draft for draft in plan.changeovers if draft.machine == machine)


def chosen(plan, machine="M1"):
    draft = changeover(plan, machine)
    return next(other for other in draft.alternatives if other.says == draft.chosen)


def spared(plan):
    """Runs with a spare, by their ends."""
    runs = (run for circuit in plan.circuits for run in circuit.runs)
    return {
        (run.start, run.end) for run in runs if any(wire.role == "spare" for wire in run.conductors)
    }


def kept(plan):
    return {
        space.space: space.reserved_for
        for panel in plan.panels
        for space in panel.spaces
        if (space.reserved_for or "").startswith("changeover")
    }


# The choice


def test_a_cable_to_one_receptacle_needs_no_spare(plan_of):
    apart = ("boxes[N1].yokes", ["duplex 5-20R"]), ("boxes[N1].two_circuits", None)
    lone = ("boxes[N2]", None)
    plan = plan_of("two_gangs", *apart, lone, drill("N1"), *may_change("10 %", "M1"))
    assert changeover(plan).chosen == SPACE
    assert spared(plan) == set()
    (circuit,) = plan.circuits
    (space,) = circuit.breaker.spaces
    assert changeover(plan).panel_spaces == tuple(sorted((space, *kept(plan))))
    assert set(kept(plan).values()) == {"changeover of M1"}
    assert chosen(plan).cost_later_usd == 22.00
    assert plan.objective.expected_later == 2.20


def test_a_raceway_to_one_receptacle_needs_a_red(plan_of):
    """21 ft and 5 ft of slack at 0.28 USD/ft are 7 USD and less than 0.6 x (43 - 22) USD."""
    plan = plan_of("one_raceway", *TO_TWO_BOXES, *may_change("60 %", "M1"))
    draft = changeover(plan)
    assert draft.chosen == SPARE
    assert spared(plan) == {("P", "N1")}
    (spare,) = [
        wire
        for circuit in plan.circuits
        for run in circuit.runs
        for wire in run.conductors
        if wire.role == "spare"
    ]
    assert (spare.colour, spare.marked) == ("red", "spare")
    ends = [c.ends for box in plan.boxes for c in box.conductors if c.role == "spare"]
    assert ends == ["capped"]


@pytest.mark.parametrize(("likelihood", "says"), [("20 %", NOTHING), ("60 %", SPARE)])
def test_a_spare_on_a_shared_circuit_by_its_likelihood(plan_of, likelihood, says):
    """12-3 for 12-2 is 0.40 USD/ft over 23 ft, 9.20 USD; a run of its own later 18.45 USD more."""
    plan = plan_of(
        "two_gangs", *ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), *may_change(likelihood, "M1")
    )
    draft = changeover(plan)
    assert draft.chosen == says
    costs = {a.says: (a.cost_now_usd, a.cost_later_usd) for a in draft.alternatives}
    assert costs == {NOTHING: (0.0, 40.45), SPARE: (9.2, 22.0)}
    assert spared(plan) == ({("P", "N1")} if says == SPARE else set())
    material = plan.totals.material_cost_usd
    assert plan.objective.value == pytest.approx(
        material + plan.objective.expected_later, abs=0.011
    )


@pytest.mark.parametrize(("rate", "says"), [("3 %", SPARE), ("5 %", NOTHING)])
def test_a_rate_lets_what_is_paid_later_count_less(plan_of, rate, says):
    """0.6 x 18.45 USD in three years is 10.13 USD today at 3 % a year, 9.56 USD at 5 %; the spare
    is 9.20 USD and 0.80 USD for the larger box. Present value, 1 / (1 + i)^n, as compound interest
    tables have it.
    """
    plan = plan_of(
        "two_gangs", *ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), *may_change("60 %", "M1"),
        ("later.discount", rate),
    )  # fmt: skip
    draft = changeover(plan)
    assert draft.chosen == says
    worth = 0.6 / (1 + float(rate.removesuffix(" %")) / 100) ** 3
    expected = {a.says: a.expected_usd for a in draft.alternatives}
    assert expected == {
        NOTHING: pytest.approx(worth * 40.45, abs=0.006),
        SPARE: pytest.approx(9.20 + worth * 22.00, abs=0.006),
    }
    later = 40.45 if says == NOTHING else 22.00
    assert plan.objective.expected_later == pytest.approx(worth * later, abs=0.006)
    assert "changeovers" not in violated(check_plan(plan))
    undiscounted = changed(Shop.model_validate(plan.source.shop), [("later.discount", None)])
    shop = undiscounted.canonical()
    source = Source(shop=shop, sha256=sha256_text(canonical_json(shop)))
    wrong = {f.rule for f in check_plan(plan.model_copy(update={"source": source}))}
    assert {"changeovers", "changeover-costs"} <= wrong


def test_what_stays_at_120_v_needs_the_neutral_and_multiwire_circuits_allowed(plan_of):
    plan = plan_of("two_gangs", *ONE_CIRCUIT, drill("N1.left"), *may_change("60 %", "M1"))
    assert [a.says for a in changeover(plan).alternatives] == [NOTHING]


def test_runs_are_led_by_the_machine_first_when_that_saves_a_spare(plan_of):
    """To N2 by way of N1 both runs have three wires; the spare goes as far as the machine only."""
    plan = plan_of(
        "two_gangs", *ONE_CIRCUIT, MULTIWIRE, drill("N2.left", "20 ft"), *may_change("90 %", "M1")
    )
    assert changeover(plan).chosen == SPARE
    assert spared(plan) == {("P", "N1"), ("N1", "N2")}


# Decide later, or prepare for everything: by hand as above


def wished(wish):
    return ("later.prepare", wish)


@pytest.mark.parametrize(("likelihood", "best"), [("20 %", "nothing"), ("60 %", "everything")])
def test_the_choice_is_no_dearer_than_deciding_later_or_pulling_everything(
    plan_of, likelihood, best
):
    """The shared circuit above: 0.2 or 0.6 x 40.45 USD later, or 9.20 now and 22.00 times it.

    What a larger box for the spare costs, if any, comes on top: less than a dollar.
    """
    shop = (*ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), *may_change(likelihood, "M1"))
    chosen = plan_of("two_gangs", *shop)
    wishes = {w: plan_of("two_gangs", *shop, wished(w)) for w in ("nothing", "everything")}
    assert changeover(wishes["nothing"]).chosen == NOTHING
    assert changeover(wishes["everything"]).chosen == SPARE
    values = {wish: plan.objective.value for wish, plan in wishes.items()}
    assert chosen.objective.value == pytest.approx(values[best], abs=0.011)
    share = float(likelihood.removesuffix(" %")) / 100
    more = values["everything"] - values["nothing"]
    assert 0 <= more - (9.20 - share * (40.45 - 22.00)) < 1


def test_a_machine_that_is_prepared_for_stands_alone_where_it_could_not_change_beside_others(
    plan_of,
):
    """Without multiwire circuits the others cannot keep the neutral: a circuit of its own."""
    shop = (*ONE_CIRCUIT, drill("N1.left"), *may_change("20 %", "M1"))
    assert len(plan_of("two_gangs", *shop).circuits) == 1
    plan = plan_of("two_gangs", *shop, wished("everything"))
    (alone,) = [circuit for circuit in plan.circuits if "M1" in circuit.machines]
    assert {outlet.rpartition(".")[0] for outlet in alone.outlets} == {"N1.left"}
    assert changeover(plan).chosen == SPACE
    assert len(plan.circuits) == 2


def test_what_else_could_be_done_is_told_whatever_is_wished(plan_of):
    shop = (*ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), *may_change("60 %", "M1"))
    for wish in ("least cost", "nothing", "everything"):
        plan = plan_of("two_gangs", *shop, wished(wish))
        assert {one.says for one in changeover(plan).alternatives} == {NOTHING, SPARE}


@pytest.mark.parametrize("wish", ["nothing", "everything"])
def test_a_plan_that_does_otherwise_than_wished_is_found_out(plan_of, wish):
    shop = (*ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), *may_change("60 %", "M1"))
    other = plan_of("two_gangs", *shop, wished("nothing" if wish == "everything" else "everything"))
    told = changed(Shop.model_validate(other.source.shop), [wished(wish)]).canonical()
    mark = Source(shop=told, sha256=sha256_text(canonical_json(told)))
    found = check_plan(other.model_copy(update={"source": mark}))
    assert any(f"the shop file says to prepare {wish}" in finding.says for finding in found)


def test_walls_that_stay_closed_make_doing_nothing_dearer(plan_of):
    """A later run is then counted in surface EMT with single conductors."""
    shop = (*ONE_CIRCUIT, MULTIWIRE, drill("N1.left"), *may_change("30 %", "M1"))
    opened, closed = (
        plan_of("two_gangs", *shop),
        plan_of("two_gangs", *shop, ("later.open_walls", False)),
    )
    later = [
        next(a.cost_later_usd for a in changeover(plan).alternatives if a.says == NOTHING)
        for plan in (opened, closed)
    ]
    assert later[0] < later[1]
    assert [changeover(plan).chosen for plan in (opened, closed)] == [NOTHING, SPARE]


def test_from_240_to_120_v_a_larger_conductor_may_be_needed(plan_of):
    """14 A at 240 V are 28 A at 120 V: 10 AWG behind 30 A, which needs no second space.

    A 5-30R is no receptacle of the price book, so the machine is wired.
    """
    wired = ("boxes[N1].yokes", ["blank"]), ("boxes[N1].two_circuits", None), ("boxes[N2]", None)
    heater = {"volts": "240 V", "reconnects_to": "120 V", "marked": "14 A", "hard_wired_at": "N1"}
    change = {"machine": "M1", "volts": "120 V", "likelihood": "90 %", "within": "3 years"}
    plan = plan_of(
        "two_gangs", *wired, ("machines[M1]", heater), ("later.changeovers", [change]),
        ("code.voltage_drop_percent", 10),
    )  # fmt: skip
    draft = changeover(plan)
    assert draft.chosen.startswith("10 AWG conductors now")
    assert [circuit.conductor.awg for circuit in plan.circuits] == ["10"]
    assert (draft.breaker_amps, draft.panel_spaces) == (30.0, ())


# What gets in its way


def test_a_full_raceway_leaves_no_room_for_a_spare(plan_of):
    """9 conductors of 12 AWG are 0.1197 in², 10 are 0.133 in²; 1/2 EMT takes 0.122 in²."""
    shop = (
        *TO_TWO_BOXES, ("boxes[N2].two_circuits", None), ("machines[M4]", None),
        *may_change("60 %", "M1", "M2"),
    )  # fmt: skip
    tight = plan_of("one_raceway", *shop, ("routes.raceways[T].trade_size", "1/2"))
    roomy = plan_of("one_raceway", *shop)
    assert [changeover(tight, m).chosen for m in ("M1", "M2")] == [NOTHING, NOTHING]
    assert [changeover(roomy, m).chosen for m in ("M1", "M2")] == [SPARE, SPARE]


@pytest.mark.parametrize(("room", "says"), [("30 C", SPARE), ("40 C", NOTHING)])
def test_a_changeover_that_breaks_a_raceway_is_not_prepared_there(plan_of, room, says):
    """Three circuits there: 6 conductors count, and 7 once the spare is put to use.

    At 40 °C 12 AWG carries 30 A x 0.91 x 0.8 = 21.8 A as one of 6, and x 0.7 = 19.1 A as one of 7,
    on 20 A; at 30 °C 30 A x 0.7 = 21 A. 10 AWG for all of them costs more than it saves.
    """
    heater = {"volts": "240 V", "marked": "15 A", "always_on": True, "plug": "6-20P",
              "at": ["15 ft", "8 ft"], "cord": "12 ft"}  # fmt: skip
    shop = (
        *TO_TWO_BOXES, ("machines[M4]", None), drill("N1.left", "14 ft"), MULTIWIRE,
        ("boxes[N1].yokes", ["duplex 5-20R", "single 6-20R"]),
        ("boxes[N2].yokes", ["single 6-20R", "duplex 5-20R"]),
        ("machines[M2]", {**heater, "plugs_into": "N1.right"}),
        ("machines[M3]", {**heater, "plugs_into": "N2.left"}),
        ("building.ambient.room", room), *may_change("90 %", "M1"),
    )  # fmt: skip
    plan = plan_of("one_raceway", *shop)
    homes = [circuit.runs[0] for circuit in plan.circuits]
    assert [run.current_carrying for run in homes if "T" in run.raceways] == [6, 6, 6]
    assert {circuit.conductor.awg for circuit in plan.circuits} == {"12"}
    assert changeover(plan).chosen == says


def test_a_space_beside_the_breaker_is_kept_where_there_is_one(plan_of):
    """Spaces 2 and 3 of the panel are no neighbours: nothing can be kept beside either."""
    shop = (
        ("boxes[E1].yokes", ["duplex 5-20R"]), ("boxes[E1].two_circuits", None), MULTIWIRE,
        ("machines[M1]", {"volts": "120 V", "marked": "10 A", "plug": "5-15P", "plugs_into": "E1",
                          "at": ["36 ft", "5 ft"], "cord": "12 ft"}),
        ("code.voltage_drop_percent", 5), *may_change("60 %", "M1"),
    )  # fmt: skip
    odd = plan_of("odd_spaces", *shop)
    even = plan_of("odd_spaces", *shop, ("existing[X2].spaces", [3]))
    assert changeover(odd).chosen == NOTHING
    assert changeover(even).chosen == SPACE
    assert changeover(even).panel_spaces == (2, 4)
    assert even.objective.value < odd.objective.value


def test_spare_spaces_of_the_owner_are_not_those_kept(plan_of):
    """Four spaces, two of them taken: one breaker and one kept beside it leave none to spare."""
    shop = (
        ("boxes[E1].yokes", ["duplex 5-20R"]), ("boxes[E1].two_circuits", None),
        ("machines[M1]", {"volts": "120 V", "marked": "10 A", "plug": "5-15P", "plugs_into": "E1",
                          "at": ["36 ft", "5 ft"], "cord": "12 ft"}),
        ("code.voltage_drop_percent", 5), ("existing[X2].spaces", [3]),
        *may_change("60 %", "M1"),
    )  # fmt: skip
    assert changeover(plan_of("odd_spaces", *shop)).chosen == SPACE
    assert changeover(plan_of("odd_spaces", *shop, ("later.spare_spaces", 1))).chosen == NOTHING


def test_a_shop_without_changeovers_says_nothing_of_them(plan_of):
    plan = plan_of("two_gangs")
    assert plan.changeovers is None
    assert "expected_later" not in plan.model_dump(mode="json")["objective"]
