"""A separate building: supply, disconnect and rating on the plan on paper, which has 3 circuits."""

import copy

import pytest

from models.rules import detached
from tests.models.rules.four_box import found


def shop(data):
    return data["source"]["shop"]


def panel(data):
    return shop(data)["supply"]["panels"][0]


def apart(data, **facts):
    """The shed stands by itself; what the shop file says of its panel."""
    shop(data)["building"]["attached"] = "no"
    panel(data).update(facts)


def circuits(data, count):
    """So many circuits in the panel, copies of the first, 15 A each."""
    first = data["circuits"][0]
    data["circuits"] = [{**first, "id": f"C{n}"} for n in range(1, count + 1)]


def told(edit, rule):
    return [(f.severity, f.found, f.limit) for f in found(detached, edit) if f.rule == rule]


def test_an_attached_garage_is_not_asked():
    assert found(detached, lambda data: None) == []


def test_a_separate_building_is_asked_for_its_grounding():
    assert told(apart, "building-grounding") == [("not-checked", None, None)]


@pytest.mark.parametrize(("count", "severity"), [(6, "note"), (7, "violation")])
def test_up_to_six_breakers_are_a_disconnect(count, severity):
    """225.33 as forums quote it: six, no more; a main breaker is one."""

    def edit(data, **facts):
        apart(data, **facts)
        circuits(data, count)

    [(how, *_)] = told(edit, "building-disconnect")
    assert how == severity
    assert told(lambda data: edit(data, main="60 A"), "building-disconnect") == []
    assert told(lambda d: edit(d, disconnect="separate switch"), "building-disconnect") == []


def test_a_disconnect_that_is_said_and_not_there():
    """Main lugs are no main breaker, whatever the file calls the disconnect."""

    def edit(data):
        apart(data, disconnect="main breaker")
        circuits(data, 7)

    assert told(edit, "building-disconnect") == [("violation", 7, 6)]


def test_a_tied_pair_is_one_handle():
    """225.33(B) as reprinted: poles with a handle tie are thrown together."""

    def edit(data):
        apart(data)
        circuits(data, 7)
        data["circuits"][0]["multiwire_with"] = "C2"
        data["circuits"][1]["multiwire_with"] = "C1"

    [(severity, *_)] = told(edit, "building-disconnect")
    assert severity == "note"


def test_a_back_fed_main_needs_two_spaces():
    """Spaces 1 to 6; free are those without a circuit."""

    def edit(data, free):
        apart(data, disconnect="back-fed breaker")
        for space in data["panels"][0]["spaces"]:
            space["circuit"] = None if space["space"] in free else "C1"

    assert told(lambda data: edit(data, {1, 3}), "building-disconnect") == []
    assert told(lambda data: edit(data, {1, 2}), "building-disconnect") == [
        ("violation", None, None)
    ]


@pytest.mark.parametrize(
    ("main", "count", "least"),
    [(50, 3, 60), (60, 3, None), (20, 2, 30), (30, 2, None), (15, 1, None)],
)
def test_rating_of_a_main(main, count, least):
    """225.39: 15 A for one circuit, 30 A for two of two wires, 60 A otherwise."""

    def edit(data):
        apart(data, main=f"{main} A")
        circuits(data, count)

    expected = [("violation", float(main), float(least))] if least else []
    assert told(edit, "building-disconnect-rating") == expected


def test_ratings_of_grouped_breakers_add_up():
    """225.39: four of 15 A are 60 A, three are 45 A."""

    def edit(data, count):
        apart(data)
        circuits(data, count)

    assert told(lambda data: edit(data, 4), "building-disconnect-rating") == []
    assert told(lambda data: edit(data, 3), "building-disconnect-rating") == [
        ("violation", 45.0, 60.0)
    ]


def test_a_rating_that_the_file_has_no_place_for():
    def edit(data):
        apart(data, disconnect="separate switch")

    assert told(edit, "building-disconnect-rating") == [("not-checked", None, 60.0)]


@pytest.mark.parametrize(
    ("edition", "source", "main", "faults"),
    [
        (2017, "house panel", "60 A", 1),
        (2020, "house panel", "60 A", 0),
        (2023, "house panel", "60 A", 0),
        (2023, "house panel", "main lug", 1),
        (2023, "pole", "60 A", 1),
        (2017, "P", "60 A", 0),
    ],
)
def test_a_second_feeder(edition, source, main, faults):
    """225.30: one; since 2020 (B) more from one place, each to a single disconnect."""

    def edit(data):
        apart(data, main="60 A")
        second = copy.deepcopy(panel(data))
        second |= {"id": "Q", "y": "6 ft", "main": main}
        second["feeder"] |= {"from": source}
        shop(data)["supply"]["panels"].append(second)
        shop(data)["code"]["edition"] = edition

    assert len(told(edit, "one-supply")) == faults
