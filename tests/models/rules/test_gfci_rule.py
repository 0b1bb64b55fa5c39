"""Ground-fault protection by edition, place and kind of outlet, on the four-box shed.

Expected answers: published summaries of NEC 210.8(A), (B), (F) and 625.54 for the three editions; a
trade forum on an accessory building whose floor is above grade, and on vehicle charging in 2017.
"""

import pytest

from models.rules import gfci
from tests.models.rules.four_box import circuit_of, found
from tests.models.rules.shed import add_machine, add_outlet, outlet_of, say

ZONE = {"id": "Z", "from": ["2 ft", "6 ft"], "to": ["4 ft", "8 ft"]}


def unprotected(data):
    """No GFCI anywhere."""
    for circuit in data["circuits"]:
        circuit["gfci_at"] = []
        circuit["breaker"].update(gfci=False, kind="plain")
    for outlet in data["outlets"]:
        outlet["protected_by"] = None
    for box in data["boxes"]:
        for yoke in box["yokes"]:
            yoke["gfci"] = False


def told(edition=2023, edit=lambda data: None, **building):
    def all_of_it(data):
        unprotected(data)
        say(data, edition, **building)
        edit(data)

    return [(f.rule, f.severity, f.where) for f in found(gfci, all_of_it)]


def scope(*args, **building):
    return [where for rule, severity, where in told(*args, **building) if severity == "violation"]


N1, E1 = ["N1.bottom", "N1.top"], ["E1"]


@pytest.mark.parametrize(("edition", "outlets"), [(2017, N1), (2020, E1 + N1), (2023, E1 + N1)])
@pytest.mark.parametrize("kind", ["garage", "basement", "accessory building", "shop"])
def test_dwelling_premises(edition, outlets, kind):
    """125 V only in 2017, 240 V too since 2020."""
    assert scope(edition, kind=kind) == outlets


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_an_accessory_building_above_grade_is_not_listed(edition):
    assert scope(edition, kind="accessory building", floor="above grade") == []


@pytest.mark.parametrize(
    ("kind", "edition", "asked"),
    [
        ("garage", 2017, True),
        ("accessory building", 2017, False),
        ("accessory building", 2020, True),
        ("basement", 2017, True),
        ("shop", 2017, False),
        ("shop", 2023, False),
    ],
)
def test_elsewhere_by_place(kind, edition, asked):
    """Garages and service bays in 2017, accessory buildings since 2020; all to 50 A."""
    assert scope(edition, dwelling="no", kind=kind) == (E1 + N1 if asked else [])


@pytest.mark.parametrize(
    ("what", "edition", "asked"),
    [
        ("vehicles", 2017, True),
        ("damp", 2017, False),
        ("damp", 2020, True),
        ("wet", 2017, True),
        ("sink", 2017, True),
        ("work", 2023, False),
    ],
)
def test_zones_of_a_shop_that_is_no_dwelling(what, edition, asked):
    """N1 lies in the zone, E1 (7 ft away) does not."""
    found_here = scope(edition, dwelling="no", kind="shop", zones=[{**ZONE, "is": [what]}])
    assert found_here == (N1 if asked else [])


def test_six_feet_from_a_sink():
    """E1 at [10, 4]: the sink's edge at x 4 is just within 6 ft of the wall's inner side."""

    def at(x):
        sink = {**ZONE, "to": [f"{x} ft", "8 ft"], "from": ["1 ft", "0 ft"], "is": ["sink"]}
        return scope(2023, dwelling="no", kind="shop", zones=[sink])

    assert at(3.5) == N1
    assert at(4) == E1 + N1


def test_50_amperes_elsewhere():

    def edit(data):
        add_outlet(data, "N9", "C3", "6-50R")

    assert "N9" in scope(2020, edit, dwelling="no", kind="garage")


def test_what_rests_on_memory_says_so():
    def memory(**building):
        def edit(data):
            unprotected(data)
            say(data, 2020, **building)

        return {f.rests_on_memory for f in found(gfci, edit) if f.rule == "gfci-scope"}

    assert memory(dwelling="no", kind="basement") == {True}
    assert memory(dwelling="yes") == {False}


def test_an_existing_circuit_is_noted():
    def edit(data):
        circuit = circuit_of(data, "C2")
        outlets = [outlet for outlet in data["outlets"] if outlet["circuit"] == "C2"]
        for thing in (circuit, *circuit["runs"], *outlets):
            thing["life"] = "existing"

    assert ("gfci-scope", "note", "N1.top") in told(2023, edit)


# Hard-wired outlets, 210.8(F)


def hard_wired(outdoors="no", **machine):
    def edit(data):
        add_outlet(data, "H9", configuration=None, wall="south", x="6 ft", outdoors=outdoors)
        add_machine(data, "unit", "H9", **machine)

    return edit


@pytest.mark.parametrize(
    ("edition", "outdoors", "severity"),
    [
        (2017, "yes", None),
        (2020, "yes", "violation"),
        (2020, "no", None),
        (2023, "no", "violation"),
        (2023, "yes", "violation"),
    ],
)
def test_hard_wired_outlets_of_a_dwelling(edition, outdoors, severity):
    severities = [s for _, s, where in told(edition, hard_wired(outdoors)) if where == "H9"]
    assert severities == ([severity] if severity else [])


@pytest.mark.parametrize(
    ("edition", "severity"), [(2017, None), (2020, "violation"), (2023, "note")]
)
def test_heating_and_cooling_is_excepted_for_a_time(edition, severity):
    """The exception of 2023 ends in September 2026; that of 2020 ended before 2023."""
    findings = told(edition, hard_wired("yes", kind="cooling"))
    assert [s for _, s, where in findings if where == "H9"] == ([severity] if severity else [])


# Vehicle charging, 625.54


def charger(data):
    add_machine(data, "car", "E1", kind="vehicle charger", plug="6-20P")


@pytest.mark.parametrize(("edition", "rules"), [
    (2017, [("ev-receptacle-gfci", "violation", "E1")]),
    (2020, [("gfci-scope", "violation", "E1")]),
])  # fmt: skip
def test_a_receptacle_for_charging(edition, rules):
    """In 2017 only 625.54 asks it of a dwelling's 240 V receptacle; later 210.8(A) does."""
    findings = told(edition, charger)
    assert [f for f in findings if f[2] == "E1"] == rules


def test_a_receptacle_for_charging_that_is_protected():
    """E1 is behind the GFCI breaker of C3."""

    def edit(data):
        charger(data)
        say(data, 2017)
        assert outlet_of(data, "E1")["protected_by"] == "breaker"

    assert found(gfci, edit) == []
