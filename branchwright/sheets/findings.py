"""Findings: what the checks found, what they rest on, and what to do next."""

import re
from typing import Final

from branchwright.metric_sentences import sentence, value_and_unit
from branchwright.places import Places, worst_first
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, on_paper, plain
from models.plan import Finding, Plan
from models.rules import RULES

COLUMNS = columns("Kind", "Rule", "Where", "What", ">Found", ">Limit", "Source", "Next step")
BASIS = {"code": "law", "maker": "maker's instruction", "habit": "habit, not law", "plan": ""}
_NUMBER: Final = re.compile(r"(?<![\w.])\d+(?:\.\d+)?(?![\w.]*\w)")  # not within a name


def findings_table(plan: Plan) -> Table:
    """A row for each finding that is not an open question, the worst first."""
    told = worst_first(finding for finding in plan.findings if finding.severity != "not-checked")
    places = Places(plan)
    return Table(
        "Findings",
        COLUMNS,
        tuple(_row(finding, places.called(finding.where)) for finding in told),
        marks=tuple(finding.severity for finding in told),
    )


def open_questions(plan: Plan) -> list[tuple[str, str]]:
    """What was not checked: subject and sentence."""
    places = Places(plan)
    return [
        (
            places.called(finding.where),
            "; ".join(told_on_paper(part) for part in (finding.says, finding.fix) if part),
        )
        for finding in plan.findings
        if finding.severity == "not-checked"
    ]


def source_words(finding: Finding) -> str:
    """Section, edition, and whether it is law, maker's instruction or habit."""
    edition = f" ({finding.edition})" if finding.edition else ""
    memory = "from memory" if finding.rests_on_memory else ""
    marks = ", ".join(mark for mark in (BASIS[finding.basis], memory) if mark)
    return clean(finding.source) + edition + (f", {marks}" if marks else "")


def rule_words(finding: Finding) -> str:
    """The rule by its title, as the list of what was checked has it."""
    rule = RULES.get(finding.rule)
    return rule.title if rule else clean(finding.rule)


def told_on_paper(says: str) -> str:
    """A sentence of a finding, or what to do next."""
    return on_paper(sentence(clean(says)))


def value_words(finding: Finding) -> str:
    """Found and limit, "31.5 of 30.3 in³"; nothing when the finding's sentence names both."""
    found, limit = finding.found, finding.limit
    if limit is None or (_named(limit, finding.says) and _named(found, finding.says)):
        return ""
    most = _value(limit, finding.unit)
    return f"limit {most}" if found is None else f"{_value(found, None)} of {most}"


def _named(value: float | str | None, says: str) -> bool:
    """Whether a sentence names a value, numbers to one or two decimals."""
    if value is None or isinstance(value, str):
        return value is None or value in says
    return not {plain(value, 1), plain(value, 2)}.isdisjoint(_NUMBER.findall(says))


def _value(value: float | str | None, unit: str | None) -> str:
    if value is None:
        return ""
    number = clean(value) if isinstance(value, str) else plain(value)
    return f"{number} {unit}" if unit else number


def _row(finding: Finding, where: str) -> tuple[str, ...]:
    """One finding, and where in words."""
    found, limit = (value_and_unit(one, finding.unit) for one in (finding.found, finding.limit))
    return (
        finding.severity,
        rule_words(finding),
        where,
        told_on_paper(finding.says),
        _value(*found),
        _value(*limit),
        source_words(finding),
        told_on_paper(finding.fix),
    )
