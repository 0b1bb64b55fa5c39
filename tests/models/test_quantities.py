"""Quantities: published conversions, what people write, and what is refused."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.quantities import (
    HORSEPOWER,
    LENGTH_FT,
    QuantityError,
    feet_inches,
    horsepower_text,
    parse,
    parse_amps,
    parse_celsius,
    parse_horsepower,
    parse_length_ft,
    parse_volts,
    parse_watts,
)


@pytest.mark.parametrize(
    ("text", "feet"),
    [
        ("12 ft 6 in", Fraction(25, 2)),
        ("12'6\"", Fraction(25, 2)),
        ("12′ 6″", Fraction(25, 2)),
        ("44 in", Fraction(11, 3)),
        ("1-1/2 in", Fraction(1, 8)),
        ("3.5 ft", Fraction(7, 2)),
        ("2 feet 3 inches", Fraction(9, 4)),
        ("0.3048 m", Fraction(1)),  # NIST SP 811, B.8: 1 ft = 0.3048 m exactly
        ("2.54 cm", Fraction(1, 12)),  # 1 in = 2.54 cm exactly
        ("304.8 mm", Fraction(1)),
    ],
)
def test_lengths_as_people_write_them(text, feet):
    assert parse(text, LENGTH_FT, "12 ft 6 in") == feet


def test_other_quantities():
    assert parse_amps("20 A") == 20.0
    assert parse_amps("500 mA") == 0.5
    assert parse_volts("240 V") == 240
    assert parse_watts("1.5 kW") == 1500
    assert parse_horsepower("1-1/2 hp") == Fraction(3, 2)
    assert parse_horsepower("3/4 HP") == Fraction(3, 4)
    assert (parse_celsius("86 F"), parse_celsius("122 °F")) == (30.0, 50.0)  # 30 and 50 °C exactly


@pytest.mark.parametrize(
    "text",
    [12, 3.5, None, True, "", "  ", "12", "12.", "1,5 m", "6 in 2 ft", "2 ft 3 ft", "1/0 ft",
     "-3 ft", "12 furlong", "12 ft6", "9" * 41 + " ft", "9**9 m", "60 C", "1e3 ft", "ft", "½ ft"],
)  # fmt: skip
def test_no_length(text):
    with pytest.raises(QuantityError) as error:
        parse_length_ft(text)
    assert (
        "12 ft 6 in" in str(error.value)
        or "divides by zero" in str(error.value)
        or "'" in str(error.value)
    )


@pytest.mark.parametrize("text", ["120.5 V", "120", "120 volts", "1-1/2 V"])
def test_no_voltage(text):
    with pytest.raises(QuantityError):
        parse_volts(text)


@given(feet=st.integers(0, 1999), inches=st.integers(0, 11))
def test_feet_and_inches_come_back(feet, inches):
    """To the nearest inch, what is printed is read as the same length."""
    length = feet + inches / 12
    assert abs(parse_length_ft(feet_inches(length)) - length) < 0.006


@given(st.fractions(min_value=Fraction(1, 16), max_value=99, max_denominator=16))
def test_horsepower_comes_back(power):
    assert parse(f"{horsepower_text(power)} hp", HORSEPOWER, "1 hp") == power
