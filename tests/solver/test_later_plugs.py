"""Machines that may come with a plug: against every choice there is.

The shops are invented, and so are the prices. Table 210.21(B)(2): one plugged machine takes 12 A of
a 15 A receptacle or circuit, 16 A of 20 A, where it is not alone; Table 310.16 and 240.4(D): 12 AWG
carries 20 A; chapter 9 Table 8: 12 AWG has 1.98 ohm/kft; Table 314.16(B)(1): 2.25 in³ each.
"""

import math
import random
from itertools import product
from types import SimpleNamespace

import pytest

from models.part_keys import box_key
from models.price_book import PriceBook
from models.shop_edit import changed
from solver.bound.least import least
from solver.enclosures import fixed_cost
from solver.panel import free_pairs, free_spaces
from solver.plan import plan_shop
from solver.refusal import Refusal
from solver.selection import Selection
from solver.solve import Control
from tests.dealt_out import dealt_out
from tests.solver.conftest import circuits_of, small_shop
from tests.solver.every_choice import cheapest_boxes, selection_of
from tests.violations import violations

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
        yield "nothing", yoke, share * (breaker + whole) + 1, 0
        yield "space", yoke, share * (breaker + whole), 1
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
    """What comes into boxes that are there, as the counting of boxes wants it."""
    for kind, yoke, _, _ in done:
        if yoke is not None and kind != "held":
            edge = SimpleNamespace(start="P", end=circuits.points.yokes[yoke].box, way=NO_BOXES)
            yield SimpleNamespace(edges=[edge], awg="12", load=SimpleNamespace(outlets=[]))


NO_BOXES = SimpleNamespace(via=())


def brute_force(circuits):
    """The least cost over every partition into circuits, their breakers, and all done for later."""
    shop, lowest, best = circuits.shop, math.inf, None
    free = free_spaces(shop, shop.panel())
    for groups in dealt_out(range(len(circuits.points.items))):
        for chosen in product(*(list(builds(circuits, group)) for group in groups)):
            taken, doubles = sum(c.poles for c in chosen), sum(c.poles == 2 for c in chosen)
            cost = sum(c.cost for c in chosen)
            if taken > len(free) - shop.later.spare_spaces or cost > lowest:
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
                if total < lowest:
                    lowest, best = total, [kind for kind, *_ in done]
    return lowest + fixed_cost(shop, circuits.catalogue), best


@pytest.mark.parametrize("first", range(0, 40, 10))
def test_no_choice_of_circuits_with_what_is_done_for_plugs_is_better(first):
    """Held by a circuit, laid now or left: chosen in one selection with the circuits."""
    for seed in range(first, first + 10):
        circuits = circuits_of(plug_shop(seed))
        found = selection_of(circuits).solve(Control())
        cost, _ = brute_force(circuits)
        if found is None:
            assert math.isinf(cost), seed
            continue
        later = circuits.later_machines.choices
        assert found.value == pytest.approx(cost, abs=2 * len(later)), seed  # rounded once each
        assert circuits.later_machines.least <= found.value


def test_the_bound_over_runs_is_below_every_choice():
    """Where a pool is not complete: each machine counts its least choice, by whatever circuits."""
    told = 0
    for seed in range(12):
        circuits = circuits_of(plug_shop(seed))
        bound, (cost, _) = least(circuits, Control()), brute_force(circuits)
        if bound is not None and not math.isinf(cost):
            told += 1
            assert bound.bound <= cost + 0.5
    assert told >= 6


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
        found = selection_of(circuits).solve(Control())
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
    """Planning tries other trees of runs too; no rule finds anything wrong."""
    shop = plug_shop(seed)
    cost, _ = brute_force(circuits_of(shop))
    plan = plan_shop(shop, BOOK, Control(effort=2), explain=False).plan
    assert plan is not None
    assert violations(plan.findings) == []
    assert plan.objective.value <= cost / 10_000 + 0.02
    assert plan.objective.lower_bound is None or plan.objective.lower_bound <= cost / 10_000
