"""Load calculation against Annex D of NFPA 70, trade magazines, courses and forums. VA, amperes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.editions import EDITIONS, EditionError
from models.formulas.load_calculation import (
    evse_va,
    existing_load_va,
    feeder_amps,
    lighting_va,
    managed_evse_va,
    motor_feeder_amps,
    neutral_va,
    noncoincident_va,
    receptacle_demand_va,
    receptacles_va,
    unbalanced_amps,
    unit_lighting_va,
    welder_group_amps,
    welder_shares,
    yokes_carried,
)
from models.formulas.overcurrent import next_standard_rating_amps


@pytest.mark.parametrize(("va", "amps"), [(18_600, 78), (14_550, 61), (21_480, 90), (15_400, 64)])
def test_amperes_of_annex_d(va: float, amps: int) -> None:
    """Examples D1(a), D2(a): 77.5 and 89.5 up, 60.6 and 64.2 to the nearest."""
    assert feeder_amps(va) == amps


def test_example_d1_b_leg_by_leg() -> None:
    """D1(b): two air conditioners, a disposer and a dishwasher on the legs of D1(a): 110 A."""
    conditioner_230v, conditioner_115v, disposer, dishwasher = 6, 12, 8, 10
    leg_a = feeder_amps(18_600) + motor_feeder_amps([conditioner_230v, conditioner_115v])
    leg_b = feeder_amps(18_600) + motor_feeder_amps([conditioner_230v, disposer]) + dishwasher
    assert (leg_a, leg_b) == (99, 104)
    assert next_standard_rating_amps(max(leg_a, leg_b), 2020) == 110


@pytest.mark.parametrize(("largest_motor_amps", "amps"), [(8, 83), (12, 84)])
def test_example_d1_b_neutral(largest_motor_amps: float, amps: float) -> None:
    """Printings disagree: 25 % of the 8 A motor gives 83 A, of the 12 A motor 84 A."""
    both = unbalanced_amps([(12, 10), (0, 8)])
    extra = motor_feeder_amps([largest_motor_amps]) - largest_motor_amps
    assert feeder_amps(14_550) + both + extra == amps


def test_receptacles_and_a_multioutlet_assembly() -> None:
    """Electricians' forum: 15,300 + 4860 VA, the first 10 kVA whole: 15,080 VA."""
    assert receptacles_va(85) == 15_300
    assert receptacle_demand_va(15_300 + 4860) == 15_080


def test_example_d3_a_store() -> None:
    """Annex D Example D3 (2005): 80 duplexes, 8500 VA of lights, a table load of 9000 VA."""
    assert receptacles_va(80) == 14_400
    assert receptacle_demand_va(14_400) == 12_200
    assert lighting_va(8500) == 10_625
    assert lighting_va(8500, unit_load_va=1.25 * 9000) == 11_250


def test_receptacles_by_180_va() -> None:
    """Trade course: 8 duplexes 1440 VA; 13 yokes on 20 A, 10 when the load is continuous."""
    assert receptacles_va(8) == 1440
    assert yokes_carried(20) == 13
    assert yokes_carried(20, continuous=True) == 10


def test_a_device_of_four_receptacles() -> None:
    """220.14(I) as reprinted: 90 VA for each of four or more in one piece of equipment."""
    assert receptacles_va(0, in_sets_of_four=4) == 360


@given(st.floats(0, 1e6))
def test_a_demand_is_never_above_what_is_connected(va: float) -> None:
    demand = receptacle_demand_va(va)
    assert demand <= va + 1e-6
    assert demand == pytest.approx(va if va <= 10_000 else 5000 + va / 2)


def test_two_motors_on_a_feeder() -> None:
    """Trade handout: 7-1/2 hp (40 A) and 5 hp (28 A), 230 V: 78 A, so 4 AWG copper at 75 °C."""
    amps = motor_feeder_amps([28, 40])
    assert amps == 78
    assert table_ampacity_amps("4", 75) == 85 >= amps
    assert table_ampacity_amps("6", 75) < amps


def test_a_group_of_welders() -> None:
    """Trade magazine quiz: twelve welders by duty cycle, 336.75 A."""
    by_duty = [80 * 1.00, 70 * 0.96, 60 * 0.84, 50 * 0.89, *[40 * 0.81] * 4, *[25 * 0.63] * 4]
    assert welder_group_amps(by_duty) == pytest.approx(336.75, abs=0.005)
    assert welder_group_amps([]) == 0
    assert welder_shares([20, 20]) == (100, 100)


def test_heat_and_a_motor_that_never_run_together() -> None:
    """Electricians' forum on 220.60: heat of 110 A or a motor of 100 A: 110 A, since 2020 125 A."""
    loads = [(110 * 240.0, False), (100 * 240.0, True)]
    assert feeder_amps(noncoincident_va(loads, 2017)) == 110
    assert feeder_amps(noncoincident_va(loads, 2020)) == 125
    assert feeder_amps(noncoincident_va(loads, 2023)) == 125


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_largest_motor_enters_a_comparison_as_it_is(edition: int) -> None:
    """220.60: the 125 % is for a motor that is not the largest; its own 25 % is 220.50's."""
    assert noncoincident_va([(9000, False), (9600, True)], edition) == 9600
    assert noncoincident_va([(9600, False), (1440, True)], edition) == 9600
    assert noncoincident_va([], edition) == 0


def test_vehicle_chargers() -> None:
    """Trade course on 220.57: 5000 VA counts 7200, 14,400 VA itself; no such section before."""
    assert [evse_va(va, 2023) for va in (5000, 14_400)] == [7200, 14_400]
    assert [evse_va(va, 2020) for va in (5000, 14_400)] == [5000, 14_400]


def test_vehicle_chargers_that_share_their_load() -> None:
    """Trade course on 625.42: three of 30 A on 100 A, held to 80 A; apart they are 90 A."""
    three = [7200, 7200, 7200]
    assert feeder_amps(sum(evse_va(va, 2023) for va in three)) == 90
    assert feeder_amps(managed_evse_va(three, 80 * 240, 2023)) == 80
    assert managed_evse_va(three, 30_000, 2023) == 21_600
    assert [managed_evse_va(three, 16 * 240, edition) for edition in (2020, 2023)] == [3840, 7200]


def test_neutral_of_d1_a_and_d2_a() -> None:
    """Annex D: 5100 + 70 % of 8000 and 5500; 5100 + 1200 + 70 % of 8000 and 5000."""
    assert neutral_va(5100, 8000 + 5500) == 14_550
    assert neutral_va(5100 + 1200, 8000 + 5000) == 15_400


def test_measured_load() -> None:
    """220.87 as public building-energy code works it out: the peak × 1.25, then what is new."""
    assert existing_load_va(10_000, 0) == 12_500
    assert existing_load_va(10_000, 7200) == 19_700


def test_lighting_of_a_workshop() -> None:
    """Table 220.12 (2020), 220.42(A) (2023): 1.7 VA/ft² is 18 VA/m², 125 % included."""
    for edition in (2020, 2023):
        assert unit_lighting_va("Workshop", 1000, edition) == 1700
    assert round(1.7 / 0.3048**2) == 18
    assert unit_lighting_va("Workshop", 1000, 2017) is None


def test_an_edition_that_is_not_held() -> None:
    for law in (
        lambda: evse_va(1, 2014),
        lambda: noncoincident_va([], 2014),
        lambda: unit_lighting_va("Workshop", 1, 2014),
    ):
        with pytest.raises(EditionError, match="2014"):
            law()
