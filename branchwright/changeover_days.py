"""Every changeover day that a plan has prepared, each as `branchwright changeover` tells it.

Several sheets of a set tell them: those of the last plan that was asked about are kept.
"""

from models.changeover_day import Day, changeover_day
from models.plan import Plan
from solver.changeover_refused import Refused
from solver.changing_over import changed_over

_last: list[tuple[Plan, tuple[Day, ...]]] = []


def changeover_days(plan: Plan) -> tuple[Day, ...]:
    """The day of each machine that may change; those that are refused are left out."""
    if not _last or _last[0][0] is not plan:
        _last[:] = [(plan, tuple(_days(plan)))]
    return _last[0][1]


def _days(plan: Plan) -> list[Day]:
    days = []
    for draft in plan.changeovers or ():
        then = changed_over(plan, draft.machine) if draft.prepared else None
        if then is not None and not isinstance(then, Refused):
            days.append(changeover_day(plan, then, draft.machine))
    return days
