"""The plan file: kept whole, kept readable, and what a reader is told when it is not."""

import json
import re

import pytest
from pydantic import ValidationError

from models.plan import Plan
from models.plan_file import (
    PlanFileError,
    page_mark,
    page_mismatch,
    plan_text,
    read_plan,
    sha256_text,
    write_whole,
)
from models.rules import check_plan
from tests.plan_files import plan_on_file
from tests.violations import violations


def fixtures(root):
    return sorted((root / "tests" / "plans").glob("*/plan.json"))


@pytest.fixture
def text(request):
    return (request.config.rootpath / "tests" / "plans" / "four_box" / "plan.json").read_text(
        "utf-8"
    )


def test_committed_plans_always_load(request):
    """Plans of format 1 written once must load for ever."""
    found = fixtures(request.config.rootpath)
    assert len(found) >= 3
    for path in found:
        assert read_plan(path).format == "branchwright-plan/1"


def test_a_committed_plan_has_changeovers_done(request):
    """One left a conductor capped, the other made its circuit one of both voltages."""
    plan = plan_on_file("changed_over")
    assert [done.capped_runs for done in plan.made_by.changed or ()] == [("C1.1",), ()]
    assert [circuit.hot_space for circuit in plan.circuits] == [None, 7, None]
    assert violations(check_plan(plan)) == []


def test_committed_plans_fill_every_section(request):
    """So that the contract is exercised: what was there at first in one, the rest in others."""
    plans = [read_plan(path) for path in fixtures(request.config.rootpath)]
    empty = [name for name in Plan.model_fields if not any(getattr(p, name) for p in plans)]
    assert empty == []
    plan = plan_on_file("every_section")
    assert [name for name in Plan.model_fields if not getattr(plan, name)] == [
        "removed", "later_machines",
    ]  # fmt: skip
    assert {stage.id for stage in plan.stages} == {
        r.ledgers[n].stage for r in plan.raceways for n in (0, 1)
    }


def as_written(again, first):
    """A plan without the keys that came later and say nothing: null or no."""
    if isinstance(first, dict):
        assert all(not again[key] for key in again.keys() - first.keys())
        return {key: as_written(again[key], value) for key, value in first.items()}
    if isinstance(first, list):
        assert len(again) == len(first)
        return [as_written(*pair) for pair in zip(again, first, strict=True)]
    return again


def test_a_plan_read_and_written_is_the_same(text):
    again = json.loads(plan_text(Plan.model_validate_json(text)))
    assert as_written(again, json.loads(text)) == json.loads(text)


def test_keys_that_a_reader_does_not_know_are_kept(text):
    """At the top, in a part, and in a part of a part."""
    data = json.loads(text)
    data["later_section"] = {"a": [1, 2]}
    data["circuits"][0]["later_key"] = "kept"
    data["circuits"][0]["runs"][0]["later_key"] = 3
    again = json.loads(plan_text(Plan.model_validate(data)))
    assert as_written(again, data) == data


def test_an_unknown_version_is_told_with_what_to_do(text, tmp_path):
    (tmp_path / "plan.json").write_text(text.replace("branchwright-plan/1", "branchwright-plan/2"))
    with pytest.raises(PlanFileError) as error:
        read_plan(tmp_path)
    assert "'branchwright-plan/2'" in str(error.value)
    assert "'branchwright-plan/1'" in str(error.value)
    assert "plan the shop again" in str(error.value)


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("{", "not JSON"),
        ("[]", "format is None"),
        ('{"format": "branchwright-plan/1"}', "made_by"),
        ("[" * 100_000, "not JSON"),
    ],
)
def test_what_is_no_plan_is_told(content, words, tmp_path):
    (tmp_path / "plan.json").write_text(content)
    with pytest.raises(PlanFileError, match=words):
        read_plan(tmp_path / "plan.json")


@pytest.mark.parametrize("number", ["1e308", "-1e308", "1" + "0" * 308])
def test_a_number_that_sums_would_overflow_is_told(number, text, tmp_path):
    (tmp_path / "plan.json").write_text(
        re.sub(r'"allowance_ft": .*', f'"allowance_ft": {number}', text)
    )
    with pytest.raises(PlanFileError) as error:
        read_plan(tmp_path)
    assert f"{number} is larger than any number of a plan (1e+20): plan" in str(error.value)


def test_a_roll_without_length_is_told(request):
    """Pieces are drawn on it by their share of its length."""
    path = request.config.rootpath / "tests" / "plans" / "cut_of_rolls" / "plan.json"
    bad = re.sub(r'"package_ft": [0-9.]+', '"package_ft": 0', path.read_text("utf-8"), count=1)
    with pytest.raises(ValidationError, match=r"package_ft\n.*greater than 0"):
        Plan.model_validate_json(bad)


def test_a_folder_without_a_plan_is_told_and_a_half_written_one_more(tmp_path):
    with pytest.raises(PlanFileError, match="no plan here: run"):
        read_plan(tmp_path)
    (tmp_path / "index.html").write_text("<html>")
    with pytest.raises(PlanFileError, match="half way"):
        read_plan(tmp_path)


def test_a_page_that_shows_another_plan_is_told(text, tmp_path):
    (tmp_path / "plan.json").write_text(text, "utf-8")
    assert page_mismatch(tmp_path) is None
    (tmp_path / "index.html").write_text(page_mark(sha256_text(text)), "utf-8")
    assert page_mismatch(tmp_path) is None
    (tmp_path / "index.html").write_text(page_mark(sha256_text(text + " ")), "utf-8")
    assert "half way" in (page_mismatch(tmp_path) or "")


def test_a_write_that_fails_leaves_the_old_file(tmp_path, monkeypatch):
    """The disk fills up, or the process is killed, before the new file is whole."""
    target = tmp_path / "plan.json"
    write_whole(target, "old")

    def full(_descriptor):
        raise OSError("no space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OSError, match="no space"):
        write_whole(target, "new")
    assert target.read_text() == "old"
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]
