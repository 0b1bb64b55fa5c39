"""Room kept in raceways for machines that may come: against every choice, and by its checks.

The shops are invented, and so are the prices. EMT holds 40 % of 0.304, 0.533, 0.864 and 1.496 in²,
chapter 9 Table 4; THHN of 14, 12, 10, 8, 6 AWG takes 0.0097, 0.0133, 0.0211, 0.0366, 0.0507 in²,
Table 5. At 90 °C they carry 25, 30, 40, 55, 75 A, Table 310.16; four conductors together keep 80 %,
seven 70 %, ten 50 %, Table 310.15(C)(1).
"""

import math
import random
from dataclasses import replace
from itertools import product

import pytest

from models.part_keys import single_key
from models.plan import Plan
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.changing_over import changed_over
from solver.enclosures import fixed_cost
from solver.panel import free_pairs, free_spaces
from solver.plan import plan_shop
from solver.purchase import purchase
from solver.solve import Control
from tests.plan_files import data_of
from tests.solver.conftest import SHOPS, TO_ONE_BOX, circuits_of
from tests.solver.every_choice import cheapest_boxes, dealt_to_circuits, selection_of
from tests.violations import violated, violations

BOOK = PriceBook.read()
IN2 = {"14": 0.0097, "12": 0.0133, "10": 0.0211, "8": 0.0366, "6": 0.0507}
CARRIES = {"14": 25, "12": 30, "10": 40, "8": 55, "6": 75}
HOLDS = {"1/2": 0.304, "3/4": 0.533, "1": 0.864, "1-1/4": 1.496, "1-1/2": 2.036, "2": 3.356}
SIZES = {"h": (("10", "8", "6"), 2, 30), "p": (("12", "10", "8"), 1, 15)}
HEATER = {"volts": "240 V", "marked": "24 A", "continuous": True, "set_and_leave": True}
PUMP = {"volts": "120 V", "marked": "12 A", "continuous": True, "set_and_leave": True}
ONE_YOKE = [
    ("boxes[N1].yokes", ["duplex 5-20R"]), ("boxes[N1].two_circuits", None),
    ("machines[M1].plugs_into", "N1"), ("machines[M2]", None),
]  # fmt: skip


def blank(wall, **at):
    return {"wall": wall, **at, "height": "7 ft", "yokes": ["blank"]}


def tube(size, *ends, existing=False):
    return {"kind": "EMT", "trade_size": size, "ends": list(ends), "existing": existing}


def roomy_shop(seed):
    """Raceways of a masonry room, some there and some not, by which a heater and now and then a
    pump may come.
    """
    rng = random.Random(seed)
    likely = rng.choice([5, 40, 80, 95])
    small = rng.choice(["1/2", "1/2", "1/2", "3/4"])
    changes = [
        *TO_ONE_BOX,
        ("boxes[N2]", {"wall": "north", "x": "16 ft", "height": "4 ft",
                       "yokes": ["duplex 5-20R"]}),
        ("routes.raceways[T]", tube(small, "P", "N1", existing=rng.random() < 0.4)),
        ("routes.raceways[T2]", tube("1/2", "N1", "N2")),
        ("boxes[H]", blank("north", x="18 ft")),
        ("routes.raceways[TH]", tube("1/2", "N1", "H", existing=rng.random() < 0.4)),
        ("later.machines[h]", {**HEATER, "hard_wired_at": "H", "likelihood": f"{likely} %",
                               "within": "2 years"}),
        ("supply.panels[P].spaces", rng.choice([4, 8, 8, 12])),
        ("code.edition", rng.choice([2017, 2020, 2023])),
    ]  # fmt: skip
    if rng.random() < 0.6:
        changes += ONE_YOKE
    if rng.random() < 0.6:
        changes += [
            ("boxes[Q]", blank("north", x="20 ft")),
            ("routes.raceways[TQ]", tube("1/2", rng.choice(["N1", "H"]), "Q")),
            ("later.machines[p]", {**PUMP, "hard_wired_at": "Q", "likelihood": "70 %",
                                   "within": "3 years"}),
        ]  # fmt: skip
    return changed(read_shop(SHOPS / "one_raceway.yaml"), changes)


def done_for(circuits, machine):
    """Everything that can be done: cost [0.0001 USD], spaces, run in raceways or None, breaker."""
    sizes, poles, amps = SIZES[machine.id]
    choices = next(
        one.choices for one in circuits.later_machines.all if one.machine.id == machine.id
    )
    pattern = next(made for made in choices if made.for_later.choice == "room")
    (edge,) = pattern.edges
    cut = edge.way.length_cft + 500  # 4 ft at the panel, 1 ft at the box
    share, cents = machine.likelihood, BOOK.cents
    breaker = 100 * cents(f"breaker {amps} A {poles}-pole")
    tube_cost = edge.way.length_cft * cents("EMT 1/2") + 200 * cents("raceway connector")
    whole = breaker + tube_cost + 3 * cut * cents(single_key(sizes[0]))
    yield share * whole + 1, 0, None, amps
    yield share * whole, poles, None, amps
    for awg in sizes:
        day = breaker + 3 * cut * cents(single_key(awg))
        run = replace(pattern, awg=awg, ground={**pattern.ground, "raceway": awg})
        yield cut * cents("pull string") + share * day, poles, run, amps


def laid_cost(circuits, chosen, rooms):
    """What the raceways cost that have something in them or room kept; None where they do not hold
    it: area and heat, today and on the day.
    """
    total = 0
    for name, route in circuits.ways.raceways.items():
        given = route.raceway
        wires = [
            (awg, made.breaker_amps, kept)
            for made, kept in (*((c, False) for c in chosen), *((r, True) for r in rooms))
            for edge in made.edges
            if name in edge.way.raceways
            for awg in [*[made.awg] * edge.wires, made.ground["raceway"]]
        ]
        carrying = len(wires) * 2 // 3
        factor = next(f for most, f in ((3, 1), (6, 0.8), (9, 0.7), (20, 0.5)) if carrying <= most)
        if any(CARRIES[awg] * factor < amps for awg, amps, _ in wires):
            return None
        today = sum(IN2[awg] for awg, _, kept in wires if not kept)
        if today > 0.4 * HOLDS[given.trade_size] + 1e-9:
            return None
        fitting = [
            size for size, inside in HOLDS.items()
            if sum(IN2[awg] for awg, _, _ in wires) <= 0.4 * inside + 1e-9
            and inside >= HOLDS[given.trade_size]
        ]  # fmt: skip
        if given.existing and fitting[0] != given.trade_size:
            return None
        if wires and not given.existing:
            foot = BOOK.cents(f"EMT {fitting[0]}")
            total += foot * route.length_cft + 200 * BOOK.cents("raceway connector")
    return total


def brute_force(circuits):
    """The least cost over every partition into circuits, every build of each, and everything that
    can be done for what may come.
    """
    shop, least = circuits.shop, math.inf
    free = free_spaces(shop, shop.panel())
    everything = [list(done_for(circuits, one)) for one in shop.later.machines]
    for made in dealt_to_circuits(circuits):
        for chosen in product(*made):
            poles = [c.poles for c in chosen]
            for done in product(*everything):
                spaces = [*poles, *(taken for _, taken, _, _ in done)]
                if sum(spaces) > len(free) or spaces.count(2) > free_pairs(free):
                    continue
                rooms = [run for _, _, run, _ in done if run is not None]
                laid = laid_cost(circuits, chosen, rooms)
                boxes = None if laid is None else cheapest_boxes(circuits, [*chosen, *rooms])
                if laid is not None and boxes is not None:
                    cost = sum(c.cost for c in chosen) + sum(cost for cost, _, _, _ in done)
                    least = min(least, cost + laid + boxes)
    return least + fixed_cost(shop, circuits.catalogue)


def found_for(seed):
    circuits = circuits_of(roomy_shop(seed))
    selection = selection_of(circuits)
    assert len(circuits.later_machines.choices) == len(circuits.shop.later.machines)
    return circuits, selection, selection.solve(Control())


@pytest.mark.parametrize("seed", range(40))
def test_no_choice_with_room_kept_is_better(seed):
    """Chosen in one selection with the circuits, the sizes of raceways with them."""
    circuits, _, found = found_for(seed)
    least = brute_force(circuits)
    if found is None:
        assert math.isinf(least)
        return
    machines = len(circuits.shop.later.machines)
    assert found.value == pytest.approx(least, abs=2 * machines)  # each rounded once
    assert circuits.later_machines.least <= found.value


def test_room_is_kept_laid_larger_and_forgone_somewhere():
    """Of the shops above; in one with less spaces kept for what may come than it asks for."""
    chosen, sizes, awgs = set(), 0, set()
    for seed in range(40):
        _, selection, found = found_for(seed)
        if found is None:
            continue
        chosen |= {one.for_later.choice for one in found.later}
        awgs |= {one.awg for one in found.later if one.for_later.choice == "room"}
        sizes += bool(selection.larger)
    assert chosen == {"nothing", "space", "room"}
    assert awgs >= {"12", "10"}
    assert sizes


def planned(*changes):
    """The plan of a room in which two circuits lie in T, and the heater may come by it."""
    heater = {**HEATER, "hard_wired_at": "H", "likelihood": "90 %", "within": "2 years"}
    shop = changed(
        read_shop(SHOPS / "one_raceway.yaml"),
        [*TO_ONE_BOX, ("boxes[H]", blank("north", x="18 ft")),
         ("routes.raceways[TH]", tube("1/2", "N1", "H")), ("later.machines[h]", heater), *changes],
    )  # fmt: skip
    plan = plan_shop(shop, BOOK, Control(effort=2), explain=False).plan
    assert plan is not None
    assert violations(check_plan(plan)) == []
    return plan


TIGHT = ("routes.raceways[T]", tube("1/2", "P", "N1"))


@pytest.fixture(scope="module")
def larger():
    """T is 1/2 in by the shop file, and is laid larger."""
    return planned(TIGHT)


def test_a_raceway_that_is_not_there_yet_is_laid_larger(larger):
    """Nine conductors, six of 12 AWG and three of 10 AWG, are 0.1431 in² of 0.122 and 0.213 in²."""
    (one,) = larger.later_machines
    assert one.choice == "room"
    assert [(laid.raceway, laid.trade_size, laid.instead_of) for laid in one.laid] == [
        ("T", "3/4", "1/2"), ("TH", "1/2", None),
    ]  # fmt: skip
    sizes = {raceway.id: raceway.trade_size for raceway in larger.raceways}
    assert sizes == {"T": "3/4", "TH": "1/2"}
    trunk = next(raceway for raceway in larger.raceways if raceway.id == "T")
    now, then = trunk.ledgers
    assert (now.current_carrying, then.current_carrying, then.adjustment) == (4, 6, 0.8)
    assert then.fill_percent == pytest.approx(100 * (6 * 0.0133 + 3 * 0.0211) / 0.533, abs=0.03)
    assert now.room_left == then.room_left
    assert then.room_left[1].count == int((0.4 * 0.533 - 0.1431) / 0.0133)
    assert one.room.current_carrying == 6
    quantities = {line.key: line.quantity for line in larger.takeoff}
    assert quantities["EMT 3/4"] == pytest.approx(trunk.length_ft)
    assert quantities["pull string"] == one.room.length_ft + 5
    assert {line.key: line.quantity for line in one.takeoff} == {
        "THHN 10": pytest.approx(3 * (one.room.length_ft + 5)), "breaker 30 A 2-pole": 1,
    }  # fmt: skip
    costs = {other.says: other.cost_now_usd for other in one.alternatives}
    branch = next(raceway for raceway in larger.raceways if raceway.id == "TH")
    assert costs[one.chosen] == pytest.approx(
        trunk.length_ft * (1.45 - 0.85) + branch.length_ft * 0.85 + 2 * 1.10
        + (one.room.length_ft + 5) * 0.04, abs=0.011,
    )  # fmt: skip
    bought = [line for line in purchase(larger, BOOK) if line.key == "pull string"]
    assert [piece.of for line in bought for piece in line.pieces] == ["h.1"]


def test_a_raceway_that_is_there_stays_as_it_is():
    """No room is left in it for the heater's conductors."""
    plan = planned(("routes.raceways[T]", tube("1/2", "P", "N1", existing=True)))
    (one,) = plan.later_machines
    assert one.choice == "space"
    assert not any("room" in other.says for other in one.alternatives)
    assert [raceway.trade_size for raceway in plan.raceways] == ["1/2"]


def boxes_of(plan):
    """What boxes and their covers cost. [USD]"""
    return sum(line.cost_usd for line in plan.takeoff if line.key.startswith(("box", "trim")))


def test_each_machine_pays_for_what_it_asks_for_beside_those_before_it():
    """One circuit and the heater are 0.1032 of 0.122 in², with the pump 0.1431 in²."""
    pump = {**PUMP, "hard_wired_at": "Q", "likelihood": "90 %", "within": "2 years"}
    shop = (
        TIGHT, *ONE_YOKE,
        ("boxes[Q]", blank("north", x="20 ft")), ("later.machines[p]", pump),
        ("routes.raceways[TQ]", tube("1/2", "H", "Q")),
    )  # fmt: skip
    plan, bare = planned(*shop), planned(*shop, ("later.prepare", "nothing"))
    first, second = plan.later_machines
    assert [one.choice for one in (first, second)] == ["room", "room"]
    assert second.room.raceways == ("T", "TH", "TQ")
    assert [(laid.raceway, laid.instead_of) for laid in first.laid] == [("TH", None)]
    assert [(laid.raceway, laid.trade_size, laid.instead_of) for laid in second.laid] == [
        ("T", "3/4", "1/2"), ("TQ", "1/2", None),
    ]  # fmt: skip
    now = sum(line.cost_usd for one in (first, second) for line in one.takeoff_now)
    assert plan.totals.material_cost_usd - boxes_of(plan) == pytest.approx(
        bare.totals.material_cost_usd - boxes_of(bare) + now, abs=0.02
    )


@pytest.mark.parametrize("seed", [0, 12, 38])
def test_the_whole_plan_costs_what_was_chosen(seed):
    """No rule finds anything wrong, and the bound stays below."""
    circuits, _, found = found_for(seed)
    plan = plan_shop(circuits.shop, BOOK, Control(effort=2), explain=False).plan
    assert (plan is None) == (found is None)
    if plan is not None and found is not None:
        assert violations(check_plan(plan)) == []
        assert plan.objective.value == pytest.approx(found.value / 10_000, abs=0.02)
        bound = plan.objective.lower_bound
        assert bound is None or bound <= found.value / 10_000 + 0.01


def test_a_changeover_keeps_the_room():
    """M1 alone on its circuit goes to 240 V, by the red pulled for it: what then lies in T when the
    heater comes is as it was told before.
    """
    change = [{"machine": "M1", "volts": "240 V", "plug": "6-15P", "likelihood": "90 %",
               "within": "3 years"}]  # fmt: skip
    plan = planned(
        TIGHT, *ONE_YOKE, ("later.changeovers", change),
        ("machines[M1].reconnects_to", "240 V"),
    )  # fmt: skip
    (one,) = plan.later_machines
    assert one.choice == "room"
    assert [(draft.prepared, draft.spare_runs) for draft in plan.changeovers] == [(True, ("C1.1",))]
    then = changed_over(plan, "M1")
    assert isinstance(then, Plan)
    assert violations(check_plan(then)) == []
    assert then.later_machines == plan.later_machines
    days = [{r.id: r.ledgers[1].current_carrying for r in p.raceways} for p in (plan, then)]
    assert days[0] == days[1]


def test_room_by_a_junction_box_and_underground():
    """The box is bought though nothing lies in it yet; under the ground it is wet, 300.5(B)."""
    corner = {"wall": "north", "x": "10 ft", "height": "7 ft", "box": "4-11/16 x 2-1/8 square"}
    plan = planned(
        ("routes.junction_boxes[J]", corner),
        ("routes.raceways[TJ]", tube("1/2", "P", "J", existing=True)),
        ("routes.raceways[TH]", tube("1/2", "J", "H", existing=True)),
    )
    assert plan.later_machines[0].room.via == ("J",)
    assert next(box for box in plan.boxes if box.id == "J").conductors == ()
    assert {line.key: line.quantity for line in plan.takeoff}["box 4-11/16 x 2-1/8 square"] == 1
    buried = {"kind": "PVC-40", "trade_size": "1/2", "ends": ["P", "H"], "laid": "buried"}
    plan = planned(("routes.raceways[TH]", buried))
    (one,) = plan.later_machines
    assert one.room.wet
    assert {line.key for line in one.takeoff} == {"THWN-2 10", "breaker 30 A 2-pole"}


def test_of_larger_sizes_the_least_is_laid():
    """Whatever is optimized first: copper does not mind the size of a raceway."""
    plan = planned(TIGHT, ("prices.minimize", "copper"))
    assert {raceway.id: raceway.trade_size for raceway in plan.raceways} == {
        "T": "3/4",
        "TH": "1/2",
    }


# Corruptions


def later(data):
    return data["later_machines"][0]


def smaller(data):
    next(r for r in data["raceways"] if r["id"] == "T")["trade_size"] = "1/2"


def larger_still(data):
    next(r for r in data["raceways"] if r["id"] == "T")["trade_size"] = "1"


def without_day(data):
    for raceway in data["raceways"]:
        raceway["ledgers"] = raceway["ledgers"][:1]


def cooler(data):
    later(data)["room"]["current_carrying"] = 4


def thinner(data):
    later(data)["room"]["conductors"][0]["awg"] = "12"


def no_string(data):
    later(data)["takeoff_now"] = [
        line for line in later(data)["takeoff_now"] if line["key"] != "pull string"
    ]


def not_told(data):
    later(data)["laid"] = later(data)["laid"][1:]


def elsewhere(data):
    later(data)["room"]["raceways"] = ["TH", "T"]


def called_a_run(data):
    later(data)["choice"] = "run"


@pytest.mark.parametrize(
    ("corrupt", "rules"),
    [
        (smaller, {"raceway-fill", "later-circuits", "takeoff"}),
        (larger_still, {"later-circuits", "takeoff", "raceway-ledger"}),
        (without_day, {"raceway-ledger"}),
        (cooler, {"later-circuits"}),
        (thinner, {"later-circuits", "raceway-ledger"}),
        (no_string, {"later-machines"}),
        (not_told, {"later-circuits"}),
        (elsewhere, {"later-circuits"}),
        (called_a_run, {"later-machines"}),
    ],
)
def test_a_corruption_is_found(larger, corrupt, rules):
    data = data_of(larger)
    corrupt(data)
    found = check_plan(Plan.model_validate(data))
    assert rules <= violated(found)
