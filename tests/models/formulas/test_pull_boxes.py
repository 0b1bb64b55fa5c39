"""Pull boxes against published examples, and how distances grow with what enters."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.pull_boxes import (
    angle_pull_in,
    entries_apart_in,
    needs_pull_box,
    straight_pull_in,
    trade_size_for_cable,
    trade_size_in,
)
from models.formulas.raceway_fill import conductor_area_in2
from models.tables import NotInTableError

SIZES = st.sampled_from(["1/2", "3/4", "1", "1-1/4", "1-1/2", "2", "2-1/2", "3", "3-1/2", "4"])


def test_straight_pulls() -> None:
    """Trade magazine quiz: 2 in asks for 16 in; 2-1/2, 2 and 1-1/2 in one wall for 20 in."""
    assert straight_pull_in(["2"]) == 16
    assert straight_pull_in(["2-1/2", "2", "1-1/2"]) == 20


def test_angle_pulls() -> None:
    """Home repair article: 2 in each way, 12 x 12 in; 3 in beside 2 in, 20 in, 18 in apart."""
    assert angle_pull_in([["2"]]) == 12
    assert angle_pull_in([["3", "2"]]) == 20
    assert entries_apart_in("3", "3") == 18


def test_rows_are_counted_one_by_one() -> None:
    """314.28(A)(2): the row that gives most; 6 x 2 + 3 x 1 = 15 in, 6 x 2 + 4 x 1-1/4 = 17 in."""
    assert angle_pull_in([["2", "1", "1", "1"], ["1-1/4", "2", "1-1/4", "1-1/4", "1-1/4"]]) == 17


def test_from_4_awg_up() -> None:
    """314.28(A): insulated conductors of 4 AWG and larger; 6 AWG is the last of box fill."""
    assert [needs_pull_box(awg) for awg in ("14", "6", "4", "4/0")] == [False, False, True, True]


@pytest.mark.parametrize(
    ("count", "size"), [(1, "1/2"), (2, "3/4"), (3, "1"), (4, "1"), (5, "1-1/4")]
)
def test_a_cable_counts_as_the_raceway_of_its_conductors(count: int, size: str) -> None:
    """NFPA 70 Annex C Table C.1: 4 AWG THHN in EMT: 1, 2, 4, 7 in 1/2, 3/4, 1, 1-1/4."""
    areas = [conductor_area_in2("4", "THHN")] * count
    assert trade_size_for_cable("EMT", areas) == size


def test_what_is_not_held() -> None:
    with pytest.raises(NotInTableError, match="no trade size 'wide'"):
        straight_pull_in(["2", "wide"])
    with pytest.raises(NotInTableError, match="fit no EMT of Table 4 as held"):
        trade_size_for_cable("EMT", [1.0] * 4)


@given(rows=st.lists(st.lists(SIZES, min_size=1, max_size=5), min_size=1, max_size=3), more=SIZES)
def test_an_entry_more_never_asks_for_less(rows: list[list[str]], more: str) -> None:
    least = angle_pull_in(rows)
    assert angle_pull_in([*rows[:-1], [*rows[-1], more]]) >= least
    assert angle_pull_in([*rows, [more]]) >= least
    assert least >= 6 * max(trade_size_in(size) for row in rows for size in row)
