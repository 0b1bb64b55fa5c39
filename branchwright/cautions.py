"""What every sheet and page says about its own limits: the wording in one place.

The cautions stand on each drawing and page and are looked for in the README. The verdict is a
sentence about the checks that were made, never about whether an installation may be energized.
"""

from collections.abc import Iterable
from typing import Final

from branchwright.words import plain
from models.plan import Finding, Objective, Plan

PLANNING_AID: Final = (
    "A planning aid. The local code, a licensed electrician and the inspector decide what is built."
)
AUTHORITY: Final = "the authority having jurisdiction decides"
TEST_BEFORE_TOUCH: Final = (
    "De-energize and lock before you open anything, then verify: prove the tester on a live"
    " source, test dead, prove it live again."
)
LUGS_STAY_LIVE: Final = "Panel lugs stay live with the panel's own main breaker off."
SPARES: Final = "Treat spare conductors as live until proved dead."
CAUTIONS: Final = (PLANNING_AID, TEST_BEFORE_TOUCH, LUGS_STAY_LIVE, SPARES)

DO_NOT_BUILD: Final = "DO NOT BUILD"

_PROVED: Final = {
    "global": "proved least {what} for this model",
    "pool": "best of the circuits examined; not proved",
    "none": "not proved",
}


def violations(findings: Iterable[Finding]) -> list[Finding]:
    """The findings that forbid building."""
    return [finding for finding in findings if finding.severity == "violation"]


def verdict(findings: Iterable[Finding], checks: int) -> str:
    """The one sentence at the top, over `checks` checks that were made.

    >>> verdict([], 30)
    'No violation among the 30 checks listed; the authority having jurisdiction decides.'
    """
    count = len(violations(findings))
    if count:
        noun = "violation" if count == 1 else "violations"
        return f"{count} {noun} among the {checks} checks listed."
    return f"No violation among the {checks} checks listed; {AUTHORITY}."


def proved_words(objective: Objective) -> str:
    """What is known about how good the plan is: about cost or copper, never about safety."""
    return _PROVED[objective.proved].format(what=objective.minimize)


def gap_words(plan: Plan) -> str:
    """Whether the gap asked for was reached; empty where none was asked for."""
    asked, gap = plan.made_by.gap_asked, plan.objective.gap
    if asked is None:
        return ""
    percent = f"the gap of {plain(100 * asked)} % asked for"
    if gap is None:
        return f"No bound is known, so {percent} could end nothing."
    if gap > asked or violations(plan.findings):
        return f"It is not within {percent}."
    return f"It is within {percent}."
