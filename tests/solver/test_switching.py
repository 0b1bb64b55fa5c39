"""Groups of switches: runs, conductors and prices by hand, faults that the rules find, exactness.

Power to the first switch, travellers with the neutral from switch to switch, the switched hot from
the last: a neutral in every switch box (NEC 404.2(C)), all conductors of a circuit together
(300.3(B)), no white conductor for a switched hot (200.7(C)(1)). Runs are counted along one wall,
parts by hand, prices read from the book by code of its own.
"""

import csv
import json
from collections import Counter
from pathlib import Path

import pytest

import models
from models.plan import Plan
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_file import ShopFileError, parse_shop
from solver.draft import conductors
from solver.plan import plan_shop
from solver.refusal import Refusal
from solver.routes import Way
from solver.scope import not_planned
from solver.solve import Control
from tests.solver.conftest import circuits_of
from tests.solver.switch_shops import along_wall, light, random_shop, switches

BOOK = Path(models.__file__).parent / "prices" / "invented.csv"
TRAVELLERS = ("traveller", "traveller2", "neutral", "ground")
HOT = ("hot", "neutral", "ground")
SWITCHED = ("switched", "neutral", "ground")
DUPLEX = "duplex 5-20R"


def planned(shop):
    """A plan, which the rules find nothing wrong with."""
    assert not_planned(shop) == []
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    assert violations(plan) == []
    return plan


def violations(plan):
    return [(f.rule, f.says) for f in check_plan(plan) if f.severity == "violation"]


def runs_of(plan, outlet):
    """Runs of the circuit of an outlet: between what, with how much of what."""
    (circuit,) = (c for c in plan.circuits if outlet in c.outlets)
    return {
        (run.start, run.end): (run.make, run.length_ft, tuple(c.role for c in run.conductors))
        for run in circuit.runs
    }


def box(plan, name):
    return next(one for one in plan.boxes if one.id == name)


def kinds(plan):
    return {switch.id: (switch.kind, switch.pair_with) for switch in plan.switches}


def bought(plan):
    return {line.key: line.quantity for line in plan.takeoff}


def priced(parts):
    """What parts cost by the book, which is read here as the text it is."""
    lines = [line for line in BOOK.read_text("utf-8").splitlines() if not line.startswith("#")]
    prices = {row[0]: row[3] for row in csv.reader(lines) if row[2] in ("ft", "each")}
    return round(sum(quantity * float(prices[key]) for key, quantity in parts.items()), 2)


# -- plans counted by hand


def two():
    """Two switches at 2 and 4 ft, their luminaire at 6 ft."""
    return along_wall(switches("S1"), switches("S2"), light("L", "S2", "S1"))


def test_a_pair_of_3_way_switches():
    plan = planned(two())
    assert runs_of(plan, "L") == {
        ("P", "S1"): ("NM-B 14-2", 7, HOT),
        ("S1", "S2"): ("NM-B 14-3", 2, TRAVELLERS),
        ("S2", "L"): ("NM-B 14-2", 2, SWITCHED),
    }
    assert kinds(plan) == {"S1": ("3-way", "S2"), "S2": ("3-way", "S1")}
    (outlet,) = plan.outlets
    assert outlet.switched_by == "S1"  # the first by name, however the file lists them
    colours = {
        run.end: [conductor.colour for conductor in run.conductors] for run in plan.circuits[0].runs
    }
    assert colours["S2"] == ["black", "red", "white", "bare"]
    # 314.16(B), 2.00 in³ for each 14 AWG: 2 + 3 conductors, a device counts two, grounds one
    assert box(plan, "S1").fill_in3 == box(plan, "S2").fill_in3 == 8 * 2.0
    parts = {
        "NM-B 14-2": (7 + 4 + 1) + (2 + 1 + 1),
        "NM-B 14-3": 2 + 1 + 1,
        "box 4 x 1-1/2 octagonal": 1,
        "box 4 x 1-1/2 square": 2,
        "breaker 15 A 1-pole": 1,
        "cable connector": 6,
        "switch 3-way": 2,
        "trim 1 gang": 2,
    }
    assert bought(plan) == parts
    assert plan.totals.material_cost_usd == priced(parts) == 45.50


def test_a_4_way_switch_between_two_3_way_switches():
    shop = along_wall(switches("S3"), switches("S1"), switches("S2"), light("L", "S1", "S2", "S3"))
    plan = planned(shop)
    assert runs_of(plan, "L") == {
        ("P", "S3"): ("NM-B 14-2", 7, HOT),
        ("S3", "S1"): ("NM-B 14-3", 2, TRAVELLERS),
        ("S1", "S2"): ("NM-B 14-3", 2, TRAVELLERS),
        ("S2", "L"): ("NM-B 14-2", 2, SWITCHED),
    }
    assert kinds(plan) == {"S3": ("3-way", "S1"), "S1": ("4-way", "S2"), "S2": ("3-way", "S3")}
    middle = box(plan, "S1")
    ends = {f"{c.run[-1]}.{c.role}": c.ends for c in middle.conductors}
    assert {ends[f"{run}.{role}"] for run in "23" for role in TRAVELLERS[:2]} == {"on device"}
    assert {ends["2.neutral"], ends["3.neutral"]} == {"spliced"}
    assert middle.fill_in3 == (3 + 3 + 2 + 1) * 2.0
    parts = {
        "NM-B 14-2": 12 + 4,
        "NM-B 14-3": 4 + 4,
        "box 4 x 1-1/2 octagonal": 1,
        "box 4 x 1-1/2 square": 3,
        "breaker 15 A 1-pole": 1,
        "cable connector": 8,
        "switch 3-way": 2,
        "switch 4-way": 1,
        "trim 1 gang": 3,
    }
    assert bought(plan) == parts
    assert plan.totals.material_cost_usd == priced(parts) == 68.40


def four_gangs():
    """Three groups in one box, one of them switching a receptacle, beside a live receptacle."""
    return along_wall(
        {"id": "G", "yokes": ["switch", "switch", "switch", DUPLEX]},
        light("L1", "G.left"),
        switches("S2"),
        light("L2", "G.middle-left", "S2"),
        {"id": "R", "yokes": [f"{DUPLEX} switched by G.middle-right"]},
    )


def test_a_box_of_four_gangs_with_three_groups():
    plan = planned(four_gangs())
    assert runs_of(plan, "L1") == {
        ("P", "G"): ("NM-B 14-2", 7, HOT),
        ("G", "L1"): ("NM-B 14-2", 2, SWITCHED),
        ("G", "S2"): ("NM-B 14-3", 4, TRAVELLERS),
        ("S2", "L2"): ("NM-B 14-2", 2, SWITCHED),
    }
    assert runs_of(plan, "R.top") == {
        ("P", "G"): ("NM-B 12-2", 7, HOT),
        ("G", "R"): ("NM-B 12-2", 8, SWITCHED),
    }
    assert kinds(plan) == {
        "G.left": ("single-pole", None),
        "G.middle-left": ("3-way", "S2"),
        "S2": ("3-way", "G.middle-left"),
        "G.middle-right": ("single-pole", None),
    }
    gang = box(plan, "G")
    assert (gang.gangs, gang.box, gang.volume_in3) == (4, "4 gang masonry 2-1/2 deep", 4 * 14.0)
    # 14 AWG: 7 conductors, 2 devices; 12 AWG: 4 and 2; grounds: four as one 12 AWG, a fifth a
    # quarter of one (314.16(B)(5), since 2020)
    assert gang.fill_in3 == pytest.approx((7 + 4) * 2.0 + (4 + 4 + 1 + 0.25) * 2.25)
    parts = {
        "GFCI duplex 5-20R": 1,  # protects the switched one too: the switch is on its load side
        "NM-B 12-2": 12 + 10,
        "NM-B 14-2": 12 + 4 + 4,
        "NM-B 14-3": 6,
        "box 4 gang masonry 2-1/2 deep": 1,
        "box 4 x 1-1/2 octagonal": 2,
        "box 4 x 1-1/2 square": 2,
        "breaker 15 A 1-pole": 1,
        "breaker 20 A 1-pole": 1,
        "cable connector": 12,
        "duplex 5-20R": 1,
        "switch": 2,
        "switch 3-way": 2,
        "trim 1 gang": 2,
        "trim 4 gang": 1,
    }
    assert bought(plan) == parts
    assert plan.totals.material_cost_usd == priced(parts)
    loads = [s for s in gang.splices if "G.right load" in s.pigtails]
    assert Counter(name for s in loads for name in s.pigtails)["G.middle-right"] == 1
    assert all(splice.joins for splice in gang.splices if splice not in loads)


def halves():
    """A two-gang box of two circuits; the switch of its right half stands nearer to the panel."""
    return along_wall(
        switches("S"),
        {"id": "W", "yokes": [DUPLEX, f"{DUPLEX} switched by S"], "two_circuits": True},
    )


def test_a_switched_half_of_a_box_with_two_circuits():
    plan = planned(halves())
    assert runs_of(plan, "W.left.top") == {("P", "W"): ("NM-B 12-2", 9, HOT)}
    assert runs_of(plan, "W.right.top") == {
        ("P", "S"): ("NM-B 12-2", 7, HOT),
        ("S", "W"): ("NM-B 12-2", 2, SWITCHED),
    }
    assert {o.id for o in plan.outlets if o.switched_by} == {"W.right.top", "W.right.bottom"}
    # 4 conductors, two devices, grounds once; no device in front of the switch holds a GFCI
    assert box(plan, "W").fill_in3 == (4 + 4 + 1) * 2.25
    parts = {
        "GFCI duplex 5-20R": 1,
        "NM-B 12-2": 14 + 12 + 4,
        "box 4 x 1-1/2 square": 2,
        "breaker 20 A 1-pole": 1,
        "breaker 20 A 1-pole GFCI": 1,
        "cable connector": 6,
        "duplex 5-20R": 1,
        "switch": 1,
        "trim 1 gang": 1,
        "trim 2 gang": 1,
    }
    assert bought(plan) == parts
    assert plan.totals.material_cost_usd == priced(parts)


def jumper():
    """A switch beside the receptacle that it switches."""
    return along_wall({"id": "W", "yokes": ["switch", f"{DUPLEX} switched by W.left"]})


def test_a_switch_beside_what_it_switches():
    plan = planned(jumper())
    assert runs_of(plan, "W.right.top") == {("P", "W"): ("NM-B 12-2", 7, HOT)}
    pigtails = [set(s.pigtails) for s in box(plan, "W").splices if not s.joins]
    assert pigtails == [{"W.left", "W.right"}]


def test_a_live_receptacle_beside_a_switched_one_gets_both_in_one_run():
    shop = along_wall(
        switches("S"), {"id": "W", "yokes": [DUPLEX, f"{DUPLEX} switched by S"]}, gfci_at="breaker"
    )
    plan = planned(shop)
    both = ("hot", "switched", "neutral", "ground")
    assert runs_of(plan, "W.left.top") == {
        ("P", "S"): ("NM-B 12-2", 7, HOT),
        ("S", "W"): ("NM-B 12-3", 2, both),
    }


def test_a_hot_and_a_switched_hot_are_told_apart_in_cable_and_raceway():
    for method in ("cable", "raceway"):
        way = Way(method, ((0, 0, 0), (100, 0, 0)), 100, 30.0)
        made = conductors(way, "12", "12", ("hot", "switched", "neutral"))
        assert [conductor.colour for conductor in made[:3]] == ["black", "red", "white"]


# -- plans that are broken


def as_data(shop):
    return json.loads(planned(shop).model_dump_json())


def run_to(data, outlet, end):
    circuit = next(c for c in data["circuits"] if outlet in c["outlets"])
    return next(run for run in circuit["runs"] if run["end"] == end)


def without(data, role):
    run = run_to(data, "L", "S2")
    run["conductors"] = [c for c in run["conductors"] if c["role"] != role]


def colour(data, role, value):
    for conductor in run_to(data, "L", "S2")["conductors"]:
        if conductor["role"] == role:
            conductor["colour"] = value


def switch(data, name):
    return next(one for one in data["switches"] if one["id"] == name)


def splice_travellers(data):
    """The travellers of a switch box joined with each other instead of ending on the switch."""
    (made,) = (one for one in data["boxes"] if one["id"] == "S2")
    for conductor in made["conductors"]:
        if conductor["role"].startswith("traveller"):
            conductor["ends"] = "spliced"
    (run,) = {c["run"] for c in made["conductors"] if c["role"] == "traveller"}
    made["splices"].append({"joins": [f"{run}.traveller", f"{run}.traveller2"], "pigtails": []})


def bare_jumper(data):
    (made,) = data["boxes"]
    made["splices"] = [one for one in made["splices"] if one["joins"]]


def strange_jumper(data):
    (made,) = data["boxes"]
    made["splices"].append({"joins": [], "pigtails": ["W.right", "W"]})


def past_the_switch(data):
    """The receptacle fed with a hot instead of a switched one."""
    for conductor in run_to(data, "R.top", "R")["conductors"]:
        if conductor["role"] == "switched":
            conductor["role"] = "hot"


BROKEN = {
    "a traveller is missing": (two, lambda d: without(d, "traveller2"), "run-make-up"),
    "no neutral comes to a switch": (two, lambda d: without(d, "neutral"), "neutral-at-switch"),
    "travellers alike": (two, lambda d: colour(d, "traveller2", "black"), "conductor-colour"),
    "a white traveller": (two, lambda d: colour(d, "traveller", "white"), "conductor-colour"),
    "switched by another": (
        two, lambda d: d["outlets"][0].update(switched_by="S2"), "coverage"),
    "a 4-way switch at the end": (two, lambda d: switch(d, "S2").update(kind="4-way"), "coverage"),
    "a single-pole switch of two": (
        two, lambda d: switch(d, "S1").update(kind="single-pole"), "coverage"),
    "no next switch": (two, lambda d: switch(d, "S1").update(pair_with=None), "coverage"),
    "a light hung on the first switch": (
        two, lambda d: run_to(d, "L", "L").update(start="S1"), "luminaire-behind-switch"),
    "travellers joined": (two, splice_travellers, "splices"),
    "a receptacle past its switch": (four_gangs, past_the_switch, "run-make-up"),
    "a receptacle from the panel": (
        four_gangs, lambda d: run_to(d, "R.top", "R").update(start="P"),
        "luminaire-behind-switch"),
    "controls of another": (
        four_gangs, lambda d: switch(d, "G.left").update(controls=["L2"]), "coverage"),
    "a switch on another circuit": (
        four_gangs,
        lambda d: switch(d, "G.left").update(circuit=switch(d, "G.middle-right")["circuit"]),
        "coverage"),
    "a switched half that is live": (
        halves, lambda d: [o.update(switched_by=None) for o in d["outlets"]], "coverage"),
    "no jumper": (jumper, bare_jumper, "splices"),
    "a splice out of nothing": (jumper, strange_jumper, "splices"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_what_is_broken_is_found(name):
    make, spoil, rule = BROKEN[name]
    data = as_data(make())
    spoil(data)
    assert rule in {found for found, _ in violations(Plan.model_validate(data))}


def test_two_hots_alike_in_a_raceway_are_found():
    data = as_data(two())
    run = run_to(data, "L", "S2")
    run["method"], run["raceways"] = "raceway", []
    colour(data, "traveller2", "black")
    says = [says for rule, says in violations(Plan.model_validate(data)) if "two hots" in says]
    assert len(says) == 1


# -- what is refused, and what is known of the best


def test_what_a_switch_shop_may_not_ask_for():
    idle = along_wall(switches("S1", 2), light("L", "S1.left"))
    (problem,) = not_planned(idle)
    assert problem.says.startswith("S1.right switches nothing")


def test_one_row_of_switches_is_wired_at_its_best():
    circuits = circuits_of(two())
    made = circuits.candidates(frozenset(range(len(circuits.points.items))))
    assert not isinstance(made, Refusal)
    assert circuits.exact


def test_rows_that_cross_share_no_circuit_and_nothing_is_proved():
    """Either order brings two runs to one box."""
    shop = along_wall(
        switches("A", 2), switches("B", 2), light("L1", "A.left", "B.left"),
        light("L2", "A.right", "B.right"),
    )  # fmt: skip
    circuits = circuits_of(shop)
    assert isinstance(circuits.candidates(frozenset({0, 1})), Refusal)
    assert not circuits.exact
    plan = planned(shop)
    assert plan.objective.proved != "global"
    assert {o.id: o.circuit for o in plan.outlets}.keys() == {"L1", "L2"}
    assert len(plan.circuits) == 2


@pytest.mark.parametrize("seed", range(12))
def test_random_groups_of_switches_are_planned_without_a_violation(seed):
    shop = random_shop(seed)
    plan = planned(shop)
    sizes = Counter(len(box.switched_by) for box in shop.boxes if box.switched_by)
    wanted = {size: number for size, number in sizes.items() if size > 1}
    for size, number in wanted.items():
        behind = [o for o in plan.outlets if o.kind == "luminaire" and group(plan, o) == size]
        assert len(behind) == number


def group(plan, outlet):
    """How many switches an outlet hangs behind, by the plan."""
    return sum(outlet.id in switch.controls for switch in plan.switches)


def test_the_random_shops_hold_groups_of_one_to_four():
    sizes = {len(box.switched_by) for seed in range(12) for box in random_shop(seed).boxes}
    assert sizes >= {1, 2, 3, 4}


def test_a_receptacle_there_behind_a_switch_that_is_not():
    text = (Path(__file__).resolve().parents[2] / "scenarios" / "one_bay_garage.yaml").read_text()
    old = "yokes: [single 5-20R], note: door opener"
    assert old in text
    new = old.replace("5-20R", "5-20R switched by S1")
    with pytest.raises(ShopFileError, match="its switch in 'S1' on no existing circuit"):
        parse_shop(text.replace(old, new), "garage.yaml")
