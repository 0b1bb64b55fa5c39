"""Machines that may come with a plug: against every choice there is, and by their checks.

The shops are invented, and so are the prices. Table 210.21(B)(2): one plugged machine takes 12 A of
a 15 A receptacle or circuit, 16 A of 20 A, where it is not alone; Table 310.16 and 240.4(D): 12 AWG
carries 20 A; chapter 9 Table 8: 12 AWG has 1.98 ohm/kft; Table 314.16(B)(1): 2.25 in³ each.
"""

import json
import math
import random
from itertools import product
from types import SimpleNamespace

import pytest

from models.part_keys import box_key
from models.plan import Plan
from models.plan_file import canonical_json
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.coming_runs import ComingRuns
from solver.enclosures import fixed_cost
from solver.futures import Futures
from solver.panel import free_pairs, free_spaces
from solver.plan import plan_shop
from solver.pool import enumerate_all
from solver.refusal import Refusal
from solver.selection import Selection
from solver.solve import Control
from tests.dealt_out import dealt_out
from tests.demo_shops import SCENARIOS
from tests.plan_files import plan_on_file
from tests.solver.conftest import circuits_of, small_shop
from tests.solver.test_selection import cheapest_boxes

BOOK = PriceBook.read()
LARGEST_CORD_LOAD = {15: 12, 20: 16}
OHM_PER_KFT = 1.98


def plug_shop(seed):
    """A small shop to which one or two machines of 120 V may come with a plug; spaces are few."""
    rng = random.Random(seed)
    shop = small_shop(seed, boxes=3)
    changes: list[tuple[str, object]] = [
        ("building.kind", "shop"),
        ("building.dwelling", False),
        ("later.open_walls", rng.random() < 0.4),
        ("later.spare_spaces", rng.choice([0, 0, 1, 2])),
        ("supply.panels[P].spaces", rng.choice([2, 4, 4, 6, 8])),
        ("use.days[usual].people", rng.choice([1, 2, 3])),
        ("code.edition", 2020),
    ]
    for box in shop.boxes:
        if len(box.yokes) == 1 and "duplex" in box.yokes[0] and rng.random() < 0.6:
            changes.append((f"boxes[{box.id}].yokes", ["duplex 5-15R"]))
    for machine in shop.machines:
        changes.append((f"machines[{machine.id}].always_on", rng.random() < 0.6))
        changes.append((f"machines[{machine.id}].marked", f"{rng.choice([6, 9, 12])} A"))
    for name in "fg"[: rng.choice([1, 1, 2])]:
        coming = {
            "volts": "120 V", "marked": f"{rng.choice([6, 9, 12, 12, 14])} A", "plug": "5-15P",
            "at": [f"{rng.choice([2, 10])} ft", "5 ft"], "cord": f"{rng.choice([6, 9, 12])} ft",
            "likelihood": f"{rng.choice([20, 50, 90])} %", "within": "2 years",
            "always_on": rng.random() < 0.6,
        }  # fmt: skip
        changes.append((f"later.machines[{name}]", coming))
    if rng.random() < 0.3:
        changes.append(("later.discount", "6 %"))
    return changed(shop, changes)


def reached(shop, machine):
    """Yokes of 120 V within the cord, which leaves 3 ft above the floor, with box and rating."""
    found = {}
    for box in shop.boxes:
        for yoke_id, text in zip(box.yoke_ids, box.yokes, strict=True):
            far = math.dist((*machine.at, 3.0), shop.position(box))
            if "duplex" in text and far <= machine.cord_ft + 0.005:
                found[yoke_id] = box.id, 15 if "5-15R" in text else 20
    return found


def worst_of(shop, machines):
    """The machines that draw most at once: those always on, and one for each person."""
    people = max(day.people_count for day in shop.use.days)
    attended = [m for m in machines if not m.always_on]
    attended.sort(key=lambda m: -m.marked_amps)
    return [*(m for m in machines if m.always_on), *attended[:people]]


def lost_percent(made, drawn):
    """The largest drop on a circuit of 12 AWG by what boxes draw, or 12 A anywhere. [% of 120 V]"""
    ways: dict[str, list[tuple[str, float]]] = {}
    for edge in made.edges:
        ways[edge.end] = [*ways.get(edge.start, []), (edge.end, edge.way.length_cft / 100)]
    boxes = {point.box for point in made.load.outlets}

    def lost(to, amps_at):
        beyond = {run: [b for b in boxes if run in dict(ways[b])] for run, _ in ways[to]}
        return sum(
            2 * sum(amps_at.get(b, 0) for b in beyond[run]) * feet * OHM_PER_KFT / 1000
            for run, feet in ways[to]
        )

    return max(100 * lost(b, at) / 120 for b in boxes for at in (drawn, {b: 12}))


def holds(shop, made, machine):
    """The yokes at which a circuit carries a machine as well, worked out from the tables."""
    on = [m for m in shop.machines if m.id in made.load.placed]
    worst = worst_of(shop, [*on, machine])
    names = {point.id: point.box for point in made.load.outlets}
    found: set[str] = set()
    if made.volts != 120 or sum(m.marked_amps for m in worst) > made.breaker_amps:
        return found
    for yoke, (box, rated) in reached(shop, machine).items():
        at = {**made.load.placed, machine.id: yoke}
        drawn = dict.fromkeys(names.values(), 0)
        for one in worst:
            if at[one.id] in names:
                drawn[names[at[one.id]]] += one.marked_amps
        if (
            box in drawn
            and yoke in names
            and sum(taken == yoke for taken in made.load.placed.values()) < 2
            and machine.marked_amps <= LARGEST_CORD_LOAD[min(rated, made.breaker_amps)]
            and lost_percent(made, drawn) <= 3
        ):
            found.add(yoke)
    return found


def frees(made, machine, shop):
    """The yokes without a machine on circuits that feed something else as well."""
    names = {point.id for point in made.load.outlets}
    open_to = set(reached(shop, machine)) & names
    return open_to - set(made.load.placed.values()) if len(names) > 1 else set()


def own(shop, ways, machine):
    """(choice, yoke, cost, spaces) of everything with a circuit of its own, by the price book."""
    share = machine.likelihood / (1 + (shop.later.discount or 0)) ** machine.within_years
    share, cents = round(share, 6), BOOK.cents
    for yoke, (box, _) in reached(shop, machine).items():
        length = min(w.length_cft for w in ways.between("P", box) if w.method == "cable")
        cut = length + 500
        breaker = 100 * min(
            cents(f"breaker {amps} A 1-pole") + cents(f"single {name}")
            for amps, name in ((15, "5-15R"), (15, "5-20R"), (20, "5-20R"))
        )
        cable = cut * cents("NM-B 12-2") + 200 * cents("cable connector")
        wires = 3 * cut * cents("THHN 12")
        tube = length * cents("EMT 1/2") + 200 * cents("raceway connector")
        whole = cable if shop.later.open_walls is not False else tube + wires
        # four conductors' worth and a ground: 11.25 in³ go into the smallest square box
        whole += 100 * (cents(box_key("4 x 1-1/2 square")) + cents("trim 1 gang"))
        yield "nothing", None, share * (breaker + whole) + 1, 0
        yield "space", None, share * (breaker + whole), 1
        yield "run", yoke, cable + share * breaker, 1
        yield "raceway", yoke, tube + share * (wires + breaker), 1


def builds(circuits, group):
    """The cheapest circuit of a group for every breaker that suits it."""
    load = circuits.loaded(frozenset(group))
    if isinstance(load, Refusal):
        return
    for amps in (15, 20, 25, 30):
        if circuits.rating_unfit(amps, load) is None:
            made = circuits.wired_alone(load, amps, frozenset(), "P")
            if made is not None:
                yield made


def done_for(shop, ways, machine, chosen):
    """Everything that can be done for a machine beside circuits: (kind, yoke, cost, spaces)."""
    for made in chosen:
        yield from (("held", yoke, 0, 0) for yoke in holds(shop, made, machine))
    free = set().union(*(frees(made, machine, shop) for made in chosen))
    if not reached(shop, machine):
        yield "none", None, 0, 0
    for kind, yoke, cost, spaces in own(shop, ways, machine):
        if yoke is None or yoke in free:
            yield kind, yoke, cost, spaces


def clash(done, chosen):
    """Whether two machines have one yoke, or one circuit holds both."""
    yokes = [yoke for _, yoke, _, _ in done if yoke]
    held = {yoke for kind, yoke, _, _ in done if kind == "held"}
    on = [len(held & {point.id for point in made.load.outlets}) for made in chosen]
    return len(set(yokes)) < len(yokes) or max(on) > 1


def laid_in(circuits, done):
    """What is pulled or laid into boxes, as the counting of boxes wants it."""
    for kind, yoke, _, _ in done:
        if kind in ("run", "raceway"):
            edge = SimpleNamespace(start="P", end=circuits.points.yokes[yoke].box, way=NO_BOXES)
            yield SimpleNamespace(edges=[edge], awg="12", load=SimpleNamespace(outlets=[]))


NO_BOXES = SimpleNamespace(via=())


def brute_force(circuits):
    """The least cost over every partition into circuits, their breakers, and all done for later."""
    shop, least, best = circuits.shop, math.inf, None
    free = free_spaces(shop, shop.panel())
    for groups in dealt_out(range(len(circuits.points.items))):
        for chosen in product(*(list(builds(circuits, group)) for group in groups)):
            taken, doubles = sum(c.poles for c in chosen), sum(c.poles == 2 for c in chosen)
            cost = sum(c.cost for c in chosen)
            if taken > len(free) - shop.later.spare_spaces or cost > least:
                continue
            if doubles > free_pairs(free):
                continue
            every = [
                list(done_for(shop, circuits.ways, one, chosen)) for one in shop.later.machines
            ]
            for done in product(*every):
                if taken + sum(spaces for *_, spaces in done) > len(free) or clash(done, chosen):
                    continue
                boxes = cheapest_boxes(circuits, [*chosen, *laid_in(circuits, done)])
                if boxes is None:
                    continue
                total = cost + boxes + sum(one[2] for one in done)
                if total < least:
                    least, best = total, [kind for kind, *_ in done]
    return least + fixed_cost(shop, circuits.catalogue), best


def found_of(circuits):
    assert enumerate_all(circuits, Control())
    later = circuits.later_machines.choices
    return Selection(
        circuits.shop, circuits.ways, circuits.catalogue, circuits.pool(), later=later
    ).solve(Control())


@pytest.mark.parametrize("first", range(0, 40, 10))
def test_no_choice_of_circuits_with_what_is_done_for_plugs_is_better(first):
    """Held by a circuit, laid now or left: chosen in one selection with the circuits."""
    for seed in range(first, first + 10):
        circuits = circuits_of(plug_shop(seed))
        found = found_of(circuits)
        least, _ = brute_force(circuits)
        if found is None:
            assert math.isinf(least), seed
            continue
        later = circuits.later_machines.choices
        assert found.value == pytest.approx(least, abs=2 * len(later)), seed  # rounded once each
        assert circuits.later_machines.least <= found.value


def test_what_no_circuit_could_hold_counts_its_day_in_the_bound():
    """15 A and 12 A are more than any 20 A receptacle's circuit; 14 A more than a 15 A duplex."""
    told = 0
    for seed in range(80):
        circuits = circuits_of(plug_shop(seed))
        for one in circuits.later_machines.all:
            kinds = {made.for_later.choice for made in one.choices if made.for_later}
            if one.machine.marked_amps == 14 and "held" not in kinds and one.choices:
                told += 1
                assert min(made.cost for made in one.choices) > 0
    assert told >= 3


def test_everything_is_chosen_somewhere_and_circuits_are_chosen_for_it():
    """Of the choices above; and circuits that cost more than others, to hold what may come."""
    chosen, dearer = set(), 0
    for seed in range(40):
        circuits = circuits_of(plug_shop(seed))
        found = found_of(circuits)
        if found is None:
            continue
        chosen |= {one.for_later.choice for one in found.later if one.for_later}
        alone = Selection(circuits.shop, circuits.ways, circuits.catalogue, circuits.pool()).solve(
            Control()
        )
        assert alone is not None
        dearer += found.value - sum(one.cost for one in found.later) > alone.value
    assert chosen >= {"held", "space", "run"}  # labour is not counted: no raceway pays
    assert dearer >= 5


@pytest.mark.parametrize("seed", [1, 3, 12, 20])
def test_the_whole_plan_is_no_dearer_than_the_best_choice(seed):
    """What is planned at last costs what selection found, and no rule finds anything wrong."""
    shop = plug_shop(seed)
    least, _ = brute_force(circuits_of(shop))
    plan = plan_shop(shop, BOOK, Control(effort=2), explain=False).plan
    assert plan is not None
    assert [f.says for f in plan.findings if f.severity == "violation"] == []
    assert plan.objective.value <= least / 10_000 + 0.02
    assert plan.objective.lower_bound is None or plan.objective.lower_bound <= least / 10_000


def planer(**more):
    return {
        "volts": "120 V", "marked": "12 A", "plug": "5-15P", "at": ["14 ft", "6 ft"],
        "cord": "12 ft", "likelihood": "90 %", "within": "2 years", **more,
    }  # fmt: skip


def planed(plan_of, *changes, **more):
    return plan_of("two_gangs", ("later.machines[f]", planer(**more)), *changes)


HEAVY = [
    ("machines[M]", {"volts": "120 V", "marked": "15 A", "plug": "5-20P", "plugs_into": "N1.left",
                     "at": ["12 ft", "8 ft"], "cord": "12 ft", "always_on": True}),
    ("machines[N]", {"volts": "120 V", "marked": "15 A", "plug": "5-20P", "plugs_into": "N2.left",
                     "at": ["20 ft", "8 ft"], "cord": "12 ft", "always_on": True}),
    ("later.open_walls", False),
    ("supply.panels[P].spaces", 8),
    ("pins.together", [["N1.left", "N2.right"], ["N1.right", "N2.left"]]),
]  # fmt: skip


def test_a_circuit_holds_it(plan_of):
    """12 A at the nearest of four yokes, alone on 20 A; nothing is bought, nothing expected."""
    plan = planed(plan_of)
    (one,) = plan.later_machines
    assert one.choice == "held"
    assert one.chosen == f"plugged in at {one.held.outlet} on {one.held.circuit} as it is"
    assert one.held.outlet in ("N1.left.top", "N1.right.top")
    assert (one.held.worst.amps, one.held.worst.limit_amps) == (12, 20)
    assert (one.takeoff, one.takeoff_now, one.circuit, one.run) == ((), (), None, None)
    assert one.alternatives[0].expected_usd == 0
    assert len(one.alternatives) == 5
    assert plan.objective.expected_later == 0


def test_what_is_laid_for_it_ends_in_the_box_of_its_receptacle(plan_of):
    """15 A and 12 A are more than 20 A: a run to a yoke that nothing is plugged into.

    Three more of 12 AWG and their ground, which counts once, in the box: Table 314.16(B)(1).
    """
    plan = planed(plan_of, *HEAVY)
    (one,) = plan.later_machines
    assert one.choice == "run"
    assert one.yoke in ("N1.right", "N2.right")
    assert (one.configuration, one.run.end) == ("5-15R", one.box)
    assert [line.key for line in one.takeoff] == ["breaker 15 A 1-pole", "single 5-15R"]
    box = next(box for box in plan.boxes if box.id == one.box)
    wires = [c for run in (*plan.later_runs, *(r for c in plan.circuits for r in c.runs))
             for c in run.conductors if one.box in (run.start, run.end)]  # fmt: skip
    counted = [wire for wire in wires if wire.role != "ground"]
    past = max(0, len(wires) - len(counted) - 4) / 4  # 2017: none are counted past four
    assert plan.made_by.edition == 2017
    assert past >= 0
    assert box.fill_in3 == 2.25 * (len(counted) + 1 + 2 * 2)


def test_where_nothing_is_laid_a_box_is_set_beside(plan_of):
    plan = planed(plan_of, *HEAVY, likelihood="10 %")
    (one,) = plan.later_machines
    assert (one.choice, one.yoke, one.box) == ("space", None, "N1")
    assert {"box 4 x 1-1/2 square", "trim 1 gang", "single 5-15R", "breaker 15 A 1-pole"} <= {
        line.key for line in one.takeoff
    }
    assert len(one.panel_spaces) == 1


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"plug": "6-20P", "volts": "240 V"}, "no receptacle that its plug"),
        ({"at": ["29 ft", "1 ft"], "cord": "3 ft"}, "no receptacle that its plug"),
        ({"portable": True, "at": None}, "carried about"),
    ],
)
def test_where_nothing_suits_the_plan_says_why(plan_of, more, says):
    given = {key: value for key, value in planer(**more).items() if value is not None}
    plan = plan_of("two_gangs", ("later.machines[f]", given))
    (one,) = plan.later_machines
    assert says in one.why
    assert (one.chosen, one.alternatives, one.held, one.yoke) == (None, (), None, None)
    assert plan.objective.expected_later is None


@pytest.mark.parametrize(
    ("wish", "changes", "choice"),
    [
        ("nothing", [], "held"),
        ("everything", [], "held"),
        ("nothing", HEAVY, "nothing"),
        ("everything", HEAVY, "run"),
    ],
)
def test_what_the_shop_wishes(plan_of, wish, changes, choice):
    plan = planed(plan_of, *changes, ("later.prepare", wish))
    assert plan.later_machines[0].choice == choice


def test_two_machines_to_come_are_not_held_by_one_circuit(plan_of):
    """Each fits beside nothing; a circuit that holds both was not looked at."""
    plan = planed(plan_of, ("later.machines[g]", planer(marked="3 A")))
    held = [one.held.circuit for one in plan.later_machines]
    assert len(set(held)) == 2


def shed(*machines):
    """The half-wired shop with a smaller grinder, to which machines may come beside N2."""
    shop = read_shop(SCENARIOS / "half_wired_metal_shop.yaml")
    changes = [("later.machines[press]", None), ("machines[bench-grinder].motor", "1/4 hp")]
    for number, more in enumerate(machines):
        coming = planer(at=["8 ft", "22 ft"], cord="6 ft", **more)
        changes.append((f"later.machines[u{number}]", coming))
    return plan_shop(changed(shop, changes), BOOK, Control(effort=1), explain=False).plan


def test_an_existing_circuit_holds_it_and_only_one():
    """1/4 hp is 5.8 A, Table 430.248, chargers 3 A, and 1 A: 9.8 A of 20 A."""
    plan = shed({"marked": "1 A"}, {"marked": "1 A"})
    assert [f.says for f in plan.findings if f.severity == "violation"] == []
    held = [one.held for one in plan.later_machines if one.held]
    assert [(one.circuit, one.worst.amps) for one in held] == [("X-bench", pytest.approx(9.8))]
    (run,) = (r for r in ComingRuns(Futures(plan), BOOK).all() if r.circuit == "X-bench")
    assert run.choices[0].says.startswith("plugged in at")


def test_an_existing_circuit_that_would_be_too_much_holds_none():
    plan = shed({"marked": "12 A"})
    assert [one.held for one in plan.later_machines] == [None]


def test_the_day_needs_no_space_for_what_a_circuit_holds():
    plan = plan_on_file("plugs_to_come")
    found = {future.comes: future for future in Futures(plan).all()}
    spaces = {comes: future.of("spaces")[0].found for comes, future in found.items()}
    today = spaces[()]
    assert (spaces["h",] - today, spaces["f",] - today, spaces["g",] - today) == (0, 1, 1)


# Corruptions


def at_another(data):
    held = data["later_machines"][0]["held"]
    held["outlet"] = next(o["id"] for o in data["outlets"] if o["circuit"] != held["circuit"])


def with_less(data):
    data["later_machines"][0]["held"]["worst"]["amps"] -= 1


def beside_a_lathe(data):
    """14 A that are always on, at the same circuit: 26 A of 20 A."""
    held = data["later_machines"][0]["held"]
    lathe = next(m for m in data["machines"] if m["id"] == "M")
    other = next(
        o["id"] for o in data["outlets"] if o["circuit"] == lathe["circuit"] and "top" in o["id"]
        and o["id"] != lathe["outlet"]
    )  # fmt: skip
    held["outlet"], held["circuit"] = other, lathe["circuit"]


def in_another_box(data):
    data["later_machines"][0]["box"] = "N2" if data["later_machines"][0]["box"] == "N1" else "N1"


def not_held(data):
    data["later_machines"][0]["held"] = None


def bought(data):
    data["later_machines"][0]["alternatives"][0]["cost_now_usd"] = 5.0
    data["later_machines"][0]["alternatives"][0]["expected_usd"] = 5.0


LATHE = ("machines[M]", {"volts": "120 V", "marked": "14 A", "plug": "5-15P",
                         "plugs_into": "N2.left.top", "at": ["20 ft", "8 ft"], "cord": "12 ft",
                         "always_on": True})  # fmt: skip


@pytest.mark.parametrize(
    "corrupt", [at_another, with_less, beside_a_lathe, in_another_box, not_held, bought]
)
def test_a_corruption_of_what_is_held_is_found(plan_of, corrupt):
    data = json.loads(canonical_json(planed(plan_of, LATHE).model_dump(mode="json")))
    corrupt(data)
    assert wrong(data) & {"later-circuits", "later-machines"}


def wrong(data):
    found = check_plan(Plan.model_validate(data))
    return {f.rule for f in found if f.severity == "violation"}


def of_another_kind(data):
    data["later_machines"][0]["configuration"] = "5-20R"


def taken(data):
    one = data["later_machines"][0]
    one["yoke"] = one["yoke"].replace("right", "left")


def in_a_small_box(data):
    box = next(box for box in data["boxes"] if box["id"] == data["later_machines"][0]["box"])
    box["volume_in3"] = 20.0


@pytest.mark.parametrize("corrupt", [of_another_kind, taken, in_a_small_box])
def test_a_corruption_of_its_own_receptacle_is_found(plan_of, corrupt):
    data = json.loads(canonical_json(planed(plan_of, *HEAVY).model_dump(mode="json")))
    corrupt(data)
    assert wrong(data) & {"later-machines", "later-circuits"}
