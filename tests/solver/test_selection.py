"""Selection against an independent mixed-integer model (SciPy, HiGHS) and against brute force."""

import math

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from models.formulas.raceway_fill import raceway_area_in2
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.enclosures import box_choices, fixed_cost
from solver.panel import free_pairs, free_spaces
from solver.pool import enumerate_all
from solver.selection import Selection
from solver.solve import Control
from tests.solver.every_choice import cheapest_boxes, dealt_to_circuits


def selected(circuits, pool):
    found = Selection(circuits.shop, circuits.ways, circuits.catalogue, pool).solve(Control())
    return None if found is None else found.value


def brute_force(circuits):
    """Least cost over every partition of the items and every build of every group."""
    shop, least = circuits.shop, math.inf
    free = free_spaces(shop, shop.panel())
    for made in dealt_to_circuits(circuits):
        chosen = [found[0] for found in made]  # no raceways here: one build each
        if sum(c.poles for c in chosen) > len(free) - shop.later.spare_spaces:
            continue
        if sum(c.poles == 2 for c in chosen) > free_pairs(free):
            continue
        boxes = cheapest_boxes(circuits, chosen)
        if boxes is not None:
            least = min(least, sum(c.cost for c in chosen) + boxes)
    return least + fixed_cost(shop, circuits.catalogue)


@pytest.mark.parametrize("seed", range(24))
def test_least_cost_equals_brute_force(seed, make_shop, make_circuits):
    """On random shops of up to seven points, over every partition into circuits."""
    circuits = make_circuits(make_shop(seed, boxes=3 + seed % 3))
    assert len(circuits.points.items) <= 8
    assert enumerate_all(circuits, Control())
    value = selected(circuits, circuits.pool())
    least = brute_force(circuits)
    assert value == least if value is not None else math.isinf(least)


class Highs:
    """The same choice as a mixed-integer model of its own, solved by HiGHS through SciPy.

    Columns: circuits, then box sizes, then raceways used.
    """

    def __init__(self, circuits, pool, existing_lit=1):
        self.circuits, self.pool, self.shop = circuits, pool, circuits.shop
        choices = [c for c in box_choices(self.shop, circuits.catalogue) if c.sizes]
        self.sizes = [(c.box, held, cost) for c in choices for _, held, cost in c.sizes]
        self.raceways = sorted(circuits.ways.raceways)
        self.rows = []
        self.items()
        self.spaces()
        self.add(self.shop.code.light_circuits - existing_lit, np.inf, self.lit())
        for choice in choices:
            self.box(choice.box)
        for name in self.raceways:
            self.raceway(name)

    def add(self, least, most, circuits=0, sizes=0, raceways=0):
        """One row: coefficients of the three kinds of columns between two limits."""
        parts = [(circuits, self.pool), (sizes, self.sizes), (raceways, self.raceways)]
        row = [np.broadcast_to(np.asarray(c, dtype=float), len(columns)) for c, columns in parts]
        self.rows.append((np.concatenate(row), least, most))

    def items(self):
        for item in range(len(self.circuits.points.items)):
            self.add(1, 1, [item in c.items for c in self.pool])

    def spaces(self):
        free = free_spaces(self.shop, self.shop.panel())
        room = len(free) - self.shop.later.spare_spaces
        self.add(0, room, [c.poles for c in self.pool])
        self.add(0, free_pairs(free), [c.poles == 2 for c in self.pool])

    def lit(self):
        """1 for each circuit with lights."""
        return [any(p.kind == "lights" for p in c.load.points) for c in self.pool]

    def box(self, name):
        """314.16(B): one size; contents with one ground, and with a quarter of each, within it."""
        held = [volume if box == name else 0 for box, volume, _ in self.sizes]
        self.add(1, 1, sizes=[box == name for box, _, _ in self.sizes])
        shares = [c.boxes.get(name) for c in self.pool]
        allowances = {s.ground_volume for s in shares if s}
        assert len(allowances) <= 1
        ground = max(allowances, default=0)
        contents = np.array([s.volume if s else 0 for s in shares], dtype=float)
        self.add(-np.inf, -ground, contents, np.negative(held))
        if self.shop.code.edition >= 2020:
            quarters = np.array([s.grounds * ground / 4 if s else 0 for s in shares])
            self.add(-np.inf, 0, contents + quarters, np.negative(held))

    def raceway(self, name):
        """Table 1 of chapter 9; nine 12 AWG conductors keep 70 %, ten would not hold 20 A."""
        raceway = self.circuits.ways.raceways[name].raceway
        area = 0.40 * raceway_area_in2(raceway.kind, raceway.trade_size) * 10_000
        shares = [c.raceways.get(name) for c in self.pool]
        self.add(0, int(area), [s.room if s else 0 for s in shares])
        self.add(0, 9, [s.current_carrying if s else 0 for s in shares])
        used = [-1.0 * (other == name) for other in self.raceways]
        for number, share in enumerate(shares):
            if share:
                mine = np.zeros(len(self.pool))
                mine[number] = 1
                self.add(-np.inf, 0, mine, raceways=used)

    def least_cost(self):
        catalogue = self.circuits.catalogue
        laid = [self.circuits.ways.raceways[name] for name in self.raceways]
        cost = [c.cost for c in self.pool] + [cost for _, _, cost in self.sizes]
        cost += [
            catalogue.raceway(way.raceway.kind, way.raceway.trade_size) * way.length_cft
            + 200 * catalogue.raceway_connector
            for way in laid
        ]
        rows, low, high = (np.array(part) for part in zip(*self.rows, strict=True))
        answer = milp(
            np.array(cost, dtype=float),
            integrality=np.ones(len(cost)),
            bounds=Bounds(0, 1),
            constraints=LinearConstraint(rows, low, high),
        )
        fixed = fixed_cost(self.shop, catalogue)
        return round(answer.fun) + fixed if answer.success else None


def small(circuits):
    """The pool without the larger conductors, which the model here does not tell apart."""
    return [candidate for candidate in circuits.pool() if candidate.awg in ("14", "12")]


@pytest.mark.parametrize("seed", range(100, 112))
def test_random_shops_equal_highs(seed, make_shop, make_circuits):
    """scipy.optimize.milp finds the same least cost."""
    circuits = make_circuits(make_shop(seed, boxes=5))
    assert enumerate_all(circuits, Control())
    pool = small(circuits)
    assert selected(circuits, pool) == Highs(circuits, pool).least_cost()


def test_lighting_circuits_wished_for(request, make_circuits):
    """The garage with a second switch: alone one circuit is cheapest, two are wished beside X2."""
    garage = read_shop(request.config.rootpath / "scenarios" / "one_bay_garage.yaml")
    second = {"wall": "north", "x": "10 ft", "height": "48 in", "yokes": ["switch"]}
    changes = [("boxes[S2]", second), ("boxes[L2].switched_by", "S2")]
    found = {}
    for wanted in (1, 2, 3):
        shop = changed(garage, [*changes, ("code.light_circuits", wanted),
                                ("supply.panels[P].spaces", 14)])  # fmt: skip
        circuits = make_circuits(shop)
        assert enumerate_all(circuits, Control())
        pool = small(circuits)
        found[wanted] = selected(circuits, pool)
        assert found[wanted] == Highs(circuits, pool, existing_lit=1).least_cost()
    assert found[1] == found[2] < found[3]


def test_the_garage_equals_highs(request, make_circuits):
    """The demo shop, with raceways and boxes of two circuits."""
    shop = read_shop(request.config.rootpath / "scenarios" / "one_bay_garage.yaml")
    circuits = make_circuits(shop)
    assert enumerate_all(circuits, Control())
    pool = small(circuits)
    assert selected(circuits, pool) == Highs(circuits, pool).least_cost()
