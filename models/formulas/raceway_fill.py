"""Raceway fill: the share of a raceway's inside area that conductors may take. Square inches.

Source: NFPA 70 (2017, 2020, 2023) chapter 9 Tables 1, 4, 5 and 8 and the notes to the tables.
Grounds count; nipples of 24 in or less (60 %, Note 4) are not covered.
"""

from collections.abc import Iterable
from math import pi

from models.tables import NotInTableError, lookup, read_table


def fill_limit(count: int) -> float:
    """Largest share of the inside area for one, two, or three and more conductors, Table 1.

    >>> [fill_limit(count) for count in (1, 2, 3, 9)]
    [0.53, 0.31, 0.4, 0.4]
    """
    if count < 1:
        raise ValueError(f"{count} conductors have no fill limit: count from 1 up")
    rows = read_table("fill_limits")
    row = next(r for r in reversed(rows) if count >= r.number("conductors_min_count"))
    return row.number("fill_percent") / 100


def raceway_area_in2(kind: str, trade_size: str) -> float:
    """Inside area of a raceway from its diameter in Table 4, not rounded. [in²]

    The printed area, rounded to 0.001 in², would give some Annex C counts one short.
    >>> round(raceway_area_in2("EMT", "3/4"), 3)
    0.533
    """
    diameter_in = lookup("raceways", kind=kind, trade_size=trade_size).number("inside_diameter_in")
    return pi / 4 * diameter_in**2


def conductor_area_in2(awg: str, insulation: str) -> float:
    """Area of one conductor with its insulation, Table 5; bare stranded ones, Table 8. [in²]

    >>> conductor_area_in2("12", "THWN-2"), conductor_area_in2("8", "bare")
    (0.0133, 0.017)
    """
    if insulation == "bare":
        return lookup("conductors", awg=awg, stranding="stranded").number("area_in2")
    rows = read_table("conductor_areas")
    headings = dict.fromkeys(row.text("insulation") for row in rows)
    for heading in headings:
        if insulation in heading.split():
            return lookup("conductor_areas", insulation=heading, awg=awg).number("area_in2")
    known = ", ".join([*" ".join(headings).split(), "bare"])
    raise NotInTableError(f"Table 5 as held has no insulation {insulation!r}: use one of {known}")


def nm_cable_area_in2(cable: str) -> float:
    """Area a nonmetallic-sheathed cable takes: a circle on its wide side, Note 9. [in²]

    Widths are one maker's or typical; the cable bought decides. `cable` is size and conductors
    without the ground, as "12-2".
    >>> round(nm_cable_area_in2("12-2"), 3)
    0.14
    """
    return pi / 4 * lookup("nm_cables", cable=cable).number("major_in") ** 2


def fill_percent(kind: str, trade_size: str, areas_in2: Iterable[float]) -> float:
    """Share of a raceway's inside area that these conductors or cables take. [%]

    Compare with 100 times `fill_limit`; for mixed sizes nothing is rounded (Note 6).
    >>> round(fill_percent("EMT", "1/2", [conductor_area_in2("12", "THHN")] * 9), 1)
    39.4
    """
    return 100 * sum(areas_in2) / raceway_area_in2(kind, trade_size)


def note_7_count(fill_area_in2: float, conductor_area_in2: float) -> int:
    """How many equal conductors fit an area; a decimal of 0.8 or more counts as one more (Note 7).

    >>> note_7_count(2.577, 0.8676)  # 600 kcmil THHN in 3 in PVC schedule 80: 2.97
    3
    """
    whole, decimal = divmod(fill_area_in2 / conductor_area_in2, 1)
    return int(whole) + (round(decimal, 9) >= 0.8)


def max_conductors(kind: str, trade_size: str, conductor_area_in2: float) -> int:
    """Most conductors of one size that a raceway may hold, as Annex C counts them.

    A lone conductor or cable must fit its 53 % in full: the stricter reading of Note 7.
    >>> max_conductors("EMT", "3/4", conductor_area_in2=0.0133)  # 12 AWG THHN, Table C.1
    16
    """
    area_in2 = raceway_area_in2(kind, trade_size)
    for least in (3, 2):
        count = note_7_count(fill_limit(least) * area_in2, conductor_area_in2)
        if count >= least:
            return count
    return int(conductor_area_in2 <= fill_limit(1) * area_in2)
