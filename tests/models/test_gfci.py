"""Where ground-fault protection is asked for, edition by edition.

Expected answers: summaries of NEC 210.8(A), (B) and (F) as published for the 2017, 2020 and 2023
editions: dwelling garages 125 V 15 and 20 A receptacles in 2017, all to 250 V from 2020; outdoor
hard-wired outlets of dwellings from 2020, garages and accessory buildings from 2023, up to 50 A.
"""

import pytest

from models.gfci import hard_wired_needs_gfci, receptacle_needs_gfci
from models.shop import Building

WALLS = [
    {"id": name, "from": [f"{x} ft", f"{y} ft"]}
    for name, x, y in (("s", 0, 0), ("e", 9, 0), ("n", 9, 9), ("w", 0, 9))
]


def building(dwelling=True, kind="garage", floor="at or below grade"):
    return Building.model_validate(
        {"kind": kind, "dwelling": dwelling, "floor": floor, "walls": WALLS, "ceiling": "8 ft"}
    )


@pytest.mark.parametrize(
    ("configuration", "edition", "needed"),
    [
        ("5-15R", 2017, True),
        ("5-20R", 2017, True),
        ("6-20R", 2017, False),
        ("6-20R", 2020, True),
        ("6-50R", 2017, False),
        ("6-50R", 2020, True),
        ("14-50R", 2023, True),
        ("L5-30R", 2017, False),
        ("L5-30R", 2020, True),
    ],
)
def test_receptacles_in_a_dwellings_garage(configuration, edition, needed):
    assert receptacle_needs_gfci(building(), edition, configuration) is needed


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_receptacles_of_a_shop_that_is_no_dwelling(edition):
    """210.8(B): up to 50 A and 150 V to ground."""
    assert receptacle_needs_gfci(building(dwelling=False, kind="shop"), edition, "5-20R")
    assert receptacle_needs_gfci(building(dwelling=False, kind="shop"), edition, "6-50R")


@pytest.mark.parametrize(
    ("edition", "outdoors", "needed"),
    [
        (2017, True, False),
        (2020, True, True),
        (2020, False, False),
        (2023, False, True),
        (2023, True, True),
    ],
)
def test_hard_wired_outlets_of_a_dwellings_garage(edition, outdoors, needed):
    found = hard_wired_needs_gfci(building(), edition, outdoors=outdoors, breaker_amps=30)
    assert found is needed


def test_hard_wired_outlets_above_50_amperes_and_elsewhere():
    assert not hard_wired_needs_gfci(building(), 2023, outdoors=True, breaker_amps=60)
    assert not hard_wired_needs_gfci(building(dwelling=False), 2023, outdoors=True, breaker_amps=30)
    assert not hard_wired_needs_gfci(
        building(floor="above grade"), 2023, outdoors=False, breaker_amps=30
    )
