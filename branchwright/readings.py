"""A plan read once, for every sheet that asks the same of it: its shop, its reading, who shares a
breaker. A plan is frozen, so what was read of one object stays true; the last few are kept.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from models.answers.together import SharedBreaker, Together
from models.plan import Plan
from models.rules.reading import Reading
from models.shop import Shop

KEPT: Final = 4


@dataclass(frozen=True, eq=False)
class _Same:
    """One plan, the same only as itself: what is in it is too much to compare."""

    plan: Plan

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.plan is self.plan

    def __hash__(self) -> int:
        return id(self.plan)


def shop_of(plan: Plan) -> Shop:
    """The shop that a plan is for."""
    return _shop(_Same(plan))


def reading_of(plan: Plan) -> Reading:
    """The plan as the checks read it."""
    return _reading(_Same(plan))


def shared_breakers(plan: Plan) -> tuple[SharedBreaker, ...]:
    """Who shares a breaker, circuit by circuit."""
    return _shared(_Same(plan))


@lru_cache(maxsize=KEPT)
def _shop(same: _Same) -> Shop:
    return Shop.model_validate(same.plan.source.shop)


@lru_cache(maxsize=KEPT)
def _reading(same: _Same) -> Reading:
    return Reading(same.plan, _shop(same))


@lru_cache(maxsize=KEPT)
def _shared(same: _Same) -> tuple[SharedBreaker, ...]:
    return tuple(Together(_reading(same)).breakers())
