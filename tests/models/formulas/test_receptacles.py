"""Receptacles against NEMA WD 6 keying, 210.21(B) and published examples."""

from fractions import Fraction

import pytest

from models.formulas.editions import EDITIONS, EditionError
from models.formulas.receptacles import (
    largest_cord_load_amps,
    plug_fits,
    receptacle,
    receptacle_rating_allowed,
)
from models.tables import NotInTableError


@pytest.mark.parametrize(
    ("plug", "where", "fits"),
    [
        ("5-15P", "5-20R", True),
        ("5-20P", "5-15R", False),
        ("6-15P", "6-20R", True),
        ("6-20P", "6-15R", False),
        ("5-15P", "6-15R", False),
        ("L6-30P", "6-30R", False),
        ("14-50P", "10-50R", False),
        ("6-50P", "14-50R", False),
    ],
)
def test_keying(plug: str, where: str, fits: bool) -> None:
    """Configuration charts: a T-slot takes both blades, a plain slot does not; nothing else."""
    assert plug_fits(plug, where) is fits


@pytest.mark.parametrize(
    ("configuration", "volts", "hots", "neutral", "ground"),
    [
        ("5-20R", 120, 1, True, True),
        ("6-20R", 240, 2, False, True),
        ("L5-30R", 120, 1, True, True),
        ("14-50R", 240, 2, True, True),
        ("10-30R", 240, 2, True, False),
    ],
)
def test_what_a_configuration_gives(
    configuration: str, volts: int, hots: int, neutral: bool, ground: bool
) -> None:
    """Configuration charts: series 5 is 125 V, series 6 is 250 V, 10 and 14 are 125/250 V."""
    found = receptacle(configuration)
    assert (found.volts, found.hots) == (volts, hots)
    assert (found.neutral, found.ground) == (neutral, ground)
    assert str(found.amps) == configuration.removesuffix("R").split("-")[1]


def test_horsepower_and_how_it_is_known() -> None:
    """Forum quotes of UL 498: 1/2 hp on 5-15, 1 hp on 5-20, 2 hp on 6-20; 6-50 from memory."""
    known = {name: receptacle(name).horsepower for name in ("5-15R", "5-20R", "6-20R")}
    assert known == {"5-15R": Fraction(1, 2), "5-20R": 1, "6-20R": 2}
    assert receptacle("6-20R").horsepower_basis == "confirmed"
    assert receptacle("6-50R").horsepower_basis == "from memory"
    assert receptacle("6-50R").basis == "confirmed"


def test_ungrounded_range_receptacles_are_not_for_new_circuits() -> None:
    """Since the 1996 code, 10-30 and 10-50 may only stay where they are."""
    assert not receptacle("10-30R").for_new_circuits
    assert not receptacle("10-50R").for_new_circuits
    assert receptacle("14-30R").for_new_circuits


def test_unknown_names_are_answered_with_close_ones() -> None:
    with pytest.raises(NotInTableError, match=r"no configuration '5-20'; closest: '5-20R'"):
        receptacle("5-20")
    with pytest.raises(NotInTableError, match=r"no plug '14-50'; closest: '14-50P'"):
        plug_fits("14-50", "14-50R")
    with pytest.raises(NotInTableError, match=r"no configuration '14-50P'"):
        plug_fits("14-50P", "14-50P")


# Table 210.21(B)(3) as a state safety regulation reprints it.
RATINGS = {15: {15}, 20: {15, 20}, 30: {30}, 40: {40, 50}, 50: {50}}


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("circuit_amps", RATINGS)
def test_ratings_on_a_shared_circuit(circuit_amps: int, edition: int) -> None:
    """To 2020 the printed ratings and no others; from 2023 none below the printed ones."""
    allowed = {
        amps
        for amps in (15, 20, 30, 40, 50)
        if receptacle_rating_allowed(circuit_amps, amps, single=False, edition=edition)
    }
    printed = RATINGS[circuit_amps]
    if edition < 2023:
        assert allowed == printed
    else:
        assert allowed == {amps for amps in (15, 20, 30, 40, 50) if amps >= min(printed)}


def test_ratings_on_an_individual_circuit() -> None:
    """210.21(B)(1), trade magazine: a single receptacle is rated at least as its circuit."""
    assert not receptacle_rating_allowed(20, 15, single=True, edition=2020)
    assert receptacle_rating_allowed(20, 20, single=True, edition=2020)
    assert receptacle_rating_allowed(40, 50, single=True, edition=2020)


def test_an_odd_circuit_feeds_one_receptacle_only() -> None:
    """25 A is in no row of Table 210.21(B)(3)."""
    assert not receptacle_rating_allowed(25, 30, single=False, edition=2023)
    assert receptacle_rating_allowed(25, 30, single=True, edition=2023)


@pytest.mark.parametrize(
    ("circuit_amps", "receptacle_amps", "load_amps"),
    [(15, 15, 12), (20, 15, 12), (20, 20, 16), (30, 30, 24), (15, 20, 12), (50, 50, 50)],
)
def test_cord_loads_on_a_shared_circuit(
    circuit_amps: int, receptacle_amps: int, load_amps: int
) -> None:
    """State safety regulation after Table 210.21(B)(2); training page: 16 A on a 20 A circuit."""
    found = largest_cord_load_amps(circuit_amps, receptacle_amps, individual=False)
    assert found == load_amps


def test_cord_loads_on_an_individual_circuit() -> None:
    """A single receptacle of its own circuit carries the lesser rating."""
    assert largest_cord_load_amps(20, 20, individual=True) == 20
    assert largest_cord_load_amps(40, 50, individual=True) == 40


def test_what_is_not_held() -> None:
    with pytest.raises(NotInTableError, match="no receptacle on 10 A"):
        largest_cord_load_amps(10, 15, individual=False)
    with pytest.raises(EditionError, match="edition 2014"):
        receptacle_rating_allowed(20, 20, single=False, edition=2014)
