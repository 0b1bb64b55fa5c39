"""Quantities as people write them: a number and its unit, read exactly, never guessed.

Every quantity in a shop file carries its unit (`12 ft 6 in`, `12'6"`, `3.8 m`, `20 A`,
`1-1/2 hp`, `86 F`). A bare number, a comma, an unknown unit or a small unit before a large one
is refused with the units that would have been understood. Values are read as exact fractions and
then rounded once, to the resolution the plan file keeps: 0.01 ft, 0.001 A, 1 V, 1 W.
"""

import re
from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Annotated, Final

from pydantic import BeforeValidator, Field, PlainSerializer, WithJsonSchema

LONGEST_TEXT: Final = 40
_NUMBER: Final = r"\d{1,9}(?:\.\d{1,6})?(?:-\d{1,4}/\d{1,4}|/\d{1,4})?|\.\d{1,6}"
_TERM: Final = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[A-Za-z°'′\"″%]+)")

LENGTH_FT: Final[Mapping[str, Fraction]] = {
    **dict.fromkeys(("ft", "'", "′", "foot", "feet"), Fraction(1)),
    **dict.fromkeys(("in", '"', "″", "inch", "inches"), Fraction(1, 12)),
    "m": Fraction(10000, 3048),
    "cm": Fraction(100, 3048),
    "mm": Fraction(10, 3048),
}
AMPS: Final = {"A": Fraction(1), "mA": Fraction(1, 1000)}
VOLTS: Final = {"V": Fraction(1)}
WATTS: Final = {"W": Fraction(1), "kW": Fraction(1000), "VA": Fraction(1), "kVA": Fraction(1000)}
SHARE: Final = {"%": Fraction(1, 100)}
YEARS: Final = {
    **dict.fromkeys(("years", "year"), Fraction(1)),
    **dict.fromkeys(("months", "month"), Fraction(1, 12)),
}
MONEY_USD: Final = {"USD": Fraction(1)}
_TEMPERATURE: Final = r"^\s*(-?\d{1,3}(?:\.\d{1,2})?)\s*°?\s*([FC])\s*$"
FINEST_HORSEPOWER: Final = 1000
HORSEPOWER: Final = {"hp": Fraction(1), "HP": Fraction(1)}


class QuantityError(ValueError):
    """A text that is not a quantity of the kind asked for."""


def _number(text: str) -> Fraction:
    """Read `3`, `3.5`, `3/4` or `1-1/2` exactly."""
    whole, _, part = text.rpartition("-")
    if "." in text and "/" in text:
        raise QuantityError(f"{text!r} mixes decimals and a fraction: write 1.5 or 1-1/2")
    try:
        return Fraction(part) + (Fraction(whole) if whole else 0)
    except ZeroDivisionError:
        raise QuantityError(f"{text!r} divides by zero: correct the fraction") from None


def _known(units: Mapping[str, Fraction]) -> str:
    """The units, the largest first."""
    return ", ".join(sorted(units, key=lambda unit: (-units[unit], unit)))


def parse(text: object, units: Mapping[str, Fraction], example: str) -> Fraction:
    """Read a quantity in the base unit of `units`; several terms must go from large to small.

    >>> parse("12 ft 6 in", LENGTH_FT, "12 ft 6 in")
    Fraction(25, 2)
    >>> parse("1-1/2 hp", HORSEPOWER, "1-1/2 hp")
    Fraction(3, 2)
    """
    if not isinstance(text, str):
        raise QuantityError(
            f"{text!r} has no unit: write it like {example!r} (units: {_known(units)})"
        )
    if len(text) > LONGEST_TEXT:
        says = f"{text[:20]!r}… is longer than {LONGEST_TEXT} characters"
        raise QuantityError(f"{says}: write it like {example!r}")
    total, position, last_size = Fraction(0), 0, None
    while position < len(text.rstrip()):
        term = _TERM.match(text, position)
        if term is None:
            raise QuantityError(f"{text!r} is not understood: write it like {example!r}")
        size = units.get(term["unit"])
        if size is None:
            says = f"{text!r}: unit {term['unit']!r} is not one of {_known(units)}"
            raise QuantityError(f"{says}: write it like {example!r}")
        if last_size is not None and size >= last_size:
            raise QuantityError(f"{text!r}: write the larger unit first, like {example!r}")
        total, position, last_size = total + _number(term["number"]) * size, term.end(), size
    if last_size is None:
        raise QuantityError(f"an empty text is no quantity: write it like {example!r}")
    return total


def parse_length_ft(text: object) -> float:
    """Length in feet to the nearest 0.01 ft.

    >>> parse_length_ft("44 in"), parse_length_ft("3.8 m")
    (3.67, 12.47)
    """
    return float(round(parse(text, LENGTH_FT, "12 ft 6 in"), 2))


def parse_coordinate_ft(text: object) -> float:
    """A place along an axis in feet, to the nearest 0.01 ft; it may lie below zero.

    >>> parse_coordinate_ft("-2 ft 6 in")
    -2.5
    """
    if isinstance(text, str) and text.lstrip().startswith("-"):
        return -parse_length_ft(text.lstrip()[1:])
    return parse_length_ft(text)


def parse_amps(text: object) -> float:
    """Current in amperes to the nearest milliampere."""
    return float(round(parse(text, AMPS, "20 A"), 3))


def parse_volts(text: object) -> int:
    """Voltage in whole volts.

    >>> parse_volts("240 V")
    240
    """
    volts = parse(text, VOLTS, "120 V")
    if volts.denominator != 1:
        raise QuantityError(f"{text!r}: write whole volts, like '120 V'")
    return int(volts)


def parse_watts(text: object) -> int:
    """Power in whole watts (volt-amperes are read as written)."""
    return round(parse(text, WATTS, "40 W"))


def parse_horsepower(text: object) -> Fraction:
    """Horsepower as an exact fraction, as a motor table prints it."""
    horsepower = parse(text, HORSEPOWER, "1-1/2 hp")
    if horsepower.denominator > FINEST_HORSEPOWER:
        raise QuantityError(f"{text!r} is finer than a nameplate: write at most three decimals")
    return horsepower


def parse_celsius(text: object) -> float:
    """Temperature in °C to 0.1.

    >>> parse_celsius("86 F"), parse_celsius("30 °C")
    (30.0, 30.0)
    """
    match = re.match(_TEMPERATURE, str(text))
    if not isinstance(text, str) or match is None:
        raise QuantityError(f"{text!r} is no temperature: write it like '86 F' or '30 C'")
    degrees = Fraction(match[1])
    return float(round(degrees if match[2] == "C" else (degrees - 32) * 5 / 9, 1))


def parse_share(text: object) -> float:
    """A part of a whole, from 0 to 1, to 0.1 %.

    >>> parse_share("60 %")
    0.6
    """
    return float(round(parse(text, SHARE, "60 %"), 3))


def parse_years(text: object) -> float:
    """A time in years to a tenth.

    >>> parse_years("3 years"), parse_years("18 months")
    (3.0, 1.5)
    """
    return float(round(parse(text, YEARS, "3 years"), 1))


def parse_usd(text: object) -> float:
    """Money in US dollars to the cent.

    >>> parse_usd("95 USD")
    95.0
    """
    return float(round(parse(text, MONEY_USD, "95 USD"), 2))


def _plain(value: float) -> str:
    """Digits without a trailing `.0`."""
    return f"{value:.3f}".rstrip("0").rstrip(".")


def feet_inches(length_ft: float) -> str:
    """A length as people say it, to the nearest inch.

    >>> feet_inches(12.5), feet_inches(0.25), feet_inches(5.99)
    ('12 ft 6 in', '3 in', '6 ft')
    """
    feet, inches = divmod(round(length_ft * 12), 12)
    parts = [f"{feet} ft"] if feet else []
    return " ".join(parts + ([f"{inches} in"] if inches or not feet else []))


def horsepower_text(horsepower: Fraction) -> str:
    """Horsepower as a nameplate prints it.

    >>> horsepower_text(Fraction(3, 2)), horsepower_text(Fraction(3, 4))
    ('1-1/2', '3/4')
    """
    whole, rest = divmod(horsepower, 1)
    return "-".join(str(part) for part in (whole, rest) if part) or "0"


def _pattern(units: Mapping[str, Fraction], sign: str = "") -> str:
    """What a quantity looks like, for the schema: numbers, each with one of the units."""
    names = "|".join(re.escape(unit) for unit in sorted(units, key=len, reverse=True))
    return rf"^\s*{sign}(?:(?:{_NUMBER})\s*(?:{names})\s*)+$"


def _quantity(
    parser: Callable[[object], object], unit: str, example: str, pattern: str
) -> tuple[object, ...]:
    """What every annotated quantity shares: reader, writer and schema."""

    def write(value: float | Fraction) -> str:
        number = horsepower_text(value) if isinstance(value, Fraction) else _plain(value)
        return f"{number} {unit}"

    schema = {
        "type": "string",
        "pattern": pattern,
        "examples": [example],
        "description": f"with its unit [{unit}]",
        "unit": unit,
    }
    return BeforeValidator(parser), PlainSerializer(write), WithJsonSchema(schema)


Coordinate = Annotated[
    float,
    *_quantity(parse_coordinate_ft, "ft", "12 ft 6 in", _pattern(LENGTH_FT, "-?")),
    Field(ge=-2000, le=2000),
]
Feet = Annotated[
    float,
    *_quantity(parse_length_ft, "ft", "12 ft 6 in", _pattern(LENGTH_FT)),
    Field(ge=0, le=2000),
]
Amps = Annotated[float, *_quantity(parse_amps, "A", "20 A", _pattern(AMPS)), Field(gt=0, le=1000)]
Volts = Annotated[int, *_quantity(parse_volts, "V", "120 V", _pattern(VOLTS)), Field(gt=0, le=600)]
Watts = Annotated[
    int, *_quantity(parse_watts, "W", "40 W", _pattern(WATTS)), Field(gt=0, le=100_000)
]
Horsepower = Annotated[
    Fraction,
    *_quantity(parse_horsepower, "hp", "1-1/2 hp", _pattern(HORSEPOWER)),
    Field(gt=0, le=100),
]
Celsius = Annotated[
    float, *_quantity(parse_celsius, "C", "86 F", _TEMPERATURE), Field(ge=-40, le=85)
]
Years = Annotated[
    float, *_quantity(parse_years, "years", "3 years", _pattern(YEARS)), Field(ge=0, le=50)
]
Usd = Annotated[
    float, *_quantity(parse_usd, "USD", "95 USD", _pattern(MONEY_USD)), Field(ge=0, le=1_000_000)
]
Share = Annotated[
    float,
    BeforeValidator(parse_share),
    PlainSerializer(lambda share: f"{_plain(share * 100)} %"),
    WithJsonSchema(
        {
            "type": "string",
            "pattern": _pattern(SHARE),
            "examples": ["60 %"],
            "description": "part of a whole [%]",
            "unit": "",
        }
    ),
    Field(ge=0, le=1),
]
