"""The least number of circuits: by hand on the garage, and never above what brute force finds."""

import random
from itertools import combinations, product

import pytest

from models.answers.fewer import least_circuits, neighbours
from models.rules.reading import Reading, machine_amps
from models.shop import Shop
from models.shop_edit import Change, changed
from tests.plan_files import plan_on_file

YOKES = ("E1", "E2.left", "E2.right", "O1", "W1", "W2.left", "W2.right", "W3")
APART = (("E2.left", "E2.right"), ("W2.left", "W2.right"))


@pytest.fixture(scope="module")
def garage():
    plan = plan_on_file("one_bay_garage")
    return plan, Shop.model_validate(plan.source.shop)


def least(reading, volts, lights=False):
    return next(x for x in least_circuits(reading) if (x.volts, x.lights) == (volts, lights))


def test_five_things_of_the_garage_cannot_share(garage):
    """Amperes: compressor 12, drill press 9.8 and band saw 13.8 (430.248), collector 11, miter saw
    15. The least pair is 9.8 + 11 = 20.8 of 20 A. On a Saturday of two any two may meet: the
    compressor starts by itself, the collector follows a saw or, with the drill press, the other
    person's. So five circuits at least.
    """
    found = least(Reading(*garage), 120)
    assert (found.needed, found.reason) == (5, "apart")
    assert found.members == ("E1", "W3", "band-saw", "collector", "miter-saw")
    assert min(clash.amps for clash in found.clashes) == pytest.approx(20.8)
    assert len(found.clashes) == 10
    assert {clash.limit_amps for clash in found.clashes} == {20.0}


def test_one_person_needs_fewer(garage):
    """Alone: the compressor beside drill press 21.8, band saw 25.8, miter saw 27; the collector
    follows band saw 24.8 and miter saw 26, and stands with the compressor at 23. Saws never meet,
    nor the collector the drill press: {compressor, collector, band saw}, three. Dealt out: one
    for compressor, one for collector with the drill press, one for both saws.
    """
    plan, shop = garage
    found = least(Reading(plan, changed(shop, [("use.days", [{"id": "d", "people": 1}])])), 120)
    assert (found.needed, found.reason) == (3, "apart")


def test_a_wish_for_two_lighting_circuits_is_a_reason(garage):
    plan, shop = garage
    wished = changed(shop, [("code.light_circuits", 2), ("existing", None), ("boxes[X1]", None),
                            ("machines[opener]", None)])  # fmt: skip
    new = tuple(circuit for circuit in plan.circuits if circuit.life == "new")
    bare = plan.model_copy(update={"circuits": new})
    found = least(Reading(bare, wished), 120, lights=True)
    assert (found.needed, found.reason) == (2, "wished")


def test_a_local_limit_is_a_reason(garage):
    """Eight yokes, one a circuit: eight."""
    plan, shop = garage
    found = least(Reading(plan, changed(shop, [("code.receptacles_per_circuit", 1)])), 120)
    assert found.needed == 8


def test_neighbours_of_one_box_are_apart_by_the_wish(garage):
    plan, _ = garage
    reading = Reading(*garage)
    beside = neighbours(reading)
    of = {yoke.id: yoke.circuit for box in plan.boxes for yoke in box.yokes}
    found = beside[of["E2.left"]]
    assert (found.circuit, found.distance_ft) == (of["E2.right"], 0.0)
    assert found.clash is not None
    assert found.clash.why == "wish"
    assert found.clash.members == ("E2.left", "E2.right")


def groupings(things):
    """Every way to deal things out."""
    if not things:
        yield []
        return
    first, *rest = things
    for groups in groupings(rest):
        yield [[first], *groups]
        for n, group in enumerate(groups):
            yield [*groups[:n], [first, *group], *groups[n + 1 :]]


def random_shop(shop, seed):
    """The garage with other machines, at yokes or at the planner's choice, and other days."""
    rng = random.Random(seed)
    places = {"W1": ["2 ft", "5 ft"], "W2.right": ["2 ft", "9 ft"], "W3": ["2 ft", "14 ft"],
              "E1": ["13 ft", "9 ft"], "E2.left": ["13 ft", "15 ft"]}  # fmt: skip
    changes: list[Change] = [(f"machines[{machine.id}]", None) for machine in shop.machines]
    changes += [("use", {"days": [{"id": "d", "people": rng.randint(1, 3)}]}), ("existing", None)]
    changes += [("boxes[X1]", None), ("boxes[X2]", None)]
    for n, (yoke, at) in enumerate(sorted(places.items())):
        named = {"plugs_into": yoke} if rng.random() < 0.7 else {}
        left = {"set_and_leave": "yes"} if rng.random() < 0.4 else {}
        machine = {"volts": "120 V", "marked": f"{rng.randint(3, 15)} A", "plug": "5-15P",
                   "at": at, "cord": "6 ft", **named, **left}  # fmt: skip
        changes.append((f"machines[m{n}]", machine))
    if rng.random() < 0.5:
        changes.append(("use.never_together", [{"machines": ["m0", "m1"]}]))
    return changed(shop, changes)


def fewest(reading):
    """By brute force: the fewest groups of yokes, machines seated in every way."""
    from models.reach import receptacles_in_reach

    shop = reading.shop
    states = [
        set(state)
        for size in range(len(shop.machines) + 1)
        for state in combinations(sorted(m.id for m in shop.machines), size)
        if reading.allows(state, "d")
    ]
    amps = {machine.id: machine_amps(machine) for machine in shop.machines}
    seats = [
        [m.receptacle] if m.receptacle else sorted(
            {f.yoke_id for f in receptacles_in_reach(shop, m)}
        )
        for m in shop.machines
    ]  # fmt: skip
    fits = {}

    def held(machines):
        if machines not in fits:
            fits[machines] = all(sum(amps[m] for m in state & machines) <= 20 for state in states)
        return fits[machines]

    best = len(YOKES)
    for groups in groupings(list(YOKES)):
        if len(groups) >= best or any(set(p) <= set(g) for p in APART for g in groups):
            continue
        number = {yoke: n for n, group in enumerate(groups) for yoke in group}
        for seated in product(*seats):
            on: list[set[str]] = [set() for _ in groups]
            for machine, yoke in zip(shop.machines, seated, strict=True):
                on[number[yoke]].add(machine.id)
            if all(held(frozenset(machines)) for machines in on):
                best = len(groups)
                break
    return best


@pytest.mark.parametrize("seed", range(12))
def test_the_bound_is_never_above_brute_force(seed, garage):
    plan, shop = garage
    reading = Reading(plan, random_shop(shop, seed))
    assert 2 <= least(reading, 120).needed <= fewest(reading)


def test_the_bound_is_often_met(garage):
    """A bound that is always one would pass the test above."""
    plan, shop = garage
    readings = [Reading(plan, random_shop(shop, seed)) for seed in range(12)]
    assert sum(least(r, 120).needed == fewest(r) for r in readings) >= 8
