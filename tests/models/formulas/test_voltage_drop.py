"""Voltage drop against published practice problems."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.conductors import circular_mils, ohm_per_kft
from models.formulas.voltage_drop import (
    drop_percent,
    impedance_ohm_per_kft,
    three_wire_drop_v,
    voltage_drop_v,
)
from models.tables import NotInTableError


def ohm_per_kft_by_k(k_ohm_cmil_per_ft: float, area_cmil: int) -> float:
    """Resistance by the constant K that practice problems give instead of a table."""
    return 1000 * k_ohm_cmil_per_ft / area_cmil


def test_low_voltage_lighting() -> None:
    """Practice page: 16 AWG (4.99 Ω/kft), 100 ft, 4 A at 24 V: 3.99 V, 16.6 %."""
    drop = voltage_drop_v(amps=4, length_ft=100, ohm_per_kft=4.99)
    assert drop == pytest.approx(3.99, abs=0.02)
    assert drop_percent(drop, 24) == pytest.approx(16.6, abs=0.1)


@pytest.mark.parametrize(
    ("k", "awg", "volts", "percent"),
    [(12.9, "12", 7.9, 6.6), (12.9, "8", 3.1, 2.6), (12, "12", 7.35, 6.1)],
)
def test_20_a_over_100_ft(k: float, awg: str, volts: float, percent: float) -> None:
    """License study pages: 20 A, 100 ft, 120 V with K = 12.9 and with K = 12."""
    drop = voltage_drop_v(20, 100, ohm_per_kft_by_k(k, circular_mils(awg)))
    assert drop == pytest.approx(volts, abs=0.05)
    assert drop_percent(drop, 120) == pytest.approx(percent, abs=0.05)


def test_16_a_over_70_ft() -> None:
    """License study page: 12 AWG, 16 A, 70 ft, 120 V, K = 12.9: 4.43 V, 3.69 %."""
    drop = voltage_drop_v(16, 70, ohm_per_kft_by_k(12.9, 6530))
    assert drop == pytest.approx(4.43, abs=0.01)
    assert drop_percent(drop, 120) == pytest.approx(3.69, abs=0.01)


def test_table_8_agrees_with_the_constant() -> None:
    """Stranded copper of Table 8 is K = 12.9 Ω·cmil/ft to half a percent (14 AWG: 12.91)."""
    for awg in ("14", "12", "10", "8", "6", "4"):
        assert ohm_per_kft(awg) * circular_mils(awg) / 1000 == pytest.approx(12.9, rel=0.005)


@given(amps=st.floats(0, 100), near=st.floats(0, 200), on=st.floats(0, 200))
def test_drops_along_a_run_add_up(amps: float, near: float, on: float) -> None:
    whole = voltage_drop_v(amps, near + on, 1.98)
    assert whole == pytest.approx(voltage_drop_v(amps, near, 1.98) + voltage_drop_v(amps, on, 1.98))


def test_a_balanced_three_wire_run_loses_half() -> None:
    """License study page, 16 A over 70 ft of 12 AWG: 4.43 V; with 16 A on the other leg half."""
    ohm = ohm_per_kft_by_k(12.9, 6530)
    assert three_wire_drop_v(16, 0, 70, ohm, ohm) == pytest.approx(4.43, abs=0.01)
    assert three_wire_drop_v(16, 16, 70, ohm, ohm) == pytest.approx(4.43 / 2, abs=0.01)


@given(leg=st.floats(0, 100), other=st.floats(0, 100), neutral=st.floats(0, 5))
def test_what_the_legs_lose_adds_up_between_them(leg: float, other: float, neutral: float) -> None:
    """Kirchhoff's voltage law: the neutral drops out of the sum of both sides."""
    sides = three_wire_drop_v(leg, other, 50, 2, neutral) + three_wire_drop_v(
        other, leg, 50, 2, neutral
    )
    assert sides == pytest.approx((leg + other) * 2 * 50 / 1000, abs=1e-9)


def test_impedance_by_what_is_around() -> None:
    """Chapter 9 Table 9, 2 AWG: 0.19 and 0.20 Ω/kft, 0.045 and 0.057; aluminum 0.32."""
    assert impedance_ohm_per_kft("2", "PVC-40") == impedance_ohm_per_kft("2", None) == 0.19 + 0.045j
    assert impedance_ohm_per_kft("2", "EMT") == impedance_ohm_per_kft("2", "RMC") == 0.20 + 0.057j
    assert impedance_ohm_per_kft("2", "ENT", "aluminum") == 0.32 + 0.045j
    with pytest.raises(NotInTableError, match="no awg '14' for material 'aluminum'"):
        impedance_ohm_per_kft("14", None, "aluminum")
