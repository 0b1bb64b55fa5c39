"""Bends of a raceway between panel P at (0, 2, 5) and box N1 at (3, 8, 4) of the plan on paper.

358.26 and its like: no more than 360°, four quarter bends, between pull points.
"""

import pytest

from models.plan import Plan
from models.rules import check_plan, raceway_bends
from models.rules.raceway_bends import bends_degrees, directions
from tests.models.rules.four_box import found, lay_in_raceway
from tests.plan_files import plan_data

START, END = [0, 2, 5], [3, 8, 4]
FOUR = [START, [0, 2, 8], [0, 8, 8], [3, 8, 8], [3, 8, 2], [5, 8, 2]]
FIVE = [START, [0, 2, 8], [0, 5, 8], [0, 5, 6], [0, 8, 6], [3, 8, 6], END]


def severities(path, *, used=True, **shop):
    def edit(data):
        lay_in_raceway(data, "C2.1", path, **shop)
        if not used:
            data["circuits"][1]["runs"][0]["raceways"] = []

    return [(f.severity, f.found) for f in found(raceway_bends, edit)]


def test_four_quarter_bends_are_the_most():
    assert severities([START, [0, 8, 5], [3, 8, 5], END]) == []
    assert severities(FOUR) == []
    assert severities(FIVE) == [("violation", 450.0)]


@pytest.mark.parametrize(
    ("kind", "section"),
    [
        ("EMT", "358.26"),
        ("PVC-40", "352.26"),
        ("PVC-80", "352.26"),
        ("ENT", "362.26"),
        ("RMC", "344.26"),
    ],
)
def test_each_kind_has_its_section(kind, section):
    [finding] = found(raceway_bends, lambda data: lay_in_raceway(data, "C2.1", FIVE, kind=kind))
    assert section in finding.says


def test_pipe_that_is_there_is_judged_by_what_is_known_of_it():
    """Where nobody has told its way, the drawing is a guess; an empty one is not pulled through."""
    assert severities(FIVE, existing="yes") == [("note", 450.0)]
    by = [[f"{value} ft" for value in point] for point in FIVE[1:-1]]
    assert severities(FIVE, existing="yes", by=by) == [("violation", 450.0)]
    assert severities(FIVE, existing="yes", by=by, used=False) == [("warning", 450.0)]


def test_a_whole_plan_is_held_to_it():
    """The plan of the garage, with R1 led up and down the block wall."""
    garage = plan_data("one_bay_garage")
    assert "raceway-bends" not in {
        finding.rule for finding in check_plan(Plan.model_validate(garage))
    }
    path = garage["raceways"][0]["path"]
    (x, y, z), *rest = path
    path[:] = [(x, y, z), (x, y, 8), (x, y + 2, 8), (x, y + 2, z), (x, y + 4, z), *rest]
    told = {f.rule: f for f in check_plan(Plan.model_validate(garage))}
    assert told["raceway-bends"].severity == "violation"


def test_a_kind_without_an_article_here_is_judged_all_the_same():
    def edit(data):
        lay_in_raceway(data, "C2.1", FIVE)
        data["raceways"][0]["kind"] = "IMC"

    assert [f.found for f in found(raceway_bends, edit)] == [450.0]


def test_a_way_back_is_two_bends_and_a_point_on_the_way_none():
    assert bends_degrees([(0, 0, 0), (0, 0, 9), (0, 0, 4)]) == 180
    assert bends_degrees([(0, 0, 0), (0, 0, 4), (0, 0, 4), (0, 0, 9)]) == 0
    assert bends_degrees([(0, 0, 0)]) == bends_degrees([]) == 0
    assert directions([(5, 0, 0), (2, 0, 0), (2, 7, 0)]) == [(-1, 0, 0), (0, 1, 0)]
