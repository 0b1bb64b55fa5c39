"""Edges that a formula may miss: nothing at all, exactly full, just above a rating, weights."""

from math import pi

import pytest

from models.formulas.ampacity import bundling_factor
from models.formulas.box_fill import box_fill_in3
from models.formulas.conductors import copper_lb_per_kft
from models.formulas.overcurrent import largest_breaker_amps, next_standard_rating_amps
from models.formulas.raceway_fill import (
    conductor_area_in2,
    fill_limit,
    max_conductors,
    raceway_area_in2,
)
from models.formulas.receptacles import receptacle
from models.tables import NotInTableError


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_clamps_of_an_empty_box_take_nothing(edition):
    """Clamps count as the largest conductor in the box (NFPA 70 314.16(B)(2)): there is none."""
    assert box_fill_in3([], internal_clamps=True, edition=edition, support_fittings=1) == 0


def test_conductors_without_current_are_not_adjusted():
    """Three are needed before NFPA 70 Table 310.15(C)(1) adjusts: a run of spares keeps it all."""
    assert [bundling_factor(count) for count in (0, 1, 3)] == [1.0, 1.0, 1.0]


@pytest.mark.parametrize(
    ("amps", "rating"), [(15.3, 20), (20.4, 25), (25.01, 30), (40.25, 45), (60.5, 70)]
)
def test_a_fraction_above_a_rating_asks_for_the_next(amps, rating):
    """NFPA 70 240.6(A): a fraction of an ampere is not rounded off; Annex D drops one elsewhere."""
    assert next_standard_rating_amps(amps, 2020) == rating


def test_a_fraction_below_a_rating_is_not_rounded_up_to_it():
    """6 AWG, six in a raceway at 36 °C: 75 x 0.91 x 0.8 = 54.6 A (NFPA 70 310.15) is not 55 A."""
    found = [
        largest_breaker_amps("6", amps, several_receptacles=True, edition=2020)
        for amps in (54.6, 49.9, 50.0)
    ]
    assert found == [50, 45, 50]


@pytest.mark.parametrize(("amps", "breaker"), [(710.0, 800), (799.5, 800), (801.0, 800)])
def test_the_next_size_up_ends_at_800_amperes(amps, breaker):
    """NFPA 70 240.4(B)(3) and (C): above 800 A the breaker is not above the ampacity."""
    found = largest_breaker_amps("4/0", amps, several_receptacles=False, edition=2020)
    assert found == breaker


def test_a_cable_that_takes_exactly_its_share_fits():
    """NFPA 70 chapter 9 Table 1 allows 53 %: no more, and no less."""
    share_in2 = fill_limit(1) * raceway_area_in2("EMT", "1")
    assert max_conductors("EMT", "1", share_in2) == 1
    assert max_conductors("EMT", "1", share_in2 * 1.0001) == 0


def test_an_insulation_that_is_not_held_is_answered_with_those_that_are():
    with pytest.raises(NotInTableError, match=r"THHN, THWN, THWN-2, .*\bbare$") as told:
        conductor_area_in2("12", "TW")
    assert "XHHW" in str(told.value)


@pytest.mark.parametrize("name", ["5-20R", "L6-30R"])
def test_a_receptacle_knows_what_it_is(name):
    assert receptacle(name).configuration == name


@pytest.mark.parametrize(("awg", "cmil"), [("14", 4110), ("12", 6530), ("4/0", 211600)])
def test_copper_in_metric_units(awg, cmil):
    """The same weight by mm² and metres: a circular mil is a circle 0.0254 mm wide."""
    area_mm2 = cmil * pi / 4 * 0.0254**2
    grams = area_mm2 * 1000 * 0.3048 * 8.89  # mm² x m x g/cm³ = g
    assert copper_lb_per_kft(awg) == pytest.approx(grams / 453.59237, rel=1e-9)
