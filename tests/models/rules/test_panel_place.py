"""Panels within reach and circuits that can be told apart, on the four-box shed.

6 ft 7 in to the highest handle: NEC 240.24(A), trade magazine. The shed's panel has 6 spaces, three
rows of an inch: its highest handle is 1.5 in above its centre, with a main 6.5 in.
"""

import pytest

from models.rules import panel_place
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import shop_of


def heights(height, main="main lug"):
    def edit(data):
        shop_of(data)["supply"]["panels"][0].update(height=height, main=main)

    return [(f.rule, f.severity) for f in found(panel_place, edit)]


@pytest.mark.parametrize(
    ("height", "main", "severity"),
    [
        ("5 ft", "main lug", None),
        ("6 ft 5 in", "main lug", None),
        ("6 ft 6 in", "main lug", "warning"),
        ("6 ft 7 in", "main lug", "warning"),
        ("6 ft 8 in", "main lug", "violation"),
        ("6 ft", "60 A", None),
        ("6 ft 1 in", "60 A", "warning"),
    ],
)
def test_the_highest_handle(height, main, severity):
    """Certain only when the centre itself is too high."""
    assert heights(height, main) == ([("panel-location", severity)] if severity else [])


def directory(*says):
    def edit(data):
        for circuit, words in zip(("C1", "C2", "C3"), says, strict=True):
            circuit_of(data, circuit)["says"] = words

    return [(f.where, f.severity) for f in found(panel_place, edit)]


def test_every_circuit_says_what_it_feeds():
    assert directory("lights", "bench, north wall", "saw") == []


@pytest.mark.parametrize("words", ["", "  ", "misc", "Spare.", "Various"])
def test_words_that_say_nothing(words):
    assert directory("lights", words, "saw") == [("C2", "violation")]


def test_two_that_say_the_same():
    assert directory("lights", "Bench", "bench.") == [("C2", "violation"), ("C3", "violation")]


def test_a_general_word_is_enough_for_one_circuit_only():
    """One circuit feeds lights, two feed receptacles."""
    assert directory("receptacles", "lights", "saw") == [("C1", "violation"), ("C2", "violation")]
    assert directory("lights", "receptacles", "saw") == [("C2", "violation")]


def test_an_existing_circuit_is_to_be_traced():
    def edit(data):
        circuit_of(data, "C2").update(says="misc", life="existing")

    assert [(f.where, f.severity) for f in found(panel_place, edit)] == [("C2", "warning")]
