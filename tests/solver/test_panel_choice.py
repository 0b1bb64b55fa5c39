"""Which panel a circuit is fed from: the nearer one, unless the feeder there is full.

An invented long shed, 60 ft: the main panel P at its western end, the sub-panel Q at its eastern
end, fed from P. Two 240 V machines stand in the east, each drawing 24 A (marked), on
circuits of their own: a 30 A breaker, as 24 A for 20 A is too much (210.19, 210.20).
"""

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import changed
from solver.plan import plan_shop
from solver.solve import Control
from tests.violations import violations

CORNERS = {"south": (0, 0), "east": (60, 0), "north": (60, 12), "west": (0, 12)}
EASTERN = ("A", "B")
HOTS = {60: "6", 40: "8"}  # Table 310.15(B)(16), 75 °C; grounds by Table 250.122


def panel(name, wall, source, amps):
    return {
        "id": name, "wall": wall, "y": "6 ft", "height": "5 ft", "bus": "100 A", "spaces": 12,
        "terminals": "75 C",
        "feeder": {"from": source, "breaker": f"{amps} A", "length": "60 ft",
                   "conductors": {"hot": HOTS[amps], "neutral": HOTS[amps], "ground": "10"}},
    }  # fmt: skip


def machine(box, y_ft):
    return {"id": f"oven-{box}", "volts": "240 V", "marked": "24 A", "plug": "6-30P",
            "plugs_into": box, "at": ["55 ft", f"{y_ft} ft"], "cord": "10 ft"}  # fmt: skip


def shed(sub_amps=60):
    """Main and sub-panel; the two machines in the east, one receptacle in the west."""
    return Shop.model_validate(
        {
            "format": "branchwright-shop/1",
            "name": "Long shed",
            "building": {
                "kind": "shop",
                "dwelling": False,
                "walls": [
                    {"id": wall, "from": [f"{x} ft", f"{y} ft"]} for wall, (x, y) in CORNERS.items()
                ],
                "ceiling": "9 ft",
                "ambient": {"room": "30 C", "attic": "30 C"},
            },
            "supply": {"panels": [panel("P", "west", "service", 60),
                                  panel("Q", "east", "P", sub_amps)]},
            "boxes": [
                {"id": "A", "wall": "south", "x": "55 ft", "height": "4 ft",
                 "yokes": ["single 6-30R"]},
                {"id": "B", "wall": "north", "x": "55 ft", "height": "4 ft",
                 "yokes": ["single 6-30R"]},
                {"id": "W", "wall": "south", "x": "5 ft", "height": "4 ft",
                 "yokes": ["duplex 5-20R"]},
            ],
            "machines": [machine("A", 4), machine("B", 8)],
            "use": {"days": [{"id": "usual", "people": 2}]},
            "code": {"edition": 2020, "noncoincident": "attended"},
        }
    )  # fmt: skip


def panels_of(shop):
    """The panel of each box's circuit, in a plan without violations."""
    outcome = plan_shop(shop, PriceBook.read(), Control(effort=2))
    assert outcome.plan is not None, [cause.says for cause in outcome.causes]
    assert violations(outcome.plan.findings) == []
    return {outlet.box: circuit.panel for circuit in outcome.plan.circuits
            for outlet in outcome.plan.outlets if outlet.circuit == circuit.id}  # fmt: skip


def test_a_circuit_comes_from_the_nearer_panel_where_both_can_feed_it():
    """Some 50 ft of 10 AWG less from Q for both in the east, of 12 AWG from P for the one west."""
    assert panels_of(shed()) == {"A": "Q", "B": "Q", "W": "P"}


def test_a_circuit_goes_to_the_main_panel_when_the_feeder_of_the_nearer_one_is_full():
    """48 A by the state in which both run are more than 40 A, 24 A are not."""
    found = panels_of(shed(sub_amps=40))
    assert sorted(found[name] for name in EASTERN) == ["P", "Q"]
    assert found["W"] == "P"


@pytest.mark.parametrize(("people", "panels"), [(1, ["Q", "Q"]), (2, ["P", "Q"])])
def test_what_a_feeder_gives_is_counted_over_working_states(people, panels):
    """With one person only one of the two runs, and 24 A are within 40 A; with two both do."""
    shop = changed(shed(sub_amps=40), [("use.days[usual].people", people)])
    found = panels_of(shop)
    assert sorted(found[name] for name in EASTERN) == panels
