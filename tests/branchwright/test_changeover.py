"""The command `changeover`: the day as text, page and JSON, the new plan, refusals, exit codes."""

import json
import re
import signal
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner
from rich.console import Console

from branchwright.cautions import CAUTIONS
from branchwright.changeover_page import changeover_page
from branchwright.changeover_report import changeover_report
from branchwright.cli import cli
from branchwright.leaving import undisturbed
from models.changeover_day import ChangeoverDocument, changeover_day
from models.plan import Plan
from models.plan_file import read_plan
from models.rules import check_plan
from solver.changing_over import changed_over
from tests.branchwright.conftest import HOSTILE
from tests.branchwright.test_page import read
from tests.branchwright.test_wording import LARGER_BREAKER, NO_GFCI, PROMISES
from tests.plan_files import plan_on_file


@pytest.fixture
def plan(request):
    """Two drills: M1 alone on its circuit in a raceway, M2 beside other receptacles."""
    return str(request.config.rootpath / "tests" / "plans" / "two_changeovers")


def run(*arguments, command="changeover"):
    return CliRunner().invoke(cli, [command, *map(str, arguments)], terminal_width=100)


def one_line(text):
    return " ".join(text.split())


def test_what_else_is_off_and_dead(plan):
    """C1 and C3 come into box N1, where M2's receptacle is; M1 and M3 stand still meanwhile."""
    day = json.loads(run(plan, "M2", "--json").stdout)["day"]
    assert [(off["circuit"], off["spaces"]) for off in day["off"]] == [
        ("C2", [7]), ("C1", [1]), ("C3", [2, 4]),
    ]  # fmt: skip
    dead = {one["outlet"]: one["machines"] for one in day["dead"]}
    assert dead == {
        "N1.left.top": ["M1"], "N1.left.bottom": [], "N2.left": ["M3"],
        "N2.right.top": [], "N2.right.bottom": [],
    }  # fmt: skip


@pytest.mark.parametrize("machine", ["M1", "M2"])
def test_dead_comes_first_and_the_breaker_last(plan, machine):
    steps = json.loads(run(plan, machine, "--json").stdout)["day"]["steps"]
    assert steps[0]["says"].startswith("Switch off")
    proved = next(n for n, step in enumerate(steps) if step["says"].startswith("Prove"))
    opened = next(n for n, step in enumerate(steps) if step["at"] == "box")
    breaker = next(
        n for n, step in enumerate(steps) if "breaker of C" in step["says"] and n > proved
    )
    assert proved < opened < breaker
    assert {step["at"] for step in steps[breaker:]} == {"panel"}
    assert "tester proved on a live source, then dead, then live again" in steps[proved]["says"]


def test_a_neutral_that_stays_is_measured_before_anything_is_plugged_in(plan):
    checks = " ".join(json.loads(run(plan, "M2", "--json").stdout)["day"]["checks"])
    assert "Measure hot to neutral at each of N2.right before anything is plugged in" in checks
    alone = " ".join(json.loads(run(plan, "M1", "--json").stdout)["day"]["checks"])
    assert "hot to neutral" not in alone


def test_labels_that_say_something_else(plan):
    day = json.loads(run(plan, "M1", "--json").stdout)["day"]
    labels = {label["where"]: (label["before"], label["after"]) for label in day["labels"]}
    assert labels["plate at N1.left"] == (
        "C1, space 1, 20 A, 120 V", "C1, spaces 1 and 3, 15 A, 240 V",
    )  # fmt: skip
    assert labels["both ends of C1.1"] == ("in use", "spare")
    assert labels["circuit directory of P, space 3"][0] == "kept for the changeover of M1"


def test_what_the_shop_file_says_from_then_on(plan):
    """10 A at 120 V is 5 A at 240 V."""
    day = json.loads(run(plan, "M1", "--json").stdout)["day"]
    assert "machines[M1].marked: 5 A, not 10 A" in day["shop_file"]
    assert "machines[M1].volts: 240 V, not 120 V" in day["shop_file"]
    assert (
        "boxes[N1].yokes: [single 6-15R, duplex 5-20R], not [duplex 5-20R, duplex 5-20R]"
        in (day["shop_file"])
    )


def test_the_new_plan_is_written_and_the_checks_find_nothing(plan, tmp_path):
    folder, page = tmp_path / "new.plan", tmp_path / "day.html"
    done = run(plan, "M2", "-o", folder, "--page", page)
    assert done.exit_code == 0, done.output
    assert f"New plan: {folder}" in done.stdout
    assert [f for f in check_plan(read_plan(folder)) if f.severity == "violation"] == []
    assert run(folder, command="inspect").exit_code == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == ["day.html", "new.plan"]
    again = run(folder, "M2")
    assert again.exit_code == 1
    assert "takes 240 V already" in again.stdout


def test_the_sheets_of_the_new_plan_say_both_voltages(plan, tmp_path):
    run(plan, "M2", "-o", tmp_path / "new.plan")
    html = (tmp_path / "new.plan" / "index.html").read_text("utf-8")
    assert re.search(r'data-label="Volts">120/240<', html)


def test_the_page_carries_every_caution_and_nothing_else_is_loaded(plan, tmp_path):
    page = tmp_path / "day.html"
    assert run(plan, "M1", "--page", page).exit_code == 0
    html = page.read_text("utf-8")
    for caution in CAUTIONS:
        assert caution.replace("'", "&#x27;") in html
    assert not re.search(r"<script|https?://", html)
    steps = json.loads(run(plan, "M1", "--json").stdout)["day"]["steps"]
    assert html.count("☐") >= len(steps)


@pytest.mark.parametrize("machine", ["M1", "M2"])
def test_its_words_promise_nothing_and_weaken_nothing(plan, machine):
    text = one_line(run(plan, machine).stdout)
    for pattern in (PROMISES, LARGER_BREAKER, NO_GFCI):
        assert not pattern.search(text), pattern.search(text)


def test_the_answer_is_as_its_schema_says(plan):
    schema = json.loads(run("changeover", command="schema").stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    for machine in ("M1", "M2", "M3"):
        jsonschema.validate(json.loads(run(plan, machine, "--json").stdout), schema)


# What is refused


def test_a_machine_that_may_not_change(plan):
    done = run(plan, "M3")
    assert done.exit_code == 1
    assert "names no changeover of M3" in one_line(done.stdout)
    told = json.loads(run(plan, "M3", "--json").stdout)
    assert (told["status"], told["day"]) == ("refused", None)
    assert "later.changeovers" in told["refused"]["would"]


def test_a_machine_that_is_not_there(plan):
    done = run(plan, "M11")
    assert done.exit_code == 2
    assert "no machine 'M11': closest: M1" in done.stderr
    assert "changeovers of M1, M2" in done.stderr


def test_nothing_is_written_over_the_plan_in_force(request, plan, tmp_path):
    before = plan_on_file("two_changeovers")
    done = run(plan, "M1", "-o", plan)
    assert done.exit_code == 2
    assert "holds the plan as it is now" in done.stderr
    assert plan_on_file("two_changeovers") == before
    (tmp_path / "notes.txt").write_text("mine")
    done = run(plan, "M1", "-o", tmp_path)
    assert done.exit_code == 2
    assert "holds notes.txt" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["nowhere", "M1"], "no plan here"),
        (["PLAN", "M1", "--page", "day.txt"], "ends in .html"),
        (["PLAN", "M1", "--page", "no/such/day.html"], "cannot be written"),
    ],
)
def test_misuse(plan, arguments, says):
    done = run(*(plan if a == "PLAN" else a for a in arguments))
    assert done.exit_code == 2
    assert says in one_line(done.stderr)


def test_ctrl_c_waits_until_what_is_written_is_whole():
    written, before = [], signal.getsignal(signal.SIGINT)

    def write():
        with undisturbed():
            signal.raise_signal(signal.SIGINT)
            written.append("all of it")

    with pytest.raises(KeyboardInterrupt):
        write()
    assert written == ["all of it"]
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_break_no_page(name, plan, capsys):
    """Machines and circuits called so, in both plans."""
    data = json.loads(read_plan(Path(plan)).model_dump_json())
    for machine in data["machines"]:
        machine["name"] = name
    for circuit in data["circuits"]:
        circuit["says"] = name
    old = Plan.model_validate(data)
    then = changed_over(read_plan(Path(plan)), "M2")
    assert isinstance(then, Plan)
    then = then.model_copy(update={"machines": tuple(
        m.model_copy(update={"name": name}) for m in then.machines)})  # fmt: skip
    told = ChangeoverDocument(plan="x", status="ready", day=changeover_day(old, then, "M2"))
    page = changeover_page(old, told)
    assert "script" not in read(page).tags
    assert "\x1b" not in page
    assert "\u202e" not in page
    changeover_report(Console(), old, told)
    assert "\x1b[31m" not in capsys.readouterr().out
