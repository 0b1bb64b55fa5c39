"""Texts of every drawing of every demo shop: none clipped or cut, none on another, on a run or on
the way of a door; no line to one through a working space.
"""

from dataclasses import replace

import pytest

from branchwright.sheets import styles
from branchwright.sheets.display import Drawing, Group, Line, Polyline, Text
from models.plan import Plan
from models.price_book import PriceBook
from models.shop_file import read_shop
from solver.plan import plan_shop
from solver.solve import Control
from tests.branchwright.sheets.text_boxes import all_drawings, cut_words, faults
from tests.demo_shops import DEMO_SHOPS, SCENARIOS
from tests.plan_files import plan_on_file

NO_PLAN = "heron_slip"  # as described it cannot be built
LONG = ("heron_slip_built", "ninety_box_makerspace")
QUICK = tuple(name for name in DEMO_SHOPS if name not in (*LONG, NO_PLAN))
ON_FILE = (
    "room_kept",
    "four_box",
    "every_section",
    "taken_apart",
    "two_changeovers",
    "changed_over",
    "cut_of_rolls",
)


def planned(name: str) -> Plan:
    """A plan of a demo shop, with the least effort."""
    shop = read_shop(SCENARIOS / f"{name}.yaml")
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    return plan


def assert_faultless(plan: Plan) -> None:
    told = [
        f"{file}: {one}"
        for file, drawing in all_drawings(plan)
        for one in (*faults(drawing), *cut_words(drawing))
    ]
    assert told == []


@pytest.mark.parametrize("name", QUICK)
def test_of_a_demo_shop(name):
    assert_faultless(planned(name))


@pytest.mark.long
@pytest.mark.parametrize("name", LONG)
def test_of_a_large_demo_shop(name):
    assert_faultless(planned(name))


@pytest.mark.parametrize("name", ON_FILE)
def test_of_a_plan_on_file(name, request):
    assert_faultless(plan_on_file(name))


def test_the_measure_sees_what_it_looks_for():
    """A text that is cut off, two on each other, a run under one, a letter on its symbol."""
    word = Text((50, 50), "N1", styles.BOX_LABEL)
    cut = Text((95, 20), "north wall", styles.BODY)
    near = replace(word, at=(52, 58))
    runs = Group("runs", [Line((0, 80), (100, 80), styles.SYMBOL_LINE)])
    under = Text((10, 83), "C4", styles.BODY)
    letter = Group("symbols", [Text((40, 83), "S", styles.BODY)])
    root = Group("sheet", [runs, letter, word, cut, near, under])
    assert faults(Drawing(100, 100, "", root)) == [
        "clipped: north wall",
        "overlap: N1 / N1",
        "a run goes through: C4",
    ]
    assert faults(Drawing(100, 100, "", Group("sheet", [runs, letter, word]))) == []


def test_the_measure_sees_cut_words_doors_and_working_spaces():
    """Of each one that is wrong, and beside it one that is right."""
    way = Polyline(((20, 0), (20, 40), (60, 40), (60, 0)), styles.DOOR_SWEEP)
    space = Polyline(((70, 0), (90, 0), (90, 30), (70, 30)), styles.WORKING_SPACE, True)
    building = Group("building", [way, space])
    on_it, within = Text((50, 44), "R1  1 EMT", styles.BODY), Text((24, 30), "C4", styles.BODY)
    cut = Text((10, 80), "table s…", styles.BODY)
    through = Line((65, 10), (80, 40), styles.LEADER)
    leaders = Group("leaders", [through, Line((65, 50), (95, 50), styles.LEADER)])
    root = Group("sheet", [building, on_it, within, cut, leaders])
    wrong = Drawing(200, 100, "", root)
    assert cut_words(wrong) == ["cut: table s…"]
    assert faults(wrong) == [
        "on the way of a door: R1  1 EMT",
        "a leader goes through a working space at (65, 10)",
    ]
    right = Group("sheet", [building, within, Group("leaders", leaders.shapes[1:])])
    assert faults(Drawing(200, 100, "", right)) == []
    assert cut_words(Drawing(200, 100, "", right)) == []
