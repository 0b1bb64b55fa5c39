"""Keys of parts in price book and takeoff, in the trade's words: one spelling everywhere."""

import re
from fractions import Fraction
from typing import Final

CABLE_CONNECTOR: Final = "cable connector"
RACEWAY_CONNECTOR: Final = "raceway connector"
PULL_STRING: Final = "pull string"  # by the foot
HANDLE_TIE: Final = "handle tie"
TRIMS: Final = ("trim 1 gang", "trim 2 gang", "cover in-use")
ALWAYS_BOUGHT: Final = (CABLE_CONNECTOR, RACEWAY_CONNECTOR, *TRIMS)  # a price book has them all


def by_size(key: str) -> list[tuple[Fraction, str]]:
    """What sorts parts of a kind by their size: trade sizes and amperes up, wire from the thickest.

    >>> sorted(["NM-B 10-2", "EMT 1-1/4", "NM-B 6-2", "EMT 3/4", "THHN 1", "THHN 2/0"], key=by_size)
    ['EMT 3/4', 'EMT 1-1/4', 'NM-B 6-2', 'NM-B 10-2', 'THHN 2/0', 'THHN 1']
    """
    parts = re.split(r"((?:\d+-)?\d+/\d+|\d+)", key)
    return [_size(part) if part[0].isdecimal() else (Fraction(0), part) for part in parts if part]


def _size(text: str) -> tuple[Fraction, str]:
    """A size of one number: "6", "3/4", "1-1/4"; below none for "2/0", which is thicker than 1."""
    if text.endswith("/0"):
        return Fraction(-int(text.removesuffix("/0"))), ""
    whole, _, part = text.rpartition("-")
    return int(whole or 0) + Fraction(part), ""


def breaker_key(amps: float, poles: int, gfci: bool) -> str:
    """Key of a breaker.

    >>> breaker_key(20.0, 1, False), breaker_key(30, 2, True)
    ('breaker 20 A 1-pole', 'breaker 30 A 2-pole GFCI')
    """
    return f"breaker {amps:g} A {poles}-pole" + (" GFCI" if gfci else "")


def tandem_key(one_amps: float, other_amps: float) -> str:
    """Key of a tandem breaker, two poles in one space.

    >>> tandem_key(20, 15)
    'tandem breaker 15/20 A'
    """
    low, high = sorted((one_amps, other_amps))
    return f"tandem breaker {low:g}/{high:g} A"


def device_key(kind: str, configuration: str | None, gfci: bool = False) -> str:
    """Key of a receptacle or switch.

    >>> device_key("duplex", "5-20R", True), device_key("switch", None)
    ('GFCI duplex 5-20R', 'switch')
    """
    key = f"{kind} {configuration}" if configuration else kind
    return f"GFCI {key}" if gfci else key


def cable_key(awg: str, insulated: int) -> str:
    """Key and make of a nonmetallic-sheathed cable with ground.

    >>> cable_key("12", 2)
    'NM-B 12-2'
    """
    return f"NM-B {awg}-{insulated}"


def single_key(awg: str, *, wet: bool = False) -> str:
    """Key of a single conductor: THHN, or THWN-2 for wet places.

    >>> single_key("12"), single_key("12", wet=True)
    ('THHN 12', 'THWN-2 12')
    """
    return f"{single_insulation(wet=wet)} {awg}"


def single_insulation(*, wet: bool) -> str:
    """Insulation of single conductors."""
    return "THWN-2" if wet else "THHN"


def box_key(size: str) -> str:
    """Key of a box by its size in words."""
    return f"box {size}"


def raceway_key(kind: str, trade_size: str) -> str:
    """Key of a raceway.

    >>> raceway_key("EMT", "1/2")
    'EMT 1/2'
    """
    return f"{kind} {trade_size}"
