"""The floor plan as DXF, read back tag by tag, and by a library that knows the format.

Places against the plan in inches: a foot has twelve, an inch 25.4 mm (by definition).
"""

import io
import math
import re
from collections.abc import Iterator

import ezdxf
import ezdxf.recover
import pytest
from ezdxf.entities.polyline import Polyline

from branchwright.dxf import floor_dxf, text_value
from branchwright.measures import printed_in
from branchwright.sheets.floor_plan import placed_floor_plan
from branchwright.sheets.title_block import Block
from models.plan import Plan
from tests.branchwright.conftest import HOSTILE
from tests.branchwright.sheets.test_sheet_set import layer
from tests.plan_files import plan_on_file

MARK = "0123456789abcdef" * 4
ENDS = ("SECTION", "ENDSEC", "TABLE", "ENDTAB", "EOF")
INCHES = 12


@pytest.fixture(params=["four_box", "one_bay_garage", "every_section"])
def plan(request) -> Plan:
    return plan_on_file(request.param)


def made(plan: Plan) -> bytes:
    return floor_dxf(plan, *placed_floor_plan(plan), Block.of(plan, MARK))


def entities(data: bytes) -> Iterator[dict[int, str]]:
    """The entities of the file by the format's own rule: a line of code, a line of value.

    A polyline has its corners under 0: "POLYLINE" and the vertices after it.
    """
    lines = data.decode("cp1252").split("\n")
    assert len(lines) % 2 == 1
    assert lines[-1] == ""
    one: dict[int, str] = {}
    inside = False
    for code, value in zip(lines[0:-1:2], lines[1:-1:2], strict=True):
        if int(code) == 2 and value == "ENTITIES":
            inside = True
        elif int(code) == 0:
            if inside and one:
                yield one
            one = {0: value} if inside and value not in ENDS else {}
        elif one:
            one[int(code)] = value


def unescaped(text: str) -> str:
    r"""What a reader shows: `%%%` a percent sign, `^ ` a caret, `\U+XXXX` a unit of UTF-16."""
    told = text.replace("%%%", "%").replace("^ ", "^")
    units = re.sub(r"\\U\+([0-9A-F]{4})", lambda found: chr(int(found[1], 16)), told)
    return units.encode("utf-16-be", "surrogatepass").decode("utf-16-be")


def on_layer(data: bytes, kind: str, layer: str) -> list[dict[int, str]]:
    return [one for one in entities(data) if (one[0], one[8]) == (kind, layer)]


@pytest.mark.parametrize(("units", "per_foot", "code"), [("feet", 12, 1), ("metric", 304.8, 4)])
def test_boxes_and_panels_are_where_the_plan_has_them(plan, units, per_foot, code):
    with printed_in(units):
        data = made(plan)
    points, names = (on_layer(data, kind, "PLACES") for kind in ("POINT", "TEXT"))
    found = {
        unescaped(name[1]): [float(point[axis]) for axis in (10, 20, 30)]
        for point, name in zip(points, names, strict=True)
    }
    wanted = {thing.id: thing.place for thing in (*plan.panels, *plan.boxes)}
    assert found.keys() == wanted.keys()
    for name, place in wanted.items():
        assert found[name] == pytest.approx([part * per_foot for part in place], abs=0.001)
    assert f"9\n$INSUNITS\n70\n{code}\n" in data.decode("cp1252")


def test_symbols_stand_by_their_places(garage):
    """A symbol is drawn off its wall to be seen: indoors within 12 in of where its box is."""
    data = made(garage)
    centres = [
        (float(one[10]), float(one[20])) for one in on_layer(data, "CIRCLE", "BOXES")
    ]  # fmt: skip
    for box in garage.boxes:
        if box.kind == "device" and box.yokes[0].device != "switch" and box.location == "dry":
            spot = (INCHES * box.place[0], INCHES * box.place[1])
            assert min(math.dist(spot, centre) for centre in centres) < 12, box.id


def test_walls_are_to_scale(garage):
    """The inner faces of the garage: 14 by 24 ft, its south-west corner at the origin."""
    document = ezdxf.recover.read(io.BytesIO(made(garage)))[0]
    rooms = [
        [(round(v.dxf.location.x, 2), round(v.dxf.location.y, 2)) for v in one.vertices]
        for one in document.modelspace().query("POLYLINE[layer=='BUILDING']")
        if isinstance(one, Polyline)
    ]
    corners = {(0.0, 0.0), (14 * 12.0, 0.0), (14 * 12.0, 24 * 12.0), (0.0, 24 * 12.0)}
    assert any(set(room) == corners for room in rooms)


def test_runs_have_their_true_way(plan):
    document = ezdxf.recover.read(io.BytesIO(made(plan)))[0]
    ways = [
        [tuple(v.dxf.location) for v in one.vertices]
        for one in document.modelspace().query("POLYLINE[layer=='WAYS']")
        if isinstance(one, Polyline)
    ]
    runs = [run for circuit in plan.circuits for run in circuit.runs if len(run.path) > 1]
    for way, run in zip(ways, runs, strict=True):
        for found, place in zip(way, run.path, strict=True):
            assert found == pytest.approx([INCHES * part for part in place], abs=0.001)


def test_a_run_pulled_now_for_later_has_a_layer_and_its_true_way():
    plan = plan_on_file("machines_to_come")
    (run,) = plan.later_runs
    data = made(plan)
    assert on_layer(data, "POLYLINE", "RUNS_LATER")
    document = ezdxf.recover.read(io.BytesIO(data))[0]
    *_, last = document.modelspace().query("POLYLINE[layer=='WAYS']")
    assert isinstance(last, Polyline)
    for found, place in zip(last.vertices, run.path, strict=True):
        assert tuple(found.dxf.location) == pytest.approx([INCHES * x for x in place], abs=0.001)


@pytest.mark.parametrize(("units", "unit"), [("feet", 1), ("metric", 4)])
def test_a_library_of_the_format_reads_it_without_an_error(plan, units, unit):
    with printed_in(units):
        data = made(plan)
    document, audit = ezdxf.recover.read(io.BytesIO(data))
    assert audit.errors == audit.fixes == []
    assert document.audit().errors == []
    assert document.dxfversion == "AC1009"
    assert document.units == unit
    layers = {one.dxf.name for one in document.layers}
    used = {one.dxf.layer for one in document.modelspace()}
    assert used <= layers
    assert {"BUILDING", "BOXES", "PANELS", "LABELS", "PLACES", "WAYS", "CAUTIONS"} <= used
    assert sum(name.startswith("RUNS_") for name in used) == sum(
        any(a[:2] != b[:2] for r in c.runs for a, b in zip(r.path, r.path[1:], strict=False))
        for c in plan.circuits
    )
    assert all(re.fullmatch(r"[A-Z0-9_$-]{1,31}", name) for name in used)
    linetypes = {one.dxf.linetype for one in document.modelspace()}
    assert all(name in document.linetypes for name in linetypes)


def test_every_label_of_the_drawing_is_in_it(plan):
    drawing, _ = placed_floor_plan(plan)
    said = [unescaped(one[1]) for one in on_layer(made(plan), "TEXT", "LABELS")]
    assert said == [text.text for text in layer(drawing, "labels").texts() if text.text.strip()]


def test_cautions_and_the_stop_are_in_it(violated, garage):
    for plan, stop in ((violated, True), (garage, False)):
        said = [unescaped(one[1]) for one in on_layer(made(plan), "TEXT", "CAUTIONS")]
        assert ("DO NOT BUILD: 1 violation" in said) == stop
        assert "Treat spare conductors as live until proved dead." in said
        assert any(f"plan {MARK[:12]}" in text for text in said)


@pytest.mark.parametrize("name", [*HOSTILE, "100%%c ^J \\U+0041 \\M+5C3A0", "µ é ½ · °"])
def test_hostile_names_stay_one_line_of_text_and_lose_no_letter(name, renamed):
    data = made(renamed(name))
    document, audit = ezdxf.recover.read(io.BytesIO(data))
    assert audit.errors == document.audit().errors == []
    drawing, _ = placed_floor_plan(renamed(name))
    said = [unescaped(one[1]) for one in on_layer(data, "TEXT", "LABELS")]
    assert said == [text.text for text in layer(drawing, "labels").texts() if text.text.strip()]


@pytest.mark.parametrize(
    "text", ["100%%c", "%", "%%%d", "a^Jb", "\\U+0041", "\\M+5C3A0", "🪚 é מסור", "½·°", "\\P"]
)
def test_texts_come_back_as_they_were(text):
    assert unescaped(text_value(text)) == text


def test_same_bytes_each_time(garage):
    assert made(garage) == made(garage)
