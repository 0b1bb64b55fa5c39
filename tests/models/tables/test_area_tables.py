"""NFPA 70 chapter 9 Tables 4 and 5 derived again: an area is pi/4 of its diameter squared."""

from math import pi

import pytest

from models.tables import Row, read_table


def area_and_slack(diameter_in: float, digit_in2: float) -> tuple[float, float]:
    """Area of a circle, and what rounding the diameter (0.001 in) and the area may change."""
    return pi / 4 * diameter_in**2, digit_in2 / 2 + pi / 2 * diameter_in * 0.0005


@pytest.mark.parametrize(
    "row", read_table("raceways"), ids=lambda row: f"{row.text('kind')} {row.text('trade_size')}"
)
def test_raceway_areas_follow_the_diameters(row: Row) -> None:
    """Table 4: printed to 0.001 in and 0.001 in²."""
    area, slack = area_and_slack(row.number("inside_diameter_in"), 0.001)
    assert row.number("total_area_in2") == pytest.approx(area, abs=slack)


@pytest.mark.parametrize(
    "row",
    read_table("conductor_areas"),
    ids=lambda row: f"{row.text('awg')} {row.text('insulation')}",
)
def test_conductor_areas_follow_the_diameters(row: Row) -> None:
    """Table 5: printed to 0.001 in and 0.0001 in²."""
    area, slack = area_and_slack(row.number("diameter_in"), 0.0001)
    assert row.number("area_in2") == pytest.approx(area, abs=slack)


@pytest.mark.parametrize("kind", ["EMT", "PVC-40", "PVC-80", "ENT", "RMC"])
def test_raceways_grow_with_trade_size(kind: str) -> None:
    rows = [row for row in read_table("raceways") if row.text("kind") == kind]
    assert [row.text("trade_size") for row in rows] == ["1/2", "3/4", "1", "1-1/4", "1-1/2", "2"]
    diameters = [row.number("inside_diameter_in") for row in rows]
    assert diameters == sorted(diameters)


def test_thicker_walls_leave_less_room() -> None:
    """Schedule 80 and schedule 40 have one outside diameter; the thicker wall is inside."""
    inside = {
        (row.text("kind"), row.text("trade_size")): row.number("inside_diameter_in")
        for row in read_table("raceways")
    }
    sizes = [size for kind, size in inside if kind == "PVC-40"]
    assert sizes
    assert all(inside["PVC-80", size] < inside["PVC-40", size] for size in sizes)
