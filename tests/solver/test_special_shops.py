"""Shops in which one thing is special; each plan must pass the rules."""

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import Change, changed
from solver.plan import plan_shop
from solver.solve import Control
from tests.solver.pair_shops import hand_shop
from tests.violations import violations

ROOMY = ("supply.panels[P].spaces", 24)
HEATER = {"volts": "120 V", "marked": "7 A", "plug": "5-15P", "always_on": "yes"}
WIRED = {"volts": "240 V", "hard_wired_at": "H1", "set_and_leave": "yes"}
LARGER_FEEDER: list[Change] = [
    ("supply.panels[P].feeder.breaker", "100 A"),
    ("supply.panels[P].feeder.conductors", {"hot": "3", "neutral": "3", "ground": "8"}),
    ("supply.panels[P].feeder.raceway", "EMT 1-1/4"),
]
H1 = ("boxes[H1]", {"wall": "west", "y": "20 ft", "yokes": ["blank"]})
EMT = {"kind": "EMT", "trade_size": "1/2"}

SHOPS: dict[str, list[Change]] = {
    "a motor beside a continuous load": [
        ("machines[drill-press].plugs_into", "W3"),
        ("machines[dryer]", {**HEATER, "continuous": "yes", "plugs_into": "W3",
                             "at": ["2 ft", "14 ft"]}),
        ROOMY,
    ],
    "a hard-wired motor": [H1, ("machines[fan]", {**WIRED, "motor": "1/2 hp"}), ROOMY],
    "a hard-wired heater": [
        H1,
        ("machines[oven]", {**WIRED, "power": "4 kW", "continuous": "yes"}),
        ROOMY,
        *LARGER_FEEDER,
    ],
    "an existing box on the block wall": [
        ("boxes[E9]", {"wall": "east", "y": "20 ft", "yokes": ["duplex 5-20R"]}),
        ("existing[X-wall]", {"panel": "P", "spaces": [3], "breaker": "20 A", "conductor": "12",
                              "feeds": ["E9"], "known": "unknown"}),
        ROOMY,
    ],
    "nothing new": [
        *((f"boxes[{name}]", None) for name in
          ("W1", "W2", "W3", "T1", "E1", "E2", "O1", "S1", "L1", "L2")),
        ("routes.raceways[R1]", None),
        ("routes.raceways[R2]", None),
        *((f"machines[{name}]", None) for name in
          ("table-saw", "miter-saw", "drill-press", "band-saw", "collector", "compressor",
           "chargers", "hand-tool")),
        ("use.followers", None),
    ],
    "raceways through the panel": [
        ("routes.raceways[R3]", {**EMT, "ends": ["P", "W3"]}),
        ROOMY,
    ],
    "a raceway to a luminaire": [
        ("boxes[L9]", {"wall": "east", "y": "12 ft", "height": "8 ft", "luminaire": "20 W"}),
        ("routes.raceways[R9]", {**EMT, "ends": ["E1", "L9"]}),
        ("routes.raceways[R1].trade_size", "3/4"),
        ("routes.raceways[R2].trade_size", "3/4"),
        ROOMY,
    ],
    "a raceway that nothing uses": [("routes.raceways[R9]", {**EMT, "ends": ["E1", "W1"]})],
    "a larger conductor wished": [
        ("code.smallest_receptacle_conductor", "10"),
        ("routes.raceways[R1].trade_size", "3/4"),
        ("routes.raceways[R2].trade_size", "3/4"),
        ROOMY,
    ],
    "drop that asks for more than 12 AWG": [("code.voltage_drop_percent", 1.2), ROOMY],
}  # fmt: skip


@pytest.mark.parametrize("name", SHOPS)
def test_the_plan_passes_the_rules(name, garage):
    outcome = plan_shop(changed(garage, SHOPS[name]), PriceBook.read(), Control(effort=2))
    assert outcome.plan is not None, outcome.causes
    assert violations(outcome.plan.findings) == []


def test_a_hard_wired_load_gets_no_larger_breaker_than_it_asks_for(garage):
    """Nothing is gained by leaving the scope of 210.8(F), which ends at 50 A."""
    for machine, amps in (({"motor": "1/2 hp"}, 15.0), ({"power": "4 kW"}, 20.0)):
        alone = [
            ("machines[table-saw]", None),
            ("boxes[T1]", None),
            ("use.followers", [{"machine": "collector", "follows": ["band-saw"]}]),
        ]
        shop = changed(garage, [H1, ("machines[load]", {**WIRED, **machine}), ROOMY, *alone])
        plan = plan_shop(shop, PriceBook.read(), Control(effort=2)).plan
        assert plan is not None
        (circuit,) = (c for c in plan.circuits if "load" in c.machines)
        assert circuit.breaker.amps == amps
        assert circuit.gfci_at == ("breaker",)


def test_a_machine_that_may_choose_takes_a_receptacle_that_holds_it(garage):
    """The nearer 15 A receptacle holds 12 A (210.21(B)(2)); the farther one takes its 14 A."""
    shop = changed(
        garage,
        [
            ("boxes[N15]", {"wall": "west", "y": "6 ft", "yokes": ["duplex 5-15R"]}),
            ("machines[miter-saw].marked", "14 A"),
            ROOMY,
        ],
    )
    plan = plan_shop(shop, PriceBook.read(), Control(effort=2)).plan
    assert plan is not None
    (saw,) = (machine for machine in plan.machines if machine.id == "miter-saw")
    assert saw.outlet is not None
    assert not saw.outlet.startswith("N15")


def test_a_cut_may_cost_more(garage):
    """When the cheapest grouping leaves a portable tool no place, a dearer one is taken."""
    shop = changed(
        garage,
        [
            *((f"machines[{name}]", None) for name in
              ("table-saw", "miter-saw", "drill-press", "band-saw", "collector", "compressor",
               "chargers", "opener")),
            ("use.followers", None),
            *((f"boxes[{name}]", None) for name in ("W2", "T1", "E1", "E2", "O1", "X1")),
            ("existing[X-opener]", None),
            ("routes.raceways[R1]", None),
            ("routes.raceways[R2]", None),
            ("machines[heater]", {**HEATER, "marked": "12 A", "plugs_into": "W1",
                                  "at": ["2 ft", "4 ft"]}),
            ("machines[hand-tool].marked", "12 A"),
        ],
    )  # fmt: skip
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=2))
    assert outcome.plan is not None
    assert not outcome.causes
    assert not [f for f in outcome.plan.findings if f.severity == "violation"]
    feeding = {o.id: o.circuit for o in outcome.plan.outlets}
    assert feeding["W1.top"] != feeding["W3.top"]


def test_an_existing_breaker_too_large_for_its_conductor_is_a_violation(garage):
    """14 AWG is protected at 15 A, 240.4(D); nothing that is planned mends what is there."""
    shop = changed(garage, [("existing[X-light].breaker", "60 A")])
    plan = plan_shop(shop, PriceBook.read(), Control(effort=2)).plan
    assert plan is not None
    told = [f for f in plan.findings if f.rule == "existing-breaker"]
    assert [(f.severity, f.where, f.limit) for f in told] == [("violation", "X-light", 15.0)]


def test_a_conductor_whose_cable_has_too_small_a_ground_is_refused(garage):
    """8 AWG on 20 A asks for an 8 AWG ground (250.122(B)); the cable has a 10 AWG one."""
    shop = changed(garage, [("code.smallest_receptacle_conductor", "8"), ROOMY])
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=1))
    assert outcome.plan is None
    assert {cause.reason for cause in outcome.causes} >= {"conductor"}
    assert any(remedy.works for remedy in outcome.causes[0].remedies)


def test_receptacles_on_one_switch_are_not_called_pinned():
    """They share a circuit because of their switch; the owner pinned nothing."""
    data = hand_shop(*[["duplex 5-15R switched by S1"]] * 2).canonical()
    data["boxes"].append(
        {"id": "S1", "wall": "west", "x": "8 ft", "height": "4 ft", "yokes": ["switch"]}
    )
    shop = Shop.model_validate(data)
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    assert [circuit.pinned for circuit in plan.circuits] == [False]
    assert not [f.says for f in plan.findings if f.rule == "wishes"]
