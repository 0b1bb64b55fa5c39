"""The commands as a person runs them: answers, exit codes, Ctrl-C, and what they import."""

import contextlib
import errno
import json
import os
import shutil
import subprocess
import sys
from importlib.resources import files
from pathlib import Path
from xml.etree import ElementTree

import click
import pytest
from click.testing import CliRunner

from branchwright.cli import cli
from models.plan_file import read_plan
from solver.plan import Outcome

HEAVY = ("ortools", "shapely", "reportlab", "networkx", "pydantic", "ruamel", "rich")


@pytest.fixture
def garage(request):
    return request.config.rootpath / "scenarios" / "one_bay_garage.yaml"


def run(*arguments, cwd="."):
    """The command in this process; an exception that it does not catch fails the test."""
    with contextlib.chdir(cwd):
        return CliRunner().invoke(cli, [*map(str, arguments)], catch_exceptions=False)


def commands(group=cli):
    return sorted(group.commands.items())


@pytest.mark.parametrize(("name", "command"), commands())
def test_every_command_and_option_has_help_and_an_example(name, command):
    text = CliRunner().invoke(cli, [name, "--help"]).output
    assert "Example" in text
    assert f"branchwright {name}" in text
    for parameter in command.params:
        assert not isinstance(parameter, click.Option) or parameter.help, parameter.name


def test_help_imports_nothing_heavy():
    """Help must come at once: no solver, drawing or model library is loaded for it."""
    code = (
        "import sys\n"
        "from branchwright.cli import cli\n"
        "try:\n    cli(['--help'])\nexcept SystemExit:\n    pass\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])\n"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.splitlines()[-1] == "[]"


@pytest.mark.parametrize("command", ["inspect", "sheets"])
def test_what_needs_no_solver_does_without_its_library(command, garage, tmp_path):
    plan = Path(__file__).parents[1] / "plans" / "two_changeovers"
    words = {"inspect": [str(garage)], "sheets": [str(plan), "-o", str(tmp_path)]}[command]
    code = (
        "import sys\n"
        "from branchwright.cli import cli\n"
        f"try:\n    cli([{command!r}, *{words!r}])\nexcept SystemExit:\n    pass\n"
        "print('ortools' in sys.modules)\n"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.splitlines()[-1] == "False"


def test_plan_writes_plan_page_and_run_in_a_folder_named_after_the_shop(planned_garage):
    done, folder = planned_garage
    assert done.returncode == 0, done.stderr
    assert folder.name == "one_bay_garage.plan"
    assert {p.name for p in folder.iterdir()} == {"plan.json", "index.html", "run.json"}
    assert "authority having jurisdiction" in done.stdout
    assert "wall_seconds" in json.loads((folder / "run.json").read_text("utf-8"))
    again = run("inspect", folder)
    assert again.exit_code == 0, again.stdout


def test_json_is_one_document(garage, tmp_path):
    done = run("plan", garage, "-o", tmp_path / "out", "--json")
    document = json.loads(done.stdout)
    assert document["status"] == "planned"
    assert document["plan"] == json.loads((tmp_path / "out" / "plan.json").read_text("utf-8"))
    checked = json.loads(run("inspect", tmp_path / "out", "--json").stdout)
    assert checked["findings"] == document["plan"]["findings"]
    assert checked["page"] is None


def test_no_feasible_plan_is_1_with_cause_and_remedy(garage, tmp_path):
    text = garage.read_text("utf-8").replace("spaces: 12", "spaces: 10")
    (tmp_path / "small.yaml").write_text(text, "utf-8")
    done = run("plan", tmp_path / "small.yaml", "--effort", "1", cwd=tmp_path)
    assert done.exit_code == 1
    assert "2 spaces short" in done.stdout
    assert "12 spaces" in done.stdout
    assert not (tmp_path / "small.plan").exists()
    told = run("plan", tmp_path / "small.yaml", "--effort", "1", "--json", cwd=tmp_path)
    document = json.loads(told.stdout)
    assert document["status"] == "no feasible plan"
    assert document["causes"][0]["remedies"][0]["works"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("format: branchwright-shop/1\n", ["bad.yaml:1:1", "name"]),
        ("", ["bad.yaml", "empty"]),
        ("format: branchwright-shop/9\n", ["branchwright-shop/1"]),
    ],
)
def test_bad_input_is_2_and_named(text, words, tmp_path):
    (tmp_path / "bad.yaml").write_text(text, "utf-8")
    done = run("plan", "bad.yaml", cwd=tmp_path)
    assert done.exit_code == 2
    for word in words:
        assert word in done.stderr
    assert not (tmp_path / "bad.plan").exists()
    listed = json.loads(run("plan", "bad.yaml", "--json", cwd=tmp_path).stdout)
    assert listed["problems"]


def test_misuse_is_2(tmp_path):
    assert run("plan").exit_code == 2
    assert run("plan", tmp_path / "nothing.yaml").exit_code == 2
    assert run("inspect", tmp_path).exit_code == 2
    assert run("inspect", "--explain", "no-such-rule").exit_code == 2
    assert run("paln").exit_code == 2
    assert run("inspect").exit_code == 2


def test_inspect_says_how_a_shop_is_understood(garage, tmp_path):
    """No solving: what is there, what is out of reach, what is taken for granted; a drawing."""
    done = run("inspect", garage, "--routes", tmp_path / "garage.svg")
    assert done.exit_code == 0
    for words in ("12 boxes", "in reach of a 6 ft cord", "Taken for granted", "planning aid"):
        assert words in done.stdout
    root = ElementTree.parse(tmp_path / "garage.svg").getroot()
    texts = {text.text for text in root.iter("{http://www.w3.org/2000/svg}text")}
    assert {"W1", "panel P", "table saw", "overhead door"} <= texts
    document = json.loads(run("inspect", garage, "--json").stdout)
    ways = {way["to"]: way for way in document["ways"]}
    assert ways["L2"]["lies_ft"] == {"in wall": 4.0, "attic": 8.0}
    assert document["as_built"] is None


def test_inspect_of_a_broken_shop_or_a_drawing_of_a_plan_is_2(garage, tmp_path):
    shop = tmp_path / "shop.yaml"
    shop.write_text(garage.read_text("utf-8").replace("y: 4 ft,", "y: 44 ft,"), encoding="utf-8")
    done = run("inspect", shop)
    assert done.exit_code == 2
    assert "shop.yaml:51:" in done.stderr
    assert run("inspect", tmp_path, "--routes", tmp_path / "a.svg").exit_code == 2
    assert run("inspect", garage, "--routes", tmp_path / "no" / "a.svg").exit_code == 2
    before = shop.read_bytes()
    assert run("inspect", shop, "--routes", shop).exit_code == 2
    assert shop.read_bytes() == before


def test_a_hazard_answered_yes_is_a_violation_of_a_shop(garage, tmp_path):
    shop = tmp_path / "shop.yaml"
    text = garage.read_text("utf-8").replace("combustible_dust: no", "combustible_dust: yes")
    shop.write_text(text, encoding="utf-8")
    done = run("inspect", shop)
    assert done.exit_code == 1
    assert "beyond what this planning aid covers" in done.stdout


def test_pin_and_ids_write_one_line_or_nothing(garage, tmp_path):
    shop = tmp_path / "shop.yaml"
    text = garage.read_text("utf-8")
    shop.write_text(text, encoding="utf-8")
    assert run("ids", shop).exit_code == 0
    assert shop.read_text("utf-8") == text
    assert run("pin", shop, "W1", "W3").exit_code == 0
    assert shop.read_text("utf-8") == text + "\npins:\n  together:\n    - [W1, W3]\n"
    done = run("pin", shop, "W1", "W33", "--apart")
    assert done.exit_code == 2
    assert "closest: 'W3'" in done.stderr
    assert shop.read_text("utf-8").endswith("    - [W1, W3]\n")


def test_a_shop_that_is_not_planned_yet_is_told_before_work(garage, tmp_path):
    text = garage.read_text("utf-8")
    assert text.count(", switched_by: S1}") == 2
    idle = tmp_path / "idle.yaml"
    idle.write_text(text.replace(", switched_by: S1}", "}"), "utf-8")
    done = run("plan", idle, "-o", tmp_path / "o")
    assert done.exit_code == 2
    assert "S1 switches nothing: not planned so far" in done.stderr
    assert not (tmp_path / "o").exists()


def test_a_reader_that_goes_away_gives_no_traceback(garage, tmp_path):
    """As in `branchwright plan SHOP | head -1`."""
    command = [sys.executable, "-m", "branchwright", "plan", str(garage), "-o", str(tmp_path / "o")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        process.stdout.close()
        assert process.stderr is not None
        assert b"Traceback" not in process.stderr.read()
    assert (tmp_path / "o" / "plan.json").is_file()


def test_a_folder_with_other_files_is_left_alone(garage, tmp_path):
    (tmp_path / "index.html").write_text("my own page", "utf-8")
    done = run("plan", garage, "-o", tmp_path)
    assert done.exit_code == 2
    assert "index.html" in done.stderr
    assert (tmp_path / "index.html").read_text("utf-8") == "my own page"


def test_new_leaves_nothing_on_a_full_disk(tmp_path, monkeypatch):
    def full(_):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    done = CliRunner().invoke(cli, ["new", str(tmp_path / "barn.yaml")])
    assert done.exit_code == 2
    assert "barn.yaml: cannot be written (No space left on device)" in done.stderr
    assert not any(tmp_path.iterdir())


def test_new_makes_a_shop_that_plans_and_never_overwrites(tmp_path):
    assert run("new", cwd=tmp_path).exit_code == 0
    assert run("plan", "shop.yaml", cwd=tmp_path).exit_code == 0
    (tmp_path / "shop.yaml").write_text("mine", "utf-8")
    assert run("new", cwd=tmp_path).exit_code == 2
    assert (tmp_path / "shop.yaml").read_text("utf-8") == "mine"


def test_schema_prints_json():
    assert json.loads(run("schema", "shop").stdout)["$id"] == "urn:branchwright-shop:1"
    assert json.loads(run("schema", "plan").stdout)["$id"] == "urn:branchwright-plan:1"


def test_explain_tells_a_rule_and_its_source():
    done = run("inspect", "--explain", "box-fill")
    assert done.exit_code == 0
    assert "314.16" in done.stdout


def test_a_page_of_another_plan_is_told(planned_garage, tmp_path):
    """As after a stop between writing the page and writing the plan."""
    shutil.copytree(planned_garage[1], tmp_path / "out")
    page = tmp_path / "out" / "index.html"
    page.write_text(
        page.read_text("utf-8").replace('sha256" content="', 'sha256" content="0'), "utf-8"
    )
    done = run("inspect", tmp_path / "out")
    assert done.exit_code == 1
    assert "half way" in done.stderr
    (tmp_path / "out" / "plan.json").unlink()
    missing = run("inspect", tmp_path / "out")
    assert missing.exit_code == 2
    assert "half way" in missing.stderr


@pytest.mark.parametrize("seconds", ["nan", "inf", "-inf", "-3", "0", "1e999"])
def test_a_time_that_is_none_is_refused(seconds, garage, tmp_path):
    done = run("plan", garage, "-o", tmp_path / "out", "--seconds", seconds)
    assert done.exit_code == 2
    assert "--seconds" in done.stderr
    assert "range" in done.stderr or "no finite number: write one" in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_time_too_short_for_a_plan_is_told_with_what_to_do(garage, tmp_path, monkeypatch):
    """The search that ends without a plan is made up; the exit code is that of no plan found."""
    monkeypatch.setattr("branchwright.solving.solve", lambda *_: Outcome(None))
    done = run("plan", garage, "-o", tmp_path / "out", "--seconds", "0.1")
    assert done.exit_code == 1
    assert "No plan was found within --seconds 0.1; nothing was written" in done.stderr
    assert "more seconds" in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_gap_that_is_no_number_is_refused(garage, tmp_path):
    done = run("plan", garage, "-o", tmp_path / "out", "--gap", "nan")
    assert done.exit_code == 2
    assert "--gap" in done.stderr


HOSTILE = "raise SystemExit('a file of this folder was imported')\n"


@pytest.mark.parametrize("start", ["command", "module"])
def test_a_folder_with_hostile_modules_changes_nothing(start, garage, planned_garage, tmp_path):
    for name in ("models", "solver", "branchwright_site", "click", "ortools"):
        (tmp_path / f"{name}.py").write_text(HOSTILE, "utf-8")
    script = Path(sys.executable).with_name("branchwright")
    if start == "command" and not script.is_file():
        pytest.fail(f"{script}: install the project first (DEVELOPERS.md)")
    command = [str(script)] if start == "command" else [sys.executable, "-m", "branchwright"]
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONPATH"}
    done = subprocess.run(
        [*command, "plan", str(garage), "-o", "out"],
        cwd=tmp_path, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    for name in ("plan.json", "index.html"):
        assert (tmp_path / "out" / name).read_bytes() == (planned_garage[1] / name).read_bytes()


@pytest.mark.parametrize("place", ["file/x", "/proc/x", "n" * 300, "nowhere", "taken"])
def test_an_output_that_cannot_be_written_is_told_before_any_work(place, garage, tmp_path):
    """Exit 2 and one line, not a traceback after the work; nothing is left behind."""
    (tmp_path / "file").write_text("", "utf-8")
    (tmp_path / "nowhere").symlink_to(tmp_path / "gone")
    (tmp_path / "taken" / "index.html").mkdir(parents=True)
    before = sorted(tmp_path.rglob("*"))
    done = run("plan", garage, "-o", place, cwd=tmp_path)
    assert done.exit_code == 2
    assert "-o DIR" in done.stderr
    assert "trying out circuits" not in done.stderr
    assert sorted(tmp_path.rglob("*")) == before


def test_an_answer_that_finds_no_room_is_2(garage, tmp_path):
    with Path("/dev/full").open("w") as full:
        command = [sys.executable, "-m", "branchwright", "plan", str(garage)]
        done = subprocess.run(
            [*command, "-o", str(tmp_path / "o")], stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 2
    assert b"Traceback" not in done.stderr


def test_a_price_that_every_plan_needs_is_asked_for_at_once(garage, tmp_path):
    book = Path(str(files("models").joinpath("prices", "invented.csv"))).read_text("utf-8")
    rows = [row for row in book.splitlines() if not row.startswith("cable connector")]
    (tmp_path / "mine.csv").write_text("\n".join(rows) + "\n", "utf-8")
    text = garage.read_text("utf-8") + "\nprices: {book: mine.csv}\n"
    (tmp_path / "mine.yaml").write_text(text, "utf-8")
    done = run("plan", "mine.yaml", cwd=tmp_path)
    assert done.exit_code == 2
    assert "'cable connector'" in done.stderr


def test_events_are_json_lines_and_stdout_stays_one_document(garage, tmp_path):
    log = tmp_path / "events.jsonl"
    done = run("plan", garage, "-o", tmp_path / "out", "--json", "--events", log)
    document = json.loads(done.stdout)
    events = [json.loads(line) for line in log.read_text("utf-8").splitlines()]
    assert len(events) > 4
    assert len(done.stderr.splitlines()) == len(events)
    last = events[-1]
    assert last["doing"] == "finished"
    assert last["best"]["value"] == document["plan"]["objective"]["value"]
    assert last["bound"] == document["plan"]["objective"]["lower_bound"]
    instead = run("plan", garage, "-o", tmp_path / "out", "--events", "-")
    told = [json.loads(line)["doing"] for line in instead.stderr.splitlines()]
    assert told == [event["doing"] for event in events]


def test_events_overwrite_no_shop_file_and_need_a_place(garage, tmp_path):
    shop = tmp_path / "shop.yaml"
    shop.write_bytes(garage.read_bytes())
    done = run("plan", shop, "-o", tmp_path / "out", "--events", shop)
    assert done.exit_code == 2
    assert ".jsonl" in done.stderr
    assert shop.read_bytes() == garage.read_bytes()
    done = run("plan", shop, "-o", tmp_path / "out", "--events", tmp_path / "no" / "e.jsonl")
    assert done.exit_code == 2
    assert "cannot be written" in done.stderr
    assert "measuring" not in done.stderr
    assert sorted(path.name for path in tmp_path.iterdir()) == ["shop.yaml"]


def test_a_gap_is_said_to_be_reached_or_not(garage, tmp_path):
    """The garage's plan is 0.28 % above its bound."""
    near = run("plan", garage, "-o", tmp_path / "near", "--gap", "0.5")
    assert "It is within the gap of 0.5 % asked for." in near.stdout
    assert near.exit_code == 0
    assert read_plan(tmp_path / "near").made_by.gap_asked == 0.005
    assert "within the gap of 0.5 %" in (tmp_path / "near" / "index.html").read_text("utf-8")
    far = run("plan", garage, "-o", tmp_path / "far", "--gap", "0.1")
    assert "It is not within the gap of 0.1 % asked for." in far.stdout
    assert run("plan", garage, "-o", tmp_path / "o", "--gap", "100").exit_code == 2
    assert not (tmp_path / "o").exists()


def test_an_older_plan_to_start_from(garage, tmp_path):
    """What is gone is one sentence; what cannot be read is 2, before any work."""
    out = tmp_path / "out"
    assert run("plan", garage, "-o", out, "--effort", "1").exit_code == 0
    old = read_plan(out)
    less = tmp_path / "less.yaml"
    rows = garage.read_text("utf-8").splitlines(keepends=True)
    less.write_text("".join(row for row in rows if "{id: chargers," not in row), "utf-8")
    done = run("plan", less, "-o", out, "--effort", "1", "--from", out)
    assert done.exit_code == 0
    said = f"{out}: no longer in this shop, left out: machine chargers"
    assert done.stderr.splitlines().count(said) == 1
    new = read_plan(out)
    assert new.objective.value <= old.objective.value
    assert new.made_by.started_from is not None
    before = (out / "plan.json").read_bytes()
    for wrong in (less, tmp_path / "nothing", tmp_path):
        done = run("plan", less, "-o", out, "--from", wrong)
        assert done.exit_code == 2
        assert str(wrong) in done.stderr
        assert "measuring" not in done.stderr
    assert (out / "plan.json").read_bytes() == before
