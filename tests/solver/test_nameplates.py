"""Circuits of machines whose nameplate names them: breaker and conductors worked out by hand."""

import random

import pytest

from models.gfci import vehicle_receptacle_needs_gfci
from models.price_book import PriceBook
from models.rules import check_plan
from models.shop_edit import changed
from solver.plan import plan_shop
from solver.solve import Control
from tests.violations import violations

PLACE = {"wall": "east", "y": "5 ft", "height": "44 in"}
SHED = [("supply.panels[P].spaces", 24), ("supply.panels[P].bus", "200 A"),
        ("supply.panels[P].feeder.breaker", "200 A"),
        ("supply.panels[P].feeder.conductors", {"hot": "3/0", "neutral": "3/0", "ground": "6"}),
        ("supply.panels[P].feeder.raceway", "EMT 2"), ("code.edition", 2023)]  # fmt: skip


def masonry(trade_size):
    """M on a block wall, with a raceway to it."""
    return [
        ("boxes[M]", {"wall": "south", "x": "5 ft", "height": "44 in", "yokes": ["blank"]}),
        ("routes.raceways[R]", {"kind": "EMT", "trade_size": trade_size, "ends": ["P", "M"]}),
        ("building.walls", [
            {"id": "south", "from": ["0 ft", "0 ft"], "construction": "masonry"},
            {"id": "east", "from": ["12 ft", "0 ft"]},
            {"id": "north", "from": ["12 ft", "10 ft"]},
            {"id": "west", "from": ["0 ft", "10 ft"]},
        ]),
    ]  # fmt: skip


@pytest.fixture
def planned(make_shop):
    """The circuit of one machine at M, in a shop with four boxes of its own."""

    def plan(machine, yoke="blank", changes=()):
        shop = changed(
            make_shop(3),
            [
                *SHED,
                ("boxes[M]", {**PLACE, "yokes": [yoke]}),
                ("machines[m]", {"volts": "240 V", "at": ["10 ft", "5 ft"], **machine}),
                *changes,
            ],
        )
        outcome = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False)
        assert outcome.plan is not None, outcome.causes
        assert violations(check_plan(outcome.plan)) == []
        (circuit,) = (c for c in outcome.plan.circuits if "m" in c.machines)
        return circuit

    return plan


WIRED = {"hard_wired_at": "M", "disconnect": "in sight"}
CONDUCTORS = [
    # MCA, MOCP, breaker, AWG. Conductors carry MCA (440.35), NM cable at 60 °C (334.80): Table
    # 310.16 has 15, 20, 30, 40, 55 A for 14 to 6 AWG.
    (14, 20, 15, "12"),  # no smaller one is wished (smallest_receptacle_conductor)
    (15.5, 25, 20, "12"),
    (20, 30, 20, "12"),
    (28.4, 45, 30, "10"),
    (31, 50, 35, "8"),
    (41, 60, 45, "6"),
]


@pytest.mark.parametrize(("mca", "mocp", "breaker", "awg"), CONDUCTORS)
def test_mca_asks_for_conductors_and_mocp_bounds_the_breaker(mca, mocp, breaker, awg, planned):
    circuit = planned({**WIRED, "mca": f"{mca} A", "mocp": f"{mocp} A", "kind": "cooling"})
    assert (circuit.breaker.amps, circuit.conductor.awg) == (breaker, awg)
    assert circuit.outlets == ("M",)


def test_a_breaker_above_small_conductors_where_the_machine_is_alone(planned):
    """MCA 20.5 A with a 25 A breaker: 12 AWG at 75 °C carries 25 A, which 240.4(D) caps at 20 A."""
    machine = {**WIRED, "mca": "20.5 A", "mocp": "30 A", "kind": "cooling"}
    circuit = planned(machine, changes=masonry("1/2"))
    assert (circuit.breaker.amps, circuit.conductor.awg) == (25, "12")
    assert circuit.conductor.ground_awg == "12"  # no larger than the hots, 250.122(A)


LARGE = [
    # Kiln, breaker of 125 %, AWG by Table 310.16 at 75 °C (two conductors, room at 30 °C), and the
    # least ground of Table 250.122.
    (48, 60, "6", "10"),  # 65 A
    (52, 70, "6", "8"),  # 65 A: 6 AWG is just enough for the load and, a size up, for the breaker
    (64, 80, "4", "8"),  # 85 A
    (72, 90, "3", "6"),  # 100 A; 4 AWG (85 A) suits the breaker, not the load: ground enlarged
    (80, 100, "3", "8"),
]


@pytest.mark.parametrize(("kiln", "breaker", "awg", "ground"), LARGE)
def test_large_conductors(kiln, breaker, awg, ground, planned):
    machine = {**WIRED, "marked": f"{kiln} A", "kind": "kiln", "continuous": "yes"}
    circuit = planned(machine, changes=masonry("1-1/4"))
    assert circuit.breaker.amps == breaker
    assert (circuit.conductor.awg, circuit.conductor.ground_awg) == (awg, ground)
    assert not circuit.gfci_at  # 210.8(F) ends at 50 A


WELDERS = [
    # I1max, I1eff, breaker, AWG. Hard-wired: 630.11(A) conductors of I1eff, 630.12 a breaker of
    # at most 200 % of I1max and of the conductors' ampacity; one that holds I1max is built.
    (44, 24, 45, "10"),  # 30 A by 60 °C, 200 % is 60
    (30, 19, 30, "12"),  # 20 A, 200 % is 40
    (40, 14, 40, "12"),  # 14 AWG has 15 A, 200 % is 30
    (52, 32, 60, "8"),  # 40 A, 200 % is 80
]


@pytest.mark.parametrize(("i1max", "i1eff", "breaker", "awg"), WELDERS)
def test_a_hard_wired_welder(i1max, i1eff, breaker, awg, planned):
    circuit = planned({**WIRED, "i1max": f"{i1max} A", "i1eff": f"{i1eff} A"})
    assert (circuit.breaker.amps, circuit.conductor.awg) == (breaker, awg)


def test_a_welder_with_a_plug_has_conductors_by_its_breaker(planned):
    """Anything may be plugged in later: 45 A hold I1max of 44 A, 6 AWG has 55 A at 60 °C."""
    machine = {"plug": "6-50P", "plugs_into": "M", "i1max": "44 A", "i1eff": "24 A"}
    circuit = planned(machine, "single 6-50R")
    assert (circuit.breaker.amps, circuit.conductor.awg) in [(45, "6"), (50, "6")]


def test_a_welder_of_more_than_its_receptacle_gets_the_receptacles_rating(planned):
    """210.21(B)(1): a single receptacle is rated at least the circuit."""
    machine = {"plug": "6-50P", "plugs_into": "M", "i1max": "70 A", "i1eff": "35 A"}
    circuit = planned(machine, "single 6-50R")
    assert (circuit.breaker.amps, circuit.conductor.awg) == (50, "6")


@pytest.mark.parametrize(("amps", "breaker"), [(16, 20), (24, 25), (6, 15)])
def test_a_compressor_without_mca(amps, breaker, planned):
    """440.32: conductors of 125 %; 440.22(A): a breaker of at most 175 %, from memory."""
    circuit = planned({**WIRED, "marked": f"{amps} A", "kind": "cooling"})
    assert circuit.breaker.amps == breaker
    assert {"14": 15, "12": 20, "10": 30, "8": 40}[circuit.conductor.awg] >= 1.25 * amps


def test_a_charger_has_a_circuit_of_its_own(make_shop):
    """625.40: of two hard-wired loads that could share 30 A, the charger shares with none."""
    shop = changed(
        make_shop(3),
        [
            *SHED,
            ("boxes[M]", {**PLACE, "yokes": ["blank"]}),
            ("boxes[N]", {**PLACE, "y": "6 ft", "yokes": ["blank"]}),
            ("machines[m]", {"volts": "240 V", "hard_wired_at": "M", "marked": "8 A",
                             "kind": "vehicle charger"}),
            ("machines[n]", {"volts": "240 V", "hard_wired_at": "N", "marked": "4 A"}),
        ],
    )  # fmt: skip
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    assert violations(plan.findings) == []
    (circuit,) = (c for c in plan.circuits if "m" in c.machines)
    assert circuit.outlets == ("M",)


def test_a_welder_at_a_receptacle_too_small_for_it_is_told(make_shop):
    """I1eff of 24 A does not go through a 20 A receptacle."""
    shop = changed(
        make_shop(3),
        [
            *SHED,
            ("boxes[M]", {**PLACE, "yokes": ["single 6-20R"]}),
            ("machines[m]", {"volts": "240 V", "plug": "6-20P", "plugs_into": "M",
                             "i1max": "44 A", "i1eff": "24 A", "at": ["10 ft", "5 ft"]}),
        ],
    )  # fmt: skip
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False)
    assert outcome.plan is None
    assert any("m" in cause.says for cause in outcome.causes)


def random_machine(rng):
    """Some hard-wired or plugged machine with a nameplate of its own."""
    kind = rng.choice(["mca", "welder", "plug", "kiln", "compressor"])
    if kind == "mca":
        mca = rng.randrange(6, 60)
        return {**WIRED, "mca": f"{mca} A", "mocp": f"{mca + rng.randrange(5, 30)} A"}, "blank"
    if kind == "kiln":
        return {**WIRED, "marked": f"{rng.randrange(20, 44)} A", "kind": "kiln"}, "blank"
    if kind == "compressor":
        return {**WIRED, "marked": f"{rng.randrange(5, 30)} A", "kind": "cooling"}, "blank"
    i1max = rng.randrange(20, 75)
    currents = {"i1max": f"{i1max} A", "i1eff": f"{i1max * rng.randrange(40, 70) // 100} A"}
    if kind == "welder":
        return {**WIRED, **currents}, "blank"
    return {**currents, "plug": "6-50P", "plugs_into": "M"}, "single 6-50R"


@pytest.mark.parametrize("seed", range(16))
def test_random_nameplates(seed, planned):
    """Whatever is planned for them holds every rule."""
    rng = random.Random(seed)
    machine, yoke = random_machine(rng)
    circuit = planned(machine, yoke, [("code.edition", rng.choice([2017, 2020, 2023]))])
    assert circuit.outlets == ("M",)


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_only_places_in_the_list_have_ground_fault_protection(edition, make_shop):
    """210.8(B) names no dry workshop; 625.54 asks for it where a vehicle is charged."""
    shop = changed(
        make_shop(3),
        [
            *SHED,
            ("code.edition", edition),
            ("building.kind", "shop"),
            ("building.dwelling", "no"),
            ("boxes[M]", {**PLACE, "yokes": ["single 6-50R"]}),
            ("machines[m]", {"volts": "240 V", "plug": "6-50P", "plugs_into": "M", "marked": "32 A",
                             "kind": "vehicle charger", "at": ["10 ft", "5 ft"]}),
        ],
    )  # fmt: skip
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    assert violations(plan.findings) == []
    protected = {c.id for c in plan.circuits if c.gfci_at}
    assert protected == {c.id for c in plan.circuits if "m" in c.machines}
    assert vehicle_receptacle_needs_gfci(edition, "6-50R")
