"""The checks of what a branch circuit carries: breaker, conductors, cords and receptacles on it.

They are asked once more with a machine that may come plugged in (`later_receptacles.py`).
"""

from typing import Final

from models.rules import (
    breaker_load,
    circuit_use,
    conductors,
    cord_and_plug,
    flexible_cord,
    multiwire,
    receptacle_ratings,
)

CIRCUIT_CHECKS: Final = (
    breaker_load,
    conductors,
    cord_and_plug,
    flexible_cord,
    receptacle_ratings,
    circuit_use,
    multiwire,
)
