"""Rooms under one roof: what holds at a point, what a run lies in, what stands between places."""

from pathlib import Path

import pytest

from models.shop import Building
from models.shop_file import ShopFileError, parse_shop
from models.sight import wall_between
from models.spaces import EARTH_C, hottest_c, sections
from models.wall_reach import bare_stretches

GOOD = (Path(__file__).parent.parent / "shops" / "four_box.yaml").read_text(encoding="utf-8")
ROOMS = """  partitions:
    - {id: inner, from: [6 ft, 0 ft], to: [6 ft, 8 ft], construction: masonry}
  areas:
    - {id: hot, from: [6 ft, 0 ft], to: [10 ft, 8 ft], ceiling: 7 ft, ambient: 40 C, attic: 60 C}
    - {id: low, from: [0 ft, 6 ft], to: [6 ft, 8 ft], ceiling: 6 ft, ceiling_runs: joists}
  ambient:"""


@pytest.fixture
def rooms():
    """10 ft by 8 ft under 8 ft: a hot room in the east under 7 ft, a low strip north-west."""
    text = GOOD.replace("  ambient:", ROOMS).replace("[5 ft, 4 ft]", "[3 ft, 4 ft]")
    text = text.replace("height: 4 ft, yokes: [duplex", "height: 3 ft, yokes: [duplex")
    return parse_shop(text.replace("at: [7 ft, 4 ft]", "at: [8 ft, 4 ft]"))


@pytest.mark.parametrize(
    ("point", "ceilings"),
    [
        ((3, 3), [8]),
        ((8, 3), [7]),
        ((3, 7), [6]),
        ((6, 3), [7, 8]),  # on the edge between the two
        ((6, 7), [6, 7]),  # two areas meet, and nothing else is there
        ((6, 6), [6, 7, 8]),  # three ceilings at one point
        ((10, 4), [7]),  # on the outer wall
        ((0, 6), [6, 8]),
    ],
)
def test_every_ceiling_that_meets_at_a_point(rooms, point, ceilings):
    found = {climate.ceiling_ft for climate in rooms.building.climates_at(*point)}
    assert sorted(found) == ceilings
    assert rooms.building.climate_at(*point).ceiling_ft == ceilings[0]


def test_a_run_is_cut_where_the_ceiling_changes(rooms):
    """Up a wall, over the room, into the hot attic: 4 ft, 4 ft and 3 ft, at 30, 40 and 60 °C."""
    path = [(2.0, 0.0, 4.0), (2.0, 0.0, 8.0), (9.0, 0.0, 8.0)]
    found = sections(rooms.building, path, "cable")
    assert [(s.lies, s.length_ft) for s in found[:2]] == [("in wall", 4.0), ("attic", 4.0)]
    assert [s.ambient_c for s in found[:2]] == [30.0, 40.0]
    assert sum(s.length_ft for s in found) == 11.0
    over_hot = [(2.0, 4.0, 7.0), (9.0, 4.0, 7.0)]
    assert hottest_c(rooms.building, over_hot, "cable") == 60.0
    assert hottest_c(rooms.building, over_hot, "surface") == 40.0


def test_joists_and_earth(rooms):
    in_joists = sections(rooms.building, [(1.0, 7.0, 6.0), (4.0, 7.0, 6.0)], "cable")
    assert [(s.lies, s.ambient_c) for s in in_joists] == [("in ceiling", 30.0)]
    deep = sections(rooms.building, [(1.0, 1.0, -1.5), (4.0, 1.0, -1.5)], "buried")
    assert [(s.lies, s.ambient_c) for s in deep] == [("underground", EARTH_C)]


def test_a_wall_stands_between_rooms_but_not_in_a_doorway(rooms):
    assert wall_between(rooms, (3, 4), (8, 4))
    assert not wall_between(rooms, (1, 1), (5, 7))
    assert not wall_between(rooms, (6, 4), (8, 4))  # at the wall itself
    door = {"id": "D", "kind": "door", "wall": "inner", "between": ["3 ft", "5 ft"]}
    data = rooms.canonical()
    data["building"]["openings"] = [door]
    with_door = type(rooms).model_validate(data)
    assert not wall_between(with_door, (3, 4), (8, 4))
    assert wall_between(with_door, (3, 4), (8, 1))


def test_a_cord_does_not_go_through_a_wall():
    """The receptacle is 2 ft away, in the other room."""
    text = GOOD.replace("  ambient:", ROOMS).replace("[5 ft, 4 ft]", "[3 ft, 4 ft]")
    text = text.replace("height: 4 ft, yokes: [duplex", "height: 3 ft, yokes: [duplex")
    with pytest.raises(ShopFileError) as caught:
        parse_shop(text.replace("at: [7 ft, 4 ft]", "at: [5.5 ft, 4 ft]"))
    assert "machines[saw]" in str(caught.value)


def test_bare_walls_by_hand():
    """A 6 ft cord from 3 ft up reaches a receptacle 4 ft up over √35 = 5.9 ft of floor.

    One 120 V receptacle at (3, 8): the north wall is covered to x = 8.9 ft; of the south wall,
    8 ft away, nothing.
    """
    shop = parse_shop(GOOD)
    found = {(s.wall, s.begin_ft, s.end_ft) for s in bare_stretches(shop)}
    assert ("south", 0.0, 10.0) in found
    assert ("north", 9.0, 10.0) in found
    west = next(s for s in bare_stretches(shop) if s.wall == "west")
    assert (west.begin_ft, west.end_ft) == (0.0, 2.75)  # (8 - y)² + 3² > 35 up to y = 2.9


def test_steps_of_the_walls_lead_into_the_room():
    walls = [
        {"id": name, "from": [f"{x} ft", f"{y} ft"]}
        for name, x, y in (("s", 0, 0), ("e", 9, 0), ("n", 9, 9), ("w", 0, 9))
    ]
    building = Building.model_validate(
        {"kind": "shop", "dwelling": "no", "walls": walls, "ceiling": "9 ft"}
    )
    steps = {name: building.facing(name, None) for name in "senw"}
    assert steps == {"s": (0, 1), "e": (-1, 0), "n": (0, -1), "w": (1, 0)}
