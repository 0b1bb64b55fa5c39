"""What is done now for machines that may come: against every choice there is, and by its checks.

The shops are invented, and so are the prices. 24 A for hours ask for 30 A (210.19(A), 210.20(A)),
which 10 AWG carries at 60 °C, Table 310.16; 1/2 in EMT holds 0.122 in² of three conductors,
chapter 9 Tables 1 and 4, three of 10 AWG THHN are 0.063 in², Table 5. Present value: 1 / (1 + i)^n.
"""

import copy
import math
import random
from dataclasses import replace
from itertools import product

import pytest

from models.part_keys import single_key
from models.plan import Plan
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop import Shop
from models.shop_edit import changed
from solver.changing_over import changed_over
from solver.enclosures import fixed_cost
from solver.panel import free_pairs, free_spaces
from solver.plan import plan_shop
from solver.pool import enumerate_all
from solver.purchase import purchase
from solver.solve import Control
from tests.plan_files import data_of
from tests.solver.conftest import circuits_of, small_shop
from tests.solver.every_choice import cheapest_boxes, dealt_to_circuits, selection_of
from tests.violations import violated, violations

BOOK = PriceBook.read()
NOTHING = "nothing now"
PULLED = "its run pulled now, capped and marked, and two spaces kept"
HEATER = {"volts": "240 V", "marked": "24 A", "continuous": True, "set_and_leave": True}
PUMP = {"volts": "120 V", "marked": "9 A"}
SIZES = {"h": ("10", 2, 30), "p": ("12", 1, 15)}  # conductor, poles, breaker


def blank(wall, axis, at):
    return {"wall": wall, axis: at, "height": "7 ft", "yokes": ["blank"]}


def coming_shop(seed):
    """A small shop to which a heater, and now and then a pump, may come; spaces are few."""
    rng = random.Random(seed)
    years, likely = rng.choice([1, 3, 8]), rng.choice([10, 50, 90])
    changes = [
        ("building.dwelling", False),
        ("boxes[H]", blank("east", "y", "9 ft 6 in")),
        ("later.machines[h]", {**HEATER, "hard_wired_at": "H", "likelihood": f"{likely} %",
                               "within": f"{years} years"}),
        ("later.open_walls", rng.random() < 0.3),
        ("later.spare_spaces", rng.choice([0, 1, 2, 3])),
        ("supply.panels[P].spaces", rng.choice([2, 4, 4, 6, 8])),
    ]  # fmt: skip
    if rng.random() < 0.5:
        changes += [
            ("boxes[Q]", blank("south", "x", "11 ft 6 in")),
            ("later.machines[p]", {**PUMP, "hard_wired_at": "Q", "likelihood": "80 %",
                                   "within": "2 years"}),
        ]  # fmt: skip
    if rng.random() < 0.5:
        changes.append(("later.discount", "6 %"))
    return changed(small_shop(seed, boxes=3), changes)


def counted(shop, ways, machine):
    """(cost, spaces) of everything that can be done for a machine, by the price book."""
    awg, poles, amps = SIZES[machine.id]
    length = min(
        way.length_cft for way in ways.between("P", machine.hard_wired_at) if way.method == "cable"
    )
    cut = length + 500
    share = machine.likelihood / (1 + (shop.later.discount or 0)) ** machine.within_years
    cents = BOOK.cents
    breaker = 100 * cents(f"breaker {amps} A {poles}-pole")
    cable = cut * cents(f"NM-B {awg}-2") + 200 * cents("cable connector")
    wires = 3 * cut * cents(single_key(awg))
    tube = length * cents("EMT 1/2") + 200 * cents("raceway connector")
    string = cut * cents("pull string")
    whole = cable if shop.later.open_walls is not False else tube + wires
    return {
        "nothing": (share * (breaker + whole) + 1, 0),
        "space": (share * (breaker + whole), poles),
        "run": (cable + share * breaker, poles),
        "raceway": (tube + string + share * (wires + breaker), poles),
    }


def brute_force(circuits):
    """The least cost over every partition into circuits with everything done for later."""
    shop, least = circuits.shop, math.inf
    free = free_spaces(shop, shop.panel())
    everything = [counted(shop, circuits.ways, one).values() for one in shop.later.machines]
    for made in dealt_to_circuits(circuits):
        chosen = [found[0] for found in made]  # no raceways here: one build each
        boxes = cheapest_boxes(circuits, chosen)
        taken, doubles = sum(c.poles for c in chosen), sum(c.poles == 2 for c in chosen)
        if boxes is None or taken > len(free) - shop.later.spare_spaces:
            continue
        for done in product(*everything):
            kept = [spaces for _, spaces in done]
            if taken + sum(kept) > len(free) or doubles + kept.count(2) > free_pairs(free):
                continue
            cost = sum(c.cost for c in chosen) + boxes + sum(cost for cost, _ in done)
            least = min(least, cost)
    return least + fixed_cost(shop, circuits.catalogue)


@pytest.mark.parametrize("seed", range(30))
def test_no_choice_of_circuits_with_what_is_done_for_later_is_better(seed):
    """Chosen in one selection with the circuits; the bound holds what it costs at least."""
    circuits = circuits_of(coming_shop(seed))
    found = selection_of(circuits).solve(Control())
    later = circuits.later_machines.choices
    assert len(later) == len(circuits.shop.later.machines)
    least = brute_force(circuits)
    if found is None:
        assert math.isinf(least)
        return
    assert found.value == pytest.approx(least, abs=2 * len(later))  # each rounded once
    assert circuits.later_machines.least <= found.value
    assert len(found.later) == len(later)


def test_circuits_that_do_not_go_in_beside_kept_spaces_may_do_without_them():
    """A placement refuses circuits and kept spaces together, not the circuits for good."""
    told = 0
    for seed in range(12):
        selection = selection_of(circuits_of(coming_shop(seed)))
        found = selection.solve(Control())
        if found is None or not any(one.places for one in found.later):
            continue
        selection.forbid(found.candidates, later=found.later)
        again = selection.solve(Control())
        assert again is not None
        assert again.value >= found.value
        alike = {one.drawn for one in again.candidates} == {one.drawn for one in found.candidates}
        assert not alike or [one.kept for one in again.later] != [one.kept for one in found.later]
        told += alike
    assert told


def test_everything_is_chosen_somewhere_and_few_spaces_matter():
    """Of the choices above: a run, spaces and nothing; a machine that finds no spaces left."""
    chosen = set()
    for seed in range(30):
        found = selection_of(circuits_of(coming_shop(seed))).solve(Control())
        chosen |= {one.for_later.choice for one in found.later if one.for_later} if found else set()
    assert chosen == {"nothing", "space", "run"}  # labour is not counted: no raceway pays


def kept(plan):
    return [
        (space.space, space.reserved_for)
        for panel in plan.panels
        for space in panel.spaces
        if (space.reserved_for or "").startswith("later machine")
    ]


def heated(plan_of, likely, *changes):
    heater = {**HEATER, "hard_wired_at": "H", "likelihood": likely, "within": "2 years"}
    return plan_of(
        "two_gangs", ("boxes[H]", blank("north", "x", "3 ft")), ("later.machines[h]", heater),
        ("later.open_walls", False), *changes,
    )  # fmt: skip


def test_what_is_pulled_now_is_in_the_plan(plan_of):
    """7 ft of path and 5 ft of slack; 24 A over 7 ft of 10 AWG, 1.24 ohm/kft, Table 8."""
    plan = heated(plan_of, "90 %")
    (one,) = plan.later_machines
    assert (one.chosen, one.choice, one.why) == (PULLED, "run", None)
    assert kept(plan) == [(space, "later machine h") for space in one.panel_spaces]
    assert one.panel_spaces[1] == one.panel_spaces[0] + 2
    run = one.run
    assert (run.start, run.end, run.make) == ("P", "H", "NM-B 10-2")
    assert [(w.colour, w.marked) for w in run.conductors] == [
        ("black", "spare"), ("white", "spare"), ("bare", None),
    ]  # fmt: skip
    box = next(box for box in plan.boxes if box.id == "H")
    assert box.fill_in3 == 7.5  # 314.16(B): 2.5 in³ a 10 AWG, the ground once; capped or not
    assert [(c.run, c.role, c.awg, c.circuit, c.ends) for c in box.conductors] == [
        ("h.1", role, "10", "later machine h", "capped") for role in ("spare", "spare", "ground")
    ]
    assert box.splices == ()
    cut = run.length_ft + 5
    quantities = {line.key: line.quantity for line in plan.takeoff}
    assert quantities["NM-B 10-2"] == pytest.approx(cut)
    assert one.circuit.drop_percent == pytest.approx(
        100 * 2 * 24 * run.length_ft * 1.24 / 1000 / 240, abs=0.01
    )
    assert {line.key: line.quantity for line in one.takeoff} == {"breaker 30 A 2-pole": 1}
    pieces = [p.of for line in purchase(plan, BOOK) for p in line.pieces if "10-2" in line.key]
    assert pieces == ["h.1"]
    costs = {a.says: (a.cost_now_usd, a.cost_later_usd) for a in one.alternatives}
    assert len(costs) == 4
    assert costs[NOTHING] == costs["two spaces kept in the panel"]
    assert costs[NOTHING][0] == 0
    assert plan.objective.expected_later == pytest.approx(0.9 * 17)


def laid(plan_of, **prices):
    """Cable of 10 AWG is dear and walls may be opened: an empty raceway spares it. Prices [cents];
    None: the book has no such row.
    """
    shop = Shop.model_validate(heated(plan_of, "90 %", ("later.open_walls", True)).source.shop)
    other = {"NM-B 10-2": 2000, **prices}
    found = {
        key: replace(price, cents=other.get(key, price.cents))
        for key, price in BOOK.prices.items()
        if other.get(key, price.cents) is not None
    }
    dear = replace(BOOK, prices=found, sha256="another")
    plan = plan_shop(shop, dear, Control(effort=1), explain=False).plan
    assert plan is not None
    return plan, purchase(plan, dear)


def test_an_empty_raceway_has_its_pull_string(plan_of):
    """As long as what it will pull in, slack and all: counted, and cut of what is bought."""
    plan, bought = laid(plan_of)
    (one,) = plan.later_machines
    cut = one.circuit.length_ft + 5
    assert (one.choice, one.raceway.trade_size, one.raceway.string_ft) == ("raceway", "1/2", cut)
    quantities = {line.key: line.quantity for line in plan.takeoff}
    assert quantities["pull string"] == pytest.approx(cut)
    costs = next(a for a in one.alternatives if a.says == one.chosen)
    assert costs.cost_now_usd == pytest.approx(
        one.circuit.length_ft * 0.85 + 2 * 1.10 + cut * 0.04, abs=0.01
    )
    (string,) = [line for line in bought if line.key == "pull string"]
    assert [(piece.of, piece.length_in) for piece in string.pieces] == [("h", math.ceil(12 * cut))]
    assert violations(check_plan(plan)) == []


def test_an_older_plan_counted_no_pull_string(plan_of):
    """Its empty raceway is as it was; a string that is too short is found."""
    plan, _ = laid(plan_of)
    data = data_of(plan)
    (one,) = data["later_machines"]
    string = next(line["cost_usd"] for line in data["takeoff"] if line["key"] == "pull string")
    cut = one["raceway"].pop("string_ft")
    for told in (data, one):
        lines = "takeoff" if told is data else "takeoff_now"
        told[lines] = [line for line in told[lines] if line["key"] != "pull string"]
    for other in one["alternatives"]:
        if other["says"] == one["chosen"]:
            other["cost_now_usd"] = round(other["cost_now_usd"] - string, 2)
            other["expected_usd"] = round(other["expected_usd"] - string, 2)
    data["totals"]["material_cost_usd"] = round(data["totals"]["material_cost_usd"] - string, 2)
    data["objective"] |= {"lower_bound": None, "gap": None, "proved": "none"}
    data["objective"]["value"] = round(data["objective"]["value"] - string, 2)
    found = check_plan(Plan.model_validate(data))
    assert violations(found) == []
    one["raceway"]["string_ft"] = cut - 5
    rules = violated(check_plan(Plan.model_validate(data)))
    assert {"later-circuits", "later-machines", "takeoff"} <= rules


def test_a_book_without_pull_string_lays_no_empty_raceway(plan_of):
    """A part without a price is not used."""
    plan, _ = laid(plan_of, **{"pull string": None})
    (one,) = plan.later_machines
    assert one.choice != "raceway"
    assert not any("pull string" in other.says for other in one.alternatives)


@pytest.mark.parametrize(
    ("changes", "choice"),
    [
        ([("later.prepare", "nothing")], "nothing"),
        ([("later.prepare", "everything"), ("later.machines[h].likelihood", "1 %")], "run"),
        ([("later.open_walls", True)], "space"),
        ([("supply.panels[P].spaces", 2)], "nothing"),
        ([("later.discount", "60 %")], "space"),
    ],
)
def test_what_the_shop_says_of_later(plan_of, changes, choice):
    plan = heated(plan_of, "90 %", *changes)
    assert plan.later_machines[0].choice == choice
    assert len(kept(plan)) == (0 if choice == "nothing" else 2)
    assert len(plan.later_machines[0].alternatives) == 4


def test_kept_spaces_are_among_the_spare(plan_of):
    """Six spaces: two circuits of one pole, four left, of which two are for the heater."""
    plan = heated(plan_of, "90 %", ("later.spare_spaces", 4))
    spare = [s.space for p in plan.panels for s in p.spaces if s.reserved_for == "spare"]
    assert (len(spare), len(kept(plan))) == (2, 2)


def test_where_nothing_can_be_chosen_the_plan_says_why(plan_of):
    plug = {"volts": "120 V", "marked": "5 A", "plug": "5-15P", "at": ["6 ft", "5 ft"],
            "likelihood": "50 %", "within": "2 years"}  # fmt: skip
    plan = plan_of("two_gangs", ("later.machines[new]", plug))
    (one,) = plan.later_machines
    assert one.alternatives == ()
    assert "no receptacle that its plug 5-15P fits is within its cord" in one.why
    assert plan.objective.expected_later is None


def test_a_plan_without_machines_to_come_says_nothing_of_them(plan_of):
    plan = plan_of("two_gangs")
    assert plan.later_machines is None
    assert "later_machines" not in data_of(plan)


def test_a_changeover_keeps_what_is_done_for_later(plan_of):
    """M1 alone in its cable may go to 240 V; the heater's run stays as it is."""
    drill = {"volts": "120 V", "marked": "10 A", "plug": "5-15P", "plugs_into": "N1",
             "at": ["12 ft", "8 ft"], "cord": "12 ft", "reconnects_to": "240 V"}  # fmt: skip
    change = [{"machine": "M1", "volts": "240 V", "plug": "6-15P", "likelihood": "90 %",
               "within": "3 years"}]  # fmt: skip
    plan = heated(
        plan_of, "90 %", ("boxes[N1].yokes", ["duplex 5-20R"]), ("boxes[N1].two_circuits", None),
        ("boxes[N2]", None), ("machines[M1]", drill), ("later.changeovers", change),
    )  # fmt: skip
    then = changed_over(plan, "M1")
    assert isinstance(then, Plan)
    assert then.later_machines == plan.later_machines
    assert violations(check_plan(then)) == []


# Corruptions


def not_kept(data):
    for space in data["panels"][0]["spaces"]:
        if (space["reserved_for"] or "").startswith("later machine"):
            space["reserved_for"] = None


def apart(data):
    data["later_machines"][0]["panel_spaces"] = [1, 6]


def hotter(data):
    data["later_machines"][0]["circuit"]["ambient_c"] += 5


def larger_breaker(data):
    data["later_machines"][0]["circuit"]["breaker_amps"] = 40.0


def thinner(data):
    data["later_machines"][0]["run"]["conductors"][0]["awg"] = "12"


def uncapped(data):
    data["later_machines"][0]["run"]["conductors"][1]["marked"] = None


def likelier(data):
    data["later_machines"][0]["likelihood"] = 0.95


def cheaper(data):
    data["later_machines"][0]["alternatives"][1]["expected_usd"] -= 3


def not_in_the_box(data):
    next(box for box in data["boxes"] if box["id"] == "H")["fill_in3"] = 0.0


def capped(data):
    return next(box for box in data["boxes"] if box["id"] == "H")["conductors"]


def not_listed(data):
    capped(data).pop()


def on_a_device(data):
    capped(data)[0]["ends"] = "on device"


def of_another(data):
    capped(data)[2]["circuit"] = "later machine k"


def forgotten(data):
    data["later_machines"] = []


@pytest.mark.parametrize(
    ("corrupt", "rule"),
    [
        (not_kept, "later-circuits"),
        (apart, "later-circuits"),
        (hotter, "later-circuits"),
        (larger_breaker, "later-circuits"),
        (thinner, "later-circuits"),
        (uncapped, "later-circuits"),
        (likelier, "later-machines"),
        (cheaper, "later-machines"),
        (forgotten, "later-machines"),
        (not_in_the_box, "box-make-up"),
        (not_listed, "box-make-up"),
        (on_a_device, "splices"),
        (of_another, "box-make-up"),
    ],
)
def test_a_corruption_is_found(plan_of, corrupt, rule):
    data = data_of(heated(plan_of, "90 %"))
    corrupt(data)
    found = check_plan(Plan.model_validate(data))
    assert rule in violated(found)


def test_an_older_plan_that_says_nothing_of_them_is_not_checked(plan_of):
    data = data_of(heated(plan_of, "10 %"))
    older = copy.deepcopy(data)
    del older["later_machines"]
    told = [f for f in check_plan(Plan.model_validate(older)) if f.rule == "later-machines"]
    assert [(f.where, f.severity) for f in told] == [("h", "not-checked")]


def test_an_older_plan_that_lists_nothing_capped_has_a_note(plan_of):
    """Its volume counts all the same."""
    data = data_of(heated(plan_of, "90 %"))
    capped(data).clear()
    told = [f for f in check_plan(Plan.model_validate(data)) if f.rule == "box-make-up"]
    assert [(f.where, f.severity) for f in told] == [("H", "note")]


@pytest.mark.parametrize("seed", [1, 4])
def test_the_whole_plan_is_no_dearer_than_the_best_choice(seed):
    """Planning tries other trees of runs too; no rule finds anything wrong."""
    shop = coming_shop(seed)
    circuits = circuits_of(shop)
    assert enumerate_all(circuits, Control())
    least = brute_force(circuits)
    plan = plan_shop(shop, BOOK, Control(effort=2), explain=False).plan
    assert (plan is None) == math.isinf(least)
    if plan is not None:
        assert violations(plan.findings) == []
        assert plan.objective.value <= least / 10_000 + 0.02
        assert plan.objective.lower_bound is None or plan.objective.lower_bound <= least / 10_000
