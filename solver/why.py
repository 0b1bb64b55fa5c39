"""What it would cost to join two circuits of a plan that no limit of use keeps apart.

Costs are those of wire, breaker and devices of the cheapest build of each; sizes of boxes, and the
room in boxes and raceways that other circuits take, are left out. US dollars.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from models.plan import Plan
from models.price_book import PriceBook
from models.shop import Shop
from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.points import Point, Points
from solver.refusal import Refusal

PER_USD = 10_000


@dataclass(frozen=True)
class Joined:
    """Two circuits as one: what it costs more than both (less when negative), or why it is none."""

    more_usd: float | None
    refused: str = ""


def joined_costs(
    plan: Plan, shop: Shop, book: PriceBook, pairs: Iterable[tuple[str, str]]
) -> Mapping[tuple[str, str], Joined]:
    """What each pair of circuits would cost as one; a pair that is not made of items is left out.

    Empty when the book is not the one that the plan was priced with.
    """
    wanted = list(pairs)
    if not wanted or book.sha256 != plan.made_by.price_book.sha256:
        return {}
    circuits = Circuits.of(shop, book)
    items = _items_by_circuit(plan, circuits.points)
    return {
        pair: _joined(circuits, *(items[name] for name in pair))
        for pair in wanted
        if all(name in items for name in pair)
    }


def _items_by_circuit(plan: Plan, points: Points) -> dict[str, frozenset[int]]:
    """The items of each circuit of a plan."""
    on = {yoke.id: yoke.circuit for box in plan.boxes for yoke in box.yokes}
    on |= {outlet.box: outlet.circuit for outlet in plan.outlets if outlet.kind == "luminaire"}
    on |= {switch.id: switch.circuit for switch in plan.switches}
    on |= {outlet.id: outlet.circuit for outlet in plan.outlets if outlet.kind == "hard-wired"}
    machines = {machine.id: machine.circuit for machine in plan.machines}
    found: dict[str, set[int]] = {}
    for number, item in enumerate(points.items):
        for name in {_circuit_of(point, on, machines) for point in item.points} - {None}:
            found.setdefault(str(name), set()).add(number)
    return {name: frozenset(numbers) for name, numbers in found.items()}


def _circuit_of(
    point: Point, on: Mapping[str, str | None], machines: Mapping[str, str | None]
) -> str | None:
    return machines.get(point.machine) if point.machine else on.get(point.id)


def _joined(circuits: Circuits, first: frozenset[int], second: frozenset[int]) -> Joined:
    both = circuits.candidates(first | second)
    if isinstance(both, Refusal):
        return Joined(None, both.reason)
    apart = [circuits.candidates(items) for items in (first, second)]
    made = [_least_cost(found) for found in apart if not isinstance(found, Refusal)]
    if len(made) < len(apart):
        return Joined(None, "as planned, they are not built alike here")
    return Joined((_least_cost(both) - sum(made)) / PER_USD)


def _least_cost(candidates: Iterable[Candidate]) -> int:
    return min(candidate.cost for candidate in candidates)
