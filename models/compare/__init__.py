"""Plans beside each other: figures, takeoffs line by line, what moved, and when copper turns it.

Everything is told of finished plans; `branchwright schema compare` is made from these models.
"""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple

from pydantic import Field

from models.changeovers import coming_names
from models.compare.figures import Figures, figures
from models.compare.lines import CopperTurn, LineDifference, copper_turns, line_differences
from models.compare.moves import Moves, moves
from models.naming import called
from models.plan import Plan
from models.plan.part import Part
from models.shop import Shop
from models.shop_differences import ShopDifference, shop_differences
from models.shop_wider import allows_every_plan_of, are_choices

COMPARE_FORMAT: Final = "branchwright-compare/1"


class Named(NamedTuple):
    """A plan with what it is called and where it lies."""

    name: str
    file: str | None
    plan: Plan


class NoPlan(Part):
    """A shop that has no plan, and the first cause."""

    name: str
    says: str


class AgainstFirst(Part):
    """A plan against the first: what its shop says otherwise, its costs, what moved."""

    plan: str
    shop: tuple[ShopDifference, ...]
    more_usd: float = Field(description="Material; below 0 it costs less")
    more_later_usd: float = Field(description="For days to come, each at its likelihood")
    more_copper_lb: float
    settled: bool | None = Field(
        description="Whether bounds leave no room for the other order; null: no bound is known"
    )
    within: bool = Field(
        description="Whether the cheaper one's shop allows every plan of the dearer one's"
    )
    moves: Moves


class Comparison(Part):
    """The answer of `branchwright compare --json`."""

    format: Literal["branchwright-compare/1"] = COMPARE_FORMAT
    plans: tuple[Figures, ...]
    without_plan: tuple[NoPlan, ...]
    same_prices: bool
    takeoff: tuple[LineDifference, ...]
    copper: tuple[CopperTurn, ...]
    against_first: tuple[AgainstFirst, ...]
    machines: dict[str, str] = Field(
        description="What people call the machines, and those that may come, by id"
    )


def compared(named: Sequence[Named], without_plan: Sequence[NoPlan] = ()) -> Comparison:
    """Plans beside each other, the first as what the others are held against."""
    marks = list(map(mark_of, range(len(named))))
    plans = [one.plan for one in named]
    all_figures = [
        figures(mark, one.name, one.file, one.plan) for mark, one in zip(marks, named, strict=True)
    ]
    books = {plan.made_by.price_book.sha256 for plan in plans}
    return Comparison(
        plans=tuple(all_figures),
        machines=_names(plans),
        without_plan=tuple(without_plan),
        same_prices=len(books) < 2,
        takeoff=line_differences(plans),
        copper=copper_turns(marks, plans),
        against_first=tuple(
            _against(all_figures[0], plans[0], now, plan)
            for now, plan in zip(all_figures[1:], plans[1:], strict=True)
        ),
    )


def mark_of(number: int) -> str:
    """What the plans are called: A to Z, then A1.

    >>> mark_of(0), mark_of(25), mark_of(26)
    ('A', 'Z', 'A1')
    """
    letter = chr(ord("A") + number % 26)
    return letter if number < 26 else f"{letter}{number // 26}"


def _against(first: Figures, before: Plan, now: Figures, after: Plan) -> AgainstFirst:
    differences = tuple(shop_differences(before.source.shop, after.source.shop))
    return AgainstFirst(
        plan=now.mark,
        shop=differences,
        more_usd=round(now.material_usd - first.material_usd, 2),
        more_later_usd=round(now.days_to_come_usd - first.days_to_come_usd, 2),
        more_copper_lb=round(now.copper_lb - first.copper_lb, 2),
        settled=_settled(before, after),
        within=are_choices(one.path for one in differences) and _is_within(before, after),
        moves=moves((first.mark, now.mark), before, after),
    )


def _is_within(one: Plan, other: Plan) -> bool:
    """Whether the shop of the cheaper plan allows every plan of the dearer one's."""
    if one.objective.minimize != other.objective.minimize:
        return False
    low, high = sorted((one, other), key=lambda plan: plan.objective.value)
    shops = (Shop.model_validate(plan.source.shop) for plan in (low, high))
    return allows_every_plan_of(*shops)


def _settled(one: Plan, other: Plan) -> bool | None:
    """Whether the dearer plan's shop has no plan that is below the cheaper one.

    By what was minimized, days to come included; None where it is not the same or has no bound.
    """
    if one.objective.minimize != other.objective.minimize:
        return None
    low, high = sorted((one.objective, other.objective), key=lambda goal: goal.value)
    return None if high.lower_bound is None else high.lower_bound >= low.value


def _names(plans: Sequence[Plan]) -> dict[str, str]:
    """What people call the machines of some plans; the first that has one names it."""
    names: dict[str, str] = {}
    for plan in reversed(plans):
        names |= coming_names(plan) | called(plan.machines)
    return names
