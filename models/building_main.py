"""The main that a panel of a separate building gets where there is none yet. Amperes.

Source: NFPA 70 (2017, 2020, 2023) 225.31, 225.36, 408.36(D): a two-pole breaker fed backwards, with
a retainer that holds it down, disconnects the building. It has the rating of the feeder's breaker.
Above 125 A such breakers are rare (common practice, no source): a panel with a main then.
"""

from typing import Final

from models.part_keys import breaker_key
from models.shop import Panel, Shop

MAIN: Final = "main"  # what its two spaces are kept for
RETAINER: Final = "breaker retainer"
LARGEST_BACK_FED_AMPS: Final = 125
POLES: Final = 2


def back_fed_main_amps(shop: Shop, panel: Panel) -> float | None:
    """Rating of the main to add; None where one is there, or where none is asked for. [A]

    A back-fed breaker that is named is there in an existing panel, and to be added in a new one.
    """
    inside = {other.id for other in shop.supply.panels}
    named = panel.disconnect == "back-fed breaker" and not panel.existing
    wanting = (
        not shop.building.attached
        and panel.feeder.source not in inside
        and panel.main == "main lug"
        and (named or panel.disconnect == "none")
        and panel.feeder.breaker_amps <= LARGEST_BACK_FED_AMPS
    )
    return panel.feeder.breaker_amps if wanting else None


def main_parts(amps: float) -> tuple[str, str]:
    """What is bought for a main of a rating."""
    return breaker_key(amps, POLES, gfci=False), RETAINER
