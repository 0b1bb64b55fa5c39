"""The receptacle circuit of a dwelling's garage, NEC 210.11(C)(4): planned, or said why not."""

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import changed
from solver.garage import garage_needs
from solver.plan import plan_shop
from solver.solve import Control
from tests.violations import violated

RULE = "garage-branch-circuit"
WALLS = {"south": [0, 0], "east": [30, 0], "north": [30, 20], "west": [0, 20]}


def garage(*, doors=(), edition=2020, **building):
    """Two receptacles, each beside a small hard-wired machine that would share; a light."""
    boxes = [
        {"id": "S", "wall": "west", "y": "12 ft", "height": "4 ft", "yokes": ["switch"]},
        {"id": "L", "ceiling": ["15 ft", "10 ft"], "luminaire": "60 W", "switched_by": "S"},
    ]
    machines = []
    for number, x in enumerate((6, 24)):
        boxes += [
            {"id": f"R{number}", "wall": "north", "x": f"{x} ft", "yokes": ["duplex 5-20R"]},
            {"id": f"H{number}", "wall": "north", "x": f"{x + 1} ft", "yokes": ["blank"]},
        ]
        machines.append(
            {"id": f"M{number}", "volts": "120 V", "marked": "4 A", "hard_wired_at": f"H{number}"}
        )
    return Shop.model_validate(
        {
            "format": "branchwright-shop/1",
            "name": "Garage of two receptacles",
            "building": {
                "kind": "garage",
                "dwelling": True,
                "walls": [{"id": w, "from": [f"{x} ft", f"{y} ft"]} for w, (x, y) in WALLS.items()],
                "ceiling": "8 ft",
                "openings": [
                    {"id": f"D{n}", "kind": "overhead door", "wall": "south",
                     "between": [f"{x} ft", f"{x + 9} ft"]}
                    for n, x in enumerate(doors)
                ],
                "ceiling_runs": "joists",
            }
            | building,
            "supply": {
                "panels": [
                    {"id": "P", "wall": "west", "y": "10 ft", "height": "5 ft", "bus": "100 A",
                     "spaces": 12, "terminals": "75 C",
                     "feeder": {"from": "house", "breaker": "100 A", "length": "30 ft",
                                "raceway": "EMT 2",
                                "conductors": {"hot": "1", "neutral": "1", "ground": "4"}}}
                ]
            },
            "boxes": boxes,
            "machines": machines,
            "use": {"days": [{"id": "usual", "people": 1}]},
            "code": {"edition": edition},
        }
    )  # fmt: skip


def planned(shop):
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=2))
    assert outcome.plan is not None
    found = violated(outcome.plan.findings)
    return outcome, found


def with_receptacles_alone(plan):
    """Boxes with receptacles on circuits of 20 A that feed nothing but receptacles."""
    kinds: dict[str, set[str]] = {}
    for outlet in plan.outlets:
        kinds.setdefault(outlet.circuit, set()).add(outlet.kind)
    rated = {circuit.id for circuit in plan.circuits if circuit.breaker.amps == 20}
    return {
        o.box for o in plan.outlets if kinds[o.circuit] == {"receptacle"} and o.circuit in rated
    }


def test_elsewhere_all_share_one_circuit():
    """Else the tests below would say nothing: beside the light's a shop has one circuit."""
    outcome, found = planned(garage(dwelling=False))
    assert not found
    assert len(outcome.plan.circuits) == 2
    assert not garage_needs(garage(dwelling=False))


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_a_garage_has_its_circuit(edition):
    outcome, found = planned(garage(edition=edition))
    assert RULE not in found
    assert not outcome.causes
    assert with_receptacles_alone(outcome.plan)


@pytest.mark.parametrize(("edition", "bays"), [(2017, 1), (2020, 2)])
def test_since_2020_in_every_bay(edition, bays):
    """Two doors are two bays, and each has one of the receptacles."""
    shop = garage(doors=(2, 19), edition=edition)
    assert len(garage_needs(shop)) == bays
    outcome, found = planned(shop)
    assert RULE not in found
    assert len(with_receptacles_alone(outcome.plan)) >= bays


def test_in_one_bay_2023_lets_equipment_share():
    outcome, found = planned(garage(doors=(10,), edition=2023))
    assert RULE not in found
    assert len(outcome.plan.circuits) == 2


def test_a_pin_in_the_way_is_told():
    """Both receptacles pinned to machines: no circuit is left for receptacles alone."""
    pins = [["R0", "H0"], ["R1", "H1"]]
    outcome, found = planned(changed(garage(), [("pins.together", pins)]))
    assert RULE in found
    (cause,) = outcome.causes
    assert cause.reason == RULE
    assert [remedy.says for remedy in cause.remedies if remedy.works] == ["drop this pin"]


def test_no_receptacle_at_all_is_told():
    shop = garage()
    only = [("boxes[R0]", None), ("boxes[R1]", None)]
    outcome, found = planned(changed(shop, only))
    assert RULE in found
    assert [cause.reason for cause in outcome.causes] == [RULE]
