"""What must hold between plans of shops that differ in one way, whatever the shops. USD.

Compared are plans proved to be the least there is: of others nothing of the kind can be said.
"""

import json
import re
from dataclasses import replace

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_checks import check_shop
from solver.plan import plan_shop
from solver.solve import Control

SEEDS = (2, 5, 8, 11, 12, 15, 19, 20, 23, 24, 25, 26)
BOOK = PriceBook.read()
WIDTH_FT, CENT = 12, 0.01
PINNED = [["duplex 5-20R"]] * 2
FACING = {"east": "west", "west": "east"}


def least(shop, book=BOOK):
    """The cost of a plan in 0.0001 USD from its parts, and its objective; None when not proved."""
    assert not check_shop(shop)
    plan = plan_shop(shop, book, Control(effort=5), explain=False).plan
    if plan is None or plan.objective.proved != "global":
        return None
    cost = sum(round(10_000 * line.cost_usd) for line in plan.takeoff)
    assert plan.objective.value == pytest.approx(cost / 10_000, abs=CENT)
    return cost


@pytest.fixture(scope="module")
def shops():
    from tests.solver.conftest import small_shop

    found = [small_shop(seed) for seed in SEEDS]
    return [(shop, cost) for shop in found if (cost := least(shop)) is not None]


def test_there_is_something_to_compare(shops):
    """Measured: all twelve are proved, and all shops changed from them."""
    assert len(shops) >= 10


def compared(shops, change, *, at_least=10):
    """(cost before, cost after) for the shops that can be changed and proved again."""
    pairs = []
    for shop, before in shops:
        data = json.loads(json.dumps(shop.canonical()))
        changed = change(data)
        after = None if changed is None else least(Shop.model_validate(changed))
        if after is not None:
            pairs.append((before, after))
    assert len(pairs) >= at_least
    return pairs


# Never less


def test_a_receptacle_more_in_a_box_costs_no_less(shops):
    pairs = compared(shops, with_another_receptacle)
    assert all(after >= before for before, after in pairs), pairs
    assert any(after > before for before, after in pairs)


def with_another_receptacle(data):
    """A second duplex receptacle beside the first one that has its box to itself."""
    box = next((box for box in data["boxes"] if box["yokes"] == ["duplex 5-20R"]), None)
    if box is None:
        return None
    box["yokes"].append("duplex 5-20R")
    for machine in data["machines"]:
        if machine["plugs_into"] == box["id"]:
            machine["plugs_into"] = f"{box['id']}.left"
    return data


def test_more_people_cost_no_less(shops):
    pairs = compared(shops, with_more_people)
    assert all(after >= before for before, after in pairs), pairs
    assert any(after > before for before, after in pairs)


def with_more_people(data):
    for day in data["use"]["days"]:
        day["people"] = day.get("people", 1) + 2
    return data


# Always the same


def test_other_names_cost_the_same(shops):
    pairs = compared(shops, renamed)
    assert [after for _, after in pairs] == [before for before, _ in pairs]


def renamed(data):
    """Boxes and machines named the other way round, so that their order turns too."""
    text = re.sub(r'"B(\d)([".])', lambda m: f'"Z{9 - int(m[1])}{m[2]}', json.dumps(data))
    return json.loads(re.sub(r'"M(\d)"', lambda m: f'"A{9 - int(m[1])}"', text))


def test_another_order_in_the_file_costs_the_same(shops):
    pairs = compared(shops, reordered)
    assert [after for _, after in pairs] == [before for before, _ in pairs]


def reordered(data):
    return data | {"boxes": data["boxes"][::-1], "machines": data["machines"][::-1]}


def test_a_mirrored_building_costs_the_same(shops):
    pairs = compared(shops, mirrored)
    assert [after for _, after in pairs] == [before for before, _ in pairs]


def mirrored(data):
    """East and west change places in a room that is alike on both sides."""
    for place in (*data["boxes"], *data["supply"]["panels"]):
        place["wall"] = FACING.get(place["wall"], place["wall"])
        if "x" in place:
            place["x"] = from_the_other_side(place["x"])
    for machine in data["machines"]:
        machine["at"][0] = from_the_other_side(machine["at"][0])
    return data


def from_the_other_side(feet):
    return f"{WIDTH_FT - float(feet.removesuffix(' ft')):g} ft"


def test_a_pin_may_name_its_boxes_in_any_order(make_shop):
    """A plan lists the pins as the shop in it has them, or its own check would not find them."""
    data = make_shop(12).canonical() | {"pins": {"together": [["B2", "B0"]], "apart": []}}
    assert [box["yokes"] for box in data["boxes"] if box["id"] in ("B0", "B2")] == PINNED
    plan = plan_shop(Shop.model_validate(data), BOOK, Control(effort=1), explain=False).plan
    assert plan is not None
    assert [finding for finding in plan.findings if finding.rule == "wishes"] == []


# In proportion


def test_twice_the_prices_cost_twice_as_much(shops):
    prices = {key: replace(price, cents=2 * price.cents) for key, price in BOOK.prices.items()}
    dearer = replace(BOOK, prices=prices)
    assert [least(shop, dearer) for shop, _ in shops] == [2 * cost for _, cost in shops]
