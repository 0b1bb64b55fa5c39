"""Breakers against the calibration points of UL 489 and what electricians report."""

import pytest

from models.formulas.breakers import (
    magnetic_pickup_amps,
    start_likely_to_trip,
    trip_points,
    verdict,
)
from models.formulas.motors import locked_rotor_amps, motor_amps
from models.tables import NotInTableError

RATINGS = (15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 125, 150, 200)


@pytest.mark.parametrize(
    ("rating", "hour", "minutes"),
    [(15, 1, 2), (30, 1, 2), (35, 1, 4), (50, 1, 4), (60, 2, 6), (100, 2, 6), (125, 2, 8)],
)
def test_calibration_points(rating: int, hour: int, minutes: int) -> None:
    """UL 489: 135 % within 1 h up to 50 A, else 2 h; 200 % within 2, 4, 6, 8 min by rating."""
    at_135, at_200 = trip_points(rating)
    assert at_135[:2] == (pytest.approx(1.35 * rating), hour * 3600)
    assert at_200[:2] == (2 * rating, minutes * 60)
    assert at_135[2] == (rating > 50)  # the two hours are from memory
    assert at_200[2] == (rating > 100)


@pytest.mark.parametrize("rating", RATINGS)
def test_a_breaker_carries_its_rating_for_ever(rating: int) -> None:
    assert verdict(rating, 1e9, rating).says == "holds"
    assert verdict(0, 1e9, rating).says == "holds"


@pytest.mark.parametrize("rating", RATINGS)
@pytest.mark.parametrize("share", [1.01, 1.2, 1.34])
def test_between_rating_and_135_percent_nothing_is_known(rating: int, share: float) -> None:
    """Not specified: a breaker may carry it for hours, or trip."""
    assert verdict(share * rating, 1e9, rating) == ("may trip", None, False)


@pytest.mark.parametrize("rating", RATINGS)
def test_more_current_or_more_time_never_makes_it_hold(rating: int) -> None:
    """Verdicts only get worse with current and with time."""
    rank = {"holds": 0, "may trip": 1, "trips": 2}
    currents = [rating * share / 100 for share in range(50, 1000, 25)]
    times = [0.1, 1, 60, 119, 121, 600, 3599, 3601, 7201]
    grid = [[rank[verdict(amps, s, rating).says] for s in times] for amps in currents]
    for row in grid:
        assert row == sorted(row)
    for column in zip(*grid, strict=True):
        assert list(column) == sorted(column)


def test_trips_only_after_its_time() -> None:
    assert verdict(40, 119, 20).says == "may trip"
    assert verdict(40, 120, 20).says == "trips"
    assert verdict(30, 3599, 20).says == "may trip"
    assert verdict(30, 3600, 20) == ("trips", 3600.0, False)
    assert verdict(81, 7200, 60).rests_on_memory


def test_three_times_the_rating_trips_no_later_than_twice() -> None:
    assert verdict(60, 120, 20).says == "trips"


def test_typical_magnetic_bands() -> None:
    """Common practice, no source: 5 to 20 times up to 30 A, 4 to 15 times up to 100 A."""
    assert magnetic_pickup_amps(15) == (75, 300)
    assert magnetic_pickup_amps(30) == (150, 600)
    assert magnetic_pickup_amps(40) == (160, 600)
    assert magnetic_pickup_amps(100) == (400, 1500)
    with pytest.raises(NotInTableError, match="ask its maker"):
        magnetic_pickup_amps(125)


@pytest.mark.parametrize(
    ("power", "volts", "breaker", "likely"),
    [("2", 240, 20, False), ("3", 240, 20, True), ("3", 240, 30, False),
     ("1-1/2", 120, 20, True), ("3/4", 120, 20, False), ("5", 240, 40, True),
     ("5", 240, 50, False)],
)  # fmt: skip
def test_starts(power: str, volts: int, breaker: int, likely: bool) -> None:
    """Six times the table current (Table 430.251(A)) against the low end of the band.

    On the boundary: 5 times 20 A is 100 A, 3 hp draws 102 A; 4 times 50 A is 200 A, 5 hp 168 A.
    """
    amps = locked_rotor_amps(motor_amps(power, volts))
    assert start_likely_to_trip(amps, breaker) == likely
