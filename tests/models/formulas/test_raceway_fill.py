"""Raceway fill against NFPA 70 Annex C and published worked examples."""

from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.raceway_fill import (
    conductor_area_in2,
    fill_limit,
    fill_percent,
    max_conductors,
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
