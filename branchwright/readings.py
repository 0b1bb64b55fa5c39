"""A plan read once, for every sheet that asks the same of it: its shop, its reading, who shares a
breaker.
"""

from branchwright.kept import kept
from models.answers.together import SharedBreaker, Together
from models.plan import Plan
from models.rules.reading import Reading
from models.shop import Shop


@kept
def shop_of(plan: Plan) -> Shop:
    """The shop that a plan is for."""
    return Shop.model_validate(plan.source.shop)


@kept
def reading_of(plan: Plan) -> Reading:
    """The plan as the checks read it."""
    return Reading(plan, shop_of(plan))


@kept
def shared_breakers(plan: Plan) -> tuple[SharedBreaker, ...]:
    """Who shares a breaker, circuit by circuit."""
    return tuple(Together(reading_of(plan)).breakers())
