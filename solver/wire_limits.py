"""What a conductor holds where it lies: its ampacity, and the largest breaker for it. [A]"""

from functools import cache
from typing import Final

from models.formulas.ampacity import ampacity_amps
from models.formulas.overcurrent import largest_breaker_amps
from models.shop import Panel
from solver.candidate import BRACKETS

RACEWAY_COUNTS: Final = BRACKETS[::-1]
NM_TERMINALS_C: Final = 60  # 334.80


def terminals_c(panel: Panel, method: str) -> int:
    """Column that ends a conductor of a run: the panel's marking; 60 °C for cable or unknown."""
    return 75 if method == "raceway" and panel.terminals == "75 C" else NM_TERMINALS_C


@cache
def ampacity_and_breaker(
    awg: str,
    terminal_c: int,
    ambient_c: float,
    current_carrying: int,
    several_receptacles: bool,
    edition: int,
) -> tuple[float, int]:
    """Ampacity of a conductor where it lies, and the largest breaker it may have (0: none). [A]"""
    amps = ampacity_amps(
        awg, terminal_c=terminal_c, ambient_c=ambient_c, current_carrying=current_carrying
    )
    largest = largest_breaker_amps(
        awg, amps, several_receptacles=several_receptacles, edition=edition
    )
    return amps, largest or 0
