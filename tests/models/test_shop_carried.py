"""Raceways when a box is taken out or a panel put elsewhere: carried along, or the owner is asked.

What goes on to where is read off the drawings of the invented shops: R-J1 joins panel and J1, from
there R-S goes down to J3, which S4 and S5 hang on.
"""

from pathlib import Path

import pytest

from models.shop_carried import CarryError, carried
from models.shop_checks import check_shop
from models.shop_edit import changed
from models.shop_file import read_shop

SCENARIOS = Path(__file__).resolve().parents[2] / "scenarios"


@pytest.fixture(scope="module")
def heron():
    return read_shop(SCENARIOS / "heron_slip_built.yaml")


@pytest.fixture(scope="module")
def metal():
    return read_shop(SCENARIOS / "half_wired_metal_shop.yaml")


def ends_after(shop, *changes):
    """Where each raceway ends then that ended elsewhere before; the shop then holds together."""
    made, told = carried(shop, changed(shop, changes))
    assert check_shop(made) == []
    assert told
    before = {raceway.id: {*raceway.ends} for raceway in shop.routes.raceways}
    after = {raceway.id: {*raceway.ends} for raceway in made.routes.raceways}
    gone = dict.fromkeys(before.keys() - after.keys())
    return gone | {name: ends for name, ends in after.items() if ends != before[name]}


def without(*boxes):
    return [(f"routes.junction_boxes[{box}]", None) for box in boxes]


def test_raceways_go_on_to_where_the_one_from_the_panel_came_from(heron):
    assert ends_after(heron, *without("J1")) == {
        "R-J1": None, "R-J2": {"P", "J2"}, "R-S": {"P", "J3"}, "R-SPLIT": {"P", "SPLIT"},
    }  # fmt: skip
    assert ends_after(heron, *without("J3")) == {
        "R-S": None, "R-S4": {"J1", "S4"}, "R-S5": {"J1", "S5"},
    }  # fmt: skip


def test_without_any_junction_box_each_raceway_is_a_way_of_its_own(heron):
    assert ends_after(heron, *without("J2", "J3", "J1")) == {
        "R-J1": None, "R-J2": None, "R-S": None, "R-SPLIT": {"P", "SPLIT"},
        "R-KILN": {"P", "KILN1"}, "R-S4": {"P", "S4"}, "R-S5": {"P", "S5"},
    }  # fmt: skip


def test_what_the_owner_says_of_a_raceway_comes_first(heron):
    named = [*without("J2"), ("routes.raceways[R-KILN].ends", ["P", "KILN1"])]
    assert ends_after(heron, *named) == {"R-J2": None, "R-KILN": {"P", "KILN1"}}


def test_a_box_of_a_row_leaves_its_neighbours_joined(heron):
    """S6 stands between S5 and S7; whatever comes from the panel comes by way of S5."""
    found = ends_after(heron, ("boxes[S6]", None), ("machines[chargers].plugs_into", "S5.left"))
    assert found == {"S5-S6": None, "S6-S7": {"S5", "S7"}}


def test_the_points_over_a_panel_go_with_it(heron):
    made, told = carried(heron, changed(heron, [("supply.panels[P].x", "30 ft")]))
    assert check_shop(made) == []
    by = {raceway.id: raceway.by for raceway in made.routes.raceways}
    assert by["R-J1"] == ((27.0, 18.0, 11.0), (30.0, 18.0, 11.0))
    assert by["R-WELD"][0] == (30.0, 18.0, 11.0)
    assert by["R-WELD"][1:] == ((10.5, 18.0, 11.0), (10.5, 0.0, 11.0), (6.0, 0.0, 11.0))
    assert len(told) == 2


def test_a_way_that_no_longer_leads_there_is_found_anew(heron):
    other = [("supply.panels[P].wall", "west"), ("supply.panels[P].x", None),
             ("supply.panels[P].y", "16 ft")]  # fmt: skip
    made, told = carried(heron, changed(heron, other))
    assert {r.id for r in made.routes.raceways if "P" in r.ends and not r.by} == {"R-J1", "R-WELD"}
    assert "the way of raceway R-J1 to P is found anew" in told


def test_what_is_there_already_is_asked_about(metal):
    """R3 and R4 were found in the wall."""
    with pytest.raises(CarryError, match=r"R3, R4: .*routes\.raceways\[R3\]="):
        carried(metal, changed(metal, without("JB1")))


def test_a_raceway_that_would_begin_nowhere_is_asked_about(heron):
    """Without R-J1 and R-SPLIT cable leads to J1, and two raceways begin there."""
    cut = [(f"routes.raceways[{name}]", None) for name in ("R-J1", "R-SPLIT")]
    with pytest.raises(CarryError, match=r"cable alone leads to J1, so that R-J2, R-S would"):
        carried(heron, changed(heron, [*cut, *without("J1")]))
