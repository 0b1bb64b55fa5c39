"""Continuous loads: what runs three hours or more counts at 125 %. Amperes.

Source: NFPA 70 (2017, 2020, 2023) article 100, 210.19(A), 210.20(A), 215.2(A)(1), 215.3; fixed
electric space heating 424.4(B) (2017: 424.3(B)); vehicle charging 625.42 (2017: 625.41, 625.42).
"""

from fractions import Fraction
from typing import Final

from models.formulas.overcurrent import next_standard_rating_amps

CONTINUOUS_SHARE: Final = Fraction(125, 100)


def continuous_load_amps(continuous_amps: float, other_amps: float = 0.0) -> float:
    """What breaker and conductor must hold: 125 % of what lasts and 100 % of the rest. [A]

    >>> continuous_load_amps(24)  # practice page on 210.19, at 120 V and at 240 V alike
    30.0
    >>> [continuous_load_amps(amps) for amps in (24, 40, 48)]  # a kiln dealer's wiring page
    [30.0, 50.0, 60.0]
    """
    return float(CONTINUOUS_SHARE * Fraction(continuous_amps)) + other_amps


def continuous_breaker_amps(continuous_amps: float, other_amps: float, edition: int) -> int:
    """Smallest standard breaker for a load, 210.20(A). [A]

    >>> continuous_breaker_amps(48, 0, 2023), continuous_breaker_amps(22, 0, 2023)
    (60, 30)
    """
    return next_standard_rating_amps(continuous_load_amps(continuous_amps, other_amps), edition)
