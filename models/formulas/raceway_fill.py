"""Raceway fill: the share of a raceway's inside area that conductors may take. Square inches.

Source: NFPA 70 (2017, 2020, 2023) chapter 9 Tables 1, 4, 5 and 8 and the notes to the tables.
Grounds count (Note 3); a cable counts as one conductor (Note 9).
"""

from collections.abc import Collection, Iterable
from functools import cache
from math import inf, pi, sqrt
from typing import Final

from models.tables import NotInTableError, lookup, read_table

JAMS: Final = (2.8, 3.2)  # chapter 9 Table 1, informational note 2


def fill_limit(count: int, length_in: float = inf) -> float:
    """Largest share of the inside area for one, two, or three and more conductors, Table 1.

    A nipple, `length_in` of 24 in or less, may be filled to 60 % with any number (Note 4), and
    its conductors are not adjusted for their count.
    >>> [fill_limit(count) for count in (1, 2, 3, 9)]
    [0.53, 0.31, 0.4, 0.4]
    >>> fill_limit(2, length_in=24), fill_limit(2, length_in=24.1)
    (0.6, 0.31)
    """
    if count < 1:
        raise ValueError(f"{count} conductors have no fill limit: count from 1 up")
    row = next(
        row
        for row in reversed(read_table("fill_limits"))
        if count >= row.number("conductors_min_count")
        and length_in <= (row.number_or_none("longest_in") or inf)
    )
    return row.number("fill_percent") / 100


def circle_area_in2(diameter_in: float) -> float:
    """Area of a circle: the inside of a raceway, a round cable, a flat one on its wide side. [in²]

    >>> round(circle_area_in2(1.5), 3)
    1.767
    """
    return pi / 4 * diameter_in**2


def inside_diameter_in(kind: str, trade_size: str) -> float:
    """Inside diameter of a raceway, Table 4. [in]

    >>> inside_diameter_in("EMT", "3/4")
    0.824
    """
    return lookup("raceways", kind=kind, trade_size=trade_size).number("inside_diameter_in")


def raceway_area_in2(kind: str, trade_size: str) -> float:
    """Inside area of a raceway from its diameter in Table 4, not rounded. [in²]

    The printed area, rounded to 0.001 in², would give some Annex C counts one short.
    >>> round(raceway_area_in2("EMT", "3/4"), 3)
    0.533
    """
    return circle_area_in2(inside_diameter_in(kind, trade_size))


@cache
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


def conductor_diameter_in(awg: str, insulation: str) -> float:
    """Diameter of the circle that a conductor's area makes. [in]

    >>> round(conductor_diameter_in("12", "THHN"), 3)  # Table 5 prints 0.130
    0.13
    """
    return 2 * sqrt(conductor_area_in2(awg, insulation) / pi)


def nm_cable_area_in2(cable: str) -> float:
    """Area a nonmetallic-sheathed cable takes: a circle on its wide side, Note 9. [in²]

    Widths are one maker's or typical; the cable bought decides. `cable` is size and conductors
    without the ground, as "12-2".
    >>> round(nm_cable_area_in2("12-2"), 3)
    0.14
    """
    return circle_area_in2(lookup("nm_cables", cable=cable).number("major_in"))


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


def more_conductors(
    kind: str,
    trade_size: str,
    areas_in2: Collection[float],
    conductor_area_in2: float,
    length_in: float = inf,
) -> int:
    """How many more conductors or cables of one size fit beside those of `areas_in2`.

    Nothing is rounded up: what lies there already may be of other sizes (Note 6). One may fit at
    53 % where two do not at 31 %, and three again at 40 %: the most that may lie there counts.
    >>> one = conductor_area_in2("12", "THHN")
    >>> more_conductors("EMT", "1/2", [one] * 3, one), more_conductors("EMT", "1/2", [one] * 9, one)
    (6, 0)
    """
    inside_in2, used_in2 = raceway_area_in2(kind, trade_size), sum(areas_in2)
    count = len(areas_in2)

    def room_in2(total: int) -> float:
        return fill_limit(total, length_in) * inside_in2 - used_in2 + 1e-9

    many = int(room_in2(3) / conductor_area_in2)
    if count + many >= 3:
        return max(0, many)
    few = (n for n in (2, 1) if n > count and (n - count) * conductor_area_in2 <= room_in2(n))
    return next(few, count) - count


def jam_ratio(kind: str, trade_size: str, conductor_diameter_in: float) -> float:
    """Inside diameter of a raceway over the diameter of one of three conductors pulled into it.

    >>> round(jam_ratio("EMT", "1/2", 0.216), 2)  # 8 AWG THHN
    2.88
    """
    return inside_diameter_in(kind, trade_size) / conductor_diameter_in


def may_jam(ratio: float) -> bool:
    """Whether three conductors may wedge side by side in a bend: a ratio from 2.8 to 3.2.

    Information only (Table 1, informational note 2): such a raceway is allowed.
    >>> may_jam(2.88), may_jam(3.81)
    (True, False)
    """
    return JAMS[0] <= ratio <= JAMS[1]
