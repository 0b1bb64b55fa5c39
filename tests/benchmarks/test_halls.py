"""Invented halls: as many receptacles as asked for, without problems, and plannable; slopes."""

import json

import pytest

from benchmarks.growth import measure, slope
from benchmarks.halls import hall
from models.shop_file import parse_shop


@pytest.mark.parametrize(("yokes", "panels"), [(50, 1), (101, 2), (251, 3), (1000, 4)])
def test_halls_have_what_was_asked_for_and_read_without_problems(yokes, panels):
    shop = hall(3, yokes)
    assert sum(1 for _ in shop.receptacles()) == yokes
    assert len(shop.supply.panels) == panels
    read = parse_shop(json.dumps(shop.canonical()))  # raises with every problem
    assert read.canonical() == shop.canonical()


def test_halls_repeat_and_differ():
    assert hall(1, 60) == hall(1, 60)
    assert hall(1, 60) != hall(2, 60)


def test_a_hall_is_planned_without_violations():
    row = measure(50, 1, 1)
    assert row["receptacles"] == 50
    assert row["circuits"] > 0
    assert row["violations"] == 0
    assert row["read_s"] < row["first_s"] <= row["total_s"]


@pytest.mark.parametrize("power", [0.5, 1, 2.5])
def test_slopes_of_powers_are_the_powers(power):
    rows = [{"receptacles": n, "total_s": 0.01 * n**power} for n in (50, 100, 400)]
    assert slope(rows, "total_s") == pytest.approx(power)
