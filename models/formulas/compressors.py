"""Air conditioners and other hermetic compressors: conductors and breakers. Amperes.

Source: NFPA 70 (2017, 2020, 2023) 440.4(B), 440.22(A), 440.32, 440.35. A nameplate with MCA and
MOCP answers both questions by itself: the 125 % is in it, and 240.4(B) and (D) do not apply.
"""

from typing import Final

from models.formulas.overcurrent import standard_ratings_amps

CONDUCTOR_PERCENT: Final = 125  # 440.32
BREAKER_PERCENT: Final = 175  # 440.22(A), from memory
STARTING_PERCENT: Final = 225  # 440.22(A) exception


def compressor_conductor_amps(rated_amps: float) -> float:
    """Least ampacity for one compressor without MCA on its nameplate: 440.32. [A]

    >>> compressor_conductor_amps(16)
    20.0
    """
    return CONDUCTOR_PERCENT * rated_amps / 100


def compressor_breaker_amps(
    rated_amps: float, edition: int, *, will_not_start: bool = False
) -> int:
    """Largest breaker for one compressor without MOCP: 440.22(A), a size not above it. [A]

    >>> compressor_breaker_amps(16, 2023), compressor_breaker_amps(16, 2023, will_not_start=True)
    (25, 35)
    """
    percent = STARTING_PERCENT if will_not_start else BREAKER_PERCENT
    most = max(percent * rated_amps / 100, standard_ratings_amps(2020)[0])
    return max(rating for rating in standard_ratings_amps(edition) if rating <= most)
