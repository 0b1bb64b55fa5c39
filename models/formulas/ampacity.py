"""Ampacity: the current a conductor may carry where it runs and where it ends. Amperes, °C.

Source: NFPA 70-2023 Table 310.16 (2017: Table 310.15(B)(16)), 310.15(B) and (C), 110.14(C),
334.80; short hot sections 310.14(A)(2) (2017: 310.15(A)(2)). The figures are the same in the 2017,
2020 and 2023 editions.
"""

from collections.abc import Sequence
from typing import Final

from models.tables import NotInTableError, lookup, read_table

COLUMNS_C = (60, 75, 90)
SHORT_SECTION_FT: Final = 10.0  # 310.14(A)(2) exception
SHORT_SECTION_SHARE: Final = 0.10


def _require_column(column_c: int) -> None:
    if column_c not in COLUMNS_C:
        raise NotInTableError(f"no ampacity column for {column_c} °C: use 60, 75 or 90")


def table_ampacity_amps(awg: str, column_c: int, material: str = "copper") -> int:
    """Ampacity printed in Table 310.16 for a temperature column of 60, 75 or 90 °C. [A]

    >>> table_ampacity_amps("12", 90), table_ampacity_amps("12", 60)
    (30, 20)
    """
    _require_column(column_c)
    return lookup("ampacity", material=material, awg=awg).whole(f"at_{column_c}c_amps")


def ambient_factor(ambient_c: float, column_c: int) -> float:
    """Correction for ambient temperature, Table 310.15(B)(1)(1), 30 °C base.

    Between two printed bands the hotter one counts. Zero where the table prints no factor:
    an insulation of that column may carry nothing in such heat.
    >>> ambient_factor(37.8, 75), ambient_factor(30.5, 90), ambient_factor(60, 60)
    (0.88, 0.96, 0.0)
    """
    _require_column(column_c)
    for row in read_table("ambient_correction"):
        if ambient_c <= row.number("ambient_max_c"):
            return row.number_or_none(f"at_{column_c}c_factor") or 0.0
    return 0.0


def bundling_factor(current_carrying: int) -> float:
    """Adjustment for the count of current-carrying conductors, Table 310.15(C)(1).

    >>> [bundling_factor(count) for count in (3, 4, 9, 10)]
    [1.0, 0.8, 0.7, 0.5]
    """
    if current_carrying < 0:
        raise ValueError(f"{current_carrying} current-carrying conductors: count from 0 up")
    factor = 1.0
    for row in read_table("ampacity_adjustment"):
        if current_carrying >= row.number("conductors_min_count"):
            factor = row.number("adjustment_factor")
    return factor


def ampacity_amps(
    awg: str,
    *,
    insulation_c: int = 90,
    terminal_c: int = 60,
    ambient_c: float = 30,
    current_carrying: int = 2,
    material: str = "copper",
) -> float:
    """Ampacity of a conductor in use. [A]

    The insulation column times both factors (310.15), then at most the terminal column without
    factors (110.14(C)). For NM cable `terminal_c` stays 60 whatever the terminals (334.80).
    >>> ampacity_amps("12", terminal_c=75, current_carrying=9)  # trade magazine, nine 12 AWG THHN
    21.0
    >>> ampacity_amps("8", current_carrying=6)  # three 8-2 NM-B cables bundled: 44 A, capped
    40.0
    """
    factors = ambient_factor(ambient_c, insulation_c) * bundling_factor(current_carrying)
    adjusted = table_ampacity_amps(awg, insulation_c, material) * factors
    at_terminal = table_ampacity_amps(awg, terminal_c, material)
    return float(min(round(adjusted, 6), at_terminal))


def ampacity_along_amps(sections: Sequence[tuple[float, float]]) -> float:
    """Ampacity of a run whose sections differ, each as (length [ft], ampacity [A]). [A]

    The lowest counts, except that a higher one may be taken past all sections below it while these
    together are not longer than 10 ft, nor than 10 % of the length that has it: 310.14(A)(2)
    exception. The editions word it differently; this is the stricter of them, in all three. Not
    for cables bundled in insulation (334.80), nor for what the terminals limit (110.14(C)).
    >>> ampacity_along_amps([(100, 24.0), (10, 19.7)])
    24.0
    >>> ampacity_along_amps([(90, 24.0), (10, 19.7)])
    19.7
    """
    for amps in sorted({amps for _, amps in sections}, reverse=True):
        has_it_ft = sum(length for length, section in sections if section >= amps)
        below_ft = sum(length for length, section in sections if section < amps)
        if below_ft <= min(SHORT_SECTION_FT, SHORT_SECTION_SHARE * has_it_ft) + 1e-9:
            return amps
    raise ValueError("a run without sections has no ampacity: give one section at least")
