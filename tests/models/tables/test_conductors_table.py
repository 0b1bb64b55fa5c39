"""NFPA 70 chapter 9 Table 8 derived again from ASTM B258 geometry and the resistivity of metals."""

from math import pi

import pytest

from models.formulas.conductors import astm_diameter_in
from models.tables import Row, read_table

ROWS = read_table("conductors")
SOLID = [row for row in ROWS if row.text("stranding") == "solid"]

# Resistivity at 20 °C and its temperature coefficient. Copper: the international annealed copper
# standard (IEC 60028), 10.371 Ω·cmil/ft. Aluminum: 61 % of that conductivity (ASTM B230).
OHM_CMIL_PER_FT_75C = {
    "copper": 10.371 * (1 + 0.00393 * (75 - 20)),
    "aluminum": 10.371 / 0.61 * (1 + 0.00403 * (75 - 20)),
}


def gauge_number(awg: str) -> int:
    """ASTM B258 number: 1/0 is 0, 2/0 is -1."""
    return 1 - int(awg[0]) if awg.endswith("/0") else int(awg)


def size_id(row: Row) -> str:
    return f"{row.text('awg')} {row.text('stranding')}"


@pytest.mark.parametrize("row", SOLID, ids=size_id)
def test_solid_diameters_follow_the_gauge_formula(row: Row) -> None:
    """ASTM B258: within half of the last printed digit."""
    expected = astm_diameter_in(gauge_number(row.text("awg")))
    assert row.number("diameter_in") == pytest.approx(expected, abs=0.0005)


@pytest.mark.parametrize("row", ROWS, ids=size_id)
def test_circular_mils_follow_the_gauge_formula(row: Row) -> None:
    """ASTM B258: (1000 d)², which Table 8 prints to three or four figures (14 AWG: 4110)."""
    expected = (1000 * astm_diameter_in(gauge_number(row.text("awg")))) ** 2
    assert row.number("area_cmil") == pytest.approx(expected, rel=0.001)


@pytest.mark.parametrize("row", ROWS, ids=size_id)
def test_overall_areas_follow_the_diameters(row: Row) -> None:
    """Area = pi/4 · d² within one printed digit: 12 AWG stranded is 0.0066, printed 0.006."""
    area = pi / 4 * row.number("diameter_in") ** 2
    assert row.number("area_in2") == pytest.approx(area, abs=0.001)


@pytest.mark.parametrize("metal", OHM_CMIL_PER_FT_75C)
@pytest.mark.parametrize("row", ROWS, ids=size_id)
def test_resistance_follows_resistivity_at_75_c(row: Row, metal: str) -> None:
    """R = ρ/area; strands run 2 % longer than the conductor (common allowance for lay)."""
    lay = 1.02 if row.text("stranding") == "stranded" else 1.0
    expected = lay * OHM_CMIL_PER_FT_75C[metal] * 1000 / row.number("area_cmil")
    assert row.number(f"{metal}_ohm_per_kft") == pytest.approx(expected, rel=0.006)


def test_sizes_grow_down_the_table() -> None:
    areas = [row.number("area_cmil") for row in ROWS]
    assert areas == sorted(areas)
