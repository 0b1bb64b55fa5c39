"""Labels by hand: room beside a run, a leader that goes round a label, a run where nothing else is.

A label of 20 by 10 points belongs to the point (50, 50); expected places follow from that alone.
"""

import pytest

from branchwright.sheets.display import Bounds
from branchwright.sheets.label_places import RUN_GAP, Places, Target

PAGE = Bounds(0, 0, 100, 100)
POINT = Target((50, 50), 2, 2)


def test_a_label_keeps_half_a_raceway_from_a_run():
    places = Places(PAGE)
    free = places.put([POINT], 20, 10)
    assert free
    assert free.bounds.top > 50
    beside = Places(PAGE)
    beside.add_run([(0, free.bounds.bottom + RUN_GAP / 2), (100, free.bounds.bottom + RUN_GAP / 2)])
    moved = beside.put([POINT], 20, 10)
    assert moved
    assert moved.bounds != free.bounds
    assert moved.bounds.bottom + RUN_GAP < free.bounds.bottom + RUN_GAP / 2


def test_where_room_is_short_it_lies_close_to_a_run():
    narrow = Places(Bounds(30, 40, 70, 67))
    narrow.add_run([(30, 54), (70, 54)])
    narrow.add_run([(30, 39), (70, 39)])
    place = narrow.put([POINT], 20, 10)
    assert place
    assert place.bounds.top >= 54


@pytest.mark.parametrize("is_label", [True, False])
def test_a_leader_goes_round_a_label_and_a_symbol(is_label):
    """Right below the point is room, but something lies between; beside it is room as well."""
    places = Places(PAGE)
    places.add_solid([Bounds(0, 0, 100, 48), Bounds(0, 48, 45, 70), Bounds(70, 48, 100, 70)])
    between = [Bounds(44, 56, 56, 60)]
    if is_label:
        places.add_label(*between)
    else:
        places.add_solid(between)
    place = places.put([POINT], 20, 10)
    assert place
    assert place.needs_leader
    (x, y), (to_x, to_y) = place.leader
    assert to_y > 60
    assert all(x + (to_x - x) * (level - y) / (to_y - y) > 56 for level in (56.1, 60))
