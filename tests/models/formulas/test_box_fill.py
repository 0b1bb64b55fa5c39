"""Box fill against published worked examples, by edition, and how it adds up."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from models.formulas.box_fill import (
    allowance_in3,
    box_fill_in3,
    box_volumes,
    canopy_wires_counted,
    volume_beside_barriers_in3,
)
from models.formulas.editions import EDITIONS, EditionError
from models.tables import NotInTableError

AWG = st.sampled_from(["18", "16", "14", "12", "10", "8", "6"])
MANY = st.lists(AWG, max_size=12)


@pytest.mark.parametrize("edition", EDITIONS)
def test_nine_12_awg(edition: int) -> None:
    """Trade magazine, code calculations: 20.25 in³, which a 4 x 1-1/2 square box (21.0) holds."""
    needed = box_fill_in3(["12"] * 9, internal_clamps=False, edition=edition)
    assert needed == 20.25
    assert box_volumes()["4 x 1-1/2 square"] == 21.0
    assert box_volumes()["4 x 1-1/4 square"] < needed


def test_a_box_count_is_rounded_down() -> None:
    """Same article: 15.5 in³ takes seven 14 AWG (7.75); the 0.8 rule is for raceways only."""
    volume = box_volumes()["4 x 1-1/2 round or octagonal"]
    assert box_fill_in3(["14"] * 7, internal_clamps=False, edition=2020) <= volume
    assert box_fill_in3(["14"] * 8, internal_clamps=False, edition=2020) > volume


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(("clamps", "needed"), [(False, 18.0), (True, 20.0)])
def test_three_14_2_cables_and_a_duplex(edition: int, clamps: bool, needed: float) -> None:
    """Home-wiring forum example, 18 in³ plastic box: exactly full, too full with clamps."""
    fill = box_fill_in3(
        ["14"] * 6, [("14", 1)], ["14"] * 3, internal_clamps=clamps, edition=edition
    )
    assert fill == needed


def test_six_12_awg_a_receptacle_and_clamps() -> None:
    """Exam practice, box fill: 6 + 2 + 1 = 9 allowances of 2.25 = 20.25 in³, grounds left out."""
    assert box_fill_in3(["12"] * 6, [("12", 1)], internal_clamps=True, edition=2020) == 20.25


def test_six_14_awg_and_a_switch() -> None:
    """Box-fill article: 6 + 2 + 1 = 9 allowances of 2.0 = 18 in³ in a 22 in³ box."""
    fill = box_fill_in3(["14"] * 6, [("14", 1)], ["14"] * 2, internal_clamps=False, edition=2017)
    assert fill == 18


def test_grounds_past_four_count_from_2020() -> None:
    """Electricians' forum on 314.16(B)(5): a quarter allowance for each ground past the fourth."""
    fills = [box_fill_in3([], [], ["12"] * 6, internal_clamps=False, edition=e) for e in EDITIONS]
    assert fills == [2.25, 2.25 * 1.5, 2.25 * 1.5]


def test_a_wide_device_counts_twice_per_gang() -> None:
    """314.16(B)(4): a 50 A receptacle on a two-gang mount with 6 AWG: 4 x 5.0 in³ (from memory)."""
    assert box_fill_in3([], [("6", 2)], internal_clamps=False, edition=2020) == 20.0


def test_clamps_and_fittings_go_by_the_largest_conductor() -> None:
    """314.16(B)(2) and (3): one allowance for all clamps, one for each kind of fitting."""
    sizes = ["14", "10", "14"]
    bare = box_fill_in3(sizes, internal_clamps=False, edition=2020)
    clamped = box_fill_in3(sizes, internal_clamps=True, edition=2020)
    hung = box_fill_in3(sizes, internal_clamps=True, edition=2020, support_fittings=2)
    assert (clamped - bare, hung - bare) == (2.5, 7.5)


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_long_loop_counts_twice(edition: int) -> None:
    """Code quiz on 314.16(B)(1): unbroken, twice the free length of 300.14: two allowances each."""
    loops = box_fill_in3([], loops=["12"] * 2, internal_clamps=False, edition=edition)
    assert loops == 4 * 2.25
    clamped = box_fill_in3([], loops=["12"] * 2, internal_clamps=True, edition=edition)
    assert clamped == 5 * 2.25


def test_terminal_blocks_count_from_2023() -> None:
    """License course on 314.16(B)(6): one allowance of its largest conductor for each assembly."""
    fills = [
        box_fill_in3(["12"] * 4, terminal_blocks=["12", "10"], internal_clamps=False, edition=e)
        for e in EDITIONS
    ]
    assert fills == [9.0, 9.0, 9.0 + 2.25 + 2.5]


@pytest.mark.parametrize(
    ("wires", "counted"),
    [(["18"] * 2, 0), (["18", "16", "18", "16"], 0), (["18"] * 5, 5), (["14"], 1)],
)
def test_wires_from_a_canopy(wires: list[str], counted: int) -> None:
    """Exam question, 314.16(B)(1) exception: up to four smaller than 14 AWG are left out.

    That five count all, and not one, is the stricter reading.
    """
    assert len(canopy_wires_counted(wires)) == counted


def test_barriers_take_volume() -> None:
    """Code chapter reprint, 314.16(A): unmarked, 1/2 in³ if metal and 1 in³ if nonmetallic."""
    assert volume_beside_barriers_in3(30.3, ["metal"]) == pytest.approx(29.8)
    assert volume_beside_barriers_in3(30.3, ["nonmetallic", "nonmetallic"]) == pytest.approx(28.3)
    assert volume_beside_barriers_in3(30.3, []) == 30.3


def test_what_is_not_held() -> None:
    with pytest.raises(NotInTableError, match=r"no awg '4'.*go by 314\.28"):
        allowance_in3("4")
    with pytest.raises(EditionError, match="edition 2026"):
        box_fill_in3(["12"], internal_clamps=False, edition=2026)


@given(here=MANY, there=MANY, yokes=st.lists(st.tuples(AWG, st.integers(1, 2)), max_size=3))
def test_fill_is_additive(here: list[str], there: list[str], yokes: list[tuple[str, int]]) -> None:
    """Without clamps and grounds, what is in a box adds up part by part."""
    both = box_fill_in3(here + there, yokes, internal_clamps=False, edition=2023)
    parts = box_fill_in3(here, yokes, internal_clamps=False, edition=2023) + box_fill_in3(
        there, internal_clamps=False, edition=2023
    )
    assert both == pytest.approx(parts)


@given(conductors=MANY, grounds=MANY, more=AWG, edition=st.sampled_from(EDITIONS))
def test_one_more_conductor_never_frees_room(
    conductors: list[str], grounds: list[str], more: str, edition: int
) -> None:
    before = box_fill_in3(conductors, (), grounds, internal_clamps=True, edition=edition)
    after = box_fill_in3([*conductors, more], (), grounds, internal_clamps=True, edition=edition)
    grounded = box_fill_in3(conductors, (), [*grounds, more], internal_clamps=True, edition=edition)
    assert after >= before + allowance_in3(more)
    assert grounded >= before
