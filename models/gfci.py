"""Ground-fault protection: which outlets need it by edition and place, where a device may sit.

Source: NFPA 70 (2017, 2020, 2023) 210.8(A), 210.8(B), 210.8(F), 625.54; the lists of places and of
receptacles stand in the tables `gfci_places` and `gfci_receptacles`. Feet, amperes.
"""

from collections.abc import Iterator
from math import hypot
from typing import Final

from models.formulas.receptacles import NOMINAL_VOLTS, receptacle
from models.shop import Box, Building, Shop, Zone
from models.tables import Row, lookup, read_table

READILY_REACHED_FT: Final = 6.6  # "readily accessible" has no number; common practice, no source
LARGEST_2017_AMPS: Final = 50  # 625.54 (2017)
NEAR_SINK_FT: Final = 6.0  # 210.8(A), (B)
ZONES: Final = {"damp": "damp place inside", "wet": "wet place inside", "vehicles": "service bay"}


def receptacle_needs_gfci(building: Building, edition: int, configuration: str) -> bool:
    """Whether a receptacle needs ground-fault protection where the edition's list has its place.

    Dwelling premises: 125 V 15 and 20 A in 2017, every one up to 250 V since 2020 (210.8(A)).
    Elsewhere: up to 50 A and 150 V to ground (210.8(B)). Who asks no further reads it strictly.
    """
    row = lookup("gfci_receptacles", premises=_premises(building), edition=str(edition))
    found, largest_amps = receptacle(configuration), row.number_or_none("largest_amps")
    return found.volts <= NOMINAL_VOLTS[row.text("largest_voltage")] and (
        largest_amps is None or found.amps <= largest_amps
    )


def place_in_scope(shop: Shop, box: Box, edition: int) -> Row | None:
    """The row of the list that a box's place stands in, one that was confirmed first; or None."""
    here = set(places(shop, box))
    listed = [
        row
        for row in read_table("gfci_places")
        if row.text("premises") == _premises(shop.building)
        and row.text("place") in here
        and row.text(f"edition_{edition}") == "yes"
    ]
    return min(listed, key=lambda row: row.text("basis"), default=None)


def places(shop: Shop, box: Box) -> Iterator[str]:
    """What the lists of 210.8 call the place of a box; more than one name may fit.

    A dwelling's workshop in a building of its own is an accessory building; on dwelling premises
    an accessory building is listed only with its floor at or below grade.
    """
    if box.outdoors:
        yield "outdoors"
        return
    building, spot = shop.building, shop.stands_in(box)
    if building.kind in ("garage", "basement"):
        yield building.kind
    elif building.kind == "accessory building" or building.dwelling:
        low = " at or below grade" if building.floor == "at or below grade" else ""
        yield f"accessory building{low if building.dwelling else ''}"
    for zone in building.zones:
        if zone.holds(*spot):
            yield from (name for kind, name in ZONES.items() if kind in zone.kinds)
        if "sink" in zone.kinds and _apart_ft(zone, *spot) <= NEAR_SINK_FT:
            yield "within 6 ft of a sink"


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


def vehicle_receptacle_needs_gfci(edition: int, configuration: str) -> bool:
    """Whether a receptacle that charges a vehicle needs protection wherever it is, 625.54.

    Up to 50 A in 2017 (all held here have 150 V to ground at most), every one since 2020.
    """
    return edition >= 2020 or receptacle(configuration).amps <= LARGEST_2017_AMPS


def _premises(building: Building) -> str:
    """The half of 210.8 that holds: (A) for dwellings, (B) for the rest."""
    return "dwelling" if building.dwelling else "other"


def _apart_ft(zone: Zone, x_ft: float, y_ft: float) -> float:
    """From a spot on the floor to the nearest edge of a zone; 0 within it. [ft]"""
    (x0, y0), (x1, y1) = zone.low, zone.high
    return hypot(max(x0 - x_ft, 0, x_ft - x1), max(y0 - y_ft, 0, y_ft - y1))
