"""The lower bound against the true least cost, by brute force over every tree of every grouping."""

import itertools
import math

import pytest

from models.price_book import PriceBook
from models.shop_file import read_shop
from solver.candidate import Candidate, Edge
from solver.catalogue import CABLE_AWGS, RATINGS
from solver.enclosures import box_choices, fixed_cost
from solver.panel import free_pairs, free_spaces
from solver.plan import plan_shop
from solver.refusal import Refusal
from solver.solve import Control
from solver.tree import rooted
from solver.wiring import Wiring
from tests.dealt_out import dealt_out


class GivenTree(Wiring):
    """A circuit built along a tree that is told, not chosen."""

    told: list[tuple[str, str]]

    def _edges(self):
        edges = []
        for start, end in self.told:
            way = self.priced.way(start, end)
            if way is None:
                return None
            edges.append(Edge(start, end, way, self.roles))
        return tuple(edges)


def trees(panel, boxes):
    """Every tree on the boxes with every home run, as directed edges."""
    pairs = list(itertools.combinations(boxes, 2))
    for chosen in itertools.combinations(pairs, len(boxes) - 1):
        for home in boxes:
            edges = rooted(home, chosen)
            if len(edges) == len(boxes) - 1:
                yield [(panel, home), *edges]


def builds(circuits, group):
    """Every candidate of a group: all trees, all ratings, all sizes."""
    points = tuple(p for item in sorted(group) for p in circuits.points.items[item].points)
    if circuits.unfit(points) is not None:
        return
    placed = circuits.loads.seat(points)
    if isinstance(placed, Refusal):
        return
    load = circuits.loads.of(points, placed)
    boxes = sorted({p.box for p in load.outlets})
    for amps in (a for a in RATINGS if circuits.rating_unfit(a, load) is None):
        for tree in trees(circuits.shop.panel().id, boxes):
            for awg in CABLE_AWGS[1:]:
                wiring = GivenTree(circuits, load, amps, awg, frozenset(), "P")
                wiring.told = tree
                made = wiring.candidate(tuple(sorted(group)))
                if not isinstance(made, Refusal):
                    yield made
                    break


def boxes_cost(circuits, chosen):
    """The smallest boxes that hold what the circuits put in; None when some box is too small."""
    total = 0
    for choice in box_choices(circuits.shop, circuits.catalogue):
        shares = [c.boxes[choice.box] for c in chosen if choice.box in c.boxes]
        grounds = sum(share.grounds for share in shares)
        each = max((share.ground_volume for share in shares), default=0)
        count = max(1.0, grounds / 4) if circuits.shop.code.edition >= 2020 else 1.0
        needed = sum(share.volume for share in shares) + each * count
        fitting = [cost for _, held, cost in choice.sizes if held >= needed]
        if not fitting:
            return None
        total += min(fitting)
    return total


def true_least(circuits):
    """Least cost over groupings, trees and boxes [0.0001 USD]."""
    shop, free, least = circuits.shop, free_spaces(circuits.shop, circuits.shop.panel()), math.inf
    known: dict[frozenset[int], list[Candidate]] = {}
    for parts in dealt_out(range(len(circuits.points.items))):
        groups = [frozenset(part) for part in parts]
        for group in groups:
            known.setdefault(group, list(builds(circuits, group)))
        for chosen in itertools.product(*(known[group] for group in groups)):
            if sum(c.poles for c in chosen) > len(free) - shop.later.spare_spaces:
                continue
            if sum(c.poles == 2 for c in chosen) > free_pairs(free):
                continue
            cost = sum(c.cost for c in chosen)
            boxes = boxes_cost(circuits, chosen) if cost < least else None
            if boxes is not None:
                least = min(least, cost + boxes)
    return least + fixed_cost(shop, circuits.catalogue)


@pytest.mark.parametrize("seed", range(400, 412))
def test_no_plan_at_all_is_below_the_bound_or_proved_wrongly(seed, make_shop, make_circuits):
    """Bound ≤ true least cost ≤ value; `global` only when the value is the true least cost."""
    shop = make_shop(seed, boxes=3 + seed % 2)
    least = true_least(make_circuits(shop)) / 10_000
    plan = plan_shop(shop, PriceBook.read(), Control(effort=2), explain=False).plan
    if plan is None:
        assert math.isinf(least)
        return
    goal = plan.objective
    assert goal.lower_bound is not None
    assert goal.lower_bound <= round(least, 2) <= goal.value
    if goal.proved == "global":
        assert goal.value == round(least, 2)


def test_the_demo_shop_has_a_bound(request):
    """No refusal of the garage leaves its bound in doubt."""
    shop = read_shop(request.config.rootpath / "scenarios" / "one_bay_garage.yaml")
    plan = plan_shop(shop, PriceBook.read(), Control(effort=2)).plan
    assert plan is not None
    assert plan.objective.lower_bound is not None
    assert plan.objective.gap is not None
    assert plan.objective.gap < 0.005
