"""Load calculation of a feeder or service by article 220: one law each. VA, amperes, ft².

Source: NFPA 70 (2017, 2020, 2023) article 220 parts I to III, 430.24, 625.42, 630.11(B). Where a
section moved between editions its docstring names it in each. What is special to dwelling units
is in `dwelling_load`, how a shop's feeder is put together in `shop_feeder`.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import floor
from typing import Final

from models.formulas.editions import require_edition
from models.tables import Row, lookup, read_table

FEEDER_VOLTS: Final = 240  # nominal, 220.5(A)
YOKE_VA: Final = 180  # 220.14(I)
RECEPTACLE_OF_FOUR_VA: Final = 90  # 220.14(I)
CONTINUOUS_SHARE: Final = Fraction(125, 100)  # 215.2(A)(1), 215.3
LARGEST_MOTOR_SHARE: Final = Fraction(125, 100)  # 220.50, 430.24
EVSE_LEAST_VA: Final = 7200  # 220.57 (2023)
COOKING_NEUTRAL_SHARE: Final = Fraction(70, 100)  # 220.61(B)(1)
MEASURED_SHARE: Final = Fraction(125, 100)  # 220.87
WELDER_SHARES: Final = (100, 100, 85, 70)  # 630.11(B), the largest first [%]
WELDER_REST_SHARE: Final = 60


def feeder_amps(load_va: float, volts: int = FEEDER_VOLTS) -> int:
    """A load in amperes at nominal voltage, a fraction below 0.5 dropped: 220.5. [A]

    >>> feeder_amps(18_600), feeder_amps(14_550)  # Annex D Example D1(a): load, neutral
    (78, 61)
    """
    return floor(round(load_va / volts, 6) + 0.5)


def receptacles_va(yokes: int, *, in_sets_of_four: int = 0) -> int:
    """General receptacles outside dwelling units: 180 VA a yoke, 220.14(I). [VA]

    `in_sets_of_four`: receptacles of single devices that hold four or more, 90 VA each.
    >>> receptacles_va(8), receptacles_va(80)  # trade course; Annex D Example D3
    (1440, 14400)
    """
    return YOKE_VA * yokes + RECEPTACLE_OF_FOUR_VA * in_sets_of_four


def yokes_carried(breaker_amps: float, *, continuous: bool = False, volts: int = 120) -> int:
    """How many yokes of 180 VA a circuit carries, 220.14(I) with 210.19 and 210.20(A).

    >>> yokes_carried(20), yokes_carried(20, continuous=True)  # trade course
    (13, 10)
    """
    each = YOKE_VA * (CONTINUOUS_SHARE if continuous else 1)
    return int(Fraction(breaker_amps) * volts / each)


def receptacle_demand_va(load_va: float) -> float:
    """Receptacle load outside dwelling units after its demand factor. [VA]

    220.44 and its table (2017, 2020), 220.47 (2023): half of what is over 10 kVA.
    >>> receptacle_demand_va(20_160), receptacle_demand_va(14_400)  # forum; Annex D Example D3
    (15080.0, 12200.0)
    """
    return by_portions(load_va, read_table("receptacle_demand"))


def by_portions(load_va: float, rows: Iterable[Row]) -> float:
    """A load after the demand factors of a table that gives one for each portion. [VA]"""
    demand, reached = 0.0, 0.0
    for row in rows:
        end = row.number_or_none("up_to_va")
        portion = (load_va if end is None else min(load_va, end)) - reached
        if portion <= 0:
            break
        demand += portion * row.number("demand_percent") / 100
        reached += portion
    return demand


def unit_lighting_va(occupancy: str, area_ft2: float, edition: int) -> float | None:
    """Least lighting load of a floor outside dwelling units, its 125 % included. [VA]

    Table 220.12 (2020), Table 220.42(A) (2023). None in 2017, whose table knows no workshop.
    >>> unit_lighting_va("Workshop", 1000, 2023), unit_lighting_va("Workshop", 1000, 2017)
    (1700.0, None)
    """
    require_edition(edition)
    if edition < 2020:
        return None
    return area_ft2 * lookup("general_lighting", occupancy=occupancy).number("unit_load_va_per_ft2")


def lighting_va(luminaires_va: float, unit_load_va: float = 0.0) -> float:
    """General lighting as a continuous load: luminaires at 125 %, at least the unit load. [VA]

    `unit_load_va` holds its 125 % already; 220.12, 220.14(D) (2023: 220.42).
    >>> lighting_va(8500, 9000 * 1.25)  # Annex D Example D3
    11250.0
    """
    return max(float(CONTINUOUS_SHARE * Fraction(luminaires_va)), unit_load_va)


def motor_feeder_amps(table_amps: Sequence[float]) -> float:
    """Least ampacity of conductors to several motors: 430.24. [A]

    Table currents, the largest at 125 %.
    >>> motor_feeder_amps([40, 28])  # trade handout: 7-1/2 and 5 hp, 230 V
    78.0
    """
    return sum(table_amps) + float(LARGEST_MOTOR_SHARE - 1) * max(table_amps, default=0)


def welder_shares(effective_amps: Sequence[float]) -> tuple[int, ...]:
    """Share at which each of several arc welders counts, in the order given: 630.11(B). [%]

    >>> welder_shares([24, 30, 20, 28, 10])
    (85, 100, 70, 100, 60)
    """
    largest_first = sorted(range(len(effective_amps)), key=lambda i: -effective_amps[i])
    rank = {index: place for place, index in enumerate(largest_first)}
    shares = [*WELDER_SHARES, *(WELDER_REST_SHARE for _ in effective_amps)]
    return tuple(shares[rank[index]] for index in range(len(effective_amps)))


def welder_group_amps(effective_amps: Sequence[float]) -> float:
    """Least ampacity of conductors to several arc welders: 630.11(B). [A]

    Effective primary currents, as the rating plate gives them or by Table 630.11(A).
    >>> welder_group_amps([80, 67.2, 50.4, 44.5, *[32.4] * 4, *[15.75] * 4])  # magazine quiz
    336.75
    """
    shares = welder_shares(effective_amps)
    weighted = (amps * share for amps, share in zip(effective_amps, shares, strict=True))
    return round(sum(weighted) / 100, 6)


def noncoincident_va(loads: Iterable[tuple[float, bool]], edition: int) -> float:
    """Of loads that never run together, what enters a total: 220.60. [VA]

    Each load with whether it is a motor or air conditioning. 2017 takes the largest; since 2020
    a motor that is not the largest enters at 125 % where that makes it so.
    >>> two = [(110 * 240, False), (100 * 240, True)]  # forum: 110 A of heat, a motor of 100 A
    >>> noncoincident_va(two, 2017), noncoincident_va(two, 2020)
    (26400.0, 30000.0)
    """
    require_edition(edition)
    share = LARGEST_MOTOR_SHARE if edition >= 2020 else Fraction(1)
    listed = list(loads)
    largest = max((va for va, _ in listed), default=0.0)
    others = (float(share * Fraction(va)) for va, motor in listed if motor and va < largest)
    return max([float(largest), *others])


def evse_va(nameplate_va: float, edition: int) -> float:
    """Electric vehicle supply equipment in a total: at least 7200 VA since 2023, 220.57. [VA]

    Before that its rating, 220.14(A). Its 125 % as a continuous load (625.42) comes on top.
    >>> evse_va(5000, 2023), evse_va(14_400, 2023), evse_va(5000, 2020)  # trade course
    (7200, 14400, 5000)
    """
    require_edition(edition)
    return max(EVSE_LEAST_VA, nameplate_va) if edition >= 2023 else nameplate_va


def managed_evse_va(nameplates_va: Iterable[float], set_point_va: float, edition: int) -> float:
    """Vehicle chargers that share a load by a listed energy management system. [VA]

    Together no more than its set-point: 625.42 (2023: 625.42(A), 750.30). The least of 220.57 is
    kept for the set-point as for one charger (the stricter reading).
    >>> managed_evse_va([7200, 7200, 7200], 80 * 240, 2023)  # trade course: 30 A each, 80 A in all
    19200
    """
    apart = sum(evse_va(va, edition) for va in nameplates_va)
    return min(apart, evse_va(set_point_va, edition))


def neutral_va(line_to_neutral_va: float, cooking_and_dryers_va: float = 0.0) -> float:
    """Neutral load of a dwelling: ranges and dryers at 70 %, 220.61(B). [VA]

    Loads of 240 V alone add nothing. The further 70 % above 200 A is not taken.
    >>> neutral_va(5100, 8000 + 5500)  # Annex D Example D1(a)
    14550.0
    """
    return line_to_neutral_va + float(COOKING_NEUTRAL_SHARE * Fraction(cooking_and_dryers_va))


def unbalanced_amps(pairs: Iterable[tuple[float, float]]) -> float:
    """Greatest line-to-neutral current that can be left over on a neutral: 220.61(A). [A]

    Each pair is what leg A and leg B carry line to neutral and what may balance; the larger of
    each counts.
    >>> 61 + unbalanced_amps([(12, 10), (0, 8), (0, 2)])  # Annex D Example D1(b)
    83
    """
    return sum(max(pair) for pair in pairs)


def existing_load_va(measured_peak_va: float, added_va: float) -> float:
    """Load of something that is there already, by its measured peak: 220.87. [VA]

    125 % of the greatest demand of a year (or of 30 recorded days) and what is added.
    >>> existing_load_va(14_400, 7200)
    25200.0
    """
    return float(MEASURED_SHARE * Fraction(measured_peak_va)) + added_va
