"""Published worked examples on conductors, raceways and voltage: what no other test here works out.

The rest of them stands beside its formula: ampacity (`test_ampacity`), raceway fill
(`test_raceway_fill`), box fill (`test_box_fill`), pull boxes (`test_pull_boxes`), voltage drop with
K (`test_voltage_drop`), enlarged grounds (`test_grounds`).
"""

from math import acos, degrees

import pytest

from models.formulas.ampacity import ampacity_amps, bundling_factor, table_ampacity_amps
from models.formulas.editions import EDITIONS
from models.formulas.overcurrent import largest_breaker_amps
from models.formulas.raceway_fill import circle_area_in2, fill_limit
from models.formulas.voltage_drop import effective_ohm_per_kft, neutral_amps
from models.tables import lookup


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("counted", "amps"), [(4, 24), (9, 21)])
def test_12_awg_thhn_in_company_keeps_its_20_a_breaker(
    counted: int, amps: float, edition: int
) -> None:
    """Electricians' forum and trade magazine: 24 A and 21 A, breaker still 20 A (240.4(D))."""
    ampacity = ampacity_amps("12", terminal_c=75, current_carrying=counted)
    assert ampacity == pytest.approx(amps, abs=0.05)
    for several in (True, False):
        breaker = largest_breaker_amps("12", ampacity, several_receptacles=several, edition=edition)
        assert breaker == 20


def test_nine_12_awg_in_bundled_nm_cable() -> None:
    """Insulation guide: 30 A x 0.70 = 21 A, then at most the 20 A of the 60 °C column."""
    assert table_ampacity_amps("12", 90) * bundling_factor(9) == pytest.approx(21, abs=0.05)
    assert ampacity_amps("12", current_carrying=9) == 20


def test_a_thick_cable_and_the_next_conduit() -> None:
    """Electricians' forum: 1.767 in² at 53 % need 3.334 in², which 2-1/2 in PVC (4.695) has."""
    needed_in2 = circle_area_in2(1.5) / fill_limit(1)
    assert needed_in2 == pytest.approx(3.334, abs=0.005)
    assert lookup("raceways", kind="PVC-40", trade_size="2").number("total_area_in2") < needed_in2
    assert needed_in2 < 4.695


def test_effective_impedance_of_10_awg() -> None:
    """Engineers' forum on NEC Table 9, Ω/km: R 3.9, X 0.164, 31.79°: 3.40, the table prints 3.6."""
    assert degrees(acos(0.85)) == pytest.approx(31.79, abs=0.005)
    effective = effective_ohm_per_kft(3.9 + 0.164j, 0.85)
    assert effective == pytest.approx(3.40, abs=0.005)
    assert effective == pytest.approx(3.6, rel=0.06)


def test_the_neutral_of_a_multiwire_circuit() -> None:
    """Home-wiring answer: 240 W and 120 W at 120 V: 2 A, 1 A, neutral 1 A; two lamps alike: 0 A."""
    leg, other = 240 / 120, 120 / 120
    assert (leg, other, neutral_amps(leg, other)) == (2, 1, 1)
    assert neutral_amps(other, other) == 0


def test_the_neutral_when_both_hots_are_on_one_leg() -> None:
    """Derived from the same answer: the currents add up, 3 A and 2 A."""
    assert neutral_amps(2, 1, same_leg=True) == 3
    assert neutral_amps(1, 1, same_leg=True) == 2
