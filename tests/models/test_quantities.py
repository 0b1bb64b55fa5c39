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


REFUSED: dict[str, list[object]] = {
    "has no unit: write it like '12 ft 6 in'": [12, 3.5, None, True],
    "an empty text is no quantity": ["", "  "],
    "is not understood: write it like '12 ft 6 in'": [
        "12", "12.", "1,5 m", "-3 ft", "12 ft6", "9**9 m", "ft", "½ ft",
    ],
    "write the larger unit first": ["6 in 2 ft", "2 ft 3 ft"],
    "divides by zero": ["1/0 ft"],
    "is not one of m, ', feet, foot, ft, .*: write it like '12 ft 6 in'": [
        "12 furlong", "60 C", "20 A", "1e3 ft",
    ],
    "is longer than 40 characters": [f"{'9' * 41} ft", f"12 ft{' ' * 36}"],
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "words"), [(text, words) for words, texts in REFUSED.items() for text in texts]
)
def test_no_length(text, words):
    """Refused, with the reason; nothing is guessed."""
    with pytest.raises(QuantityError, match=words):
        parse_length_ft(text)
    assert parse_length_ft(f"12 ft{' ' * 35}") == 12  # 40 characters


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
