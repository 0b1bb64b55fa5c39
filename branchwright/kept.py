"""What takes long to answer of a plan, kept for the next who asks: page, terminal, sheets."""

from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from models.plan import Plan

Answer = TypeVar("Answer")


def kept(answer: Callable[[Plan], Answer]) -> Callable[[Plan], Answer]:
    """The same answer again when it is asked of the very plan that it was last asked of."""
    last: list[tuple[Plan, Answer]] = []

    @wraps(answer)
    def asked(plan: Plan) -> Answer:
        if not last or last[0][0] is not plan:
            last[:] = [(plan, answer(plan))]
        return last[0][1]

    return asked
