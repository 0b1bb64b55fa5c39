"""Chapter 9 Table 9, fill limits, Table 300.5 and 314.28 against what they follow from."""

import pytest

from models.formulas.voltage_drop import effective_ohm_per_kft
from models.tables import Row, lookup, read_table

IMPEDANCE = read_table("conductor_impedance")
AROUND = ("pvc", "steel")


def size_id(row: Row) -> str:
    return f"{row.text('awg')} {row.text('material')}"


@pytest.mark.parametrize("around", AROUND)
@pytest.mark.parametrize("row", IMPEDANCE, ids=size_id)
def test_effective_impedance_is_that_of_resistance_and_reactance(row: Row, around: str) -> None:
    """Note 2 to Table 9: R cos θ + X sin θ at 0.85; two printed figures leave up to 6 %."""
    impedance = complex(
        row.number(f"resistance_{around}_ohm_per_kft"),
        row.number(f"reactance_{around}_ohm_per_kft"),
    )
    printed = row.number(f"effective_{around}_ohm_per_kft")
    assert effective_ohm_per_kft(impedance, 0.85) == pytest.approx(printed, rel=0.06)


@pytest.mark.parametrize("row", IMPEDANCE, ids=size_id)
def test_resistance_is_near_that_to_direct_current(row: Row) -> None:
    """Table 8: up to 4/0 AWG the difference is less than two figures show."""
    metal = row.text("material")
    direct = lookup("conductors", awg=row.text("awg"), stranding="stranded")
    for around in AROUND:
        resistance = row.number(f"resistance_{around}_ohm_per_kft")
        assert resistance == pytest.approx(direct.number(f"{metal}_ohm_per_kft"), rel=0.04)


@pytest.mark.parametrize("row", IMPEDANCE, ids=size_id)
def test_steel_adds_a_quarter_to_the_reactance(row: Row) -> None:
    """Magnetic conduit: 1.25 times the reactance (usual allowance for random lay, from memory)."""
    in_pvc = row.number("reactance_pvc_ohm_per_kft")
    assert row.number("reactance_steel_ohm_per_kft") == pytest.approx(1.25 * in_pvc, abs=0.0013)


def test_reactance_does_not_ask_for_the_metal() -> None:
    """Table 9 prints one reactance for all wires of a size."""
    for row in IMPEDANCE:
        copper = lookup("conductor_impedance", awg=row.text("awg"), material="copper")
        for around in AROUND:
            column = f"reactance_{around}_ohm_per_kft"
            assert row.number(column) == copper.number(column)


@pytest.mark.parametrize("metal", ["copper", "aluminum"])
def test_sizes_follow_table_8_and_resistance_falls(metal: str) -> None:
    rows = [row for row in IMPEDANCE if row.text("material") == metal]
    sizes = list(dict.fromkeys(row.text("awg") for row in read_table("conductors")))
    assert [row.text("awg") for row in rows] == sizes[metal == "aluminum" :]
    for around in AROUND:
        falling = [row.number(f"resistance_{around}_ohm_per_kft") for row in rows]
        assert falling == sorted(set(falling), reverse=True)


def test_two_conductors_have_the_least_limit_and_a_nipple_the_greatest() -> None:
    """Two round conductors side by side fill half of a circle just large enough for them."""
    limits = [row.number("fill_percent") for row in read_table("fill_limits")]
    assert limits == [53, 31, 40, 60]
    assert min(limits) < 50


def test_deeper_where_more_is_driven_and_less_is_protected() -> None:
    """Table 300.5: rigid conduit, other raceways, cable, each no less deep; streets deepest."""
    columns = ("rigid_metal_conduit_in", "other_raceway_in", "direct_burial_cable_in")
    rows = read_table("burial_depth")
    for row in rows:
        depths = [row.number(column) for column in columns]
        assert depths == sorted(depths)
        assert row.number("residential_gfci_in") <= depths[-1]
        street = lookup("burial_depth", location="under streets, driveways and parking lots")
        assert max(depths) <= min(street.number(column) for column in columns)


def test_a_straight_pull_asks_for_more_than_an_angle_of_one() -> None:
    """314.28(A): 8 and 6 times, and 6 times between entries (trade magazine quiz)."""
    largest = [row.number("largest_factor") for row in read_table("pull_boxes")]
    assert largest == [8, 6, 6]
