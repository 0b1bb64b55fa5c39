"""Damaged plans: every command that makes something of one refuses it, and writes nothing."""

import json
import shutil

import pytest
from click.testing import CliRunner

from branchwright.cli import cli

COMMANDS = [
    ("futures", "PLAN"),
    ("changeover", "PLAN", "M1"),
    ("sheets", "PLAN", "-o", "SHEETS"),
    ("sheets", "PLAN", "--show", "scope"),
    ("sheets", "WHOLE", "-o", "SHEETS", "--changed-from", "PLAN"),
    ("compare", "WHOLE", "PLAN"),
    ("compare", "PLAN", "--with", "code.multiwire=yes"),
    ("why", "PLAN"),
    ("plan", "SHOP", "--from", "PLAN", "-o", "NEW"),
    ("inspect", "PLAN", "--bound"),
]
DAMAGE = {
    "shop of another kind": ("source.shop", {"name": "A shed"}, "Field required"),
    "shop that contradicts itself": ("source.shop.boxes", [], "cannot be read"),
    "machine that is nowhere": ("machines.0.id", "nobody", "names machine"),
}


def run(folder, rootpath, *arguments):
    plans = rootpath / "tests" / "plans"
    paths = {
        "PLAN": folder / "damaged.plan",
        "WHOLE": plans / "two_changeovers",
        "SHOP": rootpath / "scenarios" / "one_bay_garage.yaml",
        "SHEETS": folder / "sheets",
        "NEW": folder / "new.plan",
    }
    return CliRunner().invoke(cli, [str(paths.get(one, one)) for one in arguments])


@pytest.fixture
def damaged(request, tmp_path):
    """A plan with one value exchanged."""
    whole = request.config.rootpath / "tests" / "plans" / "two_changeovers"
    shutil.copytree(whole, tmp_path / "damaged.plan")

    def damage(path, value):
        file = tmp_path / "damaged.plan" / "plan.json"
        data = json.loads(file.read_text("utf-8"))
        *steps, last = path.split(".")
        place = data
        for step in steps:
            place = place[int(step) if step.isdigit() else step]
        place[last] = value
        file.write_text(json.dumps(data), "utf-8")
        return tmp_path

    return damage


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.parametrize(("path", "value", "says"), DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_plan_is_refused(request, damaged, command, path, value, says):
    folder = damaged(path, value)
    done = run(folder, request.config.rootpath, *command)
    assert done.exit_code == 2, done.output
    assert says in done.stderr
    assert "`branchwright inspect " in done.stderr
    assert [item.name for item in folder.iterdir()] == ["damaged.plan"]


@pytest.mark.parametrize(
    ("text", "says"),
    [("9" * 5000, "not JSON"), ("[" * 100_000, "not JSON"), ("{}", "format is None")],
    ids=["endless number", "endless list", "nothing"],
)
def test_what_is_no_plan_is_refused(request, damaged, text, says):
    folder = damaged("objective.gap", None)
    (folder / "damaged.plan" / "plan.json").write_text(text)
    done = run(folder, request.config.rootpath, "futures", "PLAN")
    assert done.exit_code == 2, done.output
    assert says in done.stderr


def test_a_name_too_long_to_be_a_file_is_refused(request, tmp_path):
    done = run(tmp_path, request.config.rootpath, "sheets", "n" * 300, "-o", "SHEETS")
    assert done.exit_code == 2, done.output
    assert "cannot be read (File name too long): name a plan" in done.stderr
