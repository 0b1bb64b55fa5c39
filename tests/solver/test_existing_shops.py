"""Shops that are partly wired: what is added beside, onto or instead of what is there.

The shops are changes of an invented shed (`tests/shops/as_built.yaml`). Areas: chapter 9 Tables 4
and 5; adjustment: Table 310.15(C)(1), 4 to 6 conductors 80 %, 7 to 9 70 %, 10 to 20 50 %.
"""

import json
from pathlib import Path

import pytest

from models.plan import Plan
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.solve import Control
from tests.plan_files import data_of
from tests.violations import violated, violations

ROOT = Path(__file__).resolve().parents[2]
SHED = read_shop(ROOT / "tests" / "shops" / "as_built.yaml")
NEW = ("boxes[N3]", {"wall": "north", "x": "10 ft", "height": "4 ft", "yokes": ["duplex 5-20R"]})


@pytest.fixture(scope="module")
def book():
    return PriceBook.read()


def planned(shop, book):
    """The plan of a shop, with no violation."""
    outcome = plan_shop(shop, book, Control(), explain=False)
    assert outcome.plan is not None, [cause.says for cause in outcome.causes]
    assert violations(outcome.plan.findings) == []
    return outcome.plan


def reasons(shop, book):
    """Why a shop has no plan."""
    outcome = plan_shop(shop, book, Control(), explain=False)
    assert outcome.plan is None
    return {(cause.reason, cause.where) for cause in outcome.causes}


def circuit_of(plan, outlet):
    return next(circuit for circuit in plan.circuits if outlet in circuit.outlets)


def existing(name, **changes):
    """A change of one existing circuit."""
    given = next(c for c in SHED.canonical()["existing"] if c["id"] == name)
    return (f"existing[{name}]", {**given, **changes})


# -- room beside existing conductors


def beside(count, size="3/4", **heater):
    """New boxes on a masonry wall, each on its own circuit, by the tube of the heater.

    The tube ends in a junction box now.
    """
    names = [f"E{n}" for n in range(2, 2 + count)]
    boxes = [
        (f"boxes[{name}]", {"wall": "east", "y": f"{5 + n / 2} ft", "height": "2 ft",
                            "yokes": ["single 5-20R"]})
        for n, name in enumerate(names, 1)
    ]  # fmt: skip
    tubes = [
        (f"routes.raceways[T{name}]", {"kind": "EMT", "trade_size": "1/2", "ends": ["JE", name]})
        for name in names
    ]
    runs = [{"from": "P", "to": "E1", "raceways": ["T", "TE1"]}]
    return changed(
        SHED,
        [
            ("supply.panels[P].spaces", 16),
            ("routes.junction_boxes[JE]", {"wall": "east", "y": "5 ft", "height": "5 ft",
                                           "box": "4-11/16 x 2-1/8 square", "existing": True}),
            ("routes.raceways[T]", {"kind": "EMT", "trade_size": size, "ends": ["P", "JE"]}),
            ("routes.raceways[TE1]", {"kind": "EMT", "trade_size": "3/4", "ends": ["JE", "E1"]}),
            *boxes,
            *tubes,
            existing("X2", runs=runs, **heater),
            ("pins.apart", [names] if count > 1 else None),
        ],
    )  # fmt: skip


def test_existing_conductors_take_room_in_a_raceway(book):
    """3/4 EMT takes 0.213 in²; 2 x 6 AWG and a 10 AWG are 0.1225 there, 3 x 12 AWG 0.0399 each."""
    heater = {"conductor": "6", "breaker": "50 A"}
    plan = planned(beside(2, **heater), book)
    (tube,) = (raceway for raceway in plan.raceways if raceway.id == "T")
    assert tube.ledgers[0].fill_percent == pytest.approx(100 * (0.1225 + 6 * 0.0133) / 0.533, 0.01)
    assert ("raceway full", "T") in reasons(beside(3, **heater), book)
    planned(beside(3, "1", **heater), book)


def test_existing_conductors_are_not_made_too_hot(book):
    """12 AWG, 30 A at 90 °C: with 8 conductors 21 A, with 10 of them 15 A behind 20 A."""
    plan = planned(beside(3, "1-1/4"), book)
    assert ("raceway heat", "T") in reasons(beside(4, "1-1/4"), book)

    data = data_of(plan)
    new = next(c for c in data["circuits"] if c["life"] == "new")
    new["runs"].append({**new["runs"][0], "id": f"{new['id']}.9"})
    found = check_plan(Plan.model_validate(data))
    assert [(f.where, f.found) for f in found if f.rule == "existing-heated"] == [("X2.1", 20.0)]
    assert "existing-heated" not in {f.rule for f in plan.findings}


def test_existing_conductors_take_room_in_a_junction_box(book):
    """4 x 1-1/2 square, 21 in³: 4 + 2 passing 12 AWG at 2.25 and grounds; 6 AWG takes 5 each."""
    small = ("routes.junction_boxes[JE].box", "4 x 1-1/2 square")
    planned(changed(beside(2, "1"), [small]), book)
    heater = {"conductor": "6", "breaker": "50 A"}
    assert ("box full", "JE") in reasons(changed(beside(3, "1", **heater), [small]), book)


def test_nothing_new_passes_a_box_that_nobody_measured(book):
    """The tube ends in the heater's own box: another one goes on from there, in vain."""
    box = {"wall": "east", "y": "7 ft", "height": "4 ft", "yokes": ["duplex 5-20R"]}
    tube = {"kind": "EMT", "trade_size": "1/2", "ends": ["E1", "E2"]}
    shop = changed(SHED, [("boxes[E2]", box), ("routes.raceways[T2]", tube)])
    assert reasons(shop, book) == {("no way", "E2")}


# -- a whole shop


def test_the_half_wired_shop_is_planned(book):
    """What stays is in the plan as it was; new conductors keep out of boxes nobody measured."""
    shop = read_shop(ROOT / "scenarios" / "half_wired_metal_shop.yaml")
    plan = planned(shop, book)
    circuits = {circuit.id: circuit for circuit in plan.circuits}
    for given in shop.existing:
        if not given.may_change:
            assert {run.life for run in circuits[given.id].runs} == {"existing"}
    halves = [(s.circuit, s.tandem, s.leg) for s in plan.panels[0].spaces if s.space == 4]
    assert halves == [("X-heat", "a", "B"), ("X-opener", "b", "B")]
    welder = circuit_of(plan, "N4")
    assert (welder.breaker.spaces, welder.breaker.amps, welder.conductor.awg) == ((10, 12), 50, "6")
    fed = {box for given in shop.existing for box in given.feeds}
    for circuit in plan.circuits:
        for run in circuit.runs:
            assert run.life == "existing" or not set(run.via) & fed, run.id


def test_the_half_wired_shop_by_the_strict_load_calculation(book):
    shop = read_shop(ROOT / "scenarios" / "half_wired_metal_shop.yaml")
    shop = changed(shop, [("code.noncoincident", None)])
    plan = plan_shop(shop, book, Control(), explain=False).plan
    assert plan is not None
    assert violated(plan.findings) == {
        "feeder-conductor",
        "feeder-load",
    }


# -- passages


def divided(count, takes):
    """Boxes behind a masonry wall with one opening, each on a circuit of its own."""
    names = [f"B{n}" for n in range(count)]
    boxes = [
        (f"boxes[{name}]", {"wall": "east", "y": f"{4 + n / 2} ft", "height": "4 ft",
                            "yokes": ["duplex 5-20R"]})
        for n, name in enumerate(names)
    ]  # fmt: skip
    wall = {"id": "block", "from": ["7 ft", "0 ft"], "to": ["7 ft", "10 ft"],
            "construction": "masonry"}  # fmt: skip
    hole = {"id": "hole", "wall": "block", "y": "5 ft", "takes": takes}
    light = {"wall": "west", "y": "6 ft", "height": "4 ft", "yokes": ["duplex 5-20R"]}
    built = {"north": "masonry", "south": "masonry", "east": "wood stud", "west": "wood stud"}
    walls = [{**w, "construction": built[w["id"]]} for w in SHED.canonical()["building"]["walls"]]
    return changed(
        SHED,
        [
            ("existing", None), ("machines", None), ("boxes[N1]", None), ("boxes[N2]", None),
            ("boxes[E1]", None), ("boxes[L1]", None), ("routes.raceways", None),
            ("routes.junction_boxes", None), ("boxes[S1]", None), ("boxes[S1]", light),
            ("building.walls", walls),
            ("building.partitions", [wall]), ("routes.passages", [hole]), *boxes,
            ("supply.panels[P].spaces", 16), ("pins.apart", [names]),
            ("building.ceiling_runs", "surface"),
        ],
    )  # fmt: skip


def test_cables_in_a_passage_are_counted(book):
    """Four cables, 8 conductors at 70 %: 12 AWG carries 21 A. It takes no more than it takes."""
    plan = planned(divided(4, 4), book)
    (hole,) = plan.passages
    (ledger,) = hole.ledgers
    assert (ledger.fill_percent, ledger.current_carrying, ledger.adjustment) == (100.0, 8, 0.7)
    assert ("passage", "hole") in reasons(divided(4, 3), book)


def test_cables_in_a_passage_heat_each_other(book):
    """Five cables, 10 conductors at 50 %: 12 AWG carries 15 A, 10 AWG the 20 A of its breaker."""
    plan = planned(divided(5, 8), book)
    (ledger,) = plan.passages[0].ledgers
    assert (ledger.current_carrying, ledger.adjustment) == (10, 0.5)
    through = {content.circuit for content in ledger.contents}
    assert {c.conductor.awg for c in plan.circuits if c.id in through} == {"10"}


def test_a_wrong_ledger_of_a_passage_is_found(book):
    plan = planned(divided(3, 4), book)
    data = data_of(plan)
    changes = [("place", [7.0, 6.0, 8.0]), ("ledgers", []), ("id", "gap")]
    for key, value in changes:
        passages = [{**data["passages"][0], key: value}]
        found = check_plan(Plan.model_validate({**data, "passages": passages}))
        assert "passage-ledger" in {f.rule for f in found}, key
    for key in ("fill_percent", "limit_percent", "current_carrying", "adjustment"):
        ledger = data["passages"][0]["ledgers"][0]
        passages = [{**data["passages"][0], "ledgers": [{**ledger, key: ledger[key] + 1}]}]
        found = check_plan(Plan.model_validate({**data, "passages": passages}))
        assert "passage-ledger" in {f.rule for f in found}, key
    assert "passage-ledger" in {
        f.rule for f in check_plan(Plan.model_validate({**data, "passages": None}))
    }


# -- underground


def test_conductors_underground_are_for_wet_places(book):
    box = {"wall": "east", "y": "7 ft", "height": "4 ft", "yokes": ["single 5-20R"]}
    duct = {"kind": "PVC-40", "trade_size": "3/4", "ends": ["P", "E2"], "laid": "buried"}
    plan = planned(changed(SHED, [("boxes[E2]", box), ("routes.raceways[D]", duct)]), book)
    (run,) = circuit_of(plan, "E2").runs
    assert (run.wet, run.make) == (True, "THWN-2 12 in D")
    bought = {line.key: line.quantity for line in plan.takeoff}
    assert bought["THWN-2 12"] == pytest.approx(3 * (run.length_ft + run.allowance_ft))
    assert "THHN 12" not in bought


# -- tandems


def test_a_tandem_is_two_circuits_in_one_space_on_one_leg(book):
    """Space 3 is on leg B: the lights and X1 both draw there."""
    shop = changed(
        SHED,
        [("supply.panels[P].tandem_spaces", [3]), existing("X1", spaces=[3], gfci=False),
         ("boxes[N3]", {"wall": "north", "x": "4 ft", "height": "4 ft",
                        "yokes": ["duplex 5-20R"]})],
    )  # fmt: skip
    plan = planned(shop, book)
    halves = [(s.circuit, s.tandem, s.leg) for s in plan.panels[0].spaces if s.space == 3]
    assert halves == [("X1", "a", "B"), ("X3", "b", "B")]
    assert plan.totals.spaces_used == len({s.space for s in plan.panels[0].spaces if s.circuit})
    heaviest = max(row.b_amps for row in plan.legs)
    assert heaviest == pytest.approx(8 + 9 + 60 / 120 + 12.5, abs=1e-3)  # with the heater


# -- pinned circuits


def test_what_is_pinned_of_a_circuit_is_kept(garage, book):
    pin = {"yokes": ["W1", "W3"], "spaces": [9], "breaker": "20 A", "conductor": "10"}
    plan = planned(changed(garage, [("pins.circuits", [pin])]), book)
    of = {y.id: y.circuit for box in plan.boxes for y in box.yokes}
    circuit = next(c for c in plan.circuits if c.id == of["W1"])
    assert of["W3"] == circuit.id
    assert circuit.pinned
    assert (circuit.breaker.spaces, circuit.conductor.awg) == ((9,), "10")
    assert [(p.kind, p.members) for p in plan.pins][-1] == ("circuit", ("W1", "W3"))


@pytest.mark.parametrize(
    ("pins", "words"),
    [
        ([{"yokes": ["W1"], "breaker": "20 A", "conductor": "14"}], "W1"),
        ([{"yokes": ["W1"], "spaces": [5, 7]}], "takes 1 spaces"),
        ([{"yokes": ["W1"], "spaces": [5]}, {"yokes": ["W3"], "spaces": [5]}], "pinned to space 5"),
        ([{"yokes": ["W1"], "breaker": "20 A"}, {"yokes": ["W1"], "breaker": "15 A"}],
         "different breakers"),
    ],
)  # fmt: skip
def test_a_pin_that_does_not_fit_is_told(garage, book, pins, words):
    outcome = plan_shop(changed(garage, [("pins.circuits", pins)]), book, Control())
    (cause,) = outcome.causes
    assert words in cause.says
    assert "drop this pin" in {remedy.says for remedy in cause.remedies if remedy.works}


def test_a_pin_to_a_circuit_that_stays_is_told(book):
    pins = ("pins.together", [["N1", "N3"]])
    (cause,) = plan_shop(changed(SHED, [NEW, pins]), book, Control()).causes
    assert "X1, which is there and stays" in cause.says
    helps = {remedy.says for remedy in cause.remedies if remedy.works}
    assert helps == {"drop this pin", "let X1 change"}
    plan = planned(changed(SHED, [NEW, pins, existing("X1", may_change=True)]), book)
    assert circuit_of(plan, "N3.top") == circuit_of(plan, "N1.top")


# -- circuits that may change


def test_a_new_outlet_hangs_on_a_circuit_that_may_change(book):
    """A run of a foot from N2 costs less than a home run and a breaker."""
    apart = planned(changed(SHED, [NEW]), book)
    assert circuit_of(apart, "N3.top").life == "new"
    plan = planned(changed(SHED, [NEW, existing("X1", may_change=True)]), book)
    circuit = circuit_of(plan, "N3.top")
    assert (circuit.id, circuit.life, circuit.breaker.exchanged) == ("X1", "existing", False)
    new = [(run.start, run.end, run.life) for run in circuit.runs if run.life == "new"]
    assert new == [("N2", "N3", "new")]
    lives = {outlet.id: outlet.life for outlet in plan.outlets if outlet.circuit == "X1"}
    assert lives["N1.top"] == "existing"
    assert lives["N3.top"] == "new"
    assert "breaker 20 A 1-pole" not in {line.key for line in plan.takeoff}
    assert plan.totals.material_cost_usd < apart.totals.material_cost_usd
    assert circuit.voltage_drop_percent is not None


def test_the_breaker_of_an_extended_circuit_is_exchanged_for_one_with_gfci(book):
    dwelling = [("building.dwelling", True), ("building.kind", "garage")]
    dwelling.append(("code.gfci_at", "breaker"))
    old = existing("X1", may_change=True, gfci=False)
    plan = planned(changed(SHED, [NEW, *dwelling, old]), book)
    circuit = circuit_of(plan, "N3.top")
    assert (circuit.id, circuit.breaker.exchanged, circuit.breaker.gfci) == ("X1", True, True)
    bought = {line.key: line.quantity for line in plan.takeoff}
    assert bought["breaker 20 A 1-pole GFCI"] == 1
    assert {o.protected_by for o in plan.outlets if o.circuit == "X1"} == {"breaker"}


def test_nothing_hangs_on_runs_that_nobody_has_seen(book):
    old = existing("X1", may_change=True, known="unknown")
    assert circuit_of(planned(changed(SHED, [NEW, old]), book), "N3.top").life == "new"


def test_a_circuit_that_may_change_stays_where_nothing_is_gained(book):
    box = {**NEW[1], "yokes": ["single 6-20R"]}
    plan = planned(changed(SHED, [existing("X1", may_change=True), ("boxes[N3]", box)]), book)
    circuit = plan.circuits[0]
    assert (circuit.id, {run.life for run in circuit.runs}) == ("X1", {"existing"})
    assert plan.removed is None


def test_a_circuit_is_taken_apart_for_neighbouring_spaces(book):
    """Spaces 3 and 5 are neighbours, the free 5 and 6 are not: X1 leaves space 3."""
    heater = {"volts": "240 V", "power": "2000 W", "plug": "6-20P", "plugs_into": "N3",
              "at": ["10 ft", "8 ft"], "set_and_leave": True}  # fmt: skip
    box = {**NEW[1], "yokes": ["single 6-20R"]}
    full = [("boxes[N3]", box), ("machines[second]", heater), ("supply.panels[P].spaces", 6),
            existing("X3", spaces=[1])]  # fmt: skip
    assert reasons(changed(SHED, [*full, existing("X1", spaces=[3])]), book) == {("spaces", "P")}
    shop = changed(SHED, [*full, existing("X1", spaces=[3], may_change=True)])
    plan = planned(shop, book)
    (gone,) = plan.removed
    assert (gone.id, gone.life, {run.life for run in gone.runs}) == ("X1", "removed", {"removed"})
    assert circuit_of(plan, "N3").breaker.spaces == (3, 5)
    circuit = circuit_of(plan, "N1.top")
    assert (circuit.life, circuit.breaker.spaces) == ("new", (6,))
    bought = {line.key for line in plan.takeoff}
    assert not any("duplex" in key or key.startswith("trim 2") for key in bought)
    assert "existing-removed" in {f.rule for f in plan.findings}

    kept = {**data_of(plan), "removed": None}
    assert "existing-circuits" in {f.rule for f in check_plan(Plan.model_validate(kept))}


def test_the_plan_of_an_extended_circuit_is_checked(book):
    """Its new runs like those of a new circuit."""
    plan = planned(changed(SHED, [NEW, existing("X1", may_change=True)]), book)
    data = data_of(plan)
    circuit = next(c for c in data["circuits"] if c["id"] == "X1")
    number = next(n for n, run in enumerate(circuit["runs"]) if run["life"] == "new")
    for change, rule in (
        ({"ambient_c": 20.0}, "run-conditions"),
        ({"length_ft": 99.0}, "run-way"),
        ({"make": "NM-B 10-2"}, "run-make-up"),
        ({"start": "P"}, "run-way"),
        ({"life": "existing"}, "existing-circuits"),
    ):
        broken = json.loads(json.dumps(data))
        row = next(c for c in broken["circuits"] if c["id"] == "X1")["runs"]
        row[number] = {**row[number], **change}
        found = check_plan(Plan.model_validate(broken))
        assert rule in violated(found), change
    broken = json.loads(json.dumps(data))
    next(c for c in broken["circuits"] if c["id"] == "X1")["breaker"]["exchanged"] = True
    assert {"existing-circuits", "takeoff"} <= violated(check_plan(Plan.model_validate(broken)))
