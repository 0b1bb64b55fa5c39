"""Breaker ratings against NFPA 70 240.6(A), 240.4(B), 240.4(D) and published worked examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.conductors import awg_sizes
from models.formulas.editions import EDITIONS, EditionError
from models.formulas.overcurrent import (
    largest_breaker_amps,
    next_standard_rating_amps,
    small_conductor_limit_amps,
    standard_ratings_amps,
)
from models.tables import NotInTableError


def test_ten_amperes_came_in_2023() -> None:
    """240.6(A): 10 A is a breaker rating from 2023; before that it is a fuse rating."""
    assert standard_ratings_amps(2017) == standard_ratings_amps(2020)
    assert set(standard_ratings_amps(2023)) - set(standard_ratings_amps(2020)) == {10}
    assert not {1, 3, 6, 601} & set(standard_ratings_amps(2023))


@pytest.mark.parametrize("edition", EDITIONS)
def test_ratings_rise(edition: int) -> None:
    ratings = standard_ratings_amps(edition)
    assert list(ratings) == sorted(set(ratings))


@pytest.mark.parametrize(
    ("load_amps", "breaker_amps"), [(24, 30), (40, 50), (48, 60)], ids=lambda amps: f"{amps}A"
)
def test_continuous_loads_at_125_percent(load_amps: int, breaker_amps: int) -> None:
    """Exam practice and kiln supplier examples: 24 A -> 30 A, 40 A -> 50 A, 48 A -> 60 A."""
    assert next_standard_rating_amps(1.25 * load_amps, 2020) == breaker_amps


def test_four_12_awg_keep_the_20_a_breaker() -> None:
    """Electricians' forum worked example: 24 A after adjustment, breaker still 20 A (240.4(D))."""
    for several in (True, False):
        assert largest_breaker_amps("12", 24, several_receptacles=several, edition=2020) == 20


def test_a_hot_attic_takes_the_next_size_up_only_for_one_outlet() -> None:
    """240.4(B): 19.68 A may have 20 A behind one outlet, but 15 A behind several receptacles."""
    assert largest_breaker_amps("12", 19.68, several_receptacles=False, edition=2023) == 20
    assert largest_breaker_amps("12", 19.68, several_receptacles=True, edition=2023) == 15


def test_a_hot_14_awg_may_have_no_breaker_at_all() -> None:
    """Below the least standard rating nothing is left; 2023 has the 10 A rating."""
    assert largest_breaker_amps("14", 14, several_receptacles=True, edition=2020) is None
    assert largest_breaker_amps("14", 14, several_receptacles=True, edition=2023) == 10


def test_the_next_size_up_ends_at_800_a() -> None:
    """240.4(B)(3) and 240.4(C)."""
    assert largest_breaker_amps("4/0", 750, several_receptacles=False, edition=2020) == 800
    assert largest_breaker_amps("4/0", 810, several_receptacles=False, edition=2020) == 800


@pytest.mark.parametrize(
    ("awg", "material", "amps"),
    [
        ("14", "copper", 15),
        ("12", "copper", 20),
        ("10", "copper", 30),
        ("8", "copper", None),
        ("12", "aluminum", 15),
        ("10", "aluminum", 25),
        ("8", "aluminum", None),
    ],
)
def test_small_conductors(awg: str, material: str, amps: int | None) -> None:
    """Maker's wire chart quoting 240.4(D)."""
    assert small_conductor_limit_amps(awg, material) == amps


def test_what_is_not_held() -> None:
    """An unknown size, metal or edition is refused, never read as "no limit"."""
    with pytest.raises(NotInTableError, match="no awg '13'"):
        small_conductor_limit_amps("13")
    with pytest.raises(NotInTableError, match="no material 'gold'"):
        small_conductor_limit_amps("12", "gold")
    with pytest.raises(EditionError, match="edition 2014 is not one of 2017, 2020, 2023"):
        standard_ratings_amps(2014)
    with pytest.raises(NotInTableError, match="6001 A is above the largest standard rating, 6000"):
        next_standard_rating_amps(6001, 2023)


@given(
    awg=st.sampled_from(awg_sizes()),
    ampacity=st.floats(0, 400),
    edition=st.sampled_from(EDITIONS),
)
def test_several_receptacles_never_allow_a_larger_breaker(
    awg: str, ampacity: float, edition: int
) -> None:
    """And with several the breaker never exceeds the ampacity."""
    one = largest_breaker_amps(awg, ampacity, several_receptacles=False, edition=edition)
    several = largest_breaker_amps(awg, ampacity, several_receptacles=True, edition=edition)
    assert several is None or several <= round(ampacity, 6)
    assert (several or 0) <= (one or 0)
