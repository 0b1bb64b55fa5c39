"""Conductor sizes against printed wire weights, and the order of sizes."""

import pytest

from models.formulas.conductors import (
    awg_sizes,
    circular_mils,
    copper_lb_per_kft,
    larger_awg,
    ohm_per_kft,
)
from models.tables import NotInTableError

# Bare copper wire, lb/1000 ft, as standard wire tables print it (density 8.89 g/cm³ at 20 °C).
BARE_COPPER_LB_PER_KFT = {
    "14": 12.43,
    "12": 19.77,
    "10": 31.43,
    "8": 49.98,
    "6": 79.46,
    "4": 126.4,
    "2": 200.9,
    "1": 253.3,
    "1/0": 319.5,
    "2/0": 402.8,
    "3/0": 507.9,
    "4/0": 640.5,
}


@pytest.mark.parametrize("awg", BARE_COPPER_LB_PER_KFT)
def test_weight_of_bare_copper(awg: str) -> None:
    """Standard copper wire tables; Table 8 rounds the area by up to 0.1 %."""
    assert copper_lb_per_kft(awg) == pytest.approx(BARE_COPPER_LB_PER_KFT[awg], rel=0.002)


def test_sizes_run_from_14_awg_to_4_0_and_grow() -> None:
    assert " ".join(awg_sizes()) == "14 12 10 8 6 4 3 2 1 1/0 2/0 3/0 4/0"
    for small, large in zip(awg_sizes(), awg_sizes()[1:], strict=False):
        assert larger_awg(small) == large
        assert circular_mils(large) > circular_mils(small)
        assert ohm_per_kft(large) < ohm_per_kft(small)


def test_there_is_no_size_beyond_the_last() -> None:
    with pytest.raises(NotInTableError, match="ends at 4/0 AWG"):
        larger_awg("4/0")


def test_what_table_8_does_not_list() -> None:
    """An odd gauge, a solid 6 AWG and a third metal are refused."""
    with pytest.raises(NotInTableError, match="no awg '13'"):
        circular_mils("13")
    with pytest.raises(NotInTableError, match="no stranding 'solid' for awg '6'"):
        ohm_per_kft("6", stranded=False)
    with pytest.raises(NotInTableError, match="no material 'gold'"):
        ohm_per_kft("6", "gold")
