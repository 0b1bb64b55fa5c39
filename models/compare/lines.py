"""Takeoffs of several plans line by line, and the copper price at which their order turns.

USD, pounds. A price book gives one price for a cable and does not part it into copper and the rest;
so what can be told is by how much copper would have to be dearer or cheaper than in these prices,
where a cable's price follows that of its copper pound by pound. A cable is never paid less than
nothing for its copper: that bounds how far the price can fall.
"""

from collections.abc import Sequence
from itertools import combinations
from typing import Final, Literal

from pydantic import Field

from models.plan import Plan, TakeoffLine
from models.plan.part import Part
from models.rules.changeovers import copper_of

SAME: Final = 0.005
Turns = Literal["at this change", "at no price of copper", "same copper"]


class LineDifference(Part):
    """A part of which the plans ask for different quantities."""

    key: str
    item: str
    unit: str
    quantities: tuple[float, ...]
    costs_usd: tuple[float, ...]


class CopperTurn(Part):
    """Where two plans cost the same, by the change of the copper price; USD/lb."""

    plans: tuple[str, str]
    turns: Turns
    change_usd_per_lb: float | None = Field(description="Above the copper price in these prices")
    dearer_with_more: str | None = Field(description="The plan that is dearer beyond that change")


def line_differences(plans: Sequence[Plan]) -> tuple[LineDifference, ...]:
    """Every part that is not the same in all plans, by key."""
    books = [{line.key: line for line in plan.takeoff} for plan in plans]
    keys = sorted({key for book in books for key in book})
    return tuple(
        made for key in keys if (made := _difference(key, [book.get(key) for book in books]))
    )


def _difference(key: str, lines: Sequence[TakeoffLine | None]) -> LineDifference | None:
    quantities = tuple(line.quantity if line else 0.0 for line in lines)
    costs = tuple(line.cost_usd if line else 0.0 for line in lines)
    if max(quantities) - min(quantities) < SAME and max(costs) - min(costs) < SAME:
        return None
    line = next(line for line in lines if line is not None)
    return LineDifference(
        key=key, item=line.item, unit=line.unit, quantities=quantities, costs_usd=costs
    )


def copper_turns(marks: Sequence[str], plans: Sequence[Plan]) -> tuple[CopperTurn, ...]:
    """For every two plans, the change of the copper price at which their order turns."""
    return tuple(
        _turn((marks[one], marks[other]), plans[one], plans[other])
        for one, other in combinations(range(len(plans)), 2)
    )


def _turn(marks: tuple[str, str], one: Plan, other: Plan) -> CopperTurn:
    pounds = one.totals.copper_lb - other.totals.copper_lb
    dollars = one.totals.material_cost_usd - other.totals.material_cost_usd
    if abs(pounds) < SAME:
        return CopperTurn(
            plans=marks, turns="same copper", change_usd_per_lb=None, dearer_with_more=None
        )
    change = -dollars / pounds
    with_more = marks[0] if pounds > 0 else marks[1]
    turns: Turns = "at this change" if change > -_most_in(one, other) else "at no price of copper"
    return CopperTurn(
        plans=marks,
        turns=turns,
        change_usd_per_lb=round(change, 2),
        dearer_with_more=with_more,
    )


def _most_in(*plans: Plan) -> float:
    """The most that copper can cost in these prices: no conductor is sold for less. [USD/lb]"""
    found = [
        line.unit_price_usd / pounds
        for plan in plans
        for line in plan.takeoff
        if line.unit == "ft" and (pounds := copper_of(line.key, 1.0)) > 0
    ]
    return min(found, default=0.0)
