"""Single-phase motors: table current, conductor, breaker ceiling and locked-rotor current. Amperes.

Source: NFPA 70 (2017, 2020, 2023) Table 430.248, 430.22, Table 430.52 (430.52(C)(1) in 2023,
from memory) and Table 430.251(A). Table current is for conductors and breakers (430.6(A));
demand and overload devices go by the nameplate.
"""

from fractions import Fraction
from typing import Final

from models.formulas.overcurrent import next_standard_rating_amps
from models.quantities import parse_horsepower
from models.tables import NotInTableError, read_table

COLUMN_VOLTS: Final = {
    **dict.fromkeys((110, 115, 120), 115),
    200: 200,
    208: 208,
    **dict.fromkeys((220, 230, 240), 230),
}
CONDUCTOR_SHARE: Final = Fraction(125, 100)  # 430.22
BREAKER_SHARE: Final = Fraction(250, 100)  # Table 430.52, inverse-time breaker
LOCKED_ROTOR_SHARE: Final = 6  # Table 430.251(A) against Table 430.248


def motor_amps(horsepower: Fraction | str, volts: int) -> float:
    """Full-load current of Table 430.248; 110-120 V and 220-240 V have one column each. [A]

    >>> motor_amps("3", 240), motor_amps("1-1/2", 120), motor_amps(Fraction(3, 4), 208)
    (17.0, 20.0, 7.6)
    """
    wanted = parse_horsepower(f"{horsepower} hp")
    if volts not in COLUMN_VOLTS:
        known = ", ".join(map(str, COLUMN_VOLTS))
        raise NotInTableError(f"Table 430.248 has no column for {volts} V: use one of {known}")
    for row in read_table("motors"):
        if parse_horsepower(f"{row.text('horsepower')} hp") == wanted:
            return row.number(f"at_{COLUMN_VOLTS[volts]}v_amps")
    listed = ", ".join(row.text("horsepower") for row in read_table("motors"))
    raise NotInTableError(
        f"Table 430.248 has no {horsepower} hp motor; listed: {listed}. "
        "Take the next larger, or give the amperes marked on a listed appliance"
    )


def motor_conductor_amps(table_amps: float) -> float:
    """Least ampacity of the conductors of one continuous-duty motor: 125 % (430.22). [A]

    >>> motor_conductor_amps(17.0)
    21.25
    """
    return float(CONDUCTOR_SHARE) * table_amps


def motor_breaker_ceiling_amps(table_amps: float, edition: int) -> int:
    """Largest inverse-time breaker for one motor: 250 %, next standard size up. [A]

    A ceiling, not a target; more is allowed only where the motor will not start otherwise
    (430.52(C)(1) exception 2), which is not taken here.
    >>> motor_breaker_ceiling_amps(17.0, 2023)
    45
    """
    return next_standard_rating_amps(float(BREAKER_SHARE) * table_amps, edition)


def locked_rotor_amps(table_amps: float) -> float:
    """Locked-rotor current by Table 430.251(A): six times the table current. [A]

    >>> locked_rotor_amps(17.0)
    102.0
    """
    return LOCKED_ROTOR_SHARE * table_amps
