"""`inspect --bound` as a person runs it, on the plan of a shop with more boxes than can be tried
out one by one, and on one that has no certificate.
"""

import json
import shutil

import pytest
from click.testing import CliRunner

from branchwright.cli import cli
from branchwright.folder import write_plan
from models.price_book import PriceBook
from solver.bound.least import least
from solver.candidate import MONEY
from solver.plan import plan_shop
from solver.solve import Control
from tests.slow.test_least_plan import readable
from tests.solver.conftest import circuits_of


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The folder of a plan whose bound has a certificate."""
    folder = tmp_path_factory.mktemp("bound") / "tiny.plan"
    shop = readable(7)
    plan = plan_shop(shop, PriceBook.read(), Control(effort=1)).plan
    found = least(circuits_of(shop), Control(effort=1))
    assert plan is not None
    assert found is not None
    claims = plan.objective.model_copy(update={"lower_bound": round(found.bound / MONEY, 2)})
    plan = plan.model_copy(update={"objective": claims})
    write_plan(folder, plan, {}, found.document(plan))
    return folder


@pytest.fixture
def folder(made, tmp_path):
    """A copy to change."""
    copy = tmp_path / "tiny.plan"
    shutil.copytree(made, copy)
    return copy


def run(*arguments):
    return CliRunner().invoke(cli, ["inspect", *map(str, arguments)])


def changed(folder, **how):
    file = folder / "bound.json"
    file.write_text(json.dumps(json.loads(file.read_text("utf-8")) | how), "utf-8")


def test_a_bound_is_shown(folder):
    done = run(folder, "--bound")
    bound = json.loads((folder / "plan.json").read_text("utf-8"))["objective"]["lower_bound"]
    assert done.exit_code == 0, done.output
    assert f"Shown: no plan is below {bound:,.2f} USD" in done.output
    document = json.loads(run(folder, "--bound", "--json").stdout)
    assert document["bound"]["shown"] is True
    assert document["bound"]["claimed"] == bound
    assert document["bound"]["rechecked"] == pytest.approx(bound, abs=0.005)


def test_a_bound_that_is_claimed_too_high_is_not_shown(folder):
    file = folder / "plan.json"
    plan = json.loads(file.read_text("utf-8"))
    plan["objective"]["lower_bound"] += 1
    file.write_text(json.dumps(plan), "utf-8")
    done = run(folder, "--bound")
    assert done.exit_code == 1
    assert "Not shown: the certificate shows" in done.output


def test_a_changed_certificate_is_an_error(folder):
    bound = json.loads((folder / "bound.json").read_text("utf-8"))["bound"]
    changed(folder, bound=bound + 1)
    done = run(folder, "--bound")
    assert done.exit_code == 2
    assert "some number in it was changed" in done.output
    done = run(folder, "--bound", "--json")
    assert json.loads(done.stdout)["status"] == "bad input"


def test_no_certificate_is_not_shown(folder):
    (folder / "bound.json").unlink()
    done = run(folder, "--bound")
    assert done.exit_code == 1
    assert "Not shown: no bound.json is beside the plan" in done.output


def test_no_bound_is_not_shown(folder):
    file = folder / "plan.json"
    plan = json.loads(file.read_text("utf-8"))
    plan["objective"] |= {"lower_bound": None, "gap": None}
    file.write_text(json.dumps(plan), "utf-8")
    done = run(folder, "--bound")
    assert done.exit_code == 1
    assert "Not shown: the plan claims no bound" in done.output


def test_another_price_book_is_an_error(folder, tmp_path):
    book = tmp_path / "mine.csv"
    book.write_text("# name: mine\n# date: 2026-01-15\n# invented: yes\n"
                    "key,item,unit,price_usd\nswitch,toggle,each,2.50\n", "utf-8")  # fmt: skip
    done = run(folder, "--bound", "--prices", book)
    assert done.exit_code == 2
    assert "another price book" in done.output


@pytest.mark.parametrize(
    "arguments", [("--bound", "--sarif"), ("--bound", "--edition", "2020"), ("--prices", "a.csv")]
)
def test_what_does_not_go_together_is_misuse(folder, arguments):
    assert run(folder, *arguments).exit_code == 2


def test_a_plan_without_a_certificate_leaves_none_of_an_older_one(folder):
    from models.plan_file import read_plan

    write_plan(folder, read_plan(folder), {})
    assert not (folder / "bound.json").exists()
