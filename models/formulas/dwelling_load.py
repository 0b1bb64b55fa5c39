"""Load calculation of a dwelling unit: standard and optional method. VA, ft², kW.

Source: NFPA 70 (2017, 2020, 2023) 220.12 (2020: 220.14(J), 2023: 220.41), 220.42 (2023: 220.45),
220.52, 220.54, Table 220.55, 220.82. A feeder to a shop carries part of a dwelling at most: the
optional method is not for it (220.82(A): the whole load of one dwelling unit).
"""

from fractions import Fraction
from math import floor
from typing import Final

from models.formulas.editions import require_edition
from models.formulas.load_calculation import by_portions
from models.tables import NotInTableError, lookup, read_table

UNIT_VA_PER_FT2: Final = 3  # 220.12 (2017), 220.14(J) (2020), 220.41 (2023)
SMALL_APPLIANCE_VA: Final = 1500  # 220.52(A)
LAUNDRY_VA: Final = 1500  # 220.52(B)
DRYER_LEAST_VA: Final = 5000  # 220.54
RANGE_IN_COLUMN_C_KW: Final = 12  # Table 220.55, note 1
LARGEST_RANGE_KW: Final = 27
RANGE_STEP: Final = Fraction(5, 100)
OPTIONAL_WHOLE_VA: Final = 10_000  # 220.82(B)
OPTIONAL_REST: Final = Fraction(40, 100)
FEW_HEATERS: Final = Fraction(65, 100)  # 220.82(C)(4)
MANY_HEATERS: Final = Fraction(40, 100)  # 220.82(C)(5)
MANY: Final = 4


def counts_garage(edition: int) -> bool:
    """Whether a garage is in the floor area of its dwelling unit.

    220.12 (2017) and 220.11 (2020) leave garages out; 220.5(C) (2023) does not.
    >>> counts_garage(2020), counts_garage(2023)
    (False, True)
    """
    require_edition(edition)
    return edition >= 2023


def dwelling_unit_va(area_ft2: float) -> float:
    """General lighting and general receptacles of a dwelling unit together: 3 VA/ft². [VA]

    >>> dwelling_unit_va(1500)  # Annex D Example D1(a)
    4500
    """
    return UNIT_VA_PER_FT2 * area_ft2


def dwelling_general_va(
    area_ft2: float, *, small_appliance_circuits: int = 2, laundry_circuits: int = 1
) -> float:
    """Lighting, small appliances and laundry after Table 220.42 (2023: Table 220.45). [VA]

    >>> dwelling_general_va(1500)  # Annex D Example D1(a)
    5100.0
    """
    circuits_va = SMALL_APPLIANCE_VA * small_appliance_circuits + LAUNDRY_VA * laundry_circuits
    return by_portions(dwelling_unit_va(area_ft2) + circuits_va, read_table("lighting_demand"))


def range_va(nameplate_kw: float) -> float:
    """One household range by column C of Table 220.55 with its note 1. [VA]

    >>> range_va(12), range_va(16)  # Annex D Example D1(a); note 1: 4 kW more, 20 % more
    (8000.0, 9600.0)
    """
    if nameplate_kw > LARGEST_RANGE_KW:
        raise NotInTableError(f"Table 220.55 ends at {LARGEST_RANGE_KW} kW: {nameplate_kw:g} kW")
    column_c_kw = lookup("range_demand", appliances_count=1).number("column_c_kw")
    steps = max(0, floor(nameplate_kw - RANGE_IN_COLUMN_C_KW + 0.5))
    return float(1000 * Fraction(column_c_kw) * (1 + RANGE_STEP * steps))


def dryer_va(nameplate_va: float) -> float:
    """One household dryer: its rating, at least 5000 VA, 220.54. [VA]

    >>> dryer_va(5500), dryer_va(4500)
    (5500, 5000)
    """
    return max(DRYER_LEAST_VA, nameplate_va)


def heat_or_cooling_va(cooling_va: float, heat_va: float, separately_controlled: int) -> float:
    """The larger of cooling and electric heat by the optional method, 220.82(C). [VA]

    Heat at 65 %, at 40 % with four or more units that have controls of their own. Heat pumps and
    thermal storage have lines of their own in 220.82(C), which are not held here.
    >>> heat_or_cooling_va(6 * 230, 9000, separately_controlled=5)  # Annex D Example D2(a)
    3600.0
    """
    share = MANY_HEATERS if separately_controlled >= MANY else FEW_HEATERS
    return max(cooling_va, float(share * Fraction(heat_va)))


def optional_dwelling_va(general_va: float, heat_or_cooling_va: float) -> float:
    """A whole dwelling unit by the optional method, service or feeder of 100 A or more. [VA]

    220.82(B): of all that is no heating and no cooling the first 10 kVA and 40 % of the rest.
    >>> general = 4500 + 3000 + 1500 + 12_000 + 2500 + 1200 + 5000
    >>> optional_dwelling_va(general, 3600)  # Annex D Example D2(a)
    21480.0
    """
    whole = min(general_va, OPTIONAL_WHOLE_VA)
    return whole + float(OPTIONAL_REST * Fraction(general_va - whole)) + heat_or_cooling_va
