"""Motor circuits against published worked examples and Table 430.251(A)."""

from fractions import Fraction
from itertools import pairwise

import pytest

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.conductors import awg_sizes
from models.formulas.motors import (
    code_letter_amps,
    locked_rotor_amps,
    motor_amps,
    motor_breaker_ceiling_amps,
    motor_breaker_most_amps,
    motor_conductor_amps,
    motor_device_ceiling_amps,
    motor_feeder_breaker_amps,
    overload_device_amps,
    small_motors_may_share,
)
from models.tables import NotInTableError, read_table


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


@pytest.mark.parametrize("row", read_table("locked_rotor"), ids=lambda r: r.text("horsepower"))
def test_locked_rotor_current_matches_the_printed_table(row) -> None:
    """Table 430.251(A), single phase: six times Table 430.248."""
    power = row.text("horsepower")
    for volts in (115, 230):
        printed = row.number(f"at_{volts}v_amps")
        assert locked_rotor_amps(motor_amps(power, volts)) == pytest.approx(printed)


def test_the_breaker_of_a_feeder_to_motors_is_rounded_down() -> None:
    """430.62(A) by hand: 100 A for 7-1/2 hp and 28 A are 128 A, so 125 A."""
    largest = motor_breaker_ceiling_amps(40, 2020)
    assert largest == 100
    assert motor_feeder_breaker_amps(largest, [28], 2020) == 125
    assert motor_feeder_breaker_amps(80, [20], 2020) == 100


def test_an_overload_device() -> None:
    """Trade handout on feeders: nameplate 14 A without marks, 115 %: 16.1 A, not table current.

    Percentages of 430.32(C), for what does not start, as a reprint of the 2008 edition has them.
    """
    assert overload_device_amps(14) == pytest.approx(16.1, abs=0.05)
    assert overload_device_amps(14, cool_running=True) == pytest.approx(17.5)
    assert overload_device_amps(10, will_not_start=True) == 13
    assert overload_device_amps(10, cool_running=True, will_not_start=True) == 14


def test_code_letters_touch_and_hold_six_times_the_table_current() -> None:
    """Table 430.7(B): each band begins 0.01 above the one before.

    Six times 17 A (3 hp at 230 V) is 7.82 kVA/hp, within the letter J.
    """
    rows = read_table("code_letters")
    for before, after in pairwise(rows):
        ends, begins = before.number("to_kva_per_hp"), after.number("from_kva_per_hp")
        assert begins - ends == pytest.approx(0.01)
    kva_per_hp = locked_rotor_amps(motor_amps("3", 230)) * 230 / 1000 / 3
    assert 7.1 <= kva_per_hp <= 7.99
    assert locked_rotor_amps(17) <= code_letter_amps("J", "3", 230)
    with pytest.raises(NotInTableError, match="no upper limit"):
        code_letter_amps("V", "1", 230)


@pytest.mark.parametrize(("letter", "amps"), [("A", 13.7), ("G", 27.3), ("L", 43.4), ("U", 97.3)])
def test_code_letter_currents_at_230_v(letter: str, amps: float) -> None:
    """A reference page's amperes per horsepower, from the upper end of each letter."""
    assert code_letter_amps(letter, "1", 230) == pytest.approx(amps, abs=0.06)


def test_other_devices_and_the_last_resort() -> None:
    """Table 430.52 by hand for 16 A: fuses 48 and 28 A, next sizes 50 and 30; 400 % is 64 A."""
    assert motor_device_ceiling_amps("nontime-delay fuse", 16, 2020) == 50
    assert motor_device_ceiling_amps("time-delay fuse", 16, 2020) == 30
    assert motor_breaker_most_amps(16, 2020) == 60
    assert motor_breaker_most_amps(110, 2020) == 300  # 300 % of 110 A is 330 A


@pytest.mark.parametrize(
    ("motors", "breaker", "volts", "may"),
    [
        ([("1/4", 5.8), ("1/6", 4.4)], 20, 120, True),
        ([("1/3", 7.2)], 20, 120, False),
        ([("1/2", 4.9), ("1/2", 4.9)], 15, 240, True),
        ([("1/2", 4.9), ("1/2", 4.9)], 20, 240, False),
        ([("1/4", 5.8)], 30, 120, False),
        ([("1-1/2", 5.0)], 20, 120, False),
    ],
)
def test_small_motors_together(motors, breaker, volts, may) -> None:
    """430.53(A): 1 hp and 6 A at most, behind 20 A at 120 V or 15 A above."""
    assert small_motors_may_share(motors, breaker, volts) is may


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
