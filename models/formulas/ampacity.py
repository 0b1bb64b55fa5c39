"""Ampacity: the current a conductor may carry where it runs and where it ends. Amperes, °C.

Source: NFPA 70-2023 Table 310.16 (2017: Table 310.15(B)(16)), 310.15(B) and (C), 110.14(C),
334.80. The figures are the same in the 2017, 2020 and 2023 editions.
"""

from models.tables import NotInTableError, lookup, read_table

COLUMNS_C = (60, 75, 90)


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
