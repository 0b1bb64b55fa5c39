"""Motor circuits against published worked examples and Table 430.251(A)."""

from fractions import Fraction

import pytest

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.conductors import awg_sizes
from models.formulas.motors import (
    locked_rotor_amps,
    motor_amps,
    motor_breaker_ceiling_amps,
    motor_conductor_amps,
)
from models.tables import NotInTableError


def smallest_awg(amps: float, column_c: int) -> str:
    return next(awg for awg in awg_sizes() if table_ampacity_amps(awg, column_c) >= amps)


def test_one_1_hp_motor_at_115_v() -> None:
    """Trade magazine, motor calculations part 2: 16 A; conductor 20 A, 12 AWG; breaker 40 A."""
    amps = motor_amps("1", 115)
    assert amps == 16
    assert motor_conductor_amps(amps) == 20
    assert smallest_awg(20, column_c=60) == "12"
    assert motor_breaker_ceiling_amps(amps, 2020) == 40


def test_one_5_hp_motor_at_230_v() -> None:
    """Exam practice, motor overcurrent protection: 28 A; conductor 35 A, 10 AWG; breaker 70 A."""
    amps = motor_amps("5", 230)
    assert amps == 28
    assert motor_conductor_amps(amps) == 35
    assert smallest_awg(35, column_c=75) == "10"
    assert motor_breaker_ceiling_amps(amps, 2020) == 70


def test_one_3_hp_motor_at_230_v() -> None:
    """430.22 and 430.52 by hand: 17 A; conductor 21.25 A; 42.5 A, so 45 A, the next size up."""
    amps = motor_amps("3", 230)
    assert amps == 17
    assert motor_conductor_amps(amps) == 21.25
    assert motor_breaker_ceiling_amps(amps, 2020) == 45


# Table 430.251(A), single phase (printed values from memory).
LOCKED_ROTOR_AMPS = {
    "1/2": (58.8, 29.4),
    "3/4": (82.8, 41.4),
    "1": (96, 48),
    "1-1/2": (120, 60),
    "2": (144, 72),
    "3": (204, 102),
    "5": (336, 168),
    "7-1/2": (480, 240),
    "10": (600, 300),
}


@pytest.mark.parametrize("horsepower", LOCKED_ROTOR_AMPS)
def test_locked_rotor_current_matches_the_printed_table(horsepower: str) -> None:
    at_115v, at_230v = LOCKED_ROTOR_AMPS[horsepower]
    assert locked_rotor_amps(motor_amps(horsepower, 115)) == pytest.approx(at_115v)
    assert locked_rotor_amps(motor_amps(horsepower, 230)) == pytest.approx(at_230v)


def test_system_voltages_share_the_printed_columns() -> None:
    """430.248: the columns cover 110 to 120 V and 220 to 240 V; 2 hp at 120 V is 24 A."""
    assert motor_amps("2", 110) == motor_amps("2", 120) == 24
    assert motor_amps("2", 220) == motor_amps("2", 240) == 12
    assert motor_amps(Fraction(3, 2), 240) == motor_amps("1-1/2", 240) == motor_amps("1.5", 240)


def test_what_the_table_does_not_list() -> None:
    with pytest.raises(
        NotInTableError, match=r"no 4 hp motor; listed: 1/6, .*Take the next larger"
    ):
        motor_amps("4", 240)
    with pytest.raises(NotInTableError, match="no column for 480 V"):
        motor_amps("3", 480)
