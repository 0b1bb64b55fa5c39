"""Ampacity against published worked examples, and how it must move with heat and crowding."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.ampacity import (
    ambient_factor,
    ampacity_along_amps,
    ampacity_amps,
    bundling_factor,
    table_ampacity_amps,
)
from models.tables import NotInTableError

SIZES = st.sampled_from(["14", "12", "10", "8", "6", "4", "2", "1/0", "4/0"])
COLUMNS_C = st.sampled_from([60, 75, 90])
HEAT_C = st.floats(-20, 95)


def test_four_current_carrying_12_awg() -> None:
    """Electricians' forum worked example: 30 A x 0.80 = 24 A before the terminals cap it."""
    assert table_ampacity_amps("12", 90) * bundling_factor(4) == pytest.approx(24, abs=0.05)
    assert ampacity_amps("12", terminal_c=75, current_carrying=4) == 24
    assert ampacity_amps("12", terminal_c=60, current_carrying=4) == 20


def test_nine_current_carrying_12_awg() -> None:
    """Trade magazine worked example: 30 A x 0.70 = 21 A, a 20 A breaker is still allowed."""
    assert ampacity_amps("12", terminal_c=75, current_carrying=9) == pytest.approx(21, abs=0.05)


def test_three_nm_cables_of_8_awg_together() -> None:
    """Insulation guide worked example: 55 A x 0.80 = 44 A, capped at the 60 °C value, 40 A."""
    assert table_ampacity_amps("8", 90) * bundling_factor(6) == pytest.approx(44, abs=0.05)
    assert ampacity_amps("8", current_carrying=6) == 40


def test_2_awg_thwn_at_100_f() -> None:
    """Exam practice worked example: 115 A x 0.88 = 101.2 A at 100 °F (37.8 °C)."""
    amps = ampacity_amps("2", insulation_c=75, terminal_c=75, ambient_c=37.8)
    assert amps == pytest.approx(101.2, abs=0.05)


@pytest.mark.parametrize(
    ("ambient_f", "factor"), [(86, 1.00), (87, 0.96), (95, 0.96), (104, 0.91), (122, 0.82)]
)
def test_bands_in_fahrenheit(ambient_f: int, factor: float) -> None:
    """Table 310.15(B)(1)(1) prints the same bands in °F, whole degrees, 90 °C column."""
    assert ambient_factor((ambient_f - 32) / 1.8, 90) == factor


def test_an_attic_at_120_f_with_six_conductors() -> None:
    """12 AWG at 120 °F, 4 to 6 counted: 30 x 0.82 x 0.80 = 19.68 A, below a 20 A breaker."""
    amps = ampacity_amps("12", ambient_c=(120 - 32) / 1.8, current_carrying=6)
    assert amps == pytest.approx(19.68, abs=0.005)


def test_heat_beyond_the_table_leaves_nothing() -> None:
    """The 60 °C column ends at 55 °C, the 90 °C column at 85 °C."""
    assert ambient_factor(55, 60) > 0
    assert ambient_factor(56, 60) == 0
    assert ambient_factor(85, 90) > 0
    assert ambient_factor(86, 90) == 0
    assert ampacity_amps("12", ambient_c=86) == 0


@pytest.mark.parametrize(
    ("sections", "amps"),
    [
        ([(100, 40.0), (5, 30.0)], 40.0),  # 5 ft: 5 % of 100 ft
        ([(40, 40.0), (5, 30.0)], 30.0),  # 5 ft: more than 10 % of 40 ft
        ([(200, 40.0), (12, 30.0)], 30.0),  # 12 ft: more than 10 ft
        ([(100, 40.0), (6, 30.0), (6, 30.0)], 30.0),  # 12 ft together
        ([(200, 40.0), (4, 30.0), (6, 20.0)], 40.0),  # 10 ft together
        ([(100, 40.0), (12, 30.0), (3, 20.0)], 30.0),  # 15 ft below 40 A, 3 ft below 30 A
        ([(7, 20.0)], 20.0),
    ],
)
def test_short_sections(sections: list[tuple[float, float]], amps: float) -> None:
    """310.14(A)(2) exception: 10 ft or 10 %, whichever is less; forum question with 100 and 5 ft.

    All sections of the lower ampacity are added up, as the later editions ask (license course).
    """
    assert ampacity_along_amps(sections) == amps
    assert ampacity_along_amps(sections[::-1]) == amps


def test_a_run_of_no_sections() -> None:
    with pytest.raises(ValueError, match="without sections"):
        ampacity_along_amps([])


@given(
    sections=st.lists(
        st.tuples(st.floats(0.1, 300), st.sampled_from([15.0, 19.7, 24.0, 30.0])), min_size=1
    )
)
def test_no_more_than_10_ft_is_ever_overlooked(sections: list[tuple[float, float]]) -> None:
    amps = ampacity_along_amps(sections)
    assert min(a for _, a in sections) <= amps <= max(a for _, a in sections)
    assert sum(length for length, a in sections if a < amps) <= 10 + 1e-6


def test_what_the_table_does_not_list() -> None:
    with pytest.raises(NotInTableError, match="no ampacity column for 105"):
        table_ampacity_amps("12", 105)
    with pytest.raises(NotInTableError, match="no awg '12' for material 'aluminum'"):
        table_ampacity_amps("12", 60, "aluminum")
    with pytest.raises(ValueError, match="-1 current-carrying conductors"):
        bundling_factor(-1)


@given(awg=SIZES, column_c=COLUMNS_C, cool=HEAT_C, warm=HEAT_C, few=st.integers(0, 60))
def test_heat_never_raises_ampacity(
    awg: str, column_c: int, cool: float, warm: float, few: int
) -> None:
    cooler, warmer = (
        ampacity_amps(awg, terminal_c=column_c, ambient_c=ambient_c, current_carrying=few)
        for ambient_c in sorted((cool, warm))
    )
    assert warmer <= cooler


@given(awg=SIZES, ambient_c=HEAT_C, few=st.integers(0, 60), more=st.integers(0, 60))
def test_company_never_raises_ampacity(awg: str, ambient_c: float, few: int, more: int) -> None:
    crowded = ampacity_amps(awg, ambient_c=ambient_c, current_carrying=few + more)
    assert crowded <= ampacity_amps(awg, ambient_c=ambient_c, current_carrying=few)


@given(awg=SIZES, terminal_c=COLUMNS_C, ambient_c=HEAT_C)
def test_terminals_cap_ampacity(awg: str, terminal_c: int, ambient_c: float) -> None:
    amps = ampacity_amps(awg, terminal_c=terminal_c, ambient_c=ambient_c)
    assert 0 <= amps <= table_ampacity_amps(awg, terminal_c)
