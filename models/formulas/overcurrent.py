"""Overcurrent protection: standard breaker ratings and the largest breaker a conductor may have.

Source: NFPA 70 (2017, 2020, 2023) 240.4(B), 240.4(D), 240.6(A). Amperes. Motor, welder and air
conditioner circuits have rules of their own (240.4(G)).
"""

from functools import cache
from typing import Final

from models.formulas.editions import require_edition
from models.tables import NotInTableError, lookup, read_table

NEXT_SIZE_UP_LIMIT_AMPS: Final = 800  # 240.4(B)(3)


@cache
def standard_ratings_amps(edition: int) -> tuple[int, ...]:
    """Standard breaker ratings of 240.6(A), smallest first; 10 A is one of them since 2023. [A]

    >>> standard_ratings_amps(2020)[:4], standard_ratings_amps(2023)[:4]
    ((15, 20, 25, 30), (10, 15, 20, 25))
    """
    require_edition(edition)
    return tuple(
        row.whole("rating_amps")
        for row in read_table("standard_ratings")
        if str(edition) in row.text("editions").split() and row.text("device") != "fuse"
    )


def next_standard_rating_amps(amps: float, edition: int) -> int:
    """Smallest standard breaker rating not below `amps`. [A]

    >>> next_standard_rating_amps(42.5, 2020), next_standard_rating_amps(40.0, 2020)
    (45, 40)
    """
    ratings = standard_ratings_amps(edition)
    for rating in ratings:
        if rating >= round(amps, 6):
            return rating
    raise NotInTableError(
        f"{amps:g} A is above the largest standard rating, {ratings[-1]} A (240.6(A))"
    )


def small_conductor_limit_amps(awg: str, material: str = "copper") -> int | None:
    """Largest breaker for a small conductor by 240.4(D); None for a size not listed there. [A]

    >>> small_conductor_limit_amps("12"), small_conductor_limit_amps("8")
    (20, None)
    """
    lookup("small_conductors", material=material)  # an unknown material must not read as no limit
    for row in read_table("small_conductors"):
        if (row.text("material"), row.text("awg")) == (material, awg):
            return row.whole("largest_device_amps")
    lookup("conductors", awg=awg)  # nor an unknown size
    return None


def largest_breaker_amps(
    awg: str,
    ampacity_amps: float,
    *,
    several_receptacles: bool,
    edition: int,
    material: str = "copper",
) -> int | None:
    """Largest standard breaker for a conductor of this ampacity; None when even the least is over.

    The next size up (240.4(B)) is taken unless the circuit feeds more than one receptacle for
    cord-and-plug loads or the ampacity is above 800 A; 240.4(D) then caps small conductors. [A]
    >>> largest_breaker_amps("6", 55, several_receptacles=False, edition=2023)
    60
    >>> largest_breaker_amps("12", 19.68, several_receptacles=True, edition=2023)
    15
    """
    ampacity = round(ampacity_amps, 6)
    limit = small_conductor_limit_amps(awg, material)
    if not several_receptacles and ampacity <= NEXT_SIZE_UP_LIMIT_AMPS:
        ampacity = next_standard_rating_amps(ampacity, edition)
    ceiling = ampacity if limit is None else min(ampacity, limit)
    return max((r for r in standard_ratings_amps(edition) if r <= ceiling), default=None)
