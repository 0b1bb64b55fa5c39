"""Conductor sizes: area in circular mils, resistance at 75 °C, weight of copper, order of sizes.

Source: NFPA 70 (2017, 2020, 2023) chapter 9 Table 8; gauge formula of ASTM B258.
"""

from functools import cache
from math import pi
from typing import Final

from models.tables import NotInTableError, lookup, read_table

COPPER_LB_PER_IN3: Final = 8.89 * 2.54**3 / 453.59237  # 8.89 g/cm³ at 20 °C, ASTM B3, from memory


@cache
def awg_sizes() -> tuple[str, ...]:
    """Every size of Table 8 held here, smallest first: "14" to "4/0"."""
    return tuple(dict.fromkeys(row.text("awg") for row in read_table("conductors")))


def larger_awg(awg: str) -> str:
    """The next size up.

    >>> larger_awg("6"), larger_awg("1")
    ('4', '1/0')
    """
    for larger in awg_sizes():
        if circular_mils(larger) > circular_mils(awg):
            return larger
    raise NotInTableError(f"Table 8 as held ends at {awg} AWG: split the load or shorten the run")


def circular_mils(awg: str) -> int:
    """Area of a conductor [cmil], as Table 8 prints it.

    >>> circular_mils("12")
    6530
    """
    return lookup("conductors", awg=awg).whole("area_cmil")


def ohm_per_kft(awg: str, material: str = "copper", stranded: bool = True) -> float:
    """Direct-current resistance at 75 °C, uncoated copper or aluminum [Ω/1000 ft].

    Solid conductors are listed up to 8 AWG.
    >>> ohm_per_kft("12"), ohm_per_kft("12", stranded=False)
    (1.98, 1.93)
    """
    if material not in ("copper", "aluminum"):
        raise NotInTableError(f"Table 8 has no material {material!r}: use 'copper' or 'aluminum'")
    row = lookup("conductors", awg=awg, stranding="stranded" if stranded else "solid")
    return row.number(f"{material}_ohm_per_kft")


def copper_lb_per_kft(awg: str) -> float:
    """Weight of the copper in one conductor [lb/1000 ft], from its area and density.

    The lay of a stranded conductor adds about 2 % (common practice), which is left out.
    >>> round(copper_lb_per_kft("12"), 1)
    19.8
    """
    area_in2 = circular_mils(awg) * pi / 4 / 1e6
    return area_in2 * 12_000 * COPPER_LB_PER_IN3


def astm_diameter_in(number: int) -> float:
    """Diameter of a solid conductor by ASTM B258: 0.005·92^((36 − n)/39) [in].

    `number` is the gauge number; 1/0 is 0, 2/0 is −1, 3/0 is −2, 4/0 is −3.
    >>> round(astm_diameter_in(12), 4), round(astm_diameter_in(-3), 4)
    (0.0808, 0.46)
    """
    return float(0.005 * 92 ** ((36 - number) / 39))
