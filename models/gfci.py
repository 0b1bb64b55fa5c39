"""Ground-fault protection: which outlets need it by edition, and where a device may sit.

Source: NFPA 70 (2017, 2020, 2023) 210.8(A), 210.8(B), 210.8(F).
"""

from typing import Final

from models.formulas.receptacles import receptacle
from models.shop import Building

READILY_REACHED_FT: Final = 6.6  # "readily accessible" has no number; common practice, no source


def receptacle_needs_gfci(building: Building, edition: int, configuration: str) -> bool:
    """Whether a receptacle in or on this building needs ground-fault protection.

    Dwelling premises: 125 V 15 and 20 A in 2017, every one up to 250 V since 2020 (210.8(A)).
    Elsewhere: up to 50 A and 150 V to ground (210.8(B)).
    """
    found = receptacle(configuration)
    if not building.dwelling:
        return found.amps <= 50
    return edition >= 2020 or (found.volts == 120 and found.amps <= 20)


def hard_wired_needs_gfci(
    building: Building, edition: int, *, outdoors: bool, breaker_amps: float
) -> bool:
    """Whether a hard-wired outlet, not lighting, needs ground-fault protection (210.8(F)).

    Dwelling premises, up to 50 A: outdoors since 2020; since 2023 also in garages with a floor at
    or below grade and in accessory buildings.
    """
    if not building.dwelling or breaker_amps > 50:
        return False
    low_garage = building.kind == "garage" and building.floor == "at or below grade"
    inside = low_garage or building.kind == "accessory building"
    return (outdoors and edition >= 2020) or (inside and edition >= 2023)
