"""The drawings of a set: everything of the plan is there, to scale and in its place."""

import itertools
import math
import re
from xml.etree import ElementTree

import pytest

from branchwright.cautions import CAUTIONS
from branchwright.papers.cover_labels import cover_labels
from branchwright.papers.door_card import door_card_drawing
from branchwright.papers.label_sheet import label_sheets
from branchwright.sheet_set import DRAWINGS, Sheet, sheet_set
from branchwright.sheets import styles
from branchwright.sheets.box_schedule import box_circuits
from branchwright.sheets.display import Circle, Drawing, Group, Polyline, Rect, Text
from branchwright.sheets.elevations import elevations
from branchwright.sheets.floor_circuit import FloorCircuits
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.make_up import made_up_boxes, make_up
from branchwright.sheets.matrix import matrix
from branchwright.sheets.one_line import one_line
from branchwright.sheets.raceway_packing import packed
from branchwright.sheets.raceway_sections import raceway_sections
from branchwright.sheets.title_block import Block, with_title_block
from branchwright.words import clean
from models.formulas.raceway_fill import conductor_area_in2, inside_diameter_in
from models.plan import EmptyRaceway, Plan, YokePlan
from models.price_book import PriceBook
from models.tables import lookup
from solver.plan import plan_shop
from solver.solve import Control
from tests.branchwright.conftest import HOSTILE
from tests.branchwright.sheets.text_boxes import all_drawings, faults
from tests.plan_files import LISTED, plan_on_file
from tests.solver.pair_shops import hand_shop

SVG = "{http://www.w3.org/2000/svg}"
MARK = "0123456789abcdef" * 4


@pytest.fixture(params=LISTED)
def plan(request) -> Plan:
    return plan_on_file(request.param)


def svg_sheets(plan: Plan) -> list[Sheet]:
    """The drawings as SVG."""
    made = [sheet for sheet in sheet_set(plan, MARK, DRAWINGS) if sheet.file.endswith(".svg")]
    assert len(made) > 8
    return made


def said(drawing: Drawing) -> list[str]:
    return [text.text for text in drawing.root.texts()]


def flat(shape):
    """Shapes without their groups."""
    if isinstance(shape, Group):
        for inner in shape.shapes:
            yield from flat(inner)
    else:
        yield shape


def layer(drawing: Drawing, name: str) -> Group:
    return next(s for s in drawing.root.shapes if isinstance(s, Group) and s.name == name)


def test_box_of_three_switches_of_a_group_keeps_letters_and_labels_apart(four_box):
    """S and 3 of a 3-way switch beside each other, and the box's label clear of all three."""
    box = next(box for box in four_box.boxes if box.id == "S1")
    first = box.yokes[0].model_dump() | {"device": "switch", "configuration": "3-way"}
    yokes = tuple(YokePlan.model_validate(first | {"id": f"S1.{n}"}) for n in range(3))
    wide = box.model_copy(update={"yokes": yokes, "gangs": 3})
    boxes = tuple(wide if one is box else one for one in four_box.boxes)
    assert faults(floor_plan(four_box.model_copy(update={"boxes": boxes}))) == []


def test_the_title_block_says_shop_edition_plan_and_cautions(plan):
    for sheet in svg_sheets(plan):
        root = ElementTree.fromstring(sheet.content)
        words = [text.text or "" for text in root.iter(f"{SVG}text")]
        assert f"NEC {plan.made_by.edition}" in words
        assert MARK[:12] in words
        told = " ".join(words)
        assert sheet.title in told
        assert all(caution in told for caution in CAUTIONS), sheet.file


def test_a_violation_is_across_every_drawing(violated):
    for sheet in svg_sheets(violated):
        root = ElementTree.fromstring(sheet.content)
        words = [text.text or "" for text in root.iter(f"{SVG}text")]
        heads = 0 if sheet.name in ("cards", "fault-cards", "label-sheets") else 1
        assert words.count("DO NOT BUILD: 1 violation") == 1 + heads, sheet.file
        if sheet.name == "label-sheets":  # labels are cut apart
            assert words.count("DO NOT BUILD") == len(cover_labels(violated).rows) == 3


def test_a_run_pulled_now_for_later_is_on_its_wall():
    """Whoever drills into the wall later has to know of it; an empty raceway is a tube."""
    plan = plan_on_file("machines_to_come")
    spare = next(one for one in plan.later_machines or () if one.run is not None)
    bare = plan.model_copy(update={"later_machines": None})
    tube = EmptyRaceway(kind="EMT", trade_size="1/2", length_ft=10)
    laid = spare.model_copy(update={"run": None, "raceway": tube})
    empty = plan.model_copy(update={"later_machines": (laid,)})
    lines = [
        [line.style for line in flat(layer(dict(elevations(one))["north"], "runs"))]
        for one in (bare, plan, empty)
    ]
    assert lines[1].count(styles.ON_WALL) > lines[0].count(styles.ON_WALL)
    assert styles.CASING_BODY in lines[2]
    assert styles.CASING_BODY not in lines[0]


@pytest.mark.parametrize("name", HOSTILE)
def test_long_names_are_told_whole(name, renamed):
    """In the title block of a narrow sheet, and as what circuits feed on the one-line diagram."""
    plan = renamed(name)
    whole = "".join(clean(name).split())
    labels = with_title_block(label_sheets(plan)[0], "Cover labels 1", Block.of(plan, MARK))
    assert faults(labels) == []
    shop = "".join(clean(plan.source.shop["name"]).split())
    assert shop in "".join("".join(said(labels)).split())
    feeds = "".join("".join(said(one_line(plan))).split())
    assert feeds.count(whole) >= len(plan.circuits)


def test_the_one_line_diagram_has_every_panel_feeder_and_circuit(plan):
    words = said(one_line(plan))
    for panel in plan.panels:
        assert f"Panel {panel.id}" in words
    for feeder in plan.feeders:
        assert f"Feeder of panel {feeder.to}" in words
        assert any(word.startswith(f"{feeder.breaker_amps:g} A · ") for word in words)
    for circuit in plan.circuits:
        assert words.count(circuit.id) == 1
        if circuit.worst:
            load = f"{round(circuit.worst.amps, 1):g} of {circuit.worst.limit_amps:g} A"
            assert load in words


def test_a_circuits_sheet_shows_its_own_runs_strong_and_the_others_faint(plan):
    whole = floor_plan(plan)
    for index, circuit in enumerate(plan.circuits):
        if circuit.multiwire_with:
            continue
        drawing = FloorCircuits(plan, whole).sheet(circuit)
        lines = [s for s in flat(layer(drawing, "runs")) if isinstance(s, Polyline)]
        lines = [line for line in lines if not line.closed and line.style.fill == "none"]
        strong = [s for s in lines if s.style.stroke in styles.CIRCUIT_COLOURS]
        assert {s.style.stroke for s in strong} <= {styles.circuit_colour(index)}
        assert all(s.style.width > 3 for s in strong)
        level = any(a[:2] != b[:2] for r in circuit.runs for a, b in itertools.pairwise(r.path))
        assert bool(strong) == level
        labels = {t.text: t.lettering.fill for t in layer(drawing, "labels").texts()}
        inside = {o.box for o in plan.outlets if o.circuit == circuit.id}
        for box in plan.boxes:
            if box.id in inside:
                assert labels[box.id] == styles.INK
            elif circuit.id not in box_circuits(plan, box):
                assert labels[box.id] == styles.FAINT


def test_the_trunk_of_a_pair_is_strong_on_the_sheets_of_both():
    """A tail of two wires only on the sheet of its own circuit."""
    shop = hand_shop(["blank"], ["blank"])
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1), explain=False).plan
    assert plan is not None
    pair = [circuit for circuit in plan.circuits if circuit.multiwire_with]
    assert len(pair) == 2
    whole = floor_plan(plan)
    runs = {run.id: (circuit, run) for circuit in pair for run in circuit.runs}
    trunks = {
        key for key, (_, run) in runs.items() if any(w.role == "hot2" for w in run.conductors)
    }
    assert trunks
    for circuit in pair:
        drawn = layer(FloorCircuits(plan, whole).sheet(circuit), "runs")
        groups = [group for group in drawn.shapes if isinstance(group, Group) and group.of]
        strong = sum(
            any(
                getattr(s, "style", styles.TAG).stroke in styles.CIRCUIT_COLOURS
                for s in flat(group)
            )
            for group in groups
        )
        assert strong == len(trunks | {run.id for run in circuit.runs})


def test_the_whole_floor_plan_names_the_same_places_as_a_circuits(plan):
    """Nothing moves from one sheet to the next."""
    whole = floor_plan(plan)
    places = {(t.text, t.at) for t in layer(whole, "labels").texts()}
    for circuit in plan.circuits:
        drawing = FloorCircuits(plan, whole).sheet(circuit)
        assert {(t.text, t.at) for t in layer(drawing, "labels").texts()} == places


def test_conductors_are_drawn_to_scale(garage):
    """Circles of a section hold the area that the tables print: fill by the drawing itself."""
    (drawing,) = raceway_sections(garage)
    circles = [s for s in flat(layer(drawing, "sections")) if isinstance(s, Circle)]
    walls = [c for c in circles if c.style == styles.RACEWAY_WALL]
    assert len(walls) == len(garage.raceways)
    first = walls[0]
    raceway = garage.raceways[0]
    scale = 2 * (first.radius - 2) / inside_diameter_in(raceway.kind, raceway.trade_size)
    wires = [
        c for c in circles
        if c is not first and math.dist(c.centre, first.centre) < first.radius
        and c.style in (styles.WIRE, styles.WIRE_DARK) and c.radius > 8
    ]  # fmt: skip
    inside = [w for content in raceway.ledgers[0].contents for w in content.conductors]
    assert len(wires) == len(inside) == 9
    table = lookup("conductor_areas", insulation="THHN THWN THWN-2", awg="12")
    for wire in wires:
        across_in = 2 * (wire.radius + wire.style.width / 2) / scale
        assert across_in == pytest.approx(table.number("diameter_in"), abs=0.001)
        assert math.dist(wire.centre, first.centre) + wire.radius <= first.radius
    area_in2 = sum(math.pi / 4 * (2 * (w.radius + w.style.width / 2) / scale) ** 2 for w in wires)
    bore_in2 = math.pi / 4 * inside_diameter_in(raceway.kind, raceway.trade_size) ** 2
    assert 100 * area_in2 / bore_in2 == pytest.approx(raceway.ledgers[0].fill_percent, abs=0.05)
    assert "39.4 of 40 % filled" in said(drawing)


@pytest.mark.parametrize("awg", ["14", "12", "10", "8"])
@pytest.mark.parametrize("size", ["1/2", "3/4", "1", "2"])
def test_what_fits_by_the_tables_finds_room_on_paper(awg, size):
    """As many conductors as 40 % allow; none on another, none outside."""
    bore = inside_diameter_in("EMT", size) / 2
    area = conductor_area_in2(awg, "THHN")
    radius = math.sqrt(area / math.pi)
    count = min(30, int(0.4 * math.pi * bore**2 / area))
    centres = packed([radius] * count, bore)
    placed = [centre for centre in centres if centre is not None]
    assert len(placed) == count
    for centre in placed:
        assert math.hypot(*centre) <= bore - radius + 1e-5
    for one, other in itertools.combinations(placed, 2):
        assert math.dist(one, other) >= 2 * radius - 1e-5


def test_an_elevation_places_boxes_as_one_sees_them(four_box):
    """The shed of 10 ft by 8 ft: facing its north wall one has west at the left.

    Places by hand from the plan: along the wall from its left end, and up from the floor.
    """
    drawn = dict(elevations(four_box))
    box = next(box for box in four_box.boxes if box.wall == "north")
    drawing = drawn["north"]
    room = next(s for s in flat(layer(drawing, "wall")) if isinstance(s, Polyline))
    left, floor = room.points[0]
    right = max(x for x, _ in room.points)
    scale = (right - left) / 10
    spots = [
        ((s.bounds.left + s.bounds.right) / 2, (s.bounds.top + s.bounds.bottom) / 2)
        for s in flat(layer(drawing, "symbols")) if isinstance(s, Rect)
    ]  # fmt: skip
    wanted = (left + box.place[0] * scale, floor - box.place[2] * scale)
    assert any(math.dist(spot, wanted) < 0.1 for spot in spots)
    south = [b for b in four_box.boxes if b.wall == "south"]
    for one in south:  # seen from the north, east is at the left
        middle = left + (10 - one.place[0]) * scale
        boxes = [s for s in flat(layer(drawn["south"], "symbols")) if isinstance(s, Rect)]
        assert any(abs((s.bounds.left + s.bounds.right) / 2 - middle) < 0.1 for s in boxes)


def test_every_box_on_a_wall_is_in_an_elevation_with_its_height(plan):
    drawn = dict(elevations(plan))
    for box in plan.boxes:
        if box.wall:
            assert said(drawn[box.wall]).count(box.id) == 2  # at its place, and in the list
    for drawing in drawn.values():
        page = drawing.bounds
        for shape in flat(drawing.root):
            for x, y in getattr(shape, "points", ()):
                assert page.left <= x <= page.right
                assert page.top + 60 < y < page.bottom


@pytest.mark.parametrize("name", HOSTILE)
def test_an_xml_library_would_write_a_drawing_so(name, renamed):
    """Names and all, letter for letter."""
    ElementTree.register_namespace("", SVG.strip("{}"))
    for sheet in svg_sheets(renamed(name)):
        assert isinstance(sheet.content, str)
        written = ElementTree.tostring(ElementTree.fromstring(sheet.content), encoding="unicode")
        first, rest = sheet.content.rstrip().split("><", 1)
        theirs, the_rest = written.split("><", 1)
        assert rest == the_rest
        assert sorted(first.split('" ')) == sorted(theirs.split('" '))


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_break_no_drawing(name, renamed):
    for sheet in svg_sheets(renamed(name)):
        root = ElementTree.fromstring(sheet.content)
        tags = {element.tag for element in root.iter()}
        assert tags <= {SVG + tag for tag in ("svg", "title", "g", "rect", "line", "text",
                                              "circle", "polyline", "polygon")}  # fmt: skip
        assert re.fullmatch(r"[A-Za-z0-9_-]+\.svg", sheet.file)
    for file, drawing in all_drawings(renamed(name)):
        assert faults(drawing) == [], file


def test_cards_and_labels_are_printed_at_their_size(garage):
    """7 in wide, 72 points to the inch; what each space feeds is told in full."""
    card = door_card_drawing(garage, garage.panels[0])
    assert ElementTree.fromstring(card.svg()).attrib["width"] == "504pt"
    words = " ".join(said(card))
    for circuit in garage.circuits:
        assert circuit.says in words
    assert [word for word in said(card) if word.isdigit()] == [str(n) for n in range(1, 13)]
    labels = said(label_sheets(garage)[0])
    assert labels.count("P 3 · 20 A") == 1
    protected = {o.protected_by for o in garage.outlets if o.circuit == "C6"}
    assert protected == {"breaker"}
    spaces = next(circuit.breaker.spaces for circuit in garage.circuits if circuit.id == "C6")
    assert f"reset GFCI: breaker, spaces {spaces[0]}, {spaces[1]}" in labels


def test_labels_and_cards_fit_a_page(garage):
    """Letter is 612 by 792 points, A4 595 by 842; half an inch of margin on each side."""
    row = garage.outlets[0]
    boxes = [garage.boxes[0].model_copy(update={"id": f"Z{n}"}) for n in range(60)]
    outlets = [
        row.model_copy(update={"id": f"Z{n}", "box": f"Z{n}", "yoke": None}) for n in range(60)
    ]
    many = garage.model_copy(
        update={"boxes": tuple(boxes), "outlets": tuple(outlets), "switches": ()}
    )
    sheets = [with_title_block(one, "labels", Block.of(many, MARK)) for one in label_sheets(many)]
    assert len(sheets) == 2
    for sheet in sheets:
        assert sheet.width <= 595 - 36
        assert sheet.height <= 792 - 36
    assert sum(word.startswith("P 3 · ") for sheet in sheets for word in said(sheet)) == 60


def test_every_box_of_two_devices_and_more_is_made_up(plan):
    """Each conductor has a line of its own; each joint a dot for each wire it holds."""
    shown = made_up_boxes(plan)
    boxes = {one.box.id for one in shown}
    wide = [box for box in plan.boxes if box.gangs > 1 or box.kind in ("junction", "pull")]
    assert {box.id for box in wide if box.conductors} <= boxes
    drawn = [word for drawing in make_up(plan) for word in said(drawing)]
    dots = sorted(int(word) for word in drawn if word.isdigit())
    joints = [joint for one in shown for joint in one.joints]
    legend = [1] * len(make_up(plan))
    assert dots == sorted(legend + [joint.number for joint in joints for _ in range(joint.wires)])
    for one in shown:
        assert any(word.startswith(f"{one.box.id} · ") for word in drawn)


def test_the_matrix_says_what_the_plan_bears(garage):
    """C7: chargers 3 A and drill press 9.8 A fit; drill press and hand tool, 10 A, do not."""
    words = [word for drawing in matrix(garage) for word in said(drawing)]
    assert {"12.8", "22.8"} <= set(words)
    dark = [
        shape for drawing in matrix(garage) for shape in flat(drawing.root)
        if isinstance(shape, Text) and shape.lettering.fill == styles.PAPER
    ]  # fmt: skip
    assert sorted(text.text for text in dark if text.text != "12.0") == [
        "21.0", "22.0", "22.8", "23.8", "25.0",
    ]  # fmt: skip


def test_same_bytes_each_time(garage):
    assert list(sheet_set(garage, MARK)) == list(sheet_set(garage, MARK))
