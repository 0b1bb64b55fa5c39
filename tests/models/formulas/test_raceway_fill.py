"""Raceway fill against NFPA 70 Annex C and published worked examples."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.raceway_fill import (
    circle_area_in2,
    conductor_area_in2,
    fill_limit,
    fill_percent,
    jam_ratio,
    max_conductors,
    may_jam,
    more_conductors,
    nm_cable_area_in2,
    note_7_count,
    raceway_area_in2,
)
from models.tables import NotInTableError

SIZES = ("14", "12", "10", "8", "6")

# Annex C, THHN/THWN-2: raceway -> trade size -> count of 14, 12, 10, 8, 6 AWG.
ANNEX_C = {
    "EMT": {  # Table C.1
        "1/2": (12, 9, 5, 3, 2),
        "3/4": (22, 16, 10, 6, 4),
        "1": (35, 26, 16, 9, 7),
        "1-1/4": (61, 45, 28, 16, 12),
        "1-1/2": (84, 61, 38, 22, 16),
        "2": (138, 101, 63, 36, 26),
    },
    "PVC-40": {  # Table C.11 in recent editions
        "1/2": (11, 8, 5, 3, 1),
        "3/4": (21, 15, 9, 5, 4),
        "1": (34, 25, 15, 9, 6),
    },
}


@pytest.mark.parametrize(
    ("kind", "trade_size"), [(kind, size) for kind, table in ANNEX_C.items() for size in table]
)
def test_counts_match_annex_c(kind: str, trade_size: str) -> None:
    """Tables 1, 4 and 5 with Note 7 give every count that Annex C prints."""
    areas = [conductor_area_in2(awg, "THHN") for awg in SIZES]
    counts = tuple(max_conductors(kind, trade_size, area) for area in areas)
    assert counts == ANNEX_C[kind][trade_size]


def test_12_awg_in_rigid_metal_conduit() -> None:
    """Steel tube institute example: sixteen 12 AWG THHN in 3/4 in RMC."""
    assert max_conductors("RMC", "3/4", conductor_area_in2("12", "THHN")) == 16


def test_mixed_sizes_in_emt() -> None:
    """Steel tube institute example: three 12, four 10, eight 8 AWG need 0.4171 in², 1-1/4 in."""
    areas = [
        conductor_area_in2(awg, "THWN-2")
        for awg, count in (("12", 3), ("10", 4), ("8", 8))
        for _ in range(count)
    ]
    assert sum(areas) == pytest.approx(0.4171, abs=0.0005)
    limit_percent = 100 * fill_limit(len(areas))
    assert fill_percent("EMT", "1-1/4", areas) <= limit_percent < fill_percent("EMT", "1", areas)


def test_one_thick_cable_in_pvc() -> None:
    """Electricians' forum example: 1.5 in cable, 53 %: 3.334 in² needed, 2 in PVC (3.291) fails."""
    area = pi / 4 * 1.5**2
    assert area / fill_limit(1) == pytest.approx(3.334, abs=0.005)
    assert raceway_area_in2("PVC-40", "2") == pytest.approx(3.291, abs=0.0005)
    assert fill_percent("PVC-40", "2", [area]) > 53
    assert max_conductors("PVC-40", "2", area) == 0


@pytest.mark.parametrize(
    ("fill_in2", "conductor_in2", "count"), [(2.577, 0.8676, 3), (1.79, 1.0, 1), (0.8, 1.0, 1)]
)
def test_eight_tenths_count_as_one_more(fill_in2: float, conductor_in2: float, count: int) -> None:
    """Electricians' forum example of Note 7: 600 kcmil THHN in 3 in PVC-80 is 2.97, so 3."""
    assert note_7_count(fill_in2, conductor_in2) == count


def test_a_flat_cable_counts_as_a_circle() -> None:
    """Note 9: 12-2 NM, 0.422 in wide on a maker's sheet, takes 0.1399 in²."""
    assert nm_cable_area_in2("12-2") == pytest.approx(0.1399, abs=0.0001)


def test_the_names_of_one_heading_are_one_insulation() -> None:
    """Table 5 prints THHN, THWN and THWN-2 under one heading; a bare ground goes by Table 8."""
    names = ("THHN", "THWN", "THWN-2")
    assert {conductor_area_in2("10", name) for name in names} == {0.0211}
    assert conductor_area_in2("10", "XHHW-2") == 0.0243
    assert conductor_area_in2("10", "bare") == 0.011


@pytest.mark.parametrize("count", [1, 2, 3, 12])
def test_a_nipple_may_be_filled_to_60_percent(count: int) -> None:
    """Code chapter reprint, Note 4: 24 in or shorter, any number; longer goes by Table 1."""
    assert fill_limit(count, length_in=24) == fill_limit(count, length_in=3) == 0.6
    assert fill_limit(count, length_in=24.01) == fill_limit(count)


def test_two_nm_cables_in_a_sleeve() -> None:
    """Note 9: a 12-2 is a circle of 0.422 in, 0.1399 in²; EMT 3/4 is 0.533 in².

    One takes 26 % of 53 %, two 52 % of 31 %; a nipple takes two: 52 % of 60 %.
    """
    one = nm_cable_area_in2("12-2")
    assert max_conductors("EMT", "3/4", one) == 1
    assert more_conductors("EMT", "3/4", [one], one) == 0
    assert more_conductors("EMT", "3/4", [one], one, length_in=12) == 1


def test_room_beside_what_is_there() -> None:
    """40 % of EMT 1/2 is 0.1216 in²: five 12 AWG (0.0665) leave 0.0551 for two 10 AWG."""
    twelve, ten = conductor_area_in2("12", "THHN"), conductor_area_in2("10", "THHN")
    assert more_conductors("EMT", "1/2", [twelve] * 5, ten) == 2
    assert more_conductors("EMT", "1/2", [], conductor_area_in2("6", "THHN")) == 1
    assert more_conductors("EMT", "1/2", [ten] * 6, ten) == 0
    assert more_conductors("EMT", "3/4", [], conductor_area_in2("4", "THHN")) == 2  # Table C.1


@given(
    trade_size=st.sampled_from(["1/2", "3/4", "1"]),
    there=st.lists(st.sampled_from(["14", "12", "10", "8", "6"]), max_size=12),
    awg=st.sampled_from(["14", "12", "10", "8", "6"]),
    length_in=st.sampled_from([12.0, 240.0]),
)
def test_room_is_the_largest_count_that_fits(
    trade_size: str, there: list[str], awg: str, length_in: float
) -> None:
    """Tried one by one, up to a count that no raceway here could hold."""
    areas = [conductor_area_in2(name, "THHN") for name in there]
    one = conductor_area_in2(awg, "THHN")
    fitting = [
        more
        for more in range(1, 80)
        if fill_percent("EMT", trade_size, [*areas, *[one] * more])
        <= 100 * fill_limit(len(areas) + more, length_in) + 1e-6
    ]
    found = more_conductors("EMT", trade_size, areas, one, length_in)
    assert found == max(fitting, default=0)


def test_three_that_may_jam() -> None:
    """Table 1, informational note 2: inside over outside diameter from 2.8 to 3.2.

    EMT 1/2 is 0.622 in: 8 AWG THHN, 0.216 in, gives 2.88; 10 AWG, 0.164 in, 3.79.
    """
    assert jam_ratio("EMT", "1/2", 0.216) == pytest.approx(2.88, abs=0.005)
    assert may_jam(jam_ratio("EMT", "1/2", 0.216))
    assert not may_jam(jam_ratio("EMT", "1/2", 0.164))
    assert [may_jam(ratio) for ratio in (2.79, 2.8, 3.2, 3.21)] == [False, True, True, False]


def test_the_area_of_a_round_cable() -> None:
    """Electricians' forum example: 1.5 in, 1.767 in²."""
    assert circle_area_in2(1.5) == pytest.approx(1.767, abs=0.0005)


def test_what_is_not_held() -> None:
    with pytest.raises(NotInTableError, match=r"no insulation 'TW'.*THHN, THWN, .*bare"):
        conductor_area_in2("12", "TW")
    with pytest.raises(NotInTableError, match="no trade_size '3' for kind 'EMT'"):
        raceway_area_in2("EMT", "3")
    with pytest.raises(NotInTableError, match="no cable '12-9'"):
        nm_cable_area_in2("12-9")
    with pytest.raises(ValueError, match="0 conductors have no fill limit"):
        fill_limit(0)


@given(
    kind=st.sampled_from(["EMT", "PVC-40", "PVC-80", "ENT", "RMC"]),
    trade_size=st.sampled_from(["1/2", "3/4", "1", "1-1/4", "1-1/2", "2"]),
    area_in2=st.floats(0.005, 2.0),
)
def test_the_count_fills_to_its_limit(kind: str, trade_size: str, area_in2: float) -> None:
    """The count stays within its limit and Note 7, and one more conductor would not."""
    count = max_conductors(kind, trade_size, area_in2)
    inside_in2 = raceway_area_in2(kind, trade_size)
    if count == 0:
        assert area_in2 > fill_limit(1) * inside_in2
        return
    assert (count - 0.2) * area_in2 <= fill_limit(count) * inside_in2 * (1 + 1e-6)
    assert (count + 0.8) * area_in2 > fill_limit(count + 1) * inside_in2 * (1 - 1e-6)
