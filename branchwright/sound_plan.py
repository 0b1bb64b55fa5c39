"""A plan file read to make something of it: sheets, a day, an answer.

What only rechecks a plan (`inspect`) reads any; everything else wants a shop that is one, and names
that lead somewhere.
"""

from pathlib import Path

from models.plan import Plan
from models.plan_file import PlanFileError, read_plan
from models.rules import unusable


def read_sound_plan(path: Path) -> Plan:
    """Read a plan from its file or folder; PlanFileError says what is wrong and what next."""
    plan = read_plan(path)
    if (fault := unusable(plan)) is not None:
        raise PlanFileError(
            f"{path}: {fault.says}: {fault.fix}; `branchwright inspect {path}` says what is wrong"
        )
    return plan
