"""Feet or metric: what is printed reads back as what the plan has, and nothing else changes."""

import csv
import io
import re
from xml.etree import ElementTree

import pytest

from branchwright import measures, sheets_command
from branchwright.measures import gauge, printed_in, square_mm
from branchwright.page import page_html
from branchwright.papers.csv_file import csv_text
from branchwright.papers.paper import Paper
from branchwright.sheet_set import DRAWINGS, PAPERS, sheet_set
from branchwright.sheets.display import Drawing, Polyline, Rect, Text
from branchwright.sheets.elevations import elevations
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.one_line import one_line
from branchwright.sheets.raceway_sections import raceway_sections
from models.plan import Plan
from tests.branchwright.sheets.test_sheet_set import flat, layer
from tests.branchwright.sheets.text_boxes import faults

MARK = "0123456789abcdef" * 4
# NFPA 70-2023 chapter 9 Table 8, the column of areas in mm² (from memory), by AWG.
TABLE_8_MM2 = {
    "14": 2.08, "12": 3.31, "10": 5.261, "8": 8.367, "6": 13.30, "4": 21.15, "3": 26.67,
    "2": 33.62, "1": 42.41, "1/0": 53.49, "2/0": 67.43, "3/0": 85.01, "4/0": 107.2,
}  # fmt: skip
FACTORS = {"[m]": ("[ft]", 3.280839895), "[mm]": ("[in]", 1 / 25.4), "[cm³]": ("[in³]", 1 / 16.387)}
WITHIN = {"[m]": 0.0017, "[mm]": 0.02, "[cm³]": 0.0031}  # half of the last digit printed
# A number with feet or inches behind; `EMT 1/2 in` is the name of a trade size.
IN_FEET = re.compile(r"\d (?:ft|in)\b|in³")
TRADE_SIZE = re.compile(r"\b(?:EMT|PVC|RMC|IMC|FMC|LFMC|ENT|schedule \d\d)\b[^·]*? in\b")

OF_OTHER_COMMANDS = {"compare.py", "changeover_day.py", "futures.py"}  # which have no `--units`


def rows(paper: Paper) -> list[list[str]]:
    return list(csv.reader(io.StringIO(csv_text(paper, 0))))


def metric(plan: Plan, name: str) -> Paper:
    with printed_in("metric"):
        return PAPERS[name](plan)


@pytest.mark.parametrize(("awg", "mm2"), TABLE_8_MM2.items())
def test_conductors_have_the_area_of_the_table(awg, mm2):
    with printed_in("metric"):
        assert float(square_mm(awg).removesuffix(" mm²")) == pytest.approx(mm2, rel=0.005)
        assert gauge(awg).startswith(f"{awg} AWG (")
    assert gauge(awg) == f"{awg} AWG"


def test_a_size_that_no_table_lists_stays_as_it_is():
    with printed_in("metric"):
        assert gauge("none") == "none AWG"


@pytest.mark.parametrize("name", PAPERS)
def test_numbers_read_back_in_metric(plan, name):
    """Converted back by the definitions (1 ft = 0.3048 m, 1 in = 25.4 mm) they are the same."""
    feet, then = PAPERS[name](plan), metric(plan, name)
    assert not any(re.search(r"\[(ft|in³)\]", field.name) for field in then.fields)
    for column, field in enumerate(then.fields):
        unit = f"[{field.name.rpartition('[')[2]}"
        factor = FACTORS[unit][1] if unit in FACTORS else None
        if factor is not None:
            assert feet.fields[column].name == field.name.replace(unit, FACTORS[unit][0])
        for was, now in zip(rows(feet)[1:], rows(then)[1:], strict=True):
            if factor is not None and was[column]:
                back = float(now[column]) * factor
                assert back == pytest.approx(float(was[column]), abs=WITHIN[unit], rel=3e-5)


def test_cuts_are_as_long_in_metric(garage):
    """What is cut stays the same piece: whole inches, to the millimetre."""
    heads = [field.name for field in metric(garage, "pull-list").fields]
    column = heads.index("Cut")
    runs = {run.id: run for circuit in garage.circuits for run in circuit.runs}
    for row in metric(garage, "pull-list").rows:
        run = runs[str(row[1])]
        metres = float(str(row[column]).removesuffix(" m"))
        needed = 0.3048 * (run.length_ft + run.allowance_ft)
        assert -0.001 <= metres - needed < 0.0254 + 0.001


def test_money_and_loads_do_not_change(plan):
    for name in ("takeoff", "purchase"):
        feet, then = PAPERS[name](plan), metric(plan, name)
        cost = [field.name for field in feet.fields].index("Cost [USD]")
        assert [row[cost] for row in feet.rows] == [row[cost] for row in then.rows]
        assert [feet.total(one) for one in feet.sums] == [then.total(one) for one in then.sums]
    for row in metric(plan, "takeoff").rows:
        quantity, price, paid = (float(row[column] or 0) for column in (1, 3, 4))
        assert quantity * price == pytest.approx(paid, rel=2e-4)
    for name in ("load", "door-card", "labels"):
        assert rows(PAPERS[name](plan)) == rows(metric(plan, name))


def test_the_scope_counts_material_as_the_takeoff_does(plan):
    """The same item, quantity and unit, by the metre in metric."""
    for units in ("feet", "metric"):
        with printed_in(units):
            asked = [row[1:4] for row in PAPERS["scope"](plan).rows if row[0] == "material"]
            taken = [row[:3] for row in PAPERS["takeoff"](plan).rows]
        assert asked == taken
    assert "ft" not in {row[2] for row in taken}


def drawn(plan: Plan) -> dict[str, Drawing]:
    made = {"floor": floor_plan(plan), "one line": one_line(plan)}
    made |= {f"elevation {wall}": drawing for wall, drawing in elevations(plan)}
    return made | {f"sections {n}": one for n, one in enumerate(raceway_sections(plan))}


def test_drawings_say_metres_and_nothing_lies_on_another(plan):
    with printed_in("metric"):
        made = drawn(plan)
        for name, drawing in made.items():
            assert (name, faults(drawing)) == (name, [])
    for name, drawing in made.items():
        for text in drawing.root.texts():
            assert not IN_FEET.search(TRADE_SIZE.sub("", text.text)), (name, text.text)
    before = drawn(plan)
    assert before.keys() == made.keys()
    said = [text.text for drawing in before.values() for text in drawing.root.texts()]
    assert any(IN_FEET.search(text) for text in said)


def test_heights_on_elevations_read_back(plan):
    with printed_in("metric"):
        made = dict(elevations(plan))
    for box in plan.boxes:
        if box.wall:
            said = [text.text for text in made[box.wall].root.texts()]
            assert f"{0.3048 * box.place[2]:.2f} m" in said


def test_the_dimensions_of_the_room_are_metric(garage):
    """Outer corners of the shop, from its file, in metres."""
    corners = [wall["from"] for wall in garage.source.shop["building"]["walls"]]
    feet = [[float(part.removesuffix(" ft")) for part in corner] for corner in corners]
    with printed_in("metric"):
        said = [text.text for text in floor_plan(garage).root.texts()]
    for axis in (0, 1):
        size = max(corner[axis] for corner in feet) - min(corner[axis] for corner in feet)
        assert f"{0.3048 * size:.2f} m" in said


@pytest.mark.parametrize(
    ("units", "unit", "factor"), [("feet", "ft", 1.0), ("metric", "m", 0.3048)]
)
def test_scale_bars_are_round_and_true(garage, units, unit, factor):
    """The bar against the wall drawn above it: the north wall of the garage is 14 ft long."""
    with printed_in(units):
        drawing = dict(elevations(garage))["north"]
    room = next(s for s in flat(layer(drawing, "wall")) if isinstance(s, Polyline))
    points_per_foot = (max(x for x, _ in room.points) - min(x for x, _ in room.points)) / 14
    bars = [s.bounds for s in flat(layer(drawing, "legend")) if isinstance(s, Rect)][:2]
    labels = [s for s in flat(layer(drawing, "legend")) if isinstance(s, Text)][1:3]
    for bar, label in zip(bars, labels, strict=True):
        number, _, said = label.text.partition(" ")
        assert said == unit
        assert float(number) in {0.5, 1, 2, 4, 5, 10, 20}
        assert (bar.right - bars[0].left) / points_per_foot * factor == pytest.approx(float(number))


def test_the_page_says_metric_too(garage):
    with printed_in("metric"):
        page = page_html(garage, MARK)
    assert "cubic centimetres" in page
    assert f"{0.3048 * garage.totals.cable_ft:.0f} m" in page


def test_units_hold_only_inside(garage):
    before = list(sheet_set(garage, MARK, DRAWINGS))
    with pytest.raises(ZeroDivisionError), printed_in("metric"):
        raise ZeroDivisionError
    assert list(sheet_set(garage, MARK, DRAWINGS)) == before
    for sheet in (one for one in before if one.file.endswith(".svg")):
        assert ElementTree.fromstring(sheet.content).tag.endswith("svg")


def test_the_command_names_the_same_units():
    assert sheets_command.UNITS == measures.UNITS


def test_no_sheet_formats_lengths_by_itself(request):
    """One place says feet: a sheet that did it alone would stay in feet when metric is asked."""
    package = request.config.rootpath / "branchwright"
    for folder in ("sheets", "papers"):
        for path in sorted((package / folder).glob("*.py")):
            if path.name in OF_OTHER_COMMANDS:
                continue
            text = path.read_text(encoding="utf-8")
            assert "feet_inches" not in text, path.name
            assert not re.search(r"""\} (?:ft|in³)\b""", text), path.name
