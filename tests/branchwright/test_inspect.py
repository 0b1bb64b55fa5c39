"""`inspect` as a person runs it: one document on standard output, exit codes, editions, rules."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from click.testing import CliRunner

from branchwright.cli import cli
from models.formulas.editions import EDITIONS
from models.rules import RULES, check_plan
from tests.branchwright.test_edition_change import NO_GFCI_FOR_THE_SAW, plan_for
from tests.branchwright.test_sarif import FORM


@pytest.fixture
def folder(request, tmp_path):
    """The plan made on paper, in a folder of its own."""
    made = tmp_path / "shed.plan"
    shutil.copytree(request.config.rootpath / "tests" / "plans" / "four_box", made)
    return made


@pytest.fixture
def saw_2017(tmp_path):
    """Made for 2017: the 240 V saw needs no GFCI there. Its takeoff is not the violation sought."""
    plan = plan_for(2017, NO_GFCI_FOR_THE_SAW)
    breaker = next(line for line in plan.takeoff if line.key == "breaker 20 A 2-pole GFCI")
    plain = breaker.model_copy(update={"key": "breaker 20 A 2-pole"})
    lines = tuple(plain if line is breaker else line for line in plan.takeoff)
    file = tmp_path / "plan.json"
    file.write_text(plan.model_copy(update={"takeoff": lines}).model_dump_json(), encoding="utf-8")
    return file


def run(*arguments):
    return CliRunner().invoke(cli, ["inspect", *map(str, arguments)])


def test_json_and_sarif_are_one_document_each(folder):
    done = run(folder, "--json")
    document = json.loads(done.stdout)
    assert (done.exit_code, document["plan"], document["page"]) == (0, str(folder), None)
    keys = [finding["key"] for finding in document["findings"]]
    assert sorted(keys) == sorted(key for place in document["places"] for key in place["findings"])
    done = run(folder, "--sarif")
    assert done.exit_code == 0
    log = json.loads(done.stdout)
    FORM.validate(log)
    assert len(log["runs"][0]["results"]) == len(keys)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("PLAN", "--edition", "2011"), ["'2017'", "'2020'", "'2023'"]),
        (("PLAN", "--json", "--sarif"), ["--json or --sarif"]),
        (("--explain", "box-fill", "--sarif"), ["--explain goes with --json only"]),
        (("--explain", "box-fill", "--edition", "2017"), ["--explain goes with --json only"]),
        (("SHOP", "--edition", "2017"), ["not all of it is wired yet", "branchwright plan"]),
        (("SHOP", "--sarif"), ["not all of it is wired yet"]),
        (("SHOP", "--sarif", "--routes", "a.svg"), ["--routes draws a shop"]),
        (("--edition", "2017"), ["name a SHOP"]),
    ],
)
def test_what_cannot_be_asked_is_2_and_told(request, folder, arguments, words):
    shop = request.config.rootpath / "scenarios" / "one_bay_garage.yaml"
    named = {"PLAN": folder, "SHOP": shop}
    done = run(*(named.get(argument, argument) for argument in arguments))
    assert done.exit_code == 2
    for word in words:
        assert word in done.stderr
    assert done.stdout == ""


def test_the_exit_code_is_that_of_the_edition_asked_for(saw_2017):
    """No violation under its own edition, one under the next; the document says which."""
    assert run(saw_2017).exit_code == 0
    assert run(saw_2017, "--edition", "2017").exit_code == 0
    done = run(saw_2017, "--edition", "2020", "--json")
    assert done.exit_code == 1
    document = json.loads(done.stdout)
    assert (document["made_for"], document["edition"]) == (2017, 2020)
    assert document["comes"] == ["gfci-scope:E1"]
    assert set(document["read_again"]) == {n for n, rule in RULES.items() if rule.basis != "plan"}
    done = run(saw_2017, "--edition", "2020")
    assert done.exit_code == 1
    for words in ("Made for NEC 2017", "Comes with 2020", "DO NOT BUILD", "nothing else of the"):
        assert words in done.stdout
    log = json.loads(run(saw_2017, "--edition", "2020", "--sarif").stdout)
    FORM.validate(log)
    new = [r for r in log["runs"][0]["results"] if r["baselineState"] == "new"]
    assert [r["ruleId"] for r in new] == ["gfci-scope"]


def test_a_shop_that_is_wired_already_is_checked_under_an_edition(request):
    shop = request.config.rootpath / "tests" / "shops" / "as_built.yaml"
    done = run(shop, "--edition", "2017")
    assert done.exit_code == 0
    assert "Made for NEC 2020" in done.stdout
    document = json.loads(run(shop, "--edition", "2017", "--json").stdout)
    assert document["shop"] == str(shop)
    log = json.loads(run(shop, "--sarif").stdout)
    FORM.validate(log)
    assert log["runs"][0]["artifacts"][0]["mimeType"] == "application/yaml"


def test_a_page_of_another_plan_is_told_in_every_form(folder):
    (folder / "index.html").write_text("<meta>", encoding="utf-8")
    assert "half way" in json.loads(run(folder, "--json").stdout)["page"]
    done = run(folder, "--sarif")
    assert done.exit_code == 1
    (notice,) = json.loads(done.stdout)["runs"][0]["invocations"][0]["toolExecutionNotifications"]
    assert "half way" in notice["message"]["text"]


@pytest.mark.parametrize("rule", sorted(RULES))
def test_every_rule_is_explained(rule):
    document = json.loads(run("--explain", rule, "--json").stdout)
    assert document["rule"] == rule
    assert document["why"]
    assert document["remedy"]
    assert set(document["sections"]) == set(map(str, EDITIONS))


def test_a_renumbered_rule_names_each_section():
    """210.23(A)(1) became (B)(1) in 2023 (trade course on 2023)."""
    text = " ".join(run("--explain", "cord-load").stdout.split())
    assert "210.23(A)(1) (2017, 2020)" in text
    assert "210.23(B)(1) (2023)" in text


@pytest.mark.parametrize(
    ("wanted", "near"),
    [("box-fil", "box-fill"), ("gfci", "gfci-scope"), ("neutrl", "neutral-at-switch"),
     ("Working", "working-space")],
)  # fmt: skip
def test_a_wrong_rule_gets_close_matches(wanted, near):
    done = run("--explain", wanted)
    assert done.exit_code == 2
    assert near in done.stderr
    assert "lists them all" in done.stderr


@pytest.mark.parametrize("arguments", [("--explain",), ("--explain", "all")])
def test_without_a_rule_all_are_listed(arguments):
    done = run(*arguments)
    assert done.exit_code == 0
    for name in RULES:
        assert f" {name} " in done.stdout
    listed = json.loads(run("--explain", "all", "--json").stdout)
    assert [rule["rule"] for rule in listed["rules"]] == list(RULES)


def test_findings_read_the_same_in_every_form(folder, four_box):
    """Nothing is lost between table, JSON and SARIF."""
    keys = [finding.key for finding in check_plan(four_box)]
    assert [f["key"] for f in json.loads(run(folder, "--json").stdout)["findings"]] == keys
    results = json.loads(run(folder, "--sarif").stdout)["runs"][0]["results"]
    assert [r["partialFingerprints"]["findingKey/v1"] for r in results] == keys
    text = " ".join(run(folder).stdout.split())
    for finding in check_plan(four_box):
        assert finding.says.split()[0] in text


def test_a_plan_is_rechecked_without_solver_and_drawing_libraries(folder):
    """Whole process within a second: nothing heavy is loaded that a recheck has no use for."""
    code = (
        "import sys\n"
        "from branchwright.cli import cli\n"
        f"try:\n    cli(['inspect', {str(folder)!r}])\nexcept SystemExit:\n    pass\n"
        "heavy = ('ortools', 'networkx', 'rustworkx', 'ruamel', 'numpy', 'solver')\n"
        "print([name for name in heavy if name in sys.modules])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True,
        cwd=Path(__file__).parents[2],
    )  # fmt: skip
    assert done.stdout.splitlines()[-1] == "[]"
