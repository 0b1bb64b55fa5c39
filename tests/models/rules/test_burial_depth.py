"""Cover over a raceway from panel P to box N1 of the plan on paper, led out of the walls.

The shed is 10 x 8 ft, so y = -3 is the yard. Depths are those of Table 300.5: PVC 18 in, rigid
metal conduit 6 in, 12 in for 120 V circuits of a dwelling of 20 A or less behind a GFCI.
"""

import pytest

from models.rules import burial_depth
from tests.models.rules.four_box import circuit_of, found, lay_in_raceway, run_of


def buried(depth_ft, *, outside=True, kind="PVC-40", gfci=False, **changes):
    """What is found (rule, severity, inches, limit) of a raceway at a depth."""
    y = -3 if outside else 4
    path = [
        [0, 2, 5],
        [0, 2, -depth_ft],
        [0, y, -depth_ft],
        [3, y, -depth_ft],
        [3, 8, -depth_ft],
        [3, 8, 4],
    ]

    def edit(data):
        lay_in_raceway(data, "C2.1", path, kind=kind, laid="buried", depth=f"{depth_ft} ft")
        circuit = circuit_of(data, "C2")
        if gfci:
            circuit["gfci_at"], circuit["breaker"]["gfci"] = ["breaker"], True
        circuit["breaker"] |= changes.get("breaker", {})
        circuit |= changes.get("circuit", {})
        data["source"]["shop"]["building"] |= changes.get("building", {})

    return [
        (f.rule, f.severity, f.found, f.limit)
        for f in found(burial_depth, edit)
        if f.rule != "underground-wet"
    ]


@pytest.mark.parametrize(
    ("kind", "depth_ft", "limit_in"), [("PVC-40", 1.5, 18), ("EMT", 1.5, 18), ("RMC", 0.5, 6)]
)
def test_cover_by_kind(kind, depth_ft, limit_in):
    assert buried(depth_ft, kind=kind) == []
    shallow = depth_ft - 0.25
    assert buried(shallow, kind=kind) == [("burial-depth", "violation", 12 * shallow, limit_in)]


def test_under_the_building_a_raceway_needs_none():
    """Table 300.5, under a building: 0 in a raceway."""
    assert buried(0.5, outside=False) == []
    assert buried(0.5) != []


def test_small_circuits_of_a_dwelling_behind_a_gfci_breaker():
    """Column 4: 12 in; not for 30 A, not for 240 V, not outside a dwelling."""
    assert buried(1.0, gfci=True) == []
    assert buried(0.75, gfci=True) == [("burial-depth", "violation", 9.0, 12.0)]
    too_shallow = [("burial-depth", "violation", 12.0, 18.0)]
    assert buried(1.0, gfci=False) == too_shallow
    assert buried(1.0, gfci=True, breaker={"amps": 30.0}) == too_shallow
    assert buried(1.0, gfci=True, circuit={"volts": 240}) == too_shallow
    assert buried(1.0, gfci=True, building={"dwelling": "no"}) == too_shallow


def test_a_circuit_beside_them_that_is_none_of_these():
    """Column 4 is for a raceway with nothing else in it: the saw's 240 V circuit asks for 18 in."""

    def edit(data, also):
        path = [[0, 2, 5], [0, 2, -1], [0, -3, -1], [3, -3, -1], [3, 8, -1], [3, 8, 4]]
        lay_in_raceway(data, "C2.1", path, kind="PVC-40", laid="buried", depth="1 ft")
        circuit = circuit_of(data, "C2")
        circuit["gfci_at"], circuit["breaker"]["gfci"] = ["breaker"], True
        run_of(data, "C3.1")["raceways"] = ["R1"] if also else []

    assert "burial-depth" not in {f.rule for f in found(burial_depth, lambda d: edit(d, False))}
    assert "burial-depth" in {f.rule for f in found(burial_depth, lambda d: edit(d, True))}


def test_a_way_that_only_ends_outside():
    """Under the wall and up at its outer side: a foot of yard asks for the depth of the yard."""

    def edit(data, y):
        path = [[0, 2, 5], [0, 2, -1], [0, y, -1], [0, y, 2]]
        lay_in_raceway(data, "C2.1", path, kind="PVC-40", laid="buried", depth="1 ft")

    assert "burial-depth" not in {f.rule for f in found(burial_depth, lambda d: edit(d, 0))}
    assert "burial-depth" in {f.rule for f in found(burial_depth, lambda d: edit(d, -1))}


def test_the_shallower_of_what_is_given_and_what_is_drawn_counts():
    def edit(data):
        path = [[0, 2, 5], [0, 2, -1], [0, -3, -1], [3, -3, -1], [3, 8, -1], [3, 8, 4]]
        lay_in_raceway(data, "C2.1", path, kind="PVC-40", laid="buried", depth="2 ft")

    assert [(f.rule, f.found) for f in found(burial_depth, edit)][-1] == ("burial-depth", 12.0)


def test_what_may_not_be_buried():
    """362.12, from memory: ENT; 334.12(B): nonmetallic cable."""
    assert buried(2.0, kind="ENT") == [("burial-kind", "violation", None, None)]

    def sink(data):
        run_of(data, "C2.1")["path"][1:3] = [[0, 2, -2], [3, 2, -2], [3, 8, -2]]

    [finding] = found(burial_depth, sink)
    assert (finding.rule, finding.where, finding.severity) == ("burial-kind", "C2.1", "violation")


def test_conductors_underground_are_told_to_be_for_wet_places():
    def edit(data, laid):
        path = [[0, 2, 5], [0, 2, -2], [3, 2, -2], [3, 8, -2], [3, 8, 4]]
        lay_in_raceway(data, "C2.1", path, kind="PVC-40", laid=laid, depth="2 ft")

    def marked(data):
        edit(data, "buried")
        run_of(data, "C2.1")["make"] = "THWN-2 12 in R9"

    [finding] = found(burial_depth, lambda data: edit(data, "buried"))
    assert (finding.rule, finding.severity) == ("underground-wet", "violation")
    assert found(burial_depth, lambda data: edit(data, "surface")) == []
    assert found(burial_depth, marked) == []
