"""Papers to inspect by: the load calculation line by line, and the findings. Volt-amperes."""

from branchwright.metric_sentences import value_and_unit
from branchwright.papers.paper import Field, Paper, Row, Sum
from branchwright.places import Places, worst_first
from branchwright.sheets.findings import rule_words, source_words, told_on_paper
from branchwright.words import clean, plain
from models.formulas.load_calculation import FEEDER_VOLTS
from models.plan import Finding, Plan

LOADS = (
    Field("Feeder of", 12), Field("What counts", 70), Field("VA", 10, 0), Field("Section", 18),
)  # fmt: skip
FINDINGS = (
    Field("Kind", 12), Field("Rule", 20), Field("Where", 14), Field("What", 70),
    Field("Found", 12), Field("Limit", 12), Field("Unit", 8), Field("Source", 34),
    Field("Next step", 46),
)  # fmt: skip


def load_calculation(plan: Plan) -> Paper:
    """A row for each line of each feeder, and a sum for each."""
    rows: list[Row] = []
    sums: list[Sum] = []
    for feeder in plan.feeders:
        lines = feeder.load_calculation or ()
        if lines:
            says = (
                f"feeder of {clean(feeder.to)}: {feeder.calculated_amps} A at {FEEDER_VOLTS} V,"
                f" breaker {feeder.breaker_amps:g} A"
            )
            sums.append(Sum(says, 2, len(rows), len(rows) + len(lines) - 1))
        rows += [
            (clean(feeder.to), clean(line.says), line.va, clean(line.source)) for line in lines
        ]
    note = (
        "The code calculation, which sizes breaker and conductors of the feeder. What runs together"
        " is another number: neither takes the place of the other."
    )
    return Paper("load_calculation", "Load calculation", LOADS, tuple(rows), note, tuple(sums))


def findings(plan: Plan) -> Paper:
    """A row for each finding, the worst first, open questions last."""
    places = Places(plan)
    rows = tuple(_finding(one, places.called(one.where)) for one in worst_first(plan.findings))
    note = "What the checks found, what each rests on, and what was not checked."
    return Paper("findings", "Findings", FINDINGS, rows, note)


def _finding(finding: Finding, where: str) -> Row:
    found, unit = value_and_unit(finding.found, finding.unit)
    limit, _ = value_and_unit(finding.limit, finding.unit)
    return (
        finding.severity.replace("-", " "), rule_words(finding), where,
        told_on_paper(finding.says), _value(found), _value(limit), clean(unit or ""),
        source_words(finding), told_on_paper(finding.fix),
    )  # fmt: skip


def _value(value: float | str | None) -> str:
    if value is None or isinstance(value, str):
        return clean(value or "")
    return plain(value, 2 if abs(value) >= 10 else 3)
