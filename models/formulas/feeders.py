"""Feeders: breaker, conductors and ground for a load; the 83 % rule; a building's disconnect.

Source: NFPA 70 (2017, 2020, 2023) 215.2, 215.3, 240.4(B), 250.122, 225.33, 225.39, 430.62(A),
310.12 (2017: 310.15(B)(7)). Amperes; 120/240 V, single phase, three wires and a ground.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.conductors import awg_sizes, circular_mils
from models.formulas.grounds import equipment_ground_awg
from models.formulas.overcurrent import (
    largest_breaker_amps,
    next_standard_rating_amps,
    standard_ratings_amps,
)
from models.tables import NotInTableError, lookup

WHOLE_DWELLING_PERCENT: Final = 83  # 310.12(A), (B)
MOST_DISCONNECTS: Final = 6  # 225.33(A)
ONE_CIRCUIT_AMPS: Final = 15  # 225.39(A)
TWO_CIRCUITS_AMPS: Final = 30  # 225.39(B)
ONE_FAMILY_AMPS: Final = 100  # 225.39(C)
ANY_OTHER_AMPS: Final = 60  # 225.39(D)
SIZES_OF: Final = {"copper": awg_sizes(), "aluminum": awg_sizes()[awg_sizes().index("8") :]}


class PartOfDwellingError(ValueError):
    """The 83 % rule asked for conductors that do not carry a whole dwelling."""


class FeederSizes(NamedTuple):
    """Least breaker and conductors of a feeder. [A, AWG]"""

    breaker_amps: int
    hot_awg: str
    neutral_awg: str
    ground_awg: str


def feeder_sizes(
    load_amps: float,
    neutral_amps: float,
    *,
    edition: int,
    material: str = "copper",
    terminal_c: int = 75,
) -> FeederSizes:
    """Least breaker, hots, neutral and ground for a calculated load, continuous part at 125 %.

    215.2(A)(1), 215.3: breaker and hots for the load, the breaker within 240.4(B) of the hots. The
    neutral is never smaller than the ground (2017, 2020: 215.2(A)(2); 2023: 215.2(B)). Not more
    than three current-carrying conductors at 30 °C; nothing is added for voltage drop.
    >>> feeder_sizes(78, 40, edition=2023)  # trade handout: 78 A asks for 4 AWG copper at 75 °C
    FeederSizes(breaker_amps=80, hot_awg='4', neutral_awg='8', ground_awg='8')
    >>> feeder_sizes(90, 60, edition=2023, material="aluminum")
    FeederSizes(breaker_amps=90, hot_awg='2', neutral_awg='4', ground_awg='6')
    """
    breaker_amps = next_standard_rating_amps(load_amps, edition)
    ground_awg = equipment_ground_awg(breaker_amps, material)
    fits = [
        awg
        for awg in SIZES_OF[material]
        if (ampacity := table_ampacity_amps(awg, terminal_c, material)) >= load_amps
        and breaker_amps
        <= (
            largest_breaker_amps(
                awg, ampacity, several_receptacles=False, edition=edition, material=material
            )
            or 0
        )
    ]
    neutrals = [
        awg
        for awg in SIZES_OF[material]
        if table_ampacity_amps(awg, terminal_c, material) >= neutral_amps
        and circular_mils(awg) >= circular_mils(ground_awg)
    ]
    if not fits or not neutrals:
        raise NotInTableError(
            f"{load_amps:g} A is more than {material} of 4/0 AWG, the largest held, carries"
        )
    return FeederSizes(breaker_amps, fits[0], neutrals[0], ground_awg)


def motor_feeder_breaker_amps(
    largest_branch_amps: float, other_table_amps: Sequence[float], edition: int
) -> int:
    """Largest breaker of a feeder to motors alone: 430.62(A). [A]

    The largest branch-circuit breaker among them and the table currents of the others, rounded
    down to a standard rating. A feeder with other loads goes by 430.63 and its conductors.
    >>> motor_feeder_breaker_amps(100, [28], 2023)  # 7-1/2 hp behind 100 A, 5 hp: 128 A
    125
    """
    most = largest_branch_amps + sum(other_table_amps)
    below = [rating for rating in standard_ratings_amps(edition) if rating <= most]
    if not below:
        raise NotInTableError(f"{most:g} A is below the least standard rating (240.6(A))")
    return below[-1]


def whole_dwelling_amps(rating_amps: float) -> float:
    """Least ampacity of conductors that carry all of one dwelling unit: 83 % of the rating. [A]

    310.12(A), (B); 2017: 310.15(B)(7). 120/240 V single phase, 100 to 400 A.
    >>> whole_dwelling_amps(200)  # trade page: so 2/0 copper, 175 A at 75 °C
    166.0
    """
    return WHOLE_DWELLING_PERCENT * rating_amps / 100


def whole_dwelling_size(
    rating_amps: float, material: str = "copper", *, carries_whole_dwelling: bool
) -> str:
    """Size by Table 310.12(A); refused for conductors that carry part of a dwelling or a shop.

    Only where no correction or adjustment is needed.
    >>> whole_dwelling_size(200, carries_whole_dwelling=True)
    '2/0'
    >>> whole_dwelling_size(100, "aluminum", carries_whole_dwelling=False)
    Traceback (most recent call last):
    models.formulas.feeders.PartOfDwellingError: 310.12 is for a whole dwelling: size by 215.2
    """
    if not carries_whole_dwelling:
        raise PartOfDwellingError("310.12 is for a whole dwelling: size by 215.2")
    return lookup("dwelling_service", rating_amps=float(rating_amps)).text(f"{material}_size")


def building_disconnect_amps(
    branch_circuits: int, *, all_two_wire: bool = True, dwelling_unit: bool = False
) -> int:
    """Least rating of what disconnects a separate building: 225.39. [A]

    A rating of the disconnect, not of the feeder's breaker. `branch_circuits` in the building;
    the ratings of up to six grouped disconnects may be added up.
    >>> [building_disconnect_amps(count) for count in (1, 2, 3)]
    [15, 30, 60]
    >>> building_disconnect_amps(2, all_two_wire=False), building_disconnect_amps(9)
    (60, 60)
    """
    if dwelling_unit:
        return ONE_FAMILY_AMPS
    if branch_circuits <= 1:
        return ONE_CIRCUIT_AMPS
    if branch_circuits == 2 and all_two_wire:
        return TWO_CIRCUITS_AMPS
    return ANY_OTHER_AMPS
