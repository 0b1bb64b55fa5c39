"""Receptacles: which plug fits, what each configuration gives, and which circuit may feed it.

Source: NEMA WD 6 for configurations and keying, UL 498 for horsepower, NFPA 70 (2017, 2020, 2023)
210.21(B) for ratings and loads. Names end in P for a plug, R for a receptacle: "5-20R".
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Final

from models.formulas.editions import require_edition
from models.quantities import parse_horsepower
from models.tables import NotInTableError, lookup, read_table

NOMINAL_VOLTS: Final = {"125": 120, "250": 240, "125/250": 240}


@dataclass(frozen=True)
class Receptacle:
    """One NEMA configuration. `volts` is nominal, between hots where there are two."""

    configuration: str
    volts: int
    amps: int
    hots: int
    neutral: bool
    ground: bool
    for_new_circuits: bool
    horsepower: Fraction
    basis: str
    horsepower_basis: str


@cache
def receptacle(configuration: str) -> Receptacle:
    """What a receptacle configuration gives; an unknown one is refused with close matches.

    >>> found = receptacle("6-20R")
    >>> found.volts, found.amps, found.hots, found.neutral, found.horsepower
    (240, 20, 2, False, Fraction(2, 1))
    >>> receptacle("6-20")
    Traceback (most recent call last):
    models.tables.NotInTableError: receptacles: no configuration '6-20'; closest: '6-20R', 'L6-20R'
    """
    row = lookup("receptacles", configuration=configuration)
    power = lookup("receptacle_horsepower", configuration=configuration)
    return Receptacle(
        configuration=configuration,
        volts=NOMINAL_VOLTS[row.text("voltage")],
        amps=row.whole("rating_amps"),
        hots=row.whole("hots_count"),
        neutral=row.text("neutral") == "yes",
        ground=row.text("ground") == "yes",
        for_new_circuits=row.text("status") == "current",
        horsepower=parse_horsepower(f"{power.text('horsepower')} hp"),
        basis=row.text("basis"),
        horsepower_basis=power.text("basis"),
    )


@cache
def plug_fits(plug: str, receptacle: str) -> bool:
    """Whether a plug goes into a receptacle; what the keying table does not list does not fit.

    >>> plug_fits("5-15P", "5-20R"), plug_fits("5-20P", "5-15R")
    (True, False)
    """
    lookup("plug_fit", plug=plug)
    lookup("receptacles", configuration=receptacle)
    pairs = ((row.text("plug"), row.text("receptacle")) for row in read_table("plug_fit"))
    return (plug, receptacle) in pairs


def receptacle_rating_allowed(
    circuit_amps: int, receptacle_amps: int, *, single: bool, edition: int
) -> bool:
    """Whether a circuit may feed a receptacle of this rating, 210.21(B).

    `single`: one single receptacle alone on the circuit, rated at least the circuit ((B)(1)). All
    else, a duplex too, goes by Table 210.21(B)(3); from 2023 its ratings are least ratings, while
    Table 210.24 reads as before. A circuit rating without a row may feed one receptacle only.
    >>> receptacle_rating_allowed(20, 15, single=False, edition=2020)
    True
    >>> receptacle_rating_allowed(20, 15, single=True, edition=2020)
    False
    """
    require_edition(edition)
    if single:
        return receptacle_amps >= circuit_amps
    listed = [
        row.whole("receptacle_amps")
        for row in read_table("receptacle_ratings")
        if row.number("circuit_amps") == circuit_amps
    ]
    if edition >= 2023 and listed:
        return receptacle_amps >= min(listed)
    return receptacle_amps in listed


@cache
def largest_cord_load_amps(circuit_amps: int, receptacle_amps: int, *, individual: bool) -> int:
    """Largest cord-and-plug load on one receptacle. [A]

    `individual`: one single receptacle alone on its circuit carries the lesser of both ratings.
    Otherwise Table 210.21(B)(2) by the lesser rating, the row below where none is printed; the
    table ends at 30 A, above which the lesser rating itself is the limit.
    >>> largest_cord_load_amps(20, 15, individual=False)
    12
    >>> largest_cord_load_amps(20, 20, individual=True)
    20
    """
    lesser = min(circuit_amps, receptacle_amps)
    rows = read_table("receptacle_loads")
    if individual or lesser > rows[-1].number("receptacle_amps"):
        return lesser
    loads = [r.whole("load_amps") for r in rows if r.number("receptacle_amps") <= lesser]
    if not loads:
        raise NotInTableError(f"no receptacle on {lesser} A: Table 210.21(B)(2) begins at 15 A")
    return max(loads)
