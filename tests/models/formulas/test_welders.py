"""Welders, compressors and continuous loads against published worked examples."""

import pytest

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.compressors import compressor_breaker_amps, compressor_conductor_amps
from models.formulas.conductors import awg_sizes
from models.formulas.continuous import continuous_breaker_amps, continuous_load_amps
from models.formulas.load_calculation import welder_group_amps
from models.formulas.overcurrent import small_conductor_limit_amps
from models.formulas.welders import (
    duty_cycle_factor,
    welder_breaker_ceiling_amps,
    welder_conductor_amps,
)
from models.tables import read_table


def smallest_awg(amps: float, column_c: int) -> str:
    return next(awg for awg in awg_sizes() if table_ampacity_amps(awg, column_c) >= amps)


def test_an_arc_welder_of_40_a_at_half_duty() -> None:
    """Trade magazine, question on 630.11: 40 A x 0.71 = 28.4 A, 10 AWG copper at 75 °C (35 A)."""
    amps = welder_conductor_amps(40, 50)
    assert amps == pytest.approx(28.4, abs=0.05)
    assert smallest_awg(amps, 75) == "10"
    assert table_ampacity_amps("10", 75) == 35


def test_the_factor_is_the_root_of_the_duty_cycle() -> None:
    """What Table 630.11(A) rounds: heating goes with the square of the current, so √duty."""
    for row in read_table("welder_duty_cycles"):
        duty = row.number("duty_cycle_percent")
        assert row.number("nonmotor_factor") == pytest.approx((duty / 100) ** 0.5, abs=0.006)
        assert row.number("motor_generator_factor") >= row.number("nonmotor_factor")


def test_between_two_duty_cycles_the_larger_counts() -> None:
    assert duty_cycle_factor(41) == duty_cycle_factor(50) == 0.71
    assert duty_cycle_factor(40) == 0.63
    assert duty_cycle_factor(20) == duty_cycle_factor(1) == 0.45
    assert duty_cycle_factor(50, motor_generator=True) == 0.75
    for nonsense in (0, -5, 101):
        with pytest.raises(ValueError, match="duty cycle"):
            duty_cycle_factor(nonsense)


def test_the_breaker_of_a_welder() -> None:
    """630.12 by hand: 200 % of 33 A is 66 A, the next size up 70 A; of 30 A exactly 60 A."""
    assert welder_breaker_ceiling_amps(33, 2020) == 70
    assert welder_breaker_ceiling_amps(30, 2020) == 60


def test_a_group_of_welders() -> None:
    """630.11(B) by hand: 100 + 100 + 85 + 70 + 60 % of 20 A each."""
    assert welder_group_amps([20] * 5) == pytest.approx(83.0)


@pytest.mark.parametrize(("kiln", "load", "breaker"), [(24, 30, 30), (40, 50, 50), (48, 60, 60)])
def test_kiln_circuits(kiln: float, load: float, breaker: int) -> None:
    """A kiln dealer's wiring page: 125 % of the kiln, and the breaker for it."""
    assert continuous_load_amps(kiln) == load
    assert continuous_breaker_amps(kiln, 0, 2020) == breaker


def test_a_48_a_kiln_wants_75_c_terminals_with_6_awg() -> None:
    """The same page says 6 AWG: 65 A at 75 °C holds 60 A, 55 A at 60 °C does not."""
    assert table_ampacity_amps("6", 75) >= continuous_load_amps(48) > table_ampacity_amps("6", 60)


def test_24_a_for_hours() -> None:
    """Practice page on 210.19: 30 A, so a 30 A breaker and 10 AWG copper, at 120 and 240 V."""
    assert continuous_load_amps(24) == 30
    assert continuous_breaker_amps(24, 0, 2020) == 30
    assert smallest_awg(30, 60) == "10"
    assert small_conductor_limit_amps("10") == 30


def test_what_does_not_last_counts_once() -> None:
    """210.20(A): 125 % of 10 A and 100 % of 8 A."""
    assert continuous_load_amps(10, 8) == 20.5
    assert continuous_breaker_amps(10, 8, 2020) == 25


def test_an_air_conditioner_with_mca_44_and_mocp_60() -> None:
    """Trade magazine, question on 440.4: 8 AWG copper at 75 °C (50 A) behind 60 A.

    8 AWG carries less than the breaker: 240.4(B) and (D) do not hold for it (240.4(G)).
    """
    assert smallest_awg(44, 75) == "8"
    assert table_ampacity_amps("8", 75) == 50


def test_a_compressor_without_such_a_nameplate() -> None:
    """440.32 and 440.22(A) by hand for 16 A: 20 A; 28 A, so 25 A; 36 A, so 35 A."""
    assert compressor_conductor_amps(16) == 20
    assert compressor_breaker_amps(16, 2023) == 25
    assert compressor_breaker_amps(16, 2023, will_not_start=True) == 35
    assert compressor_breaker_amps(3, 2023) == 15  # no smaller breaker is asked for
