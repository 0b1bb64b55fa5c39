"""Voltage drop in a two-wire branch circuit at unity power factor. Volts, feet, Ω/1000 ft.

Limits are a recommendation of NFPA 70 (210.19, informational note: 3 % for a branch circuit,
5 % with the feeder), not a requirement.
"""


def voltage_drop_v(amps: float, length_ft: float, ohm_per_kft: float) -> float:
    """Voltage lost out and back: 2·I·R·L/1000. [V]

    `length_ft` is one way, panel to outlet; `ohm_per_kft` from chapter 9 Table 8 at 75 °C. On a
    multiwire circuit with equal load on both legs the neutral carries nothing: half is lost.
    >>> round(voltage_drop_v(amps=4, length_ft=100, ohm_per_kft=4.99), 2)  # practice page, 16 AWG
    3.99
    """
    return 2 * amps * ohm_per_kft * length_ft / 1000


def drop_percent(drop_v: float, volts: float) -> float:
    """Voltage drop as a share of the circuit's voltage. [%]

    >>> round(drop_percent(4.43, 120), 2)
    3.69
    """
    return 100 * drop_v / volts
