"""The command `sheets`: a set in a folder, whole files, no sheet of another plan left behind."""

import errno
import json
import shutil

import pytest
from click.testing import CliRunner

from branchwright.cli import cli
from branchwright.sheet_set import NAMES
from models.plan_file import plan_text, read_plan, sha256_file


@pytest.fixture
def plans(request):
    return request.config.rootpath / "tests" / "plans"


@pytest.fixture
def overfull(plans):
    """A plan changed by hand after it was checked: a box smaller than what is in it."""
    plan = read_plan(plans / "four_box")
    small = plan.boxes[0].model_copy(update={"volume_in3": 1.0})
    return plan.model_copy(update={"boxes": (small, *plan.boxes[1:])})


def run(*arguments):
    return CliRunner().invoke(cli, ["sheets", *map(str, arguments)])


def test_a_set_is_written_and_listed(plans, tmp_path):
    out = tmp_path / "set"
    done = run(plans / "one_bay_garage", "-o", out, "--json")
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    files = {one["file"] for one in told["files"]}
    assert {path.name for path in out.iterdir()} == files | {"sheets.json"}
    assert {one["name"] for one in told["files"]} == set(NAMES) - {"changeover-pages", "rolls"}
    listed = json.loads((out / "sheets.json").read_text("utf-8"))
    assert set(listed["files"]) == files
    assert told["plan_sha256"] == listed["plan_sha256"] == sha256_file(plans / "one_bay_garage")


def test_the_same_plan_gives_the_same_bytes(plans, tmp_path):
    for name in ("a", "b"):
        assert run(plans / "two_changeovers", "-o", tmp_path / name).exit_code == 0
    first = {path.name: path.read_bytes() for path in (tmp_path / "a").iterdir()}
    assert len(first) > 15
    assert first == {path.name: path.read_bytes() for path in (tmp_path / "b").iterdir()}


def test_only_some(plans, tmp_path):
    done = run(plans / "four_box", "-o", tmp_path, "--only", "one-line, labels")
    assert done.exit_code == 0
    names = {path.name for path in tmp_path.iterdir()}
    assert names == {
        "one_line.svg", "one_line.pdf", "cover_labels.csv", "cover_labels.pdf", "sheets.json",
    }  # fmt: skip
    done = run(plans / "four_box", "-o", tmp_path, "--only", "takeoff")
    assert {path.name for path in tmp_path.iterdir()} == names | {"takeoff.csv", "takeoff.pdf"}


@pytest.mark.parametrize(
    ("only", "files"),
    [
        ("dxf", {"floor_plan.dxf"}),
        ("floor", {"floor_plan.svg", "floor_plan.dxf", "floor.pdf"}),
        ("floor,svg", {"floor_plan.svg"}),
        ("takeoff,load,csv", {"takeoff.csv", "load_calculation.csv"}),
        ("xlsx", {"papers.xlsx"}),
    ],
)
def test_only_some_forms(plans, tmp_path, only, files):
    assert run(plans / "four_box", "-o", tmp_path, "--only", only).exit_code == 0
    assert {path.name for path in tmp_path.iterdir()} == files | {"sheets.json"}


def test_a_sheet_that_is_not_written_in_a_form_says_in_which_it_is(plans, tmp_path):
    done = run(plans / "four_box", "-o", tmp_path, "--only", "takeoff,dxf")
    assert done.exit_code == 2
    assert "takeoff is not written as dxf: pdf, csv" in done.output
    done = run(plans / "four_box", "-o", tmp_path, "--only", "cvs")
    assert done.exit_code == 2
    assert "no sheet or form 'cvs': csv" in done.output
    assert list(tmp_path.iterdir()) == []


def test_a_page_for_each_changeover_that_is_prepared(plans, tmp_path):
    done = run(plans / "two_changeovers", "-o", tmp_path, "--only", "changeover-pages")
    assert done.exit_code == 0
    for number, machine in enumerate(("M1", "M2"), start=1):
        page = (tmp_path / f"changeover_0{number}_{machine}.html").read_text("utf-8")
        assert f"The day {machine} goes from 120 V to 240 V" in page


def test_papers_are_shown(plans, tmp_path):
    done = run(plans / "one_bay_garage", "--show", "takeoff,scope")
    assert done.exit_code == 0
    assert "GFCI duplex receptacle, 20 A 125 V" in done.output
    assert "permit, fees, inspection" in done.output
    told = json.loads(run(plans / "one_bay_garage", "--show", "takeoff", "--json").stdout)
    (paper,) = told["papers"]
    assert paper["fields"][4] == {"name": "Cost [USD]", "digits": 2}
    made = read_plan(plans / "one_bay_garage")
    assert paper["sums"][0]["total"] == made.totals.material_cost_usd
    assert told["plan_sha256"] == sha256_file(plans / "one_bay_garage")


def test_a_violation_is_told_above_each_paper_that_is_shown(overfull, tmp_path):
    (tmp_path / "plan.json").write_text(plan_text(overfull), "utf-8")
    done = run(tmp_path / "plan.json", "--show", "takeoff,labels")
    assert done.exit_code == 1
    assert done.output.count("DO NOT BUILD") == 2


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "say `-o DIR`"), (("--show", "takeoff", "-o", "x"), "say `-o DIR`"),
        (("--show", "takeoff", "--only", "takeoff"), "say `-o DIR`"),
        (("--show", "floor"), "floor is no paper"), (("--show", "take-off"), "takeoff"),
    ],
)  # fmt: skip
def test_misuse_says_what_to_do(plans, arguments, says):
    done = run(plans / "four_box", *arguments)
    assert done.exit_code == 2
    assert says in done.output


def test_a_folder_that_cannot_be_read_is_told(plans, tmp_path):
    """A name longer than any file system takes."""
    done = run(plans / "four_box", "-o", tmp_path / ("x" * 300), "--only", "takeoff")
    assert done.exit_code == 2
    assert "cannot be read (File name too long): name another folder" in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_sheet_names_the_closest(plans, tmp_path):
    done = run(plans / "four_box", "-o", tmp_path, "--only", "pulllist")
    assert done.exit_code == 2
    assert "pull-list" in done.output
    assert list(tmp_path.iterdir()) == []


def test_sheets_of_another_plan_are_taken_away(plans, tmp_path):
    """Nine circuits before, three now; asked for papers alone, no drawing of the old plan stays."""
    assert run(plans / "one_bay_garage", "-o", tmp_path).exit_code == 0
    assert (tmp_path / "circuit_009_C7.svg").exists()
    done = run(plans / "four_box", "-o", tmp_path, "--only", "takeoff", "--json")
    assert {path.name for path in tmp_path.iterdir()} == {
        "takeoff.csv", "takeoff.pdf", "sheets.json",
    }  # fmt: skip
    assert "circuit_009_C7.svg" in json.loads(done.stdout)["taken_away"]


def test_a_folder_with_other_files_is_left_alone(plans, tmp_path):
    (tmp_path / "letter.txt").write_text("mine")
    done = run(plans / "four_box", "-o", tmp_path)
    assert done.exit_code == 2
    assert "letter.txt" in done.output
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_a_list_that_names_files_elsewhere_takes_nothing_away(plans, tmp_path):
    (tmp_path / "mine.txt").write_text("mine")
    out = tmp_path / "set"
    assert run(plans / "four_box", "-o", out).exit_code == 0
    told = json.loads((out / "sheets.json").read_text("utf-8"))
    told["files"]["../mine.txt"] = "0" * 64
    (out / "sheets.json").write_text(json.dumps(told), "utf-8")
    assert run(plans / "four_box", "-o", out).exit_code == 0
    assert (tmp_path / "mine.txt").read_text() == "mine"


def test_a_file_that_somebody_changed_is_neither_taken_away_nor_written_over(plans, tmp_path):
    """Notes under the name of a sheet: left and told where the set no longer has it, else refused
    before anything is written.
    """
    assert run(plans / "four_box", "-o", tmp_path, "--only", "takeoff,pull-list").exit_code == 0
    (tmp_path / "takeoff.csv").write_text("mine")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    done = run(plans / "four_box", "-o", tmp_path, "--only", "takeoff")
    assert done.exit_code == 2
    assert "takeoff.csv: not as an earlier set wrote it: move it elsewhere" in done.stderr
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before
    done = run(plans / "one_bay_garage", "-o", tmp_path, "--only", "labels", "--json")
    told = json.loads(done.stdout)
    assert told["left_alone"] == ["takeoff.csv"]
    assert "takeoff.pdf" in told["taken_away"]
    assert (tmp_path / "takeoff.csv").read_text() == "mine"
    done = run(plans / "one_bay_garage", "-o", tmp_path, "--only", "takeoff")
    assert done.exit_code == 2  # it is in no list any more
    (tmp_path / "takeoff.csv").unlink()
    assert run(plans / "one_bay_garage", "-o", tmp_path, "--only", "takeoff").exit_code == 0


def test_a_set_of_before_hashes_were_listed_is_taken_as_written(plans, tmp_path):
    assert run(plans / "four_box", "-o", tmp_path, "--only", "takeoff").exit_code == 0
    told = json.loads((tmp_path / "sheets.json").read_text("utf-8"))
    del told["sha256"]
    (tmp_path / "sheets.json").write_text(json.dumps(told), "utf-8")
    done = run(plans / "one_bay_garage", "-o", tmp_path, "--only", "labels", "--json")
    assert json.loads(done.stdout)["taken_away"] == ["takeoff.csv", "takeoff.pdf"]


def test_with_a_violation_it_exits_with_1_and_says_do_not_build(overfull, tmp_path):
    (tmp_path / "plan.json").write_text(plan_text(overfull), "utf-8")
    out = tmp_path / "set"
    done = run(tmp_path / "plan.json", "-o", out)
    assert done.exit_code == 1
    assert not any(finding.severity == "violation" for finding in overfull.findings)
    assert "checked again" in done.stderr
    assert "DO NOT BUILD" in done.output
    for path in out.iterdir():
        if path.suffix in (".svg", ".csv"):
            assert "DO NOT BUILD" in path.read_text("utf-8"), path.name


def test_a_file_is_there_whole_or_not_at_all(plans, tmp_path, monkeypatch):
    """The disk is full in the middle: no part of a file, and the list knows all that is there."""
    import models.plan_file as files

    writes = []
    write_whole = files.write_whole

    def full(path, content):
        writes.append(path.name)
        if len(writes) == 5:
            raise OSError(28, "No space left on device")
        write_whole(path, content)

    monkeypatch.setattr(files, "write_whole", full)
    done = run(plans / "four_box", "-o", tmp_path)
    assert done.exit_code == 2
    assert "No space left" in done.output
    there = {path.name for path in tmp_path.iterdir()}
    assert len(there) == 4
    assert there - {"sheets.json"} <= set(
        json.loads((tmp_path / "sheets.json").read_text())["files"]
    )


def test_no_plan_is_bad_input(tmp_path):
    done = run(tmp_path, "-o", tmp_path / "set", "--json")
    assert done.exit_code == 2
    assert json.loads(done.stdout)["status"] == "bad input"
    shutil.rmtree(tmp_path)


def test_a_list_of_names_without_a_name_is_misuse(plans, tmp_path):
    done = run(plans / "four_box", "-o", tmp_path / "set", "--only", " , ")
    assert done.exit_code == 2
    assert "' , ' names nothing: floor, circuits" in done.stderr
    assert not (tmp_path / "set").exists()


def test_what_a_full_disk_kept_out_is_no_longer_listed(plans, tmp_path, monkeypatch):
    """Files come one by one, each whole; a set that was cut short is mended by the next one."""
    from models import plan_file

    def full(path, text):
        if path.suffix == ".pdf":
            raise OSError(errno.ENOSPC, "No space left on device")
        whole(path, text)

    whole = plan_file.write_whole
    monkeypatch.setattr(plan_file, "write_whole", full)
    done = run(plans / "four_box", "-o", tmp_path, "--only", "one-line,floor")
    assert done.exit_code == 2
    assert "cannot be written (No space left on device)" in done.stderr
    assert {path.name for path in tmp_path.iterdir()} == {"floor_plan.svg", "sheets.json"}
    monkeypatch.undo()
    assert run(plans / "four_box", "-o", tmp_path, "--only", "one-line").exit_code == 0
    listed = json.loads((tmp_path / "sheets.json").read_text("utf-8"))
    assert set(listed["files"]) == {p.name for p in tmp_path.iterdir()} - {"sheets.json"}
