"""Copies of cable C2.1 of the plan on paper: 12-2 for 20 A, two conductors each, 30 °C in the wall.

Table 310.15(C)(1): up to 9 conductors 30 A x 0.70 = 21 A, from 10 on 30 A x 0.50 = 15 A. So four
cables may touch, five may not. It goes along the north wall at 5 ft.
"""

import copy

import pytest

from models.rules import bundled_cables
from tests.models.rules.four_box import circuit_of, found, run_of


def copied(data, count, path=None, of="C2"):
    """Add circuits with a cable alike, along the same way or another."""
    for number in range(count):
        circuit = copy.deepcopy(circuit_of(data, of))
        circuit["id"] = f"B{number}"
        circuit["runs"] = circuit["runs"][:1]
        circuit["runs"][0] |= {"id": f"B{number}.1"} | ({"path": path} if path else {})
        data["circuits"].append(circuit)


def bundles(count, path=None, edit=lambda data: None):
    def change(data):
        copied(data, count, path)
        edit(data)

    return [f for f in found(bundled_cables, change) if f.rule == "cables-bundled"]


def test_five_cables_along_one_way_are_kept_apart():
    assert bundles(3) == []
    [finding] = bundles(4)
    assert (finding.severity, finding.found, finding.limit) == ("note", 20.0, 15.0)
    assert "B0.1, B1.1, B2.1, B3.1, C2.1" in finding.says


@pytest.mark.parametrize(("feet", "apart"), [(2.0, True), (2.1, False)])
def test_up_to_24_in_together_is_no_bundle(feet, apart):
    """310.15(C)(1): longer than 24 in."""
    path = [[0, 2, 5], [0, 2 + feet, 5], [2, 2 + feet, 5]]
    beside = [f for f in bundles(4, path) if "C2.1" in f.says]
    assert (beside == []) == apart


def test_a_corner_does_not_end_a_bundle():
    """1.5 ft before the corner at (0, 8) and 1.5 ft after it."""
    path = [[3, 6.5, 5], [0, 6.5, 5], [0, 8, 5], [1.5, 8, 5], [1.5, 8, 8]]
    assert any("C2.1" in finding.says for finding in bundles(4, path))


def test_heat_counts_where_the_bundle_lies():
    """Over the ceiling at 40 °C: four cables, 30 A x 0.91 x 0.70 = 19.1 A; in the wall 21 A."""
    over = [[0, 2, 5], [0, 2, 8], [3, 2, 8], [3, 8, 8], [3, 8, 4]]
    assert bundles(3) == []
    hot = bundles(3, over, lambda data: run_of(data, "C2.1").update(path=over))
    assert [round(f.limit, 1) for f in hot] == [19.1]


def test_a_motor_circuit_goes_by_its_load():
    """A 40 A breaker on 12 AWG: six bundled cables carry 15 A, 125 % of 12 A but not of 13 A."""

    def edit(data, **plate):
        copied(data, 5, of="C3")
        for circuit in data["circuits"][-5:]:
            circuit["life"] = circuit["runs"][0]["life"] = "existing"
        circuit_of(data, "C3")["breaker"]["amps"] = 40.0
        saw = next(m for m in data["source"]["shop"]["machines"] if m["id"] == "saw")
        del saw["motor"]
        saw |= plate

    assert found(bundled_cables, lambda data: edit(data, motor="2 hp")) == []
    [finding] = found(bundled_cables, lambda data: edit(data, marked="13 A"))
    assert (finding.where, finding.limit) == ("C3.1", 15.0)


def in_passage(count, *, height="5 ft", takes=6):
    def edit(data):
        copied(data, count)
        passage = {"id": "hole", "wall": "north", "x": "1 ft 6 in", "takes": takes}
        passage |= {"height": height} if height else {}
        data["source"]["shop"]["routes"] = {"passages": [passage]}

    return [
        (f.where, f.severity, f.found, f.limit)
        for f in found(bundled_cables, edit)
        if f.rule == "cables-in-passage"
    ]


def test_cables_in_one_opening_count_together():
    """334.80: five of two conductors each carry 15 A, four 21 A; each of the five is told."""
    assert in_passage(3) == []
    wheres = {"C2.1", "B0.1", "B1.1", "B2.1", "B3.1"}
    assert set(in_passage(4)) == {(where, "violation", 20.0, 15.0) for where in wheres}


def test_an_opening_takes_no_more_than_its_shop_says():
    assert in_passage(1, takes=2) == []
    assert in_passage(2, takes=2) == [("hole", "violation", 3.0, 2.0)]


def test_an_opening_without_a_height_is_at_the_ceiling():
    assert in_passage(4, height=None) == []
    assert in_passage(4, height="8 ft") == []


def test_two_cables_are_few():
    """334.80: more than two. At 50 °C three carry 30 x 0.82 x 0.80 = 19.68 A; two do not."""

    def edit(data, count):
        copied(data, count)
        data["source"]["shop"]["building"]["ambient"]["room"] = "50 C"
        passage = {"id": "hole", "wall": "north", "x": "1 ft 6 in", "height": "5 ft"}
        data["source"]["shop"]["routes"] = {"passages": [passage]}

    def passages(count):
        findings = found(bundled_cables, lambda data: edit(data, count))
        return [f.limit for f in findings if f.rule == "cables-in-passage"]

    assert passages(1) == []
    assert {round(limit, 2) for limit in passages(2)} == {19.68}
