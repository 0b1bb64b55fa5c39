"""Single-phase motors: table current, conductors, devices, overloads, groups, starting. Amperes.

Source: NFPA 70 (2017, 2020, 2023) Tables 430.7(B), 430.248 and 430.251(A), 430.22, 430.32,
Table 430.52 (430.52(C)(1) in 2023, from memory), 430.53 and 430.62. Table current is for conductors
and breakers (430.6(A)); demand and overload devices go by the nameplate.
"""

from collections.abc import Iterable
from fractions import Fraction
from functools import cache
from typing import Final

from models.formulas.overcurrent import next_standard_rating_amps, standard_ratings_amps
from models.quantities import parse_horsepower
from models.tables import NotInTableError, lookup, read_table

COLUMN_VOLTS: Final = {
    **dict.fromkeys((110, 115, 120), 115),
    200: 200,
    208: 208,
    **dict.fromkeys((220, 230, 240), 230),
}
CONDUCTOR_SHARE: Final = Fraction(125, 100)  # 430.22
BREAKER: Final = "inverse-time breaker"
LEAST_BREAKER_AMPS: Final = 15
SMALL_MOTOR_AMPS: Final = 6  # 430.53(A)(1)
SMALL_MOTOR_VOLTS: Final = 125
LOCKED_ROTOR_SHARE: Final = 6  # Table 430.251(A) against Table 430.248


@cache
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
    (430.52(C)(1) exception 2), which is not taken here. No smaller breaker than 15 A is asked for,
    also since 10 A is a standard size (2023; common practice, no source).
    >>> motor_breaker_ceiling_amps(17.0, 2023), motor_breaker_ceiling_amps(2.2, 2023)
    (45, 15)
    """
    ceiling = motor_device_ceiling_amps(BREAKER, table_amps, edition)
    return max(ceiling, LEAST_BREAKER_AMPS)


def locked_rotor_amps(table_amps: float) -> float:
    """Locked-rotor current by Table 430.251(A): six times the table current. [A]

    >>> locked_rotor_amps(17.0)
    102.0
    """
    return LOCKED_ROTOR_SHARE * table_amps


def code_letter_amps(code_letter: str, horsepower: Fraction | str, volts: int) -> float:
    """Most locked-rotor current of a single-phase motor by its code letter, Table 430.7(B). [A]

    Upper end of the letter's band: kVA/hp · hp · 1000 / V. The band of V has no upper end.
    >>> round(code_letter_amps("G", "1", 230), 1), round(code_letter_amps("K", "3", 240), 1)
    (27.3, 112.4)
    """
    most = lookup("code_letters", code_letter=code_letter).number_or_none("to_kva_per_hp")
    if most is None:
        raise NotInTableError(f"code letter {code_letter} has no upper limit: measure the start")
    return float(most * float(parse_horsepower(f"{horsepower} hp")) * 1000 / volts)


def overload_device_amps(
    nameplate_amps: float, *, cool_running: bool = False, will_not_start: bool = False
) -> float:
    """Largest running-overload device of a motor, by nameplate and not table current. [A]

    430.32(A)(1), (C). `cool_running`: marked with a service factor of 1.15 or more, or a rise of
    40 °C or less: 125 % instead of 115 %. `will_not_start`: up to 140 or 130 %.
    >>> round(overload_device_amps(14), 1)  # trade handout, 1 hp at 120 V, nameplate 14 A
    16.1
    """
    percent = {
        (False, False): 115,
        (True, False): 125,
        (False, True): 130,
        (True, True): 140,
    }[cool_running, will_not_start]
    return nameplate_amps * percent / 100


def motor_device_ceiling_amps(device: str, table_amps: float, edition: int) -> int:
    """Largest branch-circuit device of one motor by kind, Table 430.52; next size up. [A]

    >>> motor_device_ceiling_amps("inverse-time breaker", 28.0, 2023)  # exam practice, 5 hp, 230 V
    70
    >>> motor_device_ceiling_amps("time-delay fuse", 16.0, 2023)
    30
    """
    percent = lookup("motor_devices", device=device).number("largest_percent")
    return next_standard_rating_amps(percent * table_amps / 100, edition)


def motor_breaker_most_amps(table_amps: float, edition: int) -> int:
    """Largest breaker where the motor does not start on less: 400 %, above 100 A 300 %. [A]

    430.52(C)(1) exception 2(c): a limit, so a standard size below it.
    >>> motor_breaker_most_amps(16.0, 2023), motor_breaker_most_amps(17.0, 2023)
    (60, 60)
    """
    most = (4 if table_amps <= 100 else 3) * table_amps
    return max(rating for rating in standard_ratings_amps(edition) if rating <= most)


def motor_feeder_breaker_amps(
    largest_device_amps: float, other_table_amps: Iterable[float], edition: int
) -> int:
    """Largest breaker of a feeder to several motors, 430.62(A); rounded down. [A]

    The largest device of a motor's branch circuit and the table currents of the others.
    >>> motor_feeder_breaker_amps(100, [28.0], 2023)  # 7-1/2 hp (40 A x 250 %) and 5 hp
    125
    """
    most = largest_device_amps + sum(other_table_amps)
    return max(rating for rating in standard_ratings_amps(edition) if rating <= most)


def small_motors_may_share(
    motors: Iterable[tuple[Fraction | str, float]], breaker_amps: float, volts: int
) -> bool:
    """Whether several motors may be on one general circuit by 430.53(A).

    Each as (horsepower, table amperes): at most 1 hp and 6 A, behind 20 A at 120 V or 15 A above.
    Each also has overload protection of its own, which is not asked here.
    >>> small_motors_may_share([("1/4", 5.8), ("1/6", 4.4)], 20, 120)
    True
    >>> small_motors_may_share([("1/2", 4.9)], 20, 240)
    False
    """
    most_amps = 20 if volts <= SMALL_MOTOR_VOLTS else 15
    each = all(
        parse_horsepower(f"{power} hp") <= 1 and amps <= SMALL_MOTOR_AMPS for power, amps in motors
    )
    return each and breaker_amps <= most_amps
