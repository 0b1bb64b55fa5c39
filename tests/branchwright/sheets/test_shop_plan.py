"""The drawing of a shop as it was understood: everything named, nothing over anything."""

from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from branchwright.cautions import CAUTIONS
from branchwright.sheets.display import Bounds, Group, Line
from branchwright.sheets.floor_labels import with_room
from branchwright.sheets.shop_plan import ZOOMS, _Sheet, shop_plan
from models.price_book import PriceBook
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.survey import survey
from tests.branchwright.sheets.text_boxes import cut_words, faults
from tests.demo_shops import DEMO_SHOPS

SCENARIOS = Path(__file__).parent.parent.parent.parent / "scenarios"


@pytest.fixture(scope="module", params=DEMO_SHOPS)
def drawn(request):
    shop = read_shop(SCENARIOS / f"{request.param}.yaml")
    found = survey(shop, PriceBook.read())
    return shop, found, shop_plan(shop, found)


def layer(drawing, name):
    return next(s for s in drawing.root.shapes if isinstance(s, Group) and s.name == name)


def test_no_text_lies_on_another_or_leaves_the_sheet(drawn):
    _, _, drawing = drawn
    texts = list(drawing.root.texts())
    for text in texts:
        assert text.bounds.inside(drawing.bounds), text.text
    for one, other in combinations(texts, 2):
        assert not one.bounds.overlaps(other.bounds), (one.text, other.text)


def test_labels_keep_off_door_ways_and_are_whole(drawn):
    _, _, drawing = drawn
    assert faults(drawing) == []
    assert cut_words(drawing) == []


def test_everything_of_the_shop_has_its_name(drawn):
    shop, found, drawing = drawn
    texts = [text.text for text in layer(drawing, "labels").texts()]
    for name in (*(box.id for box in shop.boxes), *(j.id for j in shop.routes.junction_boxes)):
        assert name in texts
    for panel in shop.supply.panels:
        assert f"panel {panel.id}" in texts
    for machine in shop.machines:
        if machine.at is not None:
            short = (machine.name or machine.id)[:10]
            assert any(text.startswith(short) for text in texts), machine.id
    for wall in shop.building.all_walls:
        assert wall.id in texts
    _Sheet(shop, found, 2.8).draw(every_label=True)


def test_labels_stand_clear_of_symbols(drawn):
    shop, found, drawing = drawn

    def sheet_of(zoom, every):
        made = _Sheet(shop, found, zoom)
        made.draw(every)
        return made

    sheet = with_room(ZOOMS, sheet_of)
    for text in layer(drawing, "labels").texts():
        for name, symbol in sheet.symbols.items():
            assert not text.bounds.overlaps(symbol), (text.text, name)


def test_the_ways_drawn_are_those_surveyed(drawn):
    """Lines of the drawing and level pieces of the ways come to the same least extent."""
    shop, found, drawing = drawn
    lines = [shape for shape in layer(drawing, "ways").shapes if isinstance(shape, Line)]
    frame = _Sheet(shop, found, 1.0).frame
    level = {
        (p.start[:2], p.end[:2])
        for one in found.reached
        for p in found.ways.sections(one.way)
        if p.start[:2] != p.end[:2]
    }
    assert bool(lines) == bool(level)
    longest = max(abs(a[0] - b[0]) + abs(a[1] - b[1]) for a, b in level)
    drawn_longest = max(
        abs(line.start[0] - line.end[0]) + abs(line.start[1] - line.end[1]) for line in lines
    )
    assert drawn_longest >= longest * frame.scale - 0.1


def test_it_is_svg_with_the_cautions(drawn):
    _, _, drawing = drawn
    root = ElementTree.fromstring(drawing.svg())
    texts = [text.text or "" for text in root.iter("{http://www.w3.org/2000/svg}text")]
    for caution in CAUTIONS:
        assert caution in texts


def test_a_box_that_nothing_leads_to_is_ringed():
    shop = read_shop(SCENARIOS / "one_bay_garage.yaml")
    cut = changed(shop, [("routes.raceways", [])])
    drawing = shop_plan(cut, survey(cut, PriceBook.read()))
    assert "no way leads here" in {text.text for text in drawing.root.texts()}


def test_walls_in_one_line_have_a_straight_outer_face():
    """The east side of Heron Slip is two walls."""
    shop = read_shop(SCENARIOS / "heron_slip.yaml")
    drawing = shop_plan(shop, survey(shop, PriceBook.read()))
    band = layer(drawing, "building").shapes[0]
    corners = [*band.points, band.points[0]]
    for (x0, y0), (x1, y1) in pairwise(corners):
        assert abs(x0 - x1) < 0.01 or abs(y0 - y1) < 0.01
    assert isinstance(drawing.bounds, Bounds)
