"""What came of planning a shop, as one JSON document: the plan, or causes and remedies. USD."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from solver.causes import Cause
from solver.plan import Outcome
from solver.remedies import LeastChanges


def outcome_document(outcome: Outcome, folder: Path, *, stopped: bool) -> dict[str, Any]:
    """Plan and causes; `stopped`: the work was cut short."""
    made = outcome.plan
    status = "planned" if made else "stopped" if stopped else "no feasible plan"
    return {
        "status": status,
        "folder": None if made is None else str(folder),
        "plan": None if made is None else made.model_dump(mode="json"),
        "causes": [_cause(cause) for cause in outcome.causes],
        "least_changes": None if outcome.least is None else _least(outcome.least),
    }


def _least(least: LeastChanges) -> dict[str, Any]:
    """The least changes, one by one and in all."""
    return {
        "says": list(least.says),
        "changes": [list(change) for change in least.changes],
        "parts": [asdict(part) for part in least.parts],
        "cost_usd": least.cost_usd,
        "each_needed": least.each_needed,
        "priced": least.priced,
    }


def _cause(cause: Cause) -> dict[str, Any]:
    """A cause with its remedies."""
    remedies = [
        {
            "says": r.says,
            "changes": [list(change) for change in r.changes],
            "works": r.works,
            "leaves": r.leaves,
            "gives_up": r.gives_up,
            "unpriced": list(r.unpriced),
            "cost_usd": r.cost_usd,
            "more_usd": r.more_usd,
        }
        for r in cause.remedies
    ]
    return {
        "reason": cause.reason,
        "where": cause.where,
        "says": cause.says,
        "later": cause.later,
        "remedies": remedies,
    }
