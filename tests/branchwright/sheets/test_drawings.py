"""Drawings: well-formed, repeatable, nothing clipped, no text on another, every thing labelled."""

import itertools
from xml.etree import ElementTree

import pytest

from branchwright.sheets.display import Drawing, Group, Polyline
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.panel_face import panel_face
from models.price_book import PriceBook
from solver.plan import plan_shop
from solver.solve import Control
from tests.branchwright.conftest import HOSTILE
from tests.plan_files import plan_on_file
from tests.solver.pair_shops import hand_shop


@pytest.fixture(params=["four_box", "one_bay_garage", "every_section"])
def plan(request):
    return plan_on_file(request.param)


@pytest.fixture(params=["floor plan", "panel face"])
def drawing(request, plan):
    return floor_plan(plan) if request.param == "floor plan" else panel_face(plan, plan.panels[0])


def texts(drawing: Drawing):
    return list(drawing.root.texts())


def test_it_is_well_formed_and_repeatable(drawing):
    root = ElementTree.fromstring(drawing.svg())
    assert root.tag.endswith("svg")
    assert drawing.svg() == drawing.svg()


def test_no_text_lies_on_another_or_leaves_the_sheet(drawing):
    """Measured by the widths of the font's letters."""
    found = [text for text in texts(drawing) if text.text.strip()]
    assert len(found) > 10
    for text in found:
        assert text.bounds.inside(drawing.bounds), text.text
    for one, other in itertools.combinations(found, 2):
        assert not one.bounds.overlaps(other.bounds), (one.text, other.text)


def lines(shape):
    if isinstance(shape, Group):
        for inner in shape.shapes:
            yield from lines(inner)
    elif isinstance(shape, Polyline):
        yield shape


def test_every_box_circuit_and_machine_is_on_the_floor_plan(plan):
    said = {text.text for text in texts(floor_plan(plan))}
    for box in plan.boxes:
        assert box.id in said
    for circuit in plan.circuits:
        assert any(circuit.id in words.split() for words in said), circuit.id
    for machine in plan.machines:
        if not machine.portable:
            assert any(machine.name.startswith(w.rstrip("…")) for w in said if w), machine.name


def test_every_run_is_drawn_as_long_as_it_is(plan):
    """At least one line for each run with some length on the plan."""
    drawing = floor_plan(plan)
    layer = next(g for g in drawing.root.shapes if isinstance(g, Group) and g.name == "runs")
    flat = sum(
        any(a[:2] != b[:2] for a, b in itertools.pairwise(run.path))
        for circuit in plan.circuits
        for run in circuit.runs
    )
    assert len(list(lines(layer))) >= flat


def test_every_space_of_the_panel_is_drawn(plan):
    panel = plan.panels[0]
    said = " ".join(text.text for text in texts(panel_face(plan, panel)))
    for space in panel.spaces:
        assert str(space.space) in said.split()


def test_a_pair_is_one_breaker_with_two_names():
    """C1 in space 1 and C2 in space 3 of a plan whose circuits share neutral and breaker."""
    shop = hand_shop(["blank"], ["blank"])
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    face = panel_face(plan, plan.panels[0])
    said = [text.text for text in texts(face)]
    assert said.count("20 A") == 1
    assert [t for t in said if "neutral shared" in t] == [
        "C1 · 120 V · neutral shared with C2",
        "C2 · 120 V · neutral shared with C1",
    ]
    assert [text.text for text in texts(floor_plan(plan))].count("C1 + C2") == 1
    for one, other in itertools.combinations(texts(face), 2):
        assert not one.bounds.overlaps(other.bounds), (one.text, other.text)


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_are_drawn_as_text(name, renamed):
    for drawing in (floor_plan(renamed(name)), panel_face(renamed(name), renamed(name).panels[0])):
        root = ElementTree.fromstring(drawing.svg())
        for text in texts(drawing):
            assert text.bounds.inside(drawing.bounds), text.text
        assert not [element for element in root.iter() if element.tag.endswith("script")]
