"""Walls seen from inside: places from the left, and the faces of partitions.

By hand, from the makerspace's file: the north wall runs from x = 44 ft west to x = 0 at y = 40 ft,
so that whoever looks at it has the west at the left; of the partition fab-wall, from y = 0 to
y = 40 ft at x = 52 ft, the side to the west is drawn.
"""

from pathlib import Path

import pytest

from branchwright.sheets.wall_sides import WallSide
from models.shop_file import read_shop

SCENARIOS = Path(__file__).resolve().parents[3] / "scenarios"


@pytest.fixture(scope="module")
def shop():
    return read_shop(SCENARIOS / "ninety_box_makerspace.yaml")


@pytest.fixture(scope="module")
def sides(shop):
    return {wall.id: WallSide.of(shop, wall) for wall in shop.building.all_walls}


@pytest.mark.parametrize(
    ("wall", "box", "seen_from", "along_ft", "faces"),
    [
        ("north", "WN1", "south", 3.0, "south"),
        ("east", "FT1", "west", 61.0, "west"),
        ("fab-wall", "MW1", "west", 36.0, "west"),
        ("fab-wall", "FT2", "west", 25.0, "east"),
        ("metal-wall", "CS1", "north", 18.0, "north"),
        ("metal-wall", "MT1", "north", 19.0, "south"),
    ],
)
def test_a_box_on_a_wall(shop, sides, wall, box, seen_from, along_ft, faces):
    x, y, _ = shop.position(shop.enclosures[box])
    side = sides[wall]
    assert side.seen_from == seen_from
    assert side.along(x, y) == pytest.approx(along_ft)
    assert side.off(x, y) == pytest.approx(0)
    assert side.faces(shop, box) == faces
