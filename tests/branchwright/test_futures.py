"""The command `futures`: a row for each combination, for people and for programs."""

import json
import re
from importlib.resources import files

import jsonschema
import pytest
from click.testing import CliRunner

from branchwright.cautions import CAUTIONS, PLANNING_AID
from branchwright.cli import cli
from models.price_book import PriceBook
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


def test_what_to_pull_and_what_would_help(request, tmp_path):
    """A heater too large for the feeder, at a box that a raceway leads to."""
    data = json.loads(
        (request.config.rootpath / "tests/plans/two_changeovers/plan.json").read_text()
    )
    data["source"]["shop"]["later"]["machines"] = [{
        "id": "heater", "name": "big <heater>", "volts": "240 V", "marked": "60 A",
        "continuous": "yes", "set_and_leave": "yes", "hard_wired_at": "N2",
        "likelihood": "40 %", "within": "2 years",
    }]  # fmt: skip
    data["made_by"]["price_book"]["sha256"] = PriceBook.read().sha256
    (tmp_path / "plan.json").write_text(json.dumps(data))
    page = tmp_path / "later.html"
    done = run(str(tmp_path), "--page", str(page))
    assert done.exit_code == 0, done.output
    text = " ".join(done.stdout.split())
    assert "What to pull now, for each by itself" in text
    assert "M1 (90 % likely) on C1. Best: " in text
    assert "What would help" in text
    assert "By itself a feeder of " in text
    assert "The hots of the feeder carry 130 A" in text
    assert not PROMISES.search(text)
    assert not LARGER_BREAKER.search(text)
    html = page.read_text("utf-8")
    for caution in CAUTIONS:
        assert caution.replace("'", "&#x27;") in html
    assert "big &lt;heater&gt;" in html
    assert not re.search(r"<script|https?://", html)
    schema = json.loads(CliRunner().invoke(cli, ["schema", "futures"]).stdout)
    jsonschema.validate(json.loads(run(str(tmp_path), "--json").stdout), schema)


def test_no_costs_from_a_book_that_is_not_the_plans(plan, tmp_path):
    """Told where none was named, refused where one was; what gives way is answered without."""
    done = run(plan)
    assert done.exit_code == 0
    assert "was made with other prices than invented.csv has now" in done.stderr
    assert "What to pull now" not in done.stdout
    assert "Nothing gives way in 4 of 4" in " ".join(done.stdout.split())
    book = files("models").joinpath("prices", "invented.csv").read_text("utf-8")
    named = tmp_path / "mine.csv"
    named.write_text(book, "utf-8")
    done = run(plan, "--prices", str(named))
    assert done.exit_code == 2
    assert f"{named} has now: plan it again, or name the book" in done.stderr


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--page", "later.txt"], "ends in .html"),
        (["--page", "no/such/later.html"], "cannot be written"),
        (["--prices", "no.csv"], "no.csv: cannot be read"),
    ],
)
def test_misuse(plan, more, says):
    done = run(plan, *more)
    assert done.exit_code == 2
    assert says in " ".join(done.stderr.split())


def test_no_plan():
    done = run("nowhere")
    assert done.exit_code == 2
    assert "no plan here" in done.stderr
