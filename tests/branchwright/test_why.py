"""The command `why`: what it answers, for people and for programs, and its exit codes."""

import json

import pytest
from click.testing import CliRunner

from branchwright.cli import cli


@pytest.fixture
def plan(request):
    return str(request.config.rootpath / "tests" / "plans" / "one_bay_garage")


def run(*arguments):
    return CliRunner().invoke(cli, ["why", *arguments], terminal_width=100)


def test_it_names_the_pair_the_day_and_the_amounts(plan):
    """Compressor 12 A and hand tool 10 A, as the shop file marks them."""
    text = " ".join(run(plan).stdout.split())
    assert "one more, hand tool, would make compressor + hand tool = 22 A of 20 A on" in text
    assert "At least 5 new circuits of 120 V: no two of these 5 can share one" in text
    assert "E2.left and E2.right: the shop file wants them apart" in text


def test_one_circuit_alone(plan):
    data = json.loads(run(plan, "--json").stdout)
    name = next(c["circuit"] for c in data["circuits"] if c["breaks"])
    alone = json.loads(run(plan, name, "--json").stdout)
    assert [c["circuit"] for c in alone["circuits"]] == [name]
    assert alone["circuits"][0]["breaks"] == next(
        c["breaks"] for c in data["circuits"] if c["circuit"] == name
    )
    assert alone["least_circuits"] == []


def test_a_circuit_that_is_not_there_is_misuse(plan):
    done = run(plan, "C99")
    assert done.exit_code == 2
    assert "no circuit 'C99': name one of" in done.stderr
