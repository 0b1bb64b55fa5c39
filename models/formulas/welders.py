"""Arc welders: supply conductors and breakers. Amperes.

Source: NFPA 70 (2017, 2020, 2023) Table 630.11(A), 630.11(A) and 630.12. Several welders together
are in `load_calculation.welder_group_amps` (630.11(B)).
"""

from typing import Final

from models.formulas.overcurrent import next_standard_rating_amps
from models.tables import read_table

BREAKER_PERCENT: Final = 200  # 630.12(A), (B)


def duty_cycle_factor(duty_cycle_percent: float, *, motor_generator: bool = False) -> float:
    """Factor of Table 630.11(A); between two printed duty cycles the larger counts.

    >>> duty_cycle_factor(50), duty_cycle_factor(15), duty_cycle_factor(35)
    (0.71, 0.45, 0.63)
    """
    if not 0 < duty_cycle_percent <= 100:
        raise ValueError(f"a duty cycle of {duty_cycle_percent:g} %: it is above 0, at most 100")
    column = "motor_generator_factor" if motor_generator else "nonmotor_factor"
    rows = reversed(read_table("welder_duty_cycles"))
    row = next(r for r in rows if duty_cycle_percent <= r.number("duty_cycle_percent"))
    return row.number(column)


def welder_conductor_amps(
    rated_primary_amps: float, duty_cycle_percent: float, *, motor_generator: bool = False
) -> float:
    """Least ampacity of the supply conductors, 630.11(A); a marked I1eff stands for it. [A]

    >>> round(welder_conductor_amps(40, 50), 1)  # trade magazine: 10 AWG copper at 75 °C
    28.4
    """
    factor = duty_cycle_factor(duty_cycle_percent, motor_generator=motor_generator)
    return rated_primary_amps * factor


def welder_breaker_ceiling_amps(amps: float, edition: int) -> int:
    """Largest breaker: 200 % of I1max, or of the conductors' ampacity; next size up. [A]

    630.12(A) for the welder with its I1max or rated primary current, (B) for the conductors.
    >>> welder_breaker_ceiling_amps(40, 2023), welder_breaker_ceiling_amps(33, 2023)
    (80, 70)
    """
    return next_standard_rating_amps(BREAKER_PERCENT * amps / 100, edition)
