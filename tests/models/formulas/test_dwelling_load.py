"""Dwelling units against Annex D of NFPA 70 and a page of study questions. VA."""

import pytest

from models.formulas.dwelling_load import (
    counts_garage,
    dryer_va,
    dwelling_general_va,
    dwelling_unit_va,
    heat_or_cooling_va,
    optional_dwelling_va,
    range_va,
)
from models.formulas.load_calculation import by_portions, feeder_amps, neutral_va
from models.tables import NotInTableError, read_table


def test_example_d1_a_standard_method() -> None:
    """D1(a): 1500 ft², 12 kW range, 5.5 kW dryer: 18,600 VA, 78 A; neutral 14,550 VA, 61 A."""
    assert dwelling_unit_va(1500) == 4500
    general = dwelling_general_va(1500, small_appliance_circuits=2, laundry_circuits=1)
    assert general == 5100
    load = general + range_va(12) + dryer_va(5500)
    assert (load, feeder_amps(load)) == (18_600, 78)
    neutral = neutral_va(general, range_va(12) + dryer_va(5500))
    assert (neutral, feeder_amps(neutral)) == (14_550, 61)


def test_example_d2_a_optional_method() -> None:
    """D2(a): 9 kW of heat in five rooms, a 6 A 230 V air conditioner: 21,480 VA, 90 A."""
    general = dwelling_unit_va(1500) + 3000 + 1500 + 12_000 + 2500 + 1200 + 5000
    assert general == 29_700
    heat = heat_or_cooling_va(6 * 230, 9000, separately_controlled=5)
    assert heat == 3600
    load = optional_dwelling_va(general, heat)
    assert (load, feeder_amps(load)) == (21_480, 90)
    neutral = neutral_va(dwelling_general_va(1500) + 1200, range_va(12) + dryer_va(5000))
    assert neutral == pytest.approx(15_400)


def test_optional_method_with_few_controls_and_with_more_cooling() -> None:
    """220.82(C) as taught: 65 % of heat with fewer than four controls; cooling at 100 %."""
    assert heat_or_cooling_va(0, 9000, separately_controlled=3) == 5850
    assert heat_or_cooling_va(7000, 9000, separately_controlled=3) == 7000
    assert optional_dwelling_va(8000, 0) == 8000


@pytest.mark.parametrize(
    ("kw", "va"), [(8.75, 8000), (12, 8000), (12.4, 8000), (12.5, 8400), (14, 8800), (16, 9600)]
)
def test_ranges_of_note_1(kw: float, va: float) -> None:
    """Table 220.55 note 1 as reprinted: 5 % for each kilowatt or major fraction above 12."""
    assert range_va(kw) == va


def test_a_range_beyond_the_table() -> None:
    with pytest.raises(NotInTableError, match="ends at 27 kW: 30 kW"):
        range_va(30)


def test_lighting_demand_of_a_large_dwelling() -> None:
    """Table 220.42 as reprinted: 3000 whole, to 120,000 at 35 %, the rest at 25 %."""
    demand = by_portions(200_000, read_table("lighting_demand"))
    assert demand == 3000 + 0.35 * 117_000 + 0.25 * 80_000


def test_a_garage_is_in_the_floor_area_since_2023() -> None:
    """Code-change page of a continuing-education course: left out until 2020, not since 2023."""
    assert [counts_garage(edition) for edition in (2017, 2020, 2023)] == [False, False, True]
