"""Findings as SARIF 2.1.0, the OASIS format in which checkers hand results to other programs.

Sections named here are those of the standard. No clock, no random id, no path of one machine: the
same plan and findings give the same log.
"""

import hashlib
import os
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from branchwright.edition_change import EditionChange
from branchwright.explain import sections
from branchwright.places import Place, Places
from branchwright.sheets.findings import source_words, value_words
from branchwright.words import clean
from models.formulas.editions import EDITIONS
from models.plan import Finding, Plan
from models.rules import RULES
from models.rules.rule import RuleText
from models.rules.why import whys

# 3.27.9, 3.27.10: what this program cannot check is for a person to review, without a severity.
KIND_AND_LEVEL: Final = {
    "violation": ("fail", "error"),
    "warning": ("fail", "warning"),
    "note": ("fail", "note"),
    "not-checked": ("review", "none"),
}
FINGERPRINT: Final = "findingKey/v1"  # 3.27.17
BASE: Final = "START"
INDEX: Final = {rule: index for index, rule in enumerate(RULES)}
FACTS: Final = ("found", "limit", "unit", "source", "edition", "basis", "rests_on_memory", "fix")
YAML_SUFFIXES: Final = (".yaml", ".yml")


def sarif_log(
    file: Path,
    plan: Plan,
    findings: Sequence[Finding],
    change: EditionChange | None = None,
    remark: str | None = None,
) -> dict[str, Any]:
    """A log of one run over a file, a plan's or a shop's that is wired already (3.13, 3.14).

    With `change` every result says how it compares with the edition the plan was made for, and
    those that go are told too (3.27.24). `remark` is what else went wrong (3.20.21).
    """
    places, made_for = Places(plan), plan.made_by.edition
    states = change.states() if change else {}
    uri, base = _uri(file)
    location = {"uri": uri, "uriBaseId": BASE, "index": 0}
    logical = _LogicalLocations()
    results = [
        _result(finding, logical.of(places.of(finding.where), finding.where), location)
        | ({"baselineState": states[finding.key]} if change else {})
        for finding in (*findings, *(change.goes if change else ()))
    ]
    notes = [{"level": "error", "message": {"text": remark}}] if remark else []
    run = {
        "tool": {
            "driver": {
                "name": "branchwright",
                "version": version("branchwright"),
                "rules": [_rule(rule) for rule in RULES.values()],
            }
        },
        "invocations": [{"executionSuccessful": True, "toolExecutionNotifications": notes}],
        "originalUriBaseIds": {BASE: {"description": {"text": base}}},
        "artifacts": [
            {
                "location": location,
                "roles": ["analysisTarget"],
                "mimeType": f"application/{'yaml' if file.suffix in YAML_SUFFIXES else 'json'}",
                "hashes": {"sha-256": hashlib.sha256(file.read_bytes()).hexdigest()},
            }
        ],
        "logicalLocations": logical.objects,
        "columnKind": "unicodeCodePoints",
        "results": results,
        "properties": {"edition": change.edition if change else made_for, "made_for": made_for},
    }
    return {"version": "2.1.0", "runs": [run]}


def _uri(file: Path) -> tuple[str, str]:
    """A relative reference to a file, and the folder that it starts from, in words (3.4.3)."""
    whole, here = file.resolve(), Path.cwd()
    within = whole.is_relative_to(here)
    relative = whole.relative_to(here) if within else Path(whole.parent.name, whole.name)
    base = "the folder the command started in" if within else "the folder above the file's own"
    return quote(os.fsencode(relative.as_posix())), base


def _rule(rule: RuleText) -> dict[str, Any]:
    """What a rule asks, why, and what to do (3.49)."""
    why = whys()[rule.id]
    help_text = f"{why.why} When it fires: {why.remedy} Source: {sections(rule)}."
    return {
        "id": rule.id,
        "shortDescription": {"text": f"{rule.title}."},
        "fullDescription": {"text": rule.says},
        "help": {"text": help_text},
        "properties": {
            "basis": rule.basis,
            "sections": {str(edition): rule.source_in(edition) for edition in EDITIONS},
            "rests_on_memory": rule.rests_on_memory,
        },
    }


def _result(finding: Finding, logical: dict[str, Any], location: dict[str, Any]) -> dict[str, Any]:
    """One finding (3.27)."""
    kind, level = KIND_AND_LEVEL[finding.severity]
    facts = finding.model_dump(mode="json", include=set(FACTS))
    values = value_words(finding)
    message = clean(finding.says) + (f" ({values})" if values else "") + "."
    if finding.fix:
        message += f" Next: {clean(finding.fix)}."
    return {
        "ruleId": finding.rule,
        "ruleIndex": INDEX[finding.rule],
        "kind": kind,
        "level": level,
        "message": {"text": f"{message} Source: {source_words(finding)}."},
        "locations": [
            {"physicalLocation": {"artifactLocation": location}, "logicalLocations": [logical]}
        ],
        "partialFingerprints": {FINGERPRINT: finding.key},
        "properties": {name: facts[name] for name in FACTS if facts[name] not in (None, "")},
    }


class _LogicalLocations:
    """The places that results name, each once, with what lies within them (3.14.17, 3.33)."""

    def __init__(self) -> None:
        self.objects: list[dict[str, Any]] = []
        self._index: dict[tuple[Place, str | None], int] = {}

    def of(self, place: Place, where: str) -> dict[str, Any]:
        """The logical location of a finding, as a reference into `objects`."""
        top = self._add(
            place,
            None,
            {
                "name": place.id,
                "fullyQualifiedName": place.id,
                "kind": place.kind,
                "properties": {"heading": place.heading},
            },
        )
        if where == place.id:
            index = top
        else:
            name = f"{place.id}/{where}"
            within = {"name": where, "fullyQualifiedName": name, "parentIndex": top}
            index = self._add(place, where, within)
        return {"fullyQualifiedName": self.objects[index]["fullyQualifiedName"], "index": index}

    def _add(self, place: Place, where: str | None, made: dict[str, Any]) -> int:
        key = place, where
        if key not in self._index:
            self._index[key] = len(self.objects)
            self.objects.append(made)
        return self._index[key]
