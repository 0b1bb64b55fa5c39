"""A shop looked at before planning: what is odd, what nothing leads to, what is wired already."""

from pathlib import Path

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import changed
from models.shop_file import parse_shop, read_shop
from solver.as_built import as_built_plan
from solver.scope import is_as_built, not_planned
from solver.survey import survey
from tests.demo_shops import DEMO_SHOPS
from tests.violations import violations

ROOT = Path(__file__).parent.parent.parent
AS_BUILT = ROOT / "tests" / "shops" / "as_built.yaml"


@pytest.fixture
def book():
    return PriceBook.read()


def says(found, weight=None):
    return [r.says for r in found.remarks if weight in (None, r.weight)]


@pytest.mark.parametrize("name", DEMO_SHOPS)
def test_every_demo_shop_is_reached_and_has_no_violation(name, book):
    shop = read_shop(ROOT / "scenarios" / f"{name}.yaml")
    found = survey(shop, book)
    assert says(found, "violation") == []
    panels = {panel.id for panel in shop.supply.panels}
    assert {one.enclosure for one in found.reached} == shop.enclosures.keys() - panels
    for one in found.reached:
        assert one.way is not None
        lies = sum(length for _, length in one.lies)
        assert lies == pytest.approx(one.way.length_cft / 100, abs=0.03)


def test_a_block_wall_without_raceway_is_reached_by_nothing(garage, book):
    cut = changed(garage, [("routes.raceways", [])])
    found = survey(cut, book)
    violations = says(found, "violation")
    assert len(violations) == 2
    assert all("cable does not go in the masonry of wall east" in line for line in violations)


def test_a_raceway_to_nowhere(garage, book):
    """A block from floor to ceiling all along the east wall."""
    block = {"id": "A", "from": ["13 ft", "0 ft"], "to": ["14 ft", "24 ft"]}
    found = survey(changed(garage, [("routes.avoid", [block])]), book)
    assert any("raceway R1 finds no way from E2 to P" in line for line in says(found, "violation"))


def test_what_nobody_has_said(garage, book):
    bare = changed(
        garage,
        [
            ("building.hazards.wet_process", None),
            ("building.attached", "no"),
            ("supply.panels[P].terminals", None),
        ],
    )
    told = says(survey(bare, book))
    assert "nobody has said whether there is wet process" in told
    assert "panel P: terminal temperature not given, 60 °C is taken" in told
    assert any("no disconnect for a detached building" in line for line in told)
    assert any("X-opener (X1) is believed, not verified" in line for line in told)


def test_cords_at_their_limit_and_machines_before_the_panel(garage, book):
    moved = changed(
        garage,
        [("machines[compressor].cord", "2.4 ft"), ("machines[band-saw].at", ["11 ft", "22 ft"])],
    )
    told = says(survey(moved, book), "warning")
    assert any("the 2 ft 5 in cord of compressor just reaches E1" in line for line in told)
    assert any("band saw stands in the working space of panel P" in line for line in told)


def test_a_switch_that_switches_nothing(garage, book):
    idle = changed(garage, [("boxes[L1].switched_by", None), ("boxes[L2].switched_by", None)])
    assert "switch S1 switches nothing" in says(survey(idle, book), "warning")


def test_a_wired_shed_is_checked_as_it_is(book):
    """By hand: X1 carries grinder and press, 17 A of 20 A; X2 the heater, 12.5 A; no violation."""
    shop = read_shop(AS_BUILT)
    found = survey(shop, book)
    assert is_as_built(shop)
    assert found.as_built is not None
    assert violations(found.as_built) == []
    plan = as_built_plan(shop, book)
    circuits = {circuit.id: circuit for circuit in plan.circuits}
    assert {c.life for c in plan.circuits} == {"existing"}
    worst = {name: c.worst.amps for name, c in circuits.items() if c.worst is not None}
    assert worst["X1"] == 17.0
    assert worst["X2"] == 12.5
    assert worst["X3"] == pytest.approx(1.25 * 60 / 120)
    runs = {(run.start, run.end): run for run in circuits["X1"].runs}
    assert runs["P", "J"].length_ft == 16.0  # as measured
    assert runs["J", "N2"].length_ft == 5 + 3 + 4  # along the points given
    (tube,) = circuits["X2"].runs
    assert (tube.raceways, tube.method) == (("T",), "raceway")
    assert {box.id for box in plan.boxes} >= {"J"}
    assert plan.takeoff == ()


def test_an_overload_of_a_wired_shed_is_found(book):
    shop = changed(read_shop(AS_BUILT), [("machines[grinder].marked", "12 A")])
    found = survey(shop, book)
    violations = [f for f in found.as_built or () if f.severity == "violation"]
    assert any("grinder + press" in f.says and f.where == "X1" for f in violations)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (
            [("boxes[E1].yokes", ["duplex 5-20R switched by S1"])],
            "S1 switches luminaires and receptacles",
        ),
        (
            [
                ("boxes[S1].yokes", ["switch", "switch"]),
                ("boxes[L1].switched_by", ["S1.left", "S1.right"]),
                ("boxes[L2].switched_by", ["S1.left", "S1.right"]),
            ],
            "S1.left and S1.right are in one box and switch the same",
        ),
    ],
)  # fmt: skip
def test_what_is_not_planned_is_told(garage, change, words):
    assert not_planned(garage) == []
    (problem,) = not_planned(changed(garage, change))
    assert words in problem.says


def test_boxes_back_to_back_on_a_partition_make_no_violation(book):
    """Two boxes at one point of a thin wall: a run of no length between them.

    Machines that the planner places are on the right side of it.
    """
    text = (ROOT / "tests" / "shops" / "four_box.yaml").read_text("utf-8")
    text = text.replace("plugs_into: N1", "plugs_into: choose")
    text = text.replace(
        "  ambient:",
        "  partitions: [{id: W, from: [5 ft, 3 ft], to: [5 ft, 8 ft]}]\n  ambient:",
    )
    text = text.replace("[5 ft, 4 ft]", "[3 ft, 4 ft]").replace(
        "boxes:\n",
        "boxes:\n"
        "  - {id: A, wall: W, y: 6 ft, faces: west, yokes: [duplex 5-20R]}\n"
        "  - {id: B, wall: W, y: 6 ft, faces: east, yokes: [duplex 5-20R]}\n",
    )
    from solver.plan import plan_shop
    from solver.solve import Control

    plan = plan_shop(parse_shop(text), book, Control()).plan
    assert plan is not None
    assert violations(plan.findings) == []
    assert any(run.length_ft == 0 for c in plan.circuits for run in c.runs)


def test_shops_not_planned_yet_keep_everything_they_say():
    """Reading, writing out and reading again loses nothing."""
    for name in DEMO_SHOPS:
        shop = read_shop(ROOT / "scenarios" / f"{name}.yaml")
        assert Shop.model_validate(shop.canonical()) == shop
