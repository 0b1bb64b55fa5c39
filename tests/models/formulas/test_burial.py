"""Cover over buried wiring against published cells of Table 300.5."""

from typing import get_args

import pytest

from models.formulas.burial import (
    COLUMNS,
    LOCATIONS,
    Location,
    is_residential_gfci,
    least_cover_in,
)
from models.shop.facts import RacewayKind
from models.tables import NotInTableError, read_table

# Forum on residential burial depth and trade magazine question; a public reprint of the chapter.
PRINTED = [
    ("cable", "elsewhere", False, 24),
    ("RMC", "elsewhere", False, 6),
    ("PVC-40", "elsewhere", False, 18),
    ("PVC-80", "elsewhere", False, 18),
    ("EMT", "elsewhere", False, 18),
    ("cable", "elsewhere", True, 12),
    ("PVC-40", "elsewhere", True, 12),
    ("RMC", "elsewhere", True, 6),
    ("cable", "dwelling driveway", False, 18),
    ("PVC-40", "dwelling driveway", False, 18),
    ("PVC-40", "dwelling driveway", True, 12),
    ("PVC-40", "street", True, 24),
    ("RMC", "street", False, 24),
    ("cable", "slab", False, 18),
    ("PVC-40", "slab", False, 4),
    ("PVC-40", "slab", True, 4),
    ("cable", "trench", True, 6),
    ("PVC-40", "under a building", False, 0),
]


@pytest.mark.parametrize(("wiring", "location", "gfci", "cover_in"), PRINTED)
def test_printed_depths(wiring: str, location: Location, gfci: bool, cover_in: float) -> None:
    assert least_cover_in(wiring, location, residential_gfci=gfci) == cover_in


def test_every_row_of_the_table_has_a_name_here() -> None:
    assert list(LOCATIONS.values()) == [row.text("location") for row in read_table("burial_depth")]
    assert {*LOCATIONS, "under a building"} == set(get_args(Location))
    assert set(get_args(RacewayKind)) - COLUMNS.keys() == {"ENT"}


@pytest.mark.parametrize("location", LOCATIONS)
@pytest.mark.parametrize("wiring", COLUMNS)
def test_small_protected_circuits_never_lie_deeper(wiring: str, location: Location) -> None:
    """Note 4 to the table: where two columns fit, the shallower depth may be taken."""
    plain = least_cover_in(wiring, location)
    assert least_cover_in(wiring, location, residential_gfci=True) <= plain


def test_what_may_not_lie_in_earth() -> None:
    """362.12, from memory: ENT is not for direct burial; 300.5(C): cable under a building."""
    with pytest.raises(NotInTableError, match="ENT is not for burial"):
        least_cover_in("ENT")
    with pytest.raises(NotInTableError, match="lies in a raceway"):
        least_cover_in("cable", "under a building")


@pytest.mark.parametrize(
    ("volts", "amps", "dwelling", "gfci", "may"),
    [
        (120, 20, True, True, True),
        (120, 30, True, True, False),
        (240, 20, True, True, False),
        (120, 20, False, True, False),
        (120, 20, True, False, False),
    ],
)
def test_who_may_go_by_column_4(
    volts: int, amps: float, dwelling: bool, gfci: bool, may: bool
) -> None:
    """Column 4: residential branch circuits, 120 V and 20 A or less, GFCI protected."""
    assert is_residential_gfci(volts, amps, dwelling=dwelling, gfci=gfci) == may
