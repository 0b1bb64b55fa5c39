"""One change to a shop by a path in words."""

import pytest

from models.shop_edit import ChangeError, changed
from models.shop_file import read_shop

HOW = ("promise", "interlock")


@pytest.fixture
def shop(request):
    return read_shop(request.config.rootpath / "tests" / "shops" / "four_box.yaml")


def test_set_add_and_take_away(shop):
    made = changed(
        shop,
        [
            ("supply.panels[P].spaces", 12),
            ("routes.raceways[R1]", {"kind": "EMT", "trade_size": "1/2", "ends": ["P", "E1"]}),
            ("machines[charger]", None),
            ("later.spare_spaces", None),
        ],
    )
    assert made.panel().spaces == 12
    assert [raceway.id for raceway in made.routes.raceways] == ["R1"]
    assert [machine.id for machine in made.machines] == ["drill-press", "saw"]
    assert made.later.spare_spaces == 0
    assert shop.panel().spaces == 6


def test_one_more_of_a_list_without_names(shop):
    """Each comes on top of those that are there, and of those added before it."""
    pair = {"machines": ["drill-press", "saw"]}
    made = changed(shop, [("use.never_together[+]", {**pair, "by": how}) for how in HOW])
    assert sorted(group.by for group in made.use.never_together) == sorted(HOW)
    again = changed(made, [("use.never_together[+]", pair)])
    assert len(again.use.never_together) == 3


@pytest.mark.parametrize(
    ("path", "value", "words"),
    [
        ("boxes[N9].yokes", ["switch"], "N9"),
        ("supply.panels[P].spaces", 7, "spaces"),
        ("Supply!", 1, "write a path"),
    ],
)
def test_what_makes_no_shop_is_told(path, value, words, shop):
    with pytest.raises(ChangeError, match=words):
        changed(shop, [(path, value)])
