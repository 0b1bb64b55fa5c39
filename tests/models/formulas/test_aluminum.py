"""Aluminum goes its own way through every formula: figures of the printed tables, not copper's."""

import pytest

from models.formulas.ampacity import ampacity_amps
from models.formulas.conductors import ohm_per_kft
from models.formulas.grounds import equipment_ground_awg
from models.formulas.overcurrent import largest_breaker_amps


@pytest.mark.parametrize(
    ("awg", "terminal_c", "amps"),
    [("6", 60, 40), ("6", 75, 50), ("2", 75, 90), ("1/0", 75, 120)],
)
def test_ampacity_at_the_terminals(awg, terminal_c, amps):
    """NFPA 70 Table 310.16, aluminum: 6 AWG 40/50, 2 AWG 75/90, 1/0 AWG 100/120 A."""
    assert ampacity_amps(awg, terminal_c=terminal_c, material="aluminum") == amps


def test_ampacity_of_many_conductors():
    """The 90 °C column of 6 AWG aluminum is 55 A; with four to six conductors 80 % of it."""
    found = ampacity_amps("6", terminal_c=75, current_carrying=6, material="aluminum")
    assert found == pytest.approx(44.0)


@pytest.mark.parametrize(("awg", "ohm"), [("12", 3.25), ("10", 2.04), ("8", 1.28)])
def test_resistance(awg, ohm):
    """NFPA 70 chapter 9 Table 8, aluminum, stranded."""
    assert ohm_per_kft(awg, "aluminum") == ohm


@pytest.mark.parametrize(
    ("breaker_amps", "awg"), [(15, "12"), (20, "10"), (60, "8"), (100, "6"), (200, "4")]
)
def test_equipment_ground(breaker_amps, awg):
    """NFPA 70 Table 250.122, aluminum column."""
    assert equipment_ground_awg(breaker_amps, "aluminum") == awg


@pytest.mark.parametrize(("awg", "amps"), [("12", 15), ("10", 25)])
def test_small_conductors_have_smaller_breakers(awg, amps):
    """NFPA 70 240.4(D): 12 AWG aluminum 15 A, 10 AWG 25 A, whatever their ampacity."""
    found = largest_breaker_amps(
        awg, 35.0, material="aluminum", several_receptacles=True, edition=2020
    )
    assert found == amps
