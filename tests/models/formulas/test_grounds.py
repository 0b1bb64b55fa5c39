"""Equipment grounding conductors against published worked examples."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from models.formulas.conductors import awg_sizes, circular_mils
from models.formulas.grounds import enlarged_ground_awg, equipment_ground_awg
from models.tables import NotInTableError

SIZES = st.sampled_from(awg_sizes()[:9])


def test_12_awg_enlarged_to_6_takes_the_ground_along() -> None:
    """Trade magazine question of the day: hots and ground of a 20 A circuit, 12 -> 6 AWG."""
    enlarged = enlarged_ground_awg(
        equipment_ground_awg(20),
        minimum_cmil=circular_mils("12"),
        installed_cmil=circular_mils("6"),
    )
    assert enlarged == "6"


def test_250_kcmil_enlarged_to_350() -> None:
    """Trade training example: a 4 AWG ground x 1.4 = 58,436 cmil, so 2 AWG (66,360)."""
    assert circular_mils("4") * 350 / 250 == pytest.approx(58_436, abs=1)
    enlarged = enlarged_ground_awg("4", minimum_cmil=250_000, installed_cmil=350_000)
    assert enlarged == "2"
    assert circular_mils(enlarged) == 66_360


@pytest.mark.parametrize(
    ("breaker_amps", "awg"),
    [(15, "14"), (20, "12"), (25, "10"), (60, "10"), (61, "8"), (100, "8"), (200, "6")],
)
def test_ratings_between_rows_take_the_next_row(breaker_amps: int, awg: str) -> None:
    """Newsletter reprint of Table 250.122, copper column; its ratings are "not exceeding"."""
    assert equipment_ground_awg(breaker_amps) == awg


def test_a_ground_is_never_required_larger_than_the_hots() -> None:
    """250.122(A): a motor on 14 AWG behind a 30 A breaker asks for 14 AWG, not 10."""
    assert equipment_ground_awg(30, circuit_awg="14") == "14"
    assert equipment_ground_awg(30, circuit_awg="8") == "10"


def test_what_is_not_held() -> None:
    with pytest.raises(NotInTableError, match="800 A is above 600 A"):
        equipment_ground_awg(800)
    with pytest.raises(NotInTableError, match="no material 'brass'"):
        equipment_ground_awg(20, "brass")
    with pytest.raises(NotInTableError, match="423200 cmil is above 4/0 AWG"):
        enlarged_ground_awg("4/0", minimum_cmil=100_000, installed_cmil=200_000)


@given(ground=SIZES, minimum=SIZES, installed=SIZES)
def test_an_enlarged_ground_keeps_the_ratio(ground: str, minimum: str, installed: str) -> None:
    """Large enough for the ratio, never smaller than before, and the next size down is not."""
    ratio = max(1.0, circular_mils(installed) / circular_mils(minimum))
    needed = ratio * circular_mils(ground)
    assume(needed <= circular_mils("4/0"))
    enlarged = enlarged_ground_awg(
        ground, minimum_cmil=circular_mils(minimum), installed_cmil=circular_mils(installed)
    )
    assert circular_mils(enlarged) >= needed * (1 - 1e-12)
    smaller = awg_sizes()[: awg_sizes().index(enlarged)]
    assert all(circular_mils(awg) < needed for awg in smaller)
