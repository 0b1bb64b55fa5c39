"""Multiwire pairs: priced by hand, against every split of every tree, and in whole plans."""

import itertools

import pytest

from models.part_keys import breaker_key, cable_key
from models.price_book import PriceBook
from models.rules import check_plan
from models.rules.load_calculation import leg_amps
from models.rules.reading import Reading
from models.shop import Shop
from solver.candidate import Candidate
from solver.plan import plan_shop
from solver.refusal import Refusal
from solver.solve import Control
from tests.solver.pair_shops import hand_shop, paired
from tests.solver.test_bound import trees
from tests.violations import violations

DUPLEX = "duplex 5-20R"
TWO_MACHINES = ["blank"], ["blank"]


def planned(shop, effort=1):
    plan = plan_shop(shop, PriceBook.read(), Control(effort=effort), explain=False).plan
    assert plan is not None
    return plan


def pairs_of(plan):
    return [c for c in plan.circuits if c.multiwire_with is not None]


# -- by hand


def test_two_machines_share_a_neutral_where_it_costs_less():
    """By hand, from the invented book. The panel is 5 ft from the corner, B1 2 and B2 4 ft beyond.

    Pair: 12-3 of 7 + 5 ft at 1.15, 12-2 of 2 + 2 ft at 0.75, 4 connectors at 0.60, breaker 16.00.
    Else: 12-2 of 12 ft and of 14 ft at 0.75, 4 connectors, 2 breakers at 9.00: 39.90.
    Both: 2 boxes at 2.80 and 2 rings with plates at 1.50.
    """
    shop = hand_shop(*TWO_MACHINES)
    plan = planned(shop)
    boxes = 2 * 2.80 + 2 * 1.50
    assert plan.objective.value == pytest.approx(12 * 1.15 + 4 * 0.75 + 2.40 + 16.00 + boxes)
    assert plan.objective.proved == "global"
    one, other = pairs_of(plan)
    assert [(run.make, run.end) for run in one.runs] == [("NM-B 12-3", "B1")]
    assert [(run.make, run.start, run.end) for run in other.runs] == [("NM-B 12-2", "B1", "B2")]
    assert [c.role for c in one.runs[0].conductors] == ["hot", "hot2", "neutral", "ground"]
    assert [c.role for c in other.runs[0].conductors] == ["hot2", "neutral", "ground"]
    assert one.breaker == other.breaker
    assert (one.breaker.poles, {one.pole, other.pole}) == (2, {1, 2})
    assert violations(plan.findings) == []
    two_wire = planned(hand_shop(*TWO_MACHINES, multiwire=False))
    assert two_wire.objective.value == pytest.approx(26 * 0.75 + 2.40 + 18.00 + boxes)
    assert pairs_of(two_wire) == []


def test_no_word_about_multiwire_means_none():
    data = hand_shop(*TWO_MACHINES).canonical()
    del data["code"]["multiwire"]
    assert pairs_of(planned(Shop.model_validate(data))) == []


def test_a_two_pole_gfci_breaker_costs_more_than_the_pair_saves():
    """2023, 210.8(F): in a dwelling's outbuilding both need protection; 125 against 2 x 58."""
    plan = planned(hand_shop(*TWO_MACHINES, dwelling=True, edition=2023))
    assert pairs_of(plan) == []
    assert [c.breaker.gfci for c in plan.circuits] == [True, True]


def test_two_yokes_of_one_box_are_the_two_halves():
    """A GFCI device each, 24.00, on 12-3 of 12 ft, 2 connectors, breaker 16.00; box and ring.

    Two circuits would be 2 x 12 ft of 12-2, 4 connectors and 2 breakers at 9.00: 7.40 more.
    """
    plan = planned(hand_shop([DUPLEX, DUPLEX], two_circuits="B1", dwelling=True))
    one, other = pairs_of(plan)
    assert (one.gfci_at, other.gfci_at) == (("B1.left",), ("B1.right",))
    assert other.runs == ()
    (box,) = plan.boxes
    joined = [(set(s.joins), set(s.pigtails)) for s in box.splices]
    assert ({"C1.1.neutral"}, {"B1.left", "B1.right"}) in joined
    lines = {line.key: line.quantity for line in plan.takeoff}
    assert lines["breaker 20 A 2-pole"] == 1
    assert lines["NM-B 12-3"] == 12
    assert violations(plan.findings) == []


def test_a_handle_tie_is_two_breakers_and_a_tie():
    plan = planned(hand_shop(*TWO_MACHINES, ties="handle tie", minimize="copper"))
    one, other = pairs_of(plan)
    assert one.breaker.handle_tie
    assert other.breaker.handle_tie
    assert (one.breaker.poles, one.pole, other.pole) == (1, None, None)
    assert abs(one.breaker.spaces[0] - other.breaker.spaces[0]) == 2
    lines = {line.key: line.quantity for line in plan.takeoff}
    assert (lines["breaker 20 A 1-pole"], lines["handle tie"]) == (2, 1)
    assert violations(plan.findings) == []


@pytest.mark.parametrize("leg", "AB")
def test_a_pair_loads_the_neutral_of_the_feeder_however_it_is_joined(leg):
    """220.61: what is connected between each hot and the neutral; one machine of 16 A a leg."""
    for ties in ("common trip", "handle tie"):
        plan = planned(hand_shop(*TWO_MACHINES, minimize="copper", ties=ties))
        assert len(pairs_of(plan)) == 2
        reading = Reading(plan, Shop.model_validate(plan.source.shop))
        assert leg_amps(reading, "P", leg, to_neutral=True) >= 16


def test_in_a_raceway_the_shared_neutral_is_not_counted_and_that_of_a_tail_is():
    """310.15(E): two hots and their neutral count 2; hot and neutral of a tail count 2 as well."""
    data = hand_shop(*TWO_MACHINES, minimize="copper").canonical()
    south = next(wall for wall in data["building"]["walls"] if wall["id"] == "south")
    south["construction"] = "masonry"
    data["routes"] = {
        "raceways": [
            {"id": "R1", "kind": "EMT", "trade_size": "1/2", "ends": ["P", "B1"]},
            {"id": "R2", "kind": "EMT", "trade_size": "1/2", "ends": ["B1", "B2"]},
        ]
    }
    plan = planned(Shop.model_validate(data))
    assert len(pairs_of(plan)) == 2
    ledgers = {raceway.id: raceway.ledgers[0] for raceway in plan.raceways}
    roles = {
        name: [c.role for x in led.contents for c in x.conductors] for name, led in ledgers.items()
    }
    assert roles == {
        "R1": ["hot", "hot2", "neutral", "ground"],
        "R2": ["hot2", "neutral", "ground"],
    }
    assert {name: ledger.current_carrying for name, ledger in ledgers.items()} == {"R1": 2, "R2": 2}
    lines = {line.key: line.quantity for line in plan.takeoff}
    lengths = [run.length_ft + run.allowance_ft for c in pairs_of(plan) for run in c.runs]
    assert lines["THHN 12"] == pytest.approx(4 * lengths[0] + 3 * lengths[1])
    assert violations(plan.findings) == []


def test_lights_are_not_paired(make_circuits):
    data = hand_shop(["switch"], ["switch"]).canonical()
    lamps = [
        {"id": f"L{n}", "ceiling": [f"{2 * n} ft", "5 ft"], "luminaire": "40 W",
         "switched_by": [f"B{n}"]}
        for n in (1, 2)
    ]  # fmt: skip
    data["boxes"] += lamps
    circuits = make_circuits(Shop.model_validate(data))
    made = circuits.candidates(frozenset({0, 1}))
    assert not isinstance(made, Refusal)
    assert [candidate.halves for candidate in made] == [()]


# -- against every split of every tree


def priced(circuits, items, left, tree, amps):
    """Cost of a pair in 12 AWG cable along a tree, worked out apart [0.0001 USD]."""
    cents = circuits.catalogue.cents
    points = [p for item in items for p in circuits.points.items[item].points]
    side: dict[str, set[bool]] = {p.box: set() for p in points}
    for item in items:
        for point in circuits.points.items[item].points:
            side[point.box].add(item in left)
    total = 0
    for start, end in tree:
        beyond, grown = {end}, True
        while grown:
            more = beyond | {b for a, b in tree if a in beyond}
            grown, beyond = more != beyond, more
        wires = 1 + len(set().union(*(side[box] for box in beyond)))
        ways = [w for w in circuits.ways.between(start, end) if w.method == "cable"]
        length = min(w.length_cft for w in ways) + (500 if start == "P" else 200)
        total += length * cents(cable_key("12", wires)) + 200 * cents("cable connector")
    plain, gfci = cents(DUPLEX), cents(f"GFCI {DUPLEX}")
    at_breaker = cents(breaker_key(amps, 2, True)) + plain * len(points)
    at_devices = cents(breaker_key(amps, 2, False)) + gfci * len(points)
    return total + 100 * min(at_breaker, at_devices)


def by_brute_force(circuits, items):
    """The least cost over every split, tree and rating; None where there is no pair."""
    boxes = sorted({p.box for item in items for p in circuits.points.items[item].points})
    costs = []
    for size in range(1, len(items)):
        for left in itertools.combinations(sorted(items), size):
            halves = [frozenset(left), items - frozenset(left)]
            loads = [circuits.loaded(half) for half in halves]
            if any(isinstance(load, Refusal) for load in loads):
                continue
            for amps in (15, 20):
                if any(circuits.rating_unfit(amps, load) is not None for load in loads):
                    continue
                costs += [
                    priced(circuits, items, halves[0], tree, amps) for tree in trees("P", boxes)
                ]
    return min(costs, default=None)


@pytest.mark.parametrize("seed", range(12))
def test_the_cheapest_of_all_splits_and_trees(seed, make_circuits):
    data = paired(seed, 4).canonical()
    data["prices"] = {"minimize": "cost"}
    circuits = make_circuits(Shop.model_validate(data))
    suited = [n for n, item in enumerate(circuits.points.items) if item.points[0].volts == 120]
    found = 0
    for size in range(1, len(suited) + 1):
        for chosen in itertools.combinations(suited, size):
            items = frozenset(chosen)
            made = circuits.candidates(items)
            pairs = [] if isinstance(made, Refusal) else [c for c in made if c.halves]
            wanted = by_brute_force(circuits, items)
            assert [pair.cost for pair in pairs] == ([] if wanted is None else [wanted])
            assert all(pair.floor is None for pair in pairs)
            found += len(pairs)
            for pair in pairs:
                one, other = pair.halves
                assert frozenset(one.items) | frozenset(other.items) == items
    assert found or len(suited) < 2


@pytest.mark.parametrize("seed", range(6))
def test_what_is_refused_for_good_stays_refused(seed, make_circuits):
    circuits = make_circuits(paired(seed, 4, receptacles_per_circuit=2))
    everything = range(len(circuits.points.items))
    sets = [frozenset(c) for n in range(1, 6) for c in itertools.combinations(everything, n)]
    final = [s for s in sets if isinstance(m := circuits.candidates(s), Refusal) and m.final]
    built = [s for s in sets if not isinstance(circuits.candidates(s), Refusal)]
    assert built
    assert not any(small <= large for small in final for large in built)


@pytest.mark.parametrize("seed", range(4))
def test_of_many_boxes_the_floor_is_below_and_the_halves_fit(seed, make_circuits, monkeypatch):
    """With no set dealt in every way: the cost is not below the least, the floor not above it."""
    data = paired(seed, 4).canonical()
    data["prices"] = {"minimize": "cost"}
    shop = Shop.model_validate(data)
    exact = make_circuits(shop)
    monkeypatch.setattr("solver.pair_tree.MOST_DEALS", 0)
    monkeypatch.setattr("solver.pairs.MOST_LISTED", 0)
    rough = make_circuits(shop)
    compared = 0
    for size in range(2, 5):
        for chosen in itertools.combinations(range(len(exact.points.items)), size):
            best, good = ([c for c in _made(made, chosen) if c.halves] for made in (exact, rough))
            assert len(best) == len(good)
            for one, other in zip(best, good, strict=True):
                compared += 1
                assert other.cost >= one.cost
                assert other.floor is None or other.floor <= one.cost
                assert other.floor is not None or other.cost == one.cost
    assert compared


def _made(circuits, chosen) -> tuple[Candidate, ...]:
    made = circuits.candidates(frozenset(chosen))
    return () if isinstance(made, Refusal) else made


# -- whole plans


@pytest.mark.parametrize("seed", range(400, 420))
def test_plans_of_random_shops_with_pairs(seed):
    code = {"gfci_at": ("either", "device", "breaker")[seed % 3]}
    if seed % 2:
        code["ties"] = "handle tie"
    outcome = plan_shop(
        paired(seed, 3 + seed % 4, **code), PriceBook.read(), Control(effort=1), explain=False
    )
    if outcome.plan is None:
        assert outcome.causes
        return
    assert check_plan(outcome.plan) == outcome.plan.findings
    assert not violations(outcome.plan.findings) or outcome.causes


def test_many_of_those_shops_take_pairs():
    """So that the test above is not passed by two-wire circuits alone."""
    plans = [planned(paired(seed, 4)) for seed in (201, 203, 206, 213)]
    assert sum(bool(pairs_of(plan)) for plan in plans) >= 3
