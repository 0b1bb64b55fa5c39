"""Existing circuits that do not fit the boxes they feed."""

import pytest

from models.shop_file import parse_shop
from tests.models.broken_facts import EXISTING, GOOD, found_in

MIXED = [
    ("[duplex 5-20R]", "[duplex 5-20R, single 6-20R]"),
    ("into: N1", "into: N1.left"),
    ("into: N1\n", "into: N1.left\n"),
]


@pytest.mark.parametrize(
    ("spaces", "words"),
    [
        ("[1]", "6-20R in 'N1' needs a two-pole breaker, that of 'X' is one-pole"),
        ("[1, 3]", "5-20R in 'N1' needs a one-pole breaker, that of 'X' is two-pole"),
    ],
)
def test_an_existing_circuit_and_a_box_of_both_voltages(spaces, words):
    """One breaker cannot feed both receptacles."""
    text = GOOD
    for old, new in MIXED:
        text = text.replace(old, new, 1)
    circuit = f"existing: [{EXISTING}id: X, spaces: {spaces}, feeds: [N1]}}]\nuse:\n"
    (line,) = found_in(text.replace("use:\n", circuit))
    assert words in line


def test_an_existing_circuit_and_a_box_of_two_circuits():
    """`feeds` names a box, so it cannot say which of the two yokes is meant."""
    text = GOOD.replace("[duplex 5-20R]", "[duplex 5-20R, duplex 5-20R], two_circuits: yes")
    text = text.replace("into: N1", "into: N1.left")
    assert parse_shop(text)
    circuit = f"existing: [{EXISTING}id: X, spaces: [1], feeds: [N1]}}]\nuse:\n"
    (line,) = found_in(text.replace("use:\n", circuit))
    assert "cannot say which yoke is on 'X'" in line


@pytest.mark.parametrize(
    ("feeds", "words"),
    [
        ("L1", "'L1' is on 'X', its switch in 'S1' on no existing circuit"),
        ("S1", "'L1' is on no existing circuit, its switch in 'S1' on 'X'"),
        ("S1, L1", ""),
    ],
)
def test_a_luminaire_and_its_switch_are_on_one_circuit(feeds, words):
    """An existing circuit feeds both, or neither."""
    circuit = f"existing: [{EXISTING}id: X, spaces: [1], feeds: [{feeds}]}}]\nuse:\n"
    text = GOOD.replace("use:\n", circuit)
    if words:
        (line,) = found_in(text)
        assert words in line
        assert "boxes[L1].switched_by" in line
    else:
        assert parse_shop(text)
