"""The plans under `tests/plans`, written once: as plans, and as the data of their files."""

import json
from pathlib import Path
from typing import Any

from models.plan import Plan
from models.plan_file import canonical_json, read_plan

PLANS = Path(__file__).resolve().parent / "plans"
# Of each kind of thing that is drawn or listed one plan at least has some.
DRAWN = ("four_box", "one_bay_garage", "every_section", "two_changeovers")
LISTED = (*DRAWN, "taken_apart")


def plan_on_file(name: str) -> Plan:
    """A plan under `tests/plans`."""
    return read_plan(PLANS / name)


def data_of(plan: Plan) -> Any:
    """The data that the file of a plan has, to be changed at will."""
    return json.loads(canonical_json(plan.model_dump(mode="json")))


def plan_data(name: str) -> Any:
    """The data of its file, to be changed at will."""
    return json.loads((PLANS / name / "plan.json").read_text("utf-8"))
