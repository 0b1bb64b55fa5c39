"""Sentences with lengths in them, and values with their units, for sheets in metric.

Checks, assumptions and lists of what to verify say lengths as the code does, in feet and inches. In
metric each gets its measure beside it: the code's own number stays readable, and a word that only
looks like a length loses nothing. Without metric everything stays as it is. Names of what is bought
and the texts of people are not meant for this.
"""

import re
from fractions import Fraction
from typing import Final

from branchwright.measures import CM3_IN_IN3, INCHES, METRES_IN_FOOT, MM_IN_INCH, is_metric

_NUMBER: Final = r"\d+(?:\.\d+)?(?:-\d+/\d+)?(?:/\d+)?"
# `in` is an inch before a stop or one of these words, and a preposition otherwise.
_AFTER_INCHES: Final = (
    r"(?=$|[,.;:)\]]| \(| (?:above|along|and|apart|are|asked|at|away|by|deep|each|far|for|from|high"
    r"|in front|is|of|or|outside|take|to|under|wide|x)\b)"
)
_LENGTH: Final = re.compile(
    rf"(?<![\w.,/-])(?<!space )(?<!spaces )(?:(?P<from>{_NUMBER}) to )?"
    rf"(?:(?P<ft>{_NUMBER}) ft(?: (?P<more>{_NUMBER}) in)?\b(?!²)"
    rf"|(?P<in>{_NUMBER}) in{_AFTER_INCHES})"
)
# A unit of the checks: its metric unit, and how many of them it is.
_UNITS: Final = {
    "ft": ("m", METRES_IN_FOOT), "in": ("mm", MM_IN_INCH), "in³": ("cm³", CM3_IN_IN3),
}  # fmt: skip


def sentence(text: str) -> str:
    """A sentence of ours; in metric with the measure beside each length.

    >>> from branchwright.measures import printed_in
    >>> with printed_in("metric"):
    ...     print(sentence("below 48 in, where the cord of 6 ft 6 in ends,"))
    ...     print(sentence("12 to 18 in of it by space 3 in the panel"))
    below 48 in (1219 mm), where the cord of 6 ft 6 in (1.98 m) ends,
    12 to 18 in (305 to 457 mm) of it by space 3 in the panel
    """
    return _LENGTH.sub(_with_metric, text) if is_metric() else text


def _with_metric(match: re.Match[str]) -> str:
    feet, more, inches, low = (match[name] for name in ("ft", "more", "in", "from"))
    if feet:
        unit, factor = "m", METRES_IN_FOOT
        high = _value(feet) + _value(more or "0") / INCHES
    else:
        unit, factor = "mm", MM_IN_INCH
        high = _value(inches)
    digits = 2 if unit == "m" else 0
    ends = [_value(low), high] if low else [high]
    told = [f"{float(value) * factor:.{digits}f}" for value in ends]
    return f"{match[0]} ({' to '.join(told)} {unit})"


def _value(number: str) -> Fraction:
    """A number as the trade writes it.

    >>> _value("4-1/2"), _value("1/2"), _value("6.5")
    (Fraction(9, 2), Fraction(1, 2), Fraction(13, 2))
    """
    whole, _, part = number.rpartition("-")
    return Fraction(whole or 0) + Fraction(part)


def value_and_unit(
    value: float | str | None, unit: str | None
) -> tuple[float | str | None, str | None]:
    """What a check found, or its limit, and the unit, as they are printed now.

    >>> from branchwright.measures import printed_in
    >>> value_and_unit(31.5, "in³")
    (31.5, 'in³')
    >>> with printed_in("metric"):
    ...     value_and_unit(31.5, "in³"), value_and_unit("31.5", "in³"), value_and_unit(20.0, "A")
    ((516.2, 'cm³'), ('31.5', 'in³'), (20.0, 'A'))
    """
    if not is_metric() or unit not in _UNITS or not isinstance(value, int | float):
        return value, unit
    metric, factor = _UNITS[unit]
    return round(value * factor, 3 if metric == "m" else 1), metric
