"""Outlines that are none, and what is inside one that is."""

import pytest

from models.shop import Building
from tests.models.broken_facts import GOOD, found_in


def building(*corners: tuple[int, int]) -> Building:
    """A building by the corners of its walls. [ft]"""
    walls = [{"id": f"w{i}", "from": [f"{x} ft", f"{y} ft"]} for i, (x, y) in enumerate(corners)]
    return Building.model_validate(
        {"kind": "shop", "dwelling": "no", "walls": walls, "ceiling": "8 ft"}
    )


def with_walls(*corners: tuple[int, int]) -> str:
    """The good file with another outline."""
    head, rest = GOOD.split("  walls:\n")
    rest = rest[rest.index("  ceiling: 8 ft") :]
    names = ["south", "east", "north", "west", *"abcdefgh"]
    walls = [
        f"    - {{id: {name}, from: [{x} ft, {y} ft]}}\n"
        for name, (x, y) in zip(names, corners, strict=False)
    ]
    return f"{head}  walls:\n{''.join(walls)}{rest}"


@pytest.mark.parametrize(
    ("corners", "words"),
    [
        ([(0, 0), (0, 8), (10, 8), (10, 0)], "clockwise"),
        # an 8 that crosses itself; a spike that goes back over itself; two rooms that touch
        ([(0, 0), (6, 0), (6, 6), (3, 6), (3, 3), (9, 3), (9, 9), (0, 9)], "crosses"),
        ([(0, 0), (10, 0), (10, 8), (10, 5), (0, 5), (0, 8)], "crosses"),
        ([(0, 0), (9, 0), (9, 8), (5, 8), (5, 0), (4, 0), (4, 8), (0, 8)], "crosses or touches"),
    ],
)
def test_an_outline_that_is_none(corners, words):
    """One message about the walls, and none about what hangs on them."""
    lines = found_in(with_walls(*corners))
    assert len(lines) == 1
    assert words in lines[0]
    assert "building.walls" in lines[0]


@pytest.mark.parametrize(
    ("point", "within"),
    [
        ((1, 1), True),
        ((9, 9), False),  # the corner that an L leaves out
        ((5, 9), True),  # on a wall
        ((9, 5), True),
        ((10, 5.5), False),
        ((0, 0), True),
        ((4, 9.5), True),
    ],
)
def test_inside_an_l_shaped_room(point, within):
    """A room of 10 ft by 10 ft without its 5 ft by 5 ft corner in the north-east."""
    room = building((0, 0), (10, 0), (10, 5), (5, 5), (5, 10), (0, 10))
    assert room.holds(*point) is within
