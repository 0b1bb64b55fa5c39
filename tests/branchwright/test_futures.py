"""The command `futures`: a row for each combination, for people and for programs."""

import json

import jsonschema
import pytest
from click.testing import CliRunner

from branchwright.cautions import PLANNING_AID
from branchwright.cli import cli
from tests.branchwright.test_wording import LARGER_BREAKER, PROMISES


@pytest.fixture
def plan(request):
    return str(request.config.rootpath / "tests" / "plans" / "two_changeovers")


def run(*arguments, width=100):
    return CliRunner().invoke(
        cli, ["futures", *arguments], terminal_width=width, env={"COLUMNS": str(width)}
    )


@pytest.mark.parametrize("width", [60, 80, 140])
def test_a_row_for_each_combination(plan, width):
    done = run(plan, width=width)
    assert done.exit_code == 0
    assert max(map(len, done.stdout.splitlines())) <= width
    text = " ".join(done.stdout.split())
    for row in ("nothing more", "M1", "M2", "M1 + M2"):
        assert row in text
    assert "Nothing gives way in 4 of 4, together 100 % likely." in text
    assert PLANNING_AID in text
    assert not PROMISES.search(text)
    assert not LARGER_BREAKER.search(text)


def test_for_programs(plan):
    found = json.loads(run(plan, "--json").stdout)
    schema = json.loads(CliRunner().invoke(cli, ["schema", "futures"]).stdout)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(found, schema)
    assert [future["comes"] for future in found["futures"]] == [[], ["M1"], ["M2"], ["M1", "M2"]]
    assert all(future["holds"] for future in found["futures"])
    assert {s["kind"] for s in found["futures"][0]["strains"]} >= {"calculation", "leg", "spaces"}


def test_no_plan():
    done = run("nowhere")
    assert done.exit_code == 2
    assert "no plan here" in done.stderr
