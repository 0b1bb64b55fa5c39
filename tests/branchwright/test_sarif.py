"""SARIF output against the parts of the standard that it uses: OASIS SARIF 2.1.0, by section.

The forms below are written by hand from the text of the standard, stricter than it: nothing may be
in a log that is not named here. What a form cannot say, the tests say one by one.
"""

import json
import re
from pathlib import Path

import jsonschema
import pytest

from branchwright.edition_change import EditionChange
from branchwright.places import Places
from branchwright.sarif import sarif_log
from models.plan import Plan
from models.rules import RULES, check_plan
from tests.branchwright.conftest import HOSTILE
from tests.models.rules.test_hand_plan import CORRUPTIONS, GARAGE, GARAGE_CORRUPTIONS, PLAN, edited


def form(required, **properties):
    """An object with these properties and no other."""
    return {
        "type": "object", "required": required.split(), "properties": properties,
        "additionalProperties": False,
    }  # fmt: skip


TEXT = {"type": "string", "minLength": 1}
INDEX = {"type": "integer", "minimum": 0}  # 3.7.4
BAG = {"type": "object"}  # 3.8: a property bag holds what the tool likes
MESSAGE = form("text", text=TEXT)  # 3.11, 3.12
RELATIVE = {"type": "string", "pattern": r"^(?!/)[A-Za-z0-9._~%/-]+$"}  # 3.4.3, RFC 3986 4.2
ARTIFACT_LOCATION = form("uri uriBaseId index", uri=RELATIVE, uriBaseId=TEXT, index=INDEX)  # 3.4
RULE = form(
    "id shortDescription fullDescription help",  # 3.49.3, 3.49.9, 3.49.10, 3.49.13
    id=TEXT, shortDescription=MESSAGE, fullDescription=MESSAGE, help=MESSAGE, properties=BAG,
)  # fmt: skip
DRIVER = form("name version rules", name=TEXT, version=TEXT, rules={"type": "array", "items": RULE})
LOGICAL = form(  # 3.33
    "name fullyQualifiedName", name={"type": "string"}, fullyQualifiedName={"type": "string"},
    kind=TEXT, parentIndex=INDEX, properties=BAG,
)  # fmt: skip
LOCATION = form(  # 3.28, 3.29
    "physicalLocation logicalLocations",
    physicalLocation=form("artifactLocation", artifactLocation=ARTIFACT_LOCATION),
    logicalLocations={
        "type": "array", "minItems": 1, "maxItems": 1,
        "items": form("fullyQualifiedName index", fullyQualifiedName={"type": "string"},
                      index=INDEX),
    },
)  # fmt: skip
RESULT = form(  # 3.27
    "ruleId ruleIndex kind level message locations partialFingerprints",
    ruleId=TEXT, ruleIndex=INDEX,
    kind={"enum": ["pass", "open", "informational", "notApplicable", "review", "fail"]},  # 3.27.9
    level={"enum": ["warning", "error", "note", "none"]},  # 3.27.10
    message=MESSAGE,
    locations={"type": "array", "minItems": 1, "maxItems": 1, "items": LOCATION},  # 3.27.12
    partialFingerprints={  # 3.27.17; names are versioned hierarchical strings, 3.5.4.2
        "type": "object", "minProperties": 1,
        "patternProperties": {r"^[A-Za-z]+/v[1-9][0-9]*$": TEXT}, "additionalProperties": False,
    },
    baselineState={"enum": ["new", "unchanged", "updated", "absent"]},  # 3.27.24
    properties=BAG,
)  # fmt: skip
INVOCATION = form(  # 3.20
    "executionSuccessful",
    executionSuccessful={"type": "boolean"},
    toolExecutionNotifications={
        "type": "array",
        "items": form("message", message=MESSAGE, level={"const": "error"}),  # 3.58
    },
)  # fmt: skip
ARTIFACT = form(  # 3.24
    "location",
    location=ARTIFACT_LOCATION,
    roles={"type": "array", "items": {"const": "analysisTarget"}},
    mimeType={"enum": ["application/json", "application/yaml"]},
    hashes=form("sha-256", **{"sha-256": {"type": "string", "pattern": "^[0-9a-f]{64}$"}}),
)
RUN = form(  # 3.14
    "tool columnKind results",
    tool=form("driver", driver=DRIVER),  # 3.18, 3.19
    invocations={"type": "array", "minItems": 1, "maxItems": 1, "items": INVOCATION},
    originalUriBaseIds={  # 3.14.14: an absolute uri may be left out, a description may stand
        "type": "object",
        "additionalProperties": form("description", description=MESSAGE),
    },
    artifacts={"type": "array", "minItems": 1, "maxItems": 1, "items": ARTIFACT},
    logicalLocations={"type": "array", "uniqueItems": True, "items": LOGICAL},  # 3.14.17
    columnKind={"enum": ["utf16CodeUnits", "unicodeCodePoints"]},  # 3.14.27
    results={"type": "array", "items": RESULT},  # 3.14.23
    properties=BAG,
)
LOG = form(  # 3.13
    "version runs",
    version={"const": "2.1.0"},
    runs={"type": "array", "minItems": 1, "maxItems": 1, "items": RUN},
)
FORM = jsonschema.Draft202012Validator(LOG)


def corrupted(data, corruptions):
    for edits, _ in corruptions:
        for path, value in edits:
            data = edited(data, path, value)
    return Plan.model_validate(data)


@pytest.fixture
def bad():
    """The garage with several violations, notes and open questions."""
    names = ("a box too small for two circuits", "a machine out of reach",
             "fewer conductors counted")  # fmt: skip
    return corrupted(GARAGE, [GARAGE_CORRUPTIONS[name] for name in names])


@pytest.fixture
def written(tmp_path, monkeypatch):
    """A plan as a file below the folder where one works."""

    def write(plan):
        file = tmp_path / "my shop.plan" / "plan.json"
        file.parent.mkdir(exist_ok=True)
        file.write_text(json.dumps(plan.model_dump(mode="json")), encoding="utf-8")
        monkeypatch.chdir(tmp_path)
        return file

    return write


def log_of(file, plan, edition=None, remark=None):
    change = EditionChange.of(plan, edition) if edition else None
    findings = change.after if change else check_plan(plan)
    return sarif_log(file, plan, findings, change, remark)


def test_the_forms_object_to_what_the_standard_does_not_allow(written, bad):
    log = log_of(written(bad), bad)
    for path, value in (
        (("version",), "2.0"),
        (("runs", 0, "results", 0, "level"), "violation"),
        (("runs", 0, "results", 0, "kind"), "not-checked"),
        (("runs", 0, "results", 0, "ruleIndex"), -1),
        (("runs", 0, "artifacts", 0, "location", "uri"), "/somewhere/plan.json"),
        (("runs", 0, "artifacts", 0, "location", "uri"), "my shop/plan.json"),
        (("runs", 0, "results", 0, "partialFingerprints"), {"key": "x"}),
        (("runs", 0, "results", 0, "place"), "C1"),
        (("runs", 0, "columnKind"), None),
    ):
        broken = json.loads(json.dumps(log))
        at = broken
        for step in path[:-1]:
            at = at[step]
        at[path[-1]] = value
        with pytest.raises(jsonschema.ValidationError):
            FORM.validate(broken)


@pytest.mark.parametrize("edition", [None, 2017, 2020])
def test_the_log_has_the_form_of_the_standard(written, bad, edition):
    log = log_of(written(bad), bad, edition, "the page is of another plan")
    FORM.validate(log)
    json.dumps(log, allow_nan=False)


@pytest.mark.parametrize("name", CORRUPTIONS)
def test_every_corruption_can_be_told(written, name):
    """Also of plans whose names lead nowhere or whose shop cannot be read."""
    plan = corrupted(PLAN, [CORRUPTIONS[name]])
    FORM.validate(log_of(written(plan), plan))


def test_severity_and_kind(written, bad):
    """3.27.9, 3.27.10: a level other than none only where something was found; what a person must
    look at is for review.
    """
    run = log_of(written(bad), bad)["runs"][0]
    findings = check_plan(bad)
    assert {f.severity for f in findings} == {"violation", "warning", "note", "not-checked"}
    told = {
        "violation": ("fail", "error"), "warning": ("fail", "warning"),
        "note": ("fail", "note"), "not-checked": ("review", "none"),
    }  # fmt: skip
    assert [(r["kind"], r["level"]) for r in run["results"]] == [told[f.severity] for f in findings]


def test_results_point_at_their_rule_their_place_and_their_file(written, bad):
    """3.27.6, 3.33.3, 3.33.8, 3.4.5: indices lead where the ids say."""
    file = written(bad)
    run = log_of(file, bad)["runs"][0]
    rules, places = run["tool"]["driver"]["rules"], run["logicalLocations"]
    assert [rule["id"] for rule in rules] == list(RULES)
    of = Places(bad)
    for result, finding in zip(run["results"], check_plan(bad), strict=True):
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"] == finding.rule
        logical = result["locations"][0]["logicalLocations"][0]
        named = places[logical["index"]]
        assert named["fullyQualifiedName"] == logical["fullyQualifiedName"]
        top = places[named["parentIndex"]] if "parentIndex" in named else named
        assert top["kind"] == of.of(finding.where).kind
        assert "parentIndex" not in top
        assert top["fullyQualifiedName"] == top["name"] == of.of(finding.where).id
        location = result["locations"][0]["physicalLocation"]["artifactLocation"]
        assert location == run["artifacts"][location["index"]]["location"]
        assert location["uriBaseId"] in run["originalUriBaseIds"]
        assert result["partialFingerprints"] == {"findingKey/v1": finding.key}
    assert location["uri"] == "my%20shop.plan/plan.json"


def test_a_result_carries_what_the_finding_says(written, bad):
    """Number, limit, unit, section, edition, basis, next step; absent rather than null."""
    results = log_of(written(bad), bad)["runs"][0]["results"]
    fill = next(r for r in results if r["ruleId"] == "box-fill")
    assert fill["properties"] == {
        "found": 24.75, "limit": 21.0, "unit": "in³", "source": "NEC 314.16(B)", "edition": 2023,
        "basis": "code", "rests_on_memory": False, "fix": "a deeper or wider box at E2",
    }  # fmt: skip
    text = fill["message"]["text"]
    assert "Next: a deeper or wider box at E2. Source: NEC 314.16(B) (2023), law." in text


def test_with_another_edition_every_result_has_a_state(written, bad):
    """3.27.24: on one result, on all; what the other edition no longer finds is absent."""
    change = EditionChange.of(bad, 2017)
    run = log_of(written(bad), bad, 2017)["runs"][0]
    states = {r["partialFingerprints"]["findingKey/v1"]: r["baselineState"] for r in run["results"]}
    assert states == change.states()
    assert set(states.values()) >= {"unchanged", "updated"}
    assert run["properties"] == {"edition": 2017, "made_for": 2023}
    for result in log_of(written(bad), bad)["runs"][0]["results"]:
        assert "baselineState" not in result


def test_the_same_plan_gives_the_same_log_and_no_path_of_the_machine(written, bad, tmp_path):
    file = written(bad)
    texts = {json.dumps(log_of(file, bad)) for _ in range(2)}
    assert len(texts) == 1
    assert str(tmp_path) not in texts.pop()


def test_a_file_elsewhere_is_named_from_the_folder_above_its_own(written, bad, monkeypatch):
    file = written(bad)
    (file.parent.parent / "elsewhere").mkdir()
    monkeypatch.chdir(file.parent.parent / "elsewhere")
    log = log_of(file, bad)
    FORM.validate(log)
    assert log["runs"][0]["artifacts"][0]["location"]["uri"] == "my%20shop.plan/plan.json"


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_names_keep_the_form(written, renamed, name):
    plan = renamed(name)
    file = written(plan.model_copy(update={"machines": ()}))
    log = log_of(file, plan)
    FORM.validate(log)
    headings = [p["properties"]["heading"] for p in log["runs"][0]["logicalLocations"]
                if "properties" in p]  # fmt: skip
    assert not any(re.search(r"[\x00-\x1f\u202a-\u202e\ud800-\udfff]", text) for text in headings)


def test_a_shop_that_is_wired_already_is_named_as_yaml(four_box, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("shop.yaml").write_text("name: x\n", encoding="utf-8")
    artifact = sarif_log(Path("shop.yaml"), four_box, ())["runs"][0]["artifacts"][0]
    assert artifact["mimeType"] == "application/yaml"
    assert artifact["location"]["uri"] == "shop.yaml"
