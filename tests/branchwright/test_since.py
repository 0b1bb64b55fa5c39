"""A set since an older plan: clouds on what changed, one list of numbers, labels to print again."""

import csv
import io
import itertools
import json
import re
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from branchwright.changes_words import change_words, thing_words
from branchwright.cli import cli
from branchwright.measures import printed_in
from branchwright.papers.changes import sheet_words
from branchwright.papers.cover_labels import cover_labels
from branchwright.sheet_set import PAPERS, Sheet, sheet_set
from branchwright.sheets import styles
from branchwright.sheets.clouds import outlines, scalloped
from branchwright.sheets.display import Bounds, Circle, Drawing, Group, Polyline
from branchwright.sheets.elevations import elevations
from branchwright.sheets.floor_plan import floor_plan
from branchwright.sheets.one_line import one_line
from branchwright.sheets.panel_face import panel_face
from branchwright.since import OtherShopError, Since
from models.compare.changes import changes
from models.plan import Plan
from models.plan_file import plan_text
from tests.branchwright.conftest import HOSTILE
from tests.branchwright.sheets.test_sheet_set import MARK, flat, layer
from tests.branchwright.sheets.text_boxes import faults
from tests.models.compare.test_changes import edited, run_edited
from tests.plan_files import plan_on_file

OLD_MARK = "fedcba9876543210" * 4


@pytest.fixture
def newer(garage) -> Plan:
    """W3 moved from C7 to C4, which got a larger breaker; the home run of C6 by another way."""
    circuit = next(one for one in garage.circuits if one.id == "C4")
    breaker = circuit.breaker.model_copy(update={"amps": 25.0})
    plan = edited(garage, "circuits", "C4", breaker=breaker)
    run = next(one for c in garage.circuits for one in c.runs if one.id == "C6.1")
    plan = run_edited(plan, "C6.1", path=(run.path[0], *run.path[2:]), length_ft=20.0)
    outlets = tuple(
        o.model_copy(update={"circuit": "C4"}) if o.box == "W3" else o for o in plan.outlets
    )
    box = next(box for box in plan.boxes if box.id == "W3")
    yokes = tuple(yoke.model_copy(update={"circuit": "C4"}) for yoke in box.yokes)
    plan = edited(plan, "boxes", "W3", yokes=yokes)
    return plan.model_copy(update={"outlets": outlets})


def sheets(new: Plan, old: Plan, only: tuple[str, ...] = ()) -> list[Sheet]:
    return list(sheet_set(new, MARK, only, since=Since.of(old, new, OLD_MARK)))


def rows(made: list[Sheet], file: str) -> list[dict[str, str]]:
    text = next(sheet.content for sheet in made if sheet.file == file)
    assert isinstance(text, str)
    return list(csv.DictReader(io.StringIO(text)))


def clouds(drawing: Drawing) -> list[Polyline]:
    return [s for s in flat(drawing.root) if isinstance(s, Polyline) and s.style == styles.CLOUD]


def numbers(drawing: Drawing) -> list[str]:
    return [t.text for t in drawing.root.texts() if t.lettering == styles.CLOUD_NUMBER]


def holds(cloud: Polyline, inner: Bounds) -> bool:
    """Whether the outermost rectangle of a cloud holds another."""
    xs, ys = [x for x, _ in cloud.points], [y for _, y in cloud.points]
    return inner.inside(Bounds(min(xs), min(ys), max(xs), max(ys)))


def test_a_cloud_is_round_each_changed_thing_and_no_other(garage, newer):
    since = Since.of(garage, newer, OLD_MARK)
    bare = floor_plan(newer)
    drawing = since.marked("floor", bare)
    made = clouds(drawing)
    assert numbers(drawing) == ["1", "2", "3"]
    tag = next(t for t in layer(bare, "labels").texts() if t.text == "C4" and t.lettering.bold)
    assert any(holds(cloud, tag.bounds) for cloud in made)
    symbols = {
        group.about.id: [shape.centre for shape in flat(group) if isinstance(shape, Circle)]
        for group in layer(bare, "symbols").shapes
        if isinstance(group, Group) and group.about
    }
    for name, centres in symbols.items():
        for x, y in centres:
            inside = any(holds(cloud, Bounds(x, y, x, y)) for cloud in made)
            assert inside == (name in ("W3", "T1")), name  # at T1 ends the run that changed
    # nothing of the drawing itself is changed or lost
    before = [(t.text, t.at) for t in bare.root.texts()]
    after = [(t.text, t.at) for t in drawing.root.texts()]
    assert [one for one in after if one in before] == before


def test_breakers_rows_and_boxes_have_clouds_too(garage, newer):
    since = Since.of(garage, newer, OLD_MARK)
    face = since.marked("panels", panel_face(newer, newer.panels[0]))
    assert numbers(face) == ["1"]
    breaker = next(t for t in face.root.texts() if t.text == "25 A")
    assert any(holds(cloud, breaker.bounds) for cloud in clouds(face))
    line = since.marked("one-line", one_line(newer))
    assert numbers(line) == ["1"]
    row = next(t for t in line.root.texts() if t.text == "C4")
    assert any(holds(cloud, row.bounds) for cloud in clouds(line))
    walls = {wall: since.marked("elevations", drawing) for wall, drawing in elevations(newer)}
    assert {wall for wall, drawing in walls.items() if clouds(drawing)} == {"west"}


def test_a_sheet_without_changes_is_the_same_as_ever(garage, newer):
    marked = {sheet.file: sheet.content for sheet in sheets(newer, garage)}
    plain = {sheet.file: sheet.content for sheet in sheet_set(newer, MARK)}
    assert marked.keys() - plain.keys() == {
        "changes_01.svg", "reprint_01.svg", "reprint_02.svg", "changes.csv", "reprint.csv",
        "changes.pdf", "reprint.pdf",
    }  # fmt: skip
    drawn = {file for file in plain if not file.endswith(".pdf")}
    other = {file for file in drawn if marked[file] != plain[file]}
    assert other == {
        "floor_plan.svg", "circuit_006_C4.svg", "circuit_008_C6.svg", "circuit_009_C7.svg",
        "panel_01_P.svg", "one_line.svg", "elevation_04_west.svg", "papers.xlsx", "sheets.html",
    }  # fmt: skip


def test_every_number_on_a_sheet_is_in_the_list_and_names_that_sheet(garage, newer):
    made = sheets(newer, garage)
    listed = {row["Number"]: row for row in rows(made, "changes.csv")}
    seen: set[str] = set()
    for sheet in made:
        if not sheet.file.endswith(".svg") or sheet.name in ("changes", "reprint"):
            continue
        root = ElementTree.fromstring(sheet.content)
        tags = root.find("*[@class='cloud numbers']")
        for text in () if tags is None else tags:
            if text.tag.endswith("text"):
                seen.add(text.text or "")
                last = sheet.title.rpartition(", ")[2].split()[-1]
                assert last in listed[text.text or ""]["Sheets"]
    assert seen == {"1", "2", "3"} == set(listed)
    assert listed["1"]["How"] == "a 25 A breaker for a 20 A breaker"
    assert listed["2"]["What"] == "box W3"
    assert listed["2"]["How"] == "W3 is on C4, not C7"
    assert listed["3"]["How"] == "takes another way, 20 ft, was 25 ft 4 in"
    drawn = next(sheet.content for sheet in made if sheet.file == "changes_01.svg")
    said = " ".join(t.text or "" for t in ElementTree.fromstring(drawn).iter() if t.text)
    for row in listed.values():
        assert row["What"] in said
        assert row["How"] in said
    assert f"since plan {OLD_MARK[:12]}" in said


def test_the_list_is_metric_when_asked(garage, newer):
    with printed_in("metric"):
        listed = rows(sheets(newer, garage, ("changes",)), "changes.csv")
    # 20 ft and 25.33 ft, at 0.3048 m to the foot
    assert listed[2]["How"] == "takes another way, 6.10 m, was 7.72 m"


def test_only_changed_labels_and_lines_are_printed_again(garage, newer):
    """C4's four labels and W3's say other amperes or another circuit; three lines of the card."""
    made = sheets(newer, garage, ("reprint",))
    found = rows(made, "reprint.csv")
    labels = {row["At"] for row in found if row["What"] == "cover label"}
    changed = {
        str(now[1])
        for was, now in zip(cover_labels(garage).rows, cover_labels(newer).rows, strict=True)
        if was != now
    }
    assert labels == changed == {"O1", "W1", "W2.left", "W3"}
    assert {row["At"] for row in found if row["What"] == "directory line"} == {"P, space 6"}
    assert {row["Do"] for row in found} == {"print"}
    assert [sheet.file for sheet in made] == [
        "reprint_01.svg", "reprint_02.svg", "reprint.pdf", "reprint.csv",
    ]  # fmt: skip
    first = ElementTree.fromstring(made[0].content)
    words = [text.text or "" for text in first.iter() if text.tag.endswith("text")]
    assert sum(" · 25 A" in word for word in words) == len(changed)
    assert first.attrib["width"].endswith("pt")  # as large as it is printed
    second = ElementTree.fromstring(made[1].content)
    assert "25 A" in [text.text for text in second.iter()]


def test_labels_of_what_is_gone_are_taken_away(garage):
    gone = garage.outlets[0]
    boxes = tuple(box for box in garage.boxes if box.id != gone.box)
    outlets = tuple(o for o in garage.outlets if o.box != gone.box)
    less = garage.model_copy(update={"boxes": boxes, "outlets": outlets})
    found = rows(sheets(less, garage, ("reprint",)), "reprint.csv")
    assert [(row["Do"], row["Says now"]) for row in found if row["At"].startswith(gone.box)] == [
        ("take away", "")
    ] * sum(str(row[0]) == gone.box for row in cover_labels(garage).rows)


def test_the_same_plan_has_an_empty_list_and_nothing_to_print(garage):
    made = sheets(garage, garage)
    assert rows(made, "changes.csv") == rows(made, "reprint.csv") == []
    assert "changes_01.svg" in {sheet.file for sheet in made}
    assert not any(sheet.file.startswith("reprint_") for sheet in made)


def test_papers_go_into_the_workbook_and_carry_the_stop(violated):
    other = edited(violated, "boxes", violated.boxes[0].id, box="another size")
    made = sheets(other, violated)
    assert "papers.xlsx" in {sheet.file for sheet in made}
    for name in ("changes", "reprint"):
        text = next(sheet.content for sheet in made if sheet.file == f"{name}.csv")
        assert all(line.startswith("DO NOT BUILD") for line in str(text).splitlines())
    assert "Changes" not in {make(other).title for make in PAPERS.values()}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_break_nothing(name, four_box, renamed):
    new = renamed(name)
    since = Since.of(four_box, new, OLD_MARK)
    for sheet in sheets(new, four_box, ("floor", "one-line", "changes", "reprint")):
        if sheet.file.endswith(".svg"):
            root = ElementTree.fromstring(sheet.content)
            assert not [element for element in root.iter() if element.tag.endswith("script")]
        elif sheet.file in ("changes.csv", "reprint.csv"):
            for row in csv.reader(io.StringIO(str(sheet.content)), strict=True):
                assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row)
    drawn = {
        "floor": since.marked("floor", floor_plan(new)),
        "one-line": since.marked("one-line", one_line(new)),
        **{file: drawing for kind in ("changes", "reprint")
           for file, _, drawing in since.drawings(kind, {})},
    }  # fmt: skip
    for file, drawing in drawn.items():
        for text in drawing.root.texts():
            assert text.bounds.inside(drawing.bounds), (file, text.text)


@pytest.mark.parametrize("name", ["one_bay_garage", "every_section", "two_changeovers"])
def test_no_text_lies_on_another_where_all_is_new(request, name):
    """Against the same shop without its first three circuits: many clouds on each sheet."""
    new = plan_on_file(name)
    gone = {circuit.id for circuit in new.circuits[:3]}
    old = new.model_copy(
        update={
            "circuits": new.circuits[3:],
            "outlets": tuple(o for o in new.outlets if o.circuit not in gone),
        }
    )
    since = Since.of(old, new, OLD_MARK)
    drawn = {
        "floor": floor_plan(new), "one-line": one_line(new),
        "panels": panel_face(new, new.panels[0]),
    }  # fmt: skip
    for kind, bare in drawn.items():
        marked = since.marked(kind, bare)
        assert clouds(marked)
        assert (kind, faults(marked)) == (kind, [])
    for kind in ("changes", "reprint"):
        for file, _, drawing in since.drawings(kind, {}):
            assert (file, faults(drawing)) == (file, [])


def test_outlines_are_round_the_union():
    """Two rectangles that overlap have one outline, two that do not have two; a ring has a hole."""
    one, other, far = Bounds(0, 0, 4, 2), Bounds(2, 1, 6, 5), Bounds(20, 20, 21, 21)
    assert len(outlines([one, other])) == 1
    assert len(outlines([one, far])) == 2
    ring = [Bounds(0, 0, 9, 1), Bounds(0, 8, 9, 9), Bounds(0, 0, 1, 9), Bounds(8, 0, 9, 9)]
    loops = outlines(ring)
    assert len(loops) == 2
    areas = sorted(abs(area(loop)) for loop in loops)
    assert areas == [49, 81]
    assert abs(area(outlines([one, other])[0])) == 8 + 16 - 2


def area(loop: list[tuple[float, float]]) -> float:
    """By the shoelace formula."""
    pairs = zip(loop, [*loop[1:], loop[0]], strict=True)
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs) / 2


def test_scallops_bulge_outwards():
    loop = outlines([Bounds(0, 0, 60, 30)])[0]
    points = list(scalloped(loop))
    assert abs(area(points)) > 60 * 30
    assert all(-3 < x < 63 and -3 < y < 33 for x, y in points)
    assert all(not (0.01 < x < 59.99 and 0.01 < y < 29.99) for x, y in points)


def test_sheets_of_one_kind_are_named_once():
    assert sheet_words(["Elevation, east wall", "Elevation, west wall", "Panel P"]) == (
        "Elevation, east wall, west wall; Panel P"
    )


def test_every_aspect_has_words(request):
    """All changes between quite different plans can be said, without a gap."""
    names = ("four_box", "one_bay_garage", "every_section", "taken_apart", "two_changeovers")
    plans = [plan_on_file(name) for name in names]
    for old, new in itertools.permutations(plans, 2):
        for one in changes(old, new):
            assert re.fullmatch(r"[a-z].*\S", thing_words(one)), one
            assert change_words(one, {}).strip(), one
            assert "None" not in change_words(one, {})


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ("north", "heat-wall", "on the heat-wall, not the north wall"),
        (None, "north", "on the north wall, not on the ceiling"),
        ("north", None, "on the ceiling, not the north wall"),
    ],
)
def test_a_box_is_on_another_wall_or_on_none(garage, before, after, says):
    (change,) = changes(
        edited(garage, "boxes", "W3", wall=before), edited(garage, "boxes", "W3", wall=after)
    )
    assert change_words(change, {}) == says


def test_a_plan_of_another_shop_is_refused(four_box, garage):
    with pytest.raises(OtherShopError, match="One-bay garage"):
        Since.of(garage, four_box, OLD_MARK)


def test_a_shop_with_other_boxes_is_refused(garage):
    boxes = tuple(box.model_copy(update={"id": f"Z{box.id}"}) for box in garage.boxes)
    with pytest.raises(OtherShopError, match="none of which"):
        Since.of(garage.model_copy(update={"boxes": boxes}), garage, OLD_MARK)


def test_changes_are_shown_on_the_terminal_in_metric(tmp_path, garage, newer):
    old, new = written(tmp_path / "old.plan", garage), written(tmp_path / "new.plan", newer)
    done = run(
        "sheets", new, "--show", "changes", "--changed-from", old, "--units", "metric", "--json"
    )
    (paper,) = json.loads(done.stdout)["papers"]
    assert [row[3] for row in paper["rows"]][2] == "takes another way, 6.10 m, was 7.72 m"
    assert "Floor plan" in paper["rows"][0][4]
    done = run("sheets", new, "--show", "changes")
    assert done.exit_code == 2
    assert "--changed-from OLD_PLAN" in done.stderr


def test_a_shop_that_was_renamed_is_still_the_same(garage, newer):
    shop = garage.source.shop | {"name": "Called otherwise"}
    source = garage.source.model_copy(update={"shop": shop})
    assert Since.of(garage.model_copy(update={"source": source}), newer, OLD_MARK).changes


def run(*arguments):
    return CliRunner().invoke(cli, [*map(str, arguments)])


def written(folder, plan: Plan):
    folder.mkdir()
    (folder / "plan.json").write_text(plan_text(plan), encoding="utf-8")
    return folder


def test_the_command_marks_changes(tmp_path, garage, newer):
    old, new = written(tmp_path / "old.plan", garage), written(tmp_path / "new.plan", newer)
    out = tmp_path / "out"
    done = run("sheets", new, "-o", out, "--changed-from", old, "--only", "changes,reprint")
    assert done.exit_code == 1  # `newer` is no sound plan: checked again, it has violations
    assert {path.name for path in out.iterdir()} == {
        "changes_01.svg", "changes.csv", "reprint_01.svg", "reprint_02.svg", "reprint.csv",
        "changes.pdf", "reprint.pdf", "sheets.json",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "not JSON"),
        ('{"format": "branchwright-plan/9"}', "format is 'branchwright-plan/9'"),
        ('{"format": "branchwright-plan/1"}', "Field required"),
        (None, "no plan here"),
    ],
)
def test_a_damaged_older_plan_is_told(tmp_path, garage, text, says):
    new, old = written(tmp_path / "new.plan", garage), tmp_path / "old.plan"
    old.mkdir()
    if text is not None:
        (old / "plan.json").write_text(text, encoding="utf-8")
    done = run("sheets", new, "-o", tmp_path / "out", "--changed-from", old, "--json")
    assert done.exit_code == 2
    error = json.loads(done.stdout)["error"]
    assert error.startswith(f"--changed-from: {old}")
    assert says in error
    assert not (tmp_path / "out").exists()


def test_another_shop_is_told_by_the_command(tmp_path, garage, four_box):
    new, old = written(tmp_path / "new.plan", garage), written(tmp_path / "old.plan", four_box)
    done = run("sheets", new, "-o", tmp_path / "out", "--changed-from", old)
    assert done.exit_code == 2
    assert "name an older plan of the same shop" in done.stderr
    assert not (tmp_path / "out").exists()


def test_changes_alone_ask_since_when(tmp_path, garage):
    new = written(tmp_path / "new.plan", garage)
    done = run("sheets", new, "-o", tmp_path / "out", "--only", "changes")
    assert done.exit_code == 2
    assert "--changed-from OLD_PLAN" in done.stderr
