"""Findings: what the checks found, what they rest on, and what to do next."""

from collections.abc import Iterable

from branchwright.sheets.table import Table, columns
from branchwright.words import clean, plain
from models.plan import Finding
from models.rules import RANK

COLUMNS = columns("Kind", "Rule", "Where", "What", ">Found", ">Limit", "Source", "Next step")
BASIS = {"code": "", "maker": "maker's instruction", "habit": "habit, not law", "plan": ""}


def findings_table(findings: Iterable[Finding], title: str = "Findings") -> Table:
    """A row for each finding that is not an open question, violations first."""
    told = [finding for finding in findings if finding.severity != "not-checked"]
    told.sort(key=lambda finding: RANK[finding.severity])
    return Table(
        title,
        COLUMNS,
        tuple(_row(finding) for finding in told),
        marks=tuple(finding.severity for finding in told),
    )


def open_questions(findings: Iterable[Finding]) -> list[tuple[str, str]]:
    """What was not checked: subject and sentence."""
    return [
        (
            clean(finding.where),
            "; ".join(clean(part) for part in (finding.says, finding.fix) if part),
        )
        for finding in findings
        if finding.severity == "not-checked"
    ]


def source_words(finding: Finding) -> str:
    """Section, edition, and whether it is law, maker's instruction or habit."""
    edition = f" ({finding.edition})" if finding.edition else ""
    memory = "from memory" if finding.rests_on_memory else ""
    marks = ", ".join(mark for mark in (BASIS[finding.basis], memory) if mark)
    return clean(finding.source) + edition + (f", {marks}" if marks else "")


def value_words(finding: Finding) -> str:
    """Found and limit: "31.5 in³ of 30.3 in³"."""
    found, limit = (_value(value, finding.unit) for value in (finding.found, finding.limit))
    return f"{found} of {limit}" if found else limit


def _value(value: float | str | None, unit: str | None) -> str:
    if value is None:
        return ""
    number = clean(value) if isinstance(value, str) else plain(value)
    return f"{number} {unit}" if unit else number


def _row(finding: Finding) -> tuple[str, ...]:
    """One finding."""
    return (
        finding.severity,
        clean(finding.rule),
        clean(finding.where),
        clean(finding.says),
        _value(finding.found, finding.unit),
        _value(finding.limit, finding.unit),
        source_words(finding),
        clean(finding.fix),
    )
