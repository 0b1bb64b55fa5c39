"""The checks that look at circuits one by one: what is on each, what protects and what feeds it.

They are asked once more with a machine that may come plugged in (`later_receptacles.py`).
"""

from typing import Final

from models.rules import (
    after_changeovers,
    breaker_load,
    circuit_use,
    conductors,
    cord_and_plug,
    coverage,
    flexible_cord,
    gfci,
    motors,
    multiwire,
    nameplates,
    receptacle_ratings,
    voltage_drop,
)

CIRCUIT_CHECKS: Final = (
    coverage,
    breaker_load,
    conductors,
    cord_and_plug,
    flexible_cord,
    receptacle_ratings,
    circuit_use,
    multiwire,
    voltage_drop,
    motors,
    nameplates,
    gfci,
    after_changeovers,
)
