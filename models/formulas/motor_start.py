"""The dip of the voltage at a motor while it starts. Volts, amperes, feet, Ω/1000 ft.

Source: Ohm's law, with the locked-rotor current of NFPA 70 Table 430.251(A). What dip is too much
is a habit: about 10 % at the motor, 15 % at worst (motor starting guidance as commonly quoted,
from memory).
"""

from collections.abc import Sequence
from typing import Final

from models.formulas.voltage_drop import RunTuple, tree_drops_v

USUAL_PERCENT: Final = 10.0  # from memory
WORST_PERCENT: Final = 15.0  # from memory
START_POWER_FACTORS: Final = (0.4, 0.9)  # common practice, no source


def start_power_factor(impedance: complex) -> float:
    """The power factor of a starting motor that loses most in conductors of this impedance.

    Nobody marks it on a motor: large ones start at 0.4 and below, single-phase ones with a start
    capacitor at up to 0.9 (common practice, no source). Most is lost where it is the conductors'
    own, R/|Z|, as far as it lies between these.
    >>> start_power_factor(1.98 + 0.05j), round(start_power_factor(0.062 + 0.051j), 2)
    (0.9, 0.77)
    """
    least, most = START_POWER_FACTORS
    return min(most, max(least, impedance.real / (abs(impedance) or 1)))


def motor_start_dip_v(source_v: float, way: Sequence[RunTuple], locked_rotor_amps: float) -> float:
    """Voltage lost on the way to a motor that starts alone: feeder, then branch, in order. [V]

    The locked-rotor current is taken as at full voltage, though it falls with the voltage: the
    dip is a little less in truth. A CollapseError means that nothing would be left.
    >>> feeder = ("panel", "source", 140, 0.32 + 0.045j)  # 2 AWG aluminum in PVC
    >>> branch = ("motor", "panel", 40, 0.49 + 0.051j)  # 6 AWG copper
    >>> round(motor_start_dip_v(240, [feeder, branch], 168), 1)  # 5 hp, 28 A by table, six times
    20.8
    """
    whole = sum(length_ft * ohm_per_kft for _, _, length_ft, ohm_per_kft in way)
    motor, power_factor = way[-1][0], start_power_factor(whole)
    return tree_drops_v(source_v, way, [(motor, locked_rotor_amps, power_factor)])[motor]
