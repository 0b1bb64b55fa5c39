"""Every plan of a tiny shop counted out: what the enumeration is told of the program.

That is the ways between enclosures, and the receptacles that a cord reaches. Both have slow tests
of their own.
"""

import json

from models.reach import receptacles_in_reach
from solver.routes import Ways
from tests.slow import every_plan
from tests.slow.counted_site import Way
from tests.slow.plans_on_file import book_prices

MONEY = 10_000


def counted_out(shop, builds=None):
    """The least cost over every plan [USD]; infinite when there is none.

    `builds`: as in `every_plan.least_cost`.
    """
    ways = Ways(shop)
    between = {
        (start, end): [
            Way(way.method, way.length_cft, way.ambient_c, way.raceways, way.via)
            for way in ways.between(start, end)
        ]
        for start in ways.names
        for end in ways.names
        if start != end
    }
    paths = {
        name: [[value / 100 for value in point] for point in route.path]
        for name, route in ways.raceways.items()
    }
    reach = {
        machine.id: [fitting.yoke_id for fitting in receptacles_in_reach(shop, machine)]
        for machine in shop.machines
        if machine.plug is not None and machine.receptacle is None
    }
    data = json.loads(json.dumps(shop.canonical()))
    return every_plan.least_cost(data, between, book_prices(), reach, paths, builds) / MONEY
