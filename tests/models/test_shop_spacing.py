"""A row of boxes at another spacing: who keeps an id, what is laid anew, who names what is gone.

Invented shop; boxes from 2 ft every 3 ft to 11 ft are counted out by hand.
"""

import pytest

from models.shop import Row, Shop
from models.shop_edit import changed
from models.shop_rows import expand
from models.shop_spacing import SpacingError, names_gone, spaced

ROW = {"id": "N", "wall": "north", "from": "2 ft", "to": "11 ft", "every": "3 ft",
       "height": "4 ft", "yokes": ["duplex 5-20R"], "raceway": "EMT 1/2"}  # fmt: skip


@pytest.fixture
def shop(make_four):
    """Boxes N1 to N4 at 2, 5, 8 and 11 ft."""
    return expand(make_four(ROW)).shop


@pytest.fixture
def make_four():
    def made(row):
        walls = {"south": [0, 0], "east": [12, 0], "north": [12, 10], "west": [0, 10]}
        panel = {
            "id": "P",
            "wall": "west",
            "y": "5 ft",
            "height": "5 ft",
            "bus": "100 A",
            "spaces": 8,
            "terminals": "75 C",
            "feeder": {
                "from": "house",
                "breaker": "60 A",
                "length": "30 ft",
                "conductors": {"hot": "6", "neutral": "6", "ground": "10"},
            },
        }
        return Shop.model_validate(
            {
                "format": "branchwright-shop/1",
                "name": "Row",
                "building": {
                    "kind": "shop",
                    "dwelling": False,
                    "ceiling": "8 ft",
                    "walls": [
                        {"id": wall, "from": [f"{x} ft", f"{y} ft"]}
                        for wall, (x, y) in walls.items()
                    ],
                },
                "supply": {"panels": [panel]},
                "rows": [row],
                "use": {"days": [{"id": "usual", "people": 1}]},
                "code": {"edition": 2023},
            }
        )

    return made  # fmt: skip


def places(shop):
    return {box.id: box.x_ft for box in shop.boxes}


def test_boxes_that_stay_keep_their_ids_and_others_get_new_ones(shop):
    """Every 4 ft: 2, 6, 10; every 1 ft 6 in: 2, 3.5, 5, 6.5, 8, 9.5, 11."""
    rows = [Row.model_validate(ROW)]
    assert places(shop) == {"N1": 2, "N2": 5, "N3": 8, "N4": 11}
    wider, gone = spaced(shop, rows, "N", 4.0)
    assert places(wider) == {"N1": 2, "N5": 6, "N6": 10}
    assert gone == {"N2", "N3", "N4"}
    closer, gone = spaced(shop, rows, "N", 1.5)
    assert places(closer) == {"N1": 2, "N2": 5, "N3": 8, "N4": 11, "N5": 3.5, "N6": 6.5, "N7": 9.5}
    assert gone == set()
    ends = [set(one.ends) for one in closer.routes.raceways]
    assert sorted(map(sorted, ends)) == [
        ["N1", "N5"], ["N2", "N5"], ["N2", "N6"], ["N3", "N6"], ["N3", "N7"], ["N4", "N7"],
    ]  # fmt: skip


def test_an_id_that_was_written_down_is_kept(make_four):
    ids = {"DOOR": "2 ft", "N7": "5 ft"}
    row = {**ROW, "ids": ids}
    shop = expand(make_four(row)).shop
    made, gone = spaced(shop, [Row.model_validate(row)], "N", 9.0)
    assert places(made) == {"DOOR": 2, "N9": 11}  # the row named it so
    assert gone == {"N7", "N8"}


def test_who_names_a_box_that_is_gone(shop):
    machine = {"volts": "120 V", "marked": "5 A", "plug": "5-15P", "plugs_into": "N2.top",
               "at": ["5 ft", "8 ft"], "name": "N2 it is called"}  # fmt: skip
    named = changed(shop, [("machines[m]", machine), ("pins.together", [["N1", "N3"]])])
    made, gone = spaced(named, [Row.model_validate(ROW)], "N", 4.0)
    assert list(names_gone(made, gone)) == ["machines[m].plugs_into is N2.top",
                                            "pins.together is N3"]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "every", "says"),
    [("M", 4.0, "no row of boxes is called 'M'"), ("N", 3.0, "already"),
     ("N", 0.3, "6 in apart at least")],
)  # fmt: skip
def test_what_cannot_be_is_told(shop, name, every, says):
    with pytest.raises(SpacingError, match=says):
        spaced(shop, [Row.model_validate(ROW)], name, every)
