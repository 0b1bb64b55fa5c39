"""Where labels go: what is looked up by the squares of a sheet is what looking at all there is
finds, and a drawing grows until every label has room.
"""

import random

import pytest

from branchwright.sheets.display import Bounds
from branchwright.sheets.floor_labels import NoRoomError, with_room
from branchwright.sheets.label_places import Places, Target
from branchwright.sheets.squares import Squares

SHEET = 600.0


def rectangles(seed, count=300):
    """Some, many with edges on the edges of squares."""
    rng = random.Random(seed)
    for _ in range(count):
        left, top = (rng.choice((rng.uniform(-50, SHEET), 40.0 * rng.randrange(12))) for _ in "xy")
        wide, high = (rng.choice((0.0, 40.0, rng.uniform(0, 90))) for _ in "xy")
        yield Bounds(left, top, left + wide, top + high)


def touch(one, other):
    """Whether two rectangles have a point in common."""
    across = one.left <= other.right and other.left <= one.right
    return across and one.top <= other.bottom and other.top <= one.bottom


@pytest.mark.parametrize("seed", range(5))
def test_all_that_touches_a_place_is_near_it_and_in_order(seed):
    squares: Squares[int] = Squares()
    shapes = list(rectangles(seed))
    for number, bounds in enumerate(shapes):
        squares.add(bounds, number)
    for place in rectangles(seed + 100, 50):
        near = list(squares.near(place))
        assert near == sorted(set(near))
        assert {n for n, bounds in enumerate(shapes) if touch(bounds, place)} <= set(near)


@pytest.mark.parametrize("seed", range(3))
def test_no_label_lies_on_another_on_a_symbol_or_on_a_run(seed):
    rng = random.Random(seed)
    places = Places(Bounds(0, 0, SHEET, SHEET))
    symbols = [b for b in rectangles(seed, 40) if b.right - b.left < 60]
    places.add_solid(symbols)
    xs = [rng.uniform(0, SHEET) for _ in range(10)]
    for x in xs:
        places.add_run([(x, 0.0), (x, SHEET)])
    labels: list[Bounds] = []
    for _ in range(60):
        target = Target((rng.uniform(0, SHEET), rng.uniform(0, SHEET)), 4, 4)
        if place := places.put([target], 30, 10):
            assert not any(place.bounds.overlaps(one) for one in (*symbols, *labels))
            assert not any(place.bounds.left < x < place.bounds.right for x in xs)
            labels.append(place.bounds)
    assert len(labels) > 20


def test_a_label_is_nearer_to_its_own_symbol_than_to_any_other():
    """A run keeps the label from straight above; at the right it would stand over another box."""
    places = Places(Bounds(0, 0, SHEET, SHEET))
    own, other = Bounds(290, 290, 310, 310), Bounds(330, 290, 350, 310)
    places.add_solid([own, other])
    places.add_run([(300.0, 0.0), (300.0, 290.0)])
    place = places.put([Target((300, 300), 10, 10, (0.1, -1.0))], 60, 20)
    assert place is not None
    assert place.bounds.right < 300
    alone = Places(Bounds(0, 0, SHEET, SHEET))
    alone.add_solid([own])
    alone.add_run([(300.0, 0.0), (300.0, 290.0)])
    there = alone.put([Target((300, 300), 10, 10, (0.1, -1.0))], 60, 20)
    assert there is not None
    assert there.bounds.left > 300


def test_the_first_try_with_room_for_all_is_drawn_else_the_last_without_some():
    asked = []

    def drawn(one, every):
        asked.append((one, every))
        if every and one < 3:
            raise NoRoomError("a label")
        return one

    assert with_room((1, 2, 3, 4), drawn) == 3
    assert with_room((1, 2), drawn) == 2
    assert asked == [(1, True), (2, True), (3, True), (1, True), (2, False)]
