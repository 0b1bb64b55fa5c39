"""Cover over buried wiring: from the top of cable or raceway to finished grade. Inches.

Source: NFPA 70 (2017, 2020, 2023) 300.5(A) and its table; ENT: 362.12 (from memory).
"""

from typing import Final, Literal

from models.tables import NotInTableError, lookup

Location = Literal["elsewhere", "under a building", "trench", "slab", "street", "dwelling driveway"]
COLUMNS: Final = {
    "cable": "direct_burial_cable_in",
    "RMC": "rigid_metal_conduit_in",
    "EMT": "other_raceway_in",
    "PVC-40": "other_raceway_in",
    "PVC-80": "other_raceway_in",
}
LOCATIONS: Final[dict[Location, str]] = {
    "elsewhere": "all locations not named below",
    "trench": "in a trench below 2 in of concrete",
    "slab": "under 4 in of exterior concrete slab without vehicles",
    "street": "under streets, driveways and parking lots",
    "dwelling driveway": "one- and two-family dwelling driveways",
}
RESIDENTIAL_AMPS: Final = 20  # column 4
RESIDENTIAL_VOLTS: Final = 120


def least_cover_in(
    wiring: str, location: Location = "elsewhere", *, residential_gfci: bool = False
) -> float:
    """Least cover, Table 300.5. [in]

    `wiring`: the kind of raceway, or "cable" without one. `residential_gfci`: only branch circuits
    of a dwelling of 120 V and 20 A or less with GFCI protection are in it, which may lie shallower
    by any method (column 4, and note 4 where a row has less for the method itself). Under a
    building a raceway needs none (printed 0); cable has to be in one there.
    >>> least_cover_in("PVC-40"), least_cover_in("cable"), least_cover_in("RMC")
    (18.0, 24.0, 6.0)
    >>> least_cover_in("PVC-40", residential_gfci=True), least_cover_in("PVC-40", "street")
    (12.0, 24.0)
    """
    if wiring not in COLUMNS:
        raise NotInTableError(f"{wiring} is not for burial in earth: take PVC or RMC")
    if location == "under a building":
        if wiring == "cable":
            raise NotInTableError("cable under a building lies in a raceway (300.5(C)): add one")
        return 0.0
    row = lookup("burial_depth", location=LOCATIONS[location])
    least = row.number(COLUMNS[wiring])
    return min(least, row.number("residential_gfci_in")) if residential_gfci else least


def is_residential_gfci(volts: int, breaker_amps: float, *, dwelling: bool, gfci: bool) -> bool:
    """Whether a branch circuit may go by column 4 of the table.

    >>> is_residential_gfci(120, 20, dwelling=True, gfci=True)
    True
    >>> is_residential_gfci(240, 20, dwelling=True, gfci=True)
    False
    """
    small = volts <= RESIDENTIAL_VOLTS and breaker_amps <= RESIDENTIAL_AMPS
    return dwelling and gfci and small
