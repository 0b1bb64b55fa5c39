"""Shared neutrals and shared yokes: C1 and C2 of the four-box shed made a pair.

NEC 210.4(A), 210.4(C), 210.7 and 300.13(B), trade magazine and trade forum.
"""

import pytest

from models.rules import multiwire
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import outlet_of


def pair(data):
    """C1 in space 1 and C2 in space 3, tied."""
    for name, other in (("C1", "C2"), ("C2", "C1")):
        circuit = circuit_of(data, name)
        circuit["multiwire_with"] = other
        circuit["breaker"]["handle_tie"] = True


def told(*edits):
    def edit(data):
        for one in edits:
            one(data)

    return [(f.rule, f.where) for f in found(multiwire, edit)]


def test_no_pair_and_a_pair_as_it_should_be():
    assert told(lambda data: None) == []
    assert told(pair) == []


def test_two_panels():
    assert told(pair, lambda data: circuit_of(data, "C2").update(panel="Q")) == [
        ("multiwire-panel", "C1"),
        ("multiwire-panel", "C2"),
    ]


def line_to_line(data):
    """N1.top is from hot to hot, N1.bottom from hot to neutral."""
    outlet_of(data, "N1.top")["volts"] = 240


@pytest.mark.parametrize(("tie", "told_of"), [(True, True), (False, False)])
def test_an_outlet_from_hot_to_hot_needs_a_common_trip(tie, told_of):
    """210.4(C) exception 2: one device that opens all hots; a handle tie is not enough."""

    def common_trip(data):
        for name in ("C1", "C2"):
            circuit_of(data, name)["breaker"].update(poles=2, spaces=[1, 3], handle_tie=tie)

    findings = told(pair, line_to_line, common_trip)
    assert (("multiwire-loads", "C2") in findings) is told_of


def neutrals(*ends):
    """Neutrals of C2 in N1 that end so."""

    def edit(data):
        box = next(box for box in data["boxes"] if box["id"] == "N1")
        box["conductors"] = [
            {"run": f"C2.{n}", "role": "neutral", "awg": "12", "circuit": "C2", "ends": end}
            for n, end in enumerate(ends, 1)
        ]
        box["yokes"][0]["gfci"] = False

    return edit


@pytest.mark.parametrize(
    ("ends", "whole"),
    [
        (["on device"], True),
        (["spliced", "spliced"], True),
        (["on device", "passes"], True),
        (["on device", "on device"], False),
    ],
)
def test_a_neutral_that_a_device_carries_on(ends, whole):
    findings = told(pair, neutrals(*ends))
    assert findings == ([] if whole else [("multiwire-neutral", "N1")])


def test_behind_a_gfci_device_the_neutral_is_shared_no_more():
    def gfci(data):
        next(box for box in data["boxes"] if box["id"] == "N1")["yokes"][0]["gfci"] = True

    assert told(pair, neutrals("on device", "on device"), gfci) == []


def test_a_two_wire_circuit_may_go_on_through_a_device():
    assert told(neutrals("on device", "on device")) == []


def split(data):
    """The top of N1 on C1, the bottom on C2."""
    outlet_of(data, "N1.top")["circuit"] = "C1"


def test_two_circuits_on_one_yoke():
    assert told(split) == [("one-yoke", "N1")]
    assert told(split, pair) == []


def test_a_tie_joins_neighbours_only():
    def far(data):
        circuit_of(data, "C2")["breaker"]["spaces"] = [5]

    assert told(split, pair, far) == [("one-yoke", "N1")]
