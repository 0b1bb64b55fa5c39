"""What takes long to answer of a plan, kept for the next who asks: page, terminal, sheets."""

from collections.abc import Callable
from functools import wraps
from typing import Final, TypeVar

from models.plan import Plan

Answer = TypeVar("Answer")

KEPT: Final = 4


def kept(answer: Callable[[Plan], Answer]) -> Callable[[Plan], Answer]:
    """The same answer again when it is asked of the same plan; of the last few. A plan is frozen:
    what was answered of one object stays true.
    """
    last: list[tuple[Plan, Answer]] = []

    @wraps(answer)
    def asked(plan: Plan) -> Answer:
        for known, found in last:
            if known is plan:
                return found
        found = answer(plan)
        last.insert(0, (plan, found))
        del last[KEPT:]
        return found

    return asked
