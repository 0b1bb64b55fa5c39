"""Splices of a luminaire's box, on the garage plan on file: what is cut off is told.

Every conductor that a luminaire needs leads on to it where all of that kind are spliced (NEC
300.13(A), continuity of conductors; from memory).
"""

import json

import pytest

from models.plan import Plan
from models.rules import check_plan


@pytest.mark.parametrize("role", ["switched", "neutral", "ground"])
def test_a_luminaire_passed_by_is_told(role, request):
    file = request.config.rootpath / "tests" / "plans" / "one_bay_garage" / "plan.json"
    data = json.loads(file.read_text("utf-8"))
    [box] = [box for box in data["boxes"] if box["id"] == "L2"]
    [splice] = [one for one in box["splices"] if one["joins"][0].endswith(role)]
    before = {finding.says for finding in check_plan(Plan.model_validate(data))}
    splice["pigtails"] = []
    after = {finding.says for finding in check_plan(Plan.model_validate(data))}
    assert f"no pigtail leads from the {role} splice in L2 to L2" in " ".join(after - before)
