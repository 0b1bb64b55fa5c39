"""Feeder sizes against trade pages and forums; Table 310.12(A) against Table 310.16."""

import pytest

from models.formulas.ampacity import table_ampacity_amps
from models.formulas.conductors import awg_sizes
from models.formulas.feeders import (
    SIZES_OF,
    PartOfDwellingError,
    building_disconnect_amps,
    feeder_sizes,
    motor_feeder_breaker_amps,
    whole_dwelling_amps,
    whole_dwelling_size,
)
from models.formulas.load_calculation import motor_feeder_amps
from models.formulas.overcurrent import largest_breaker_amps
from models.tables import NotInTableError, Row, read_table


def test_the_83_percent_rule() -> None:
    """Trade page: 200 A for a whole dwelling is 166 A of ampacity, 2/0 copper (175 A at 75 °C)."""
    assert whole_dwelling_amps(200) == 166
    size = whole_dwelling_size(200, carries_whole_dwelling=True)
    assert size == "2/0"
    assert table_ampacity_amps(size, 75) == 175


def test_the_83_percent_rule_is_refused_for_a_shop() -> None:
    """Electricians' forum: 2 AWG aluminum is 100 A for a whole dwelling, 90 A for a feeder."""
    assert whole_dwelling_size(100, "aluminum", carries_whole_dwelling=True) == "2"
    with pytest.raises(PartOfDwellingError, match="whole dwelling"):
        whole_dwelling_size(100, "aluminum", carries_whole_dwelling=False)
    assert feeder_sizes(100, 60, edition=2023, material="aluminum").hot_awg == "1"


def test_a_rating_that_table_310_12_does_not_print() -> None:
    with pytest.raises(NotInTableError, match="no rating_amps 60"):
        whole_dwelling_size(60, carries_whole_dwelling=True)


@pytest.mark.parametrize("material", ["copper", "aluminum"])
@pytest.mark.parametrize(
    "row", read_table("dwelling_service"), ids=lambda row: f"{row.whole('rating_amps')}"
)
def test_table_310_12_is_83_percent_of_the_rating(row: Row, material: str) -> None:
    """Each size carries 83 % of its rating at 75 °C by Table 310.16, and the size below not."""
    size = row.text(f"{material}_size")
    if size not in SIZES_OF[material]:
        assert size.endswith("kcmil")
        return
    wanted = whole_dwelling_amps(row.number("rating_amps"))
    smaller = SIZES_OF[material][SIZES_OF[material].index(size) - 1]
    assert table_ampacity_amps(smaller, 75, material) < wanted
    assert table_ampacity_amps(size, 75, material) >= wanted


@pytest.mark.parametrize(
    ("amps", "material", "hot", "ground"),
    [
        (60, "copper", "6", "10"),
        (100, "copper", "3", "8"),
        (100, "aluminum", "1", "6"),
        (200, "copper", "3/0", "6"),
        (200, "aluminum", "4/0", "4"),  # 180 A: the next standard size up would be 200 A
    ],
)
def test_feeders_to_a_detached_building(amps: int, material: str, hot: str, ground: str) -> None:
    """Sizes as the trade knows them (home-wiring pages), except where the load itself rules."""
    if (amps, material) == (200, "aluminum"):
        with pytest.raises(NotInTableError, match="200 A is more than aluminum of 4/0 AWG"):
            feeder_sizes(amps, 0, edition=2023, material=material)
        amps = 180
    sizes = feeder_sizes(amps, 0, edition=2023, material=material)
    assert (sizes.hot_awg, sizes.ground_awg) == (hot, ground)


def test_service_cable_in_insulation() -> None:
    """Electricians' forum: 2 AWG aluminum, 75 A at 60 °C, behind 80 A, the next size up."""
    assert table_ampacity_amps("2", 60, "aluminum") == 75
    largest = largest_breaker_amps(
        "2", 75, several_receptacles=False, edition=2020, material="aluminum"
    )
    assert largest == 80
    sizes = feeder_sizes(75, 0, edition=2020, material="aluminum", terminal_c=60)
    assert (sizes.breaker_amps, sizes.hot_awg) == (80, "2")


def test_two_motors_ask_for_4_awg() -> None:
    """Trade handout: 78 A for 7-1/2 and 5 hp at 230 V, 4 AWG copper at 75 °C."""
    assert feeder_sizes(motor_feeder_amps([40, 28]), 0, edition=2017).hot_awg == "4"


def test_a_neutral_is_no_smaller_than_the_ground() -> None:
    """215.2(B) (2023) as reprinted: not below the ground of 250.122, however little it carries."""
    sizes = feeder_sizes(100, 5, edition=2023)
    assert sizes.neutral_awg == sizes.ground_awg == "8"


def test_a_motor_feeder_rounds_down() -> None:
    """430.62(A) as reprinted, by hand: 100 A breaker and 28 A = 128 A, so 125 A, not 150."""
    assert motor_feeder_breaker_amps(100, [28], 2023) == 125
    assert motor_feeder_breaker_amps(15, [], 2023) == 15
    with pytest.raises(NotInTableError, match="below the least"):
        motor_feeder_breaker_amps(5, [], 2017)


@pytest.mark.parametrize(
    ("circuits", "two_wire", "amps"),
    [(1, True, 15), (2, True, 30), (2, False, 60), (3, True, 60), (24, True, 60)],
)
def test_what_disconnects_a_building(circuits: int, two_wire: bool, amps: int) -> None:
    """225.39 as electricians' forums quote it."""
    assert building_disconnect_amps(circuits, all_two_wire=two_wire) == amps


def test_what_disconnects_a_dwelling() -> None:
    assert building_disconnect_amps(3, dwelling_unit=True) == 100


def test_sizes_held_are_in_order() -> None:
    assert SIZES_OF["copper"] == awg_sizes()
    assert SIZES_OF["aluminum"][0] == "8"
