"""A tiny shop as plain data: its yokes, prices, and the ways that it is told.

Written for counting out; nothing of the program is used but its CSV tables.
"""

from collections import namedtuple
from itertools import combinations, product

from tests.slow.slow_facts import (
    by_id,
    cell,
    climates_around,
    enclosures,
    place_of,
    quantity,
    yes,
)

SLACK = 1e-9

Yoke = namedtuple("Yoke", "id box kind configuration volts receptacles luminaires")
Way = namedtuple("Way", "method length_cft ambient_c raceways via")


class Site:
    """A shop as plain data, with the ways between its enclosures and the prices in cents."""

    def __init__(self, shop, ways, prices):
        self.shop, self.ways = shop, ways
        self.cents = {key: round(100 * price) for key, price in prices.items()}
        (panel,) = shop["supply"]["panels"]
        self.panel, self.code = panel, shop["code"]
        self.boxes = by_id(shop.get("boxes", []))
        self.machines = by_id(shop.get("machines", []))
        self.junctions = [box["id"] for box in shop.get("routes", {}).get("junction_boxes", [])]
        self.yokes = {yoke.id: yoke for box in shop.get("boxes", []) for yoke in self.yokes_of(box)}
        self.room_c = min(
            max(c[2] for c in climates_around(shop["building"], *place_of(shop, place)[:2]))
            for place in enclosures(shop).values()
        )
        self.dwelling = yes(shop["building"], "dwelling")
        self.known = {}

    def yokes_of(self, box):
        """What hangs on a circuit as one: a device, a switch with its lights, a lone luminaire."""
        names = yoke_names(box)
        for name, text in zip(names, box.get("yokes", []), strict=True):
            kind, _, configuration = text.partition(" ")
            if configuration:
                volts = (
                    240
                    if cell("receptacles", "voltage", configuration=configuration) == "250"
                    else 120
                )
                count = 2 if kind == "duplex" else 1
                yield Yoke(name, box["id"], kind, configuration, volts, count, ())
            elif kind == "switch":
                lit = [b["id"] for b in self.boxes.values() if switch_of(b) == box["id"]]
                yield Yoke(name, box["id"], kind, None, 120, 0, tuple(lit))
            else:
                wired = [m for m in self.machines.values() if m.get("hard_wired_at") == box["id"]]
                if wired:
                    volts = int(quantity(wired[0]["volts"]))
                    yield Yoke(name, box["id"], kind, None, volts, 0, ())
        if "luminaire" in box and switch_of(box) is None:
            yield Yoke(box["id"], box["id"], "luminaire", None, 120, 0, (box["id"],))

    def apart(self):
        """Pairs of yokes that may not share a circuit."""
        for group in self.shop.get("pins", {}).get("apart", []):
            yield from combinations(group, 2)
        for box in self.boxes.values():
            if yes(box, "two_circuits"):
                yield tuple(yoke_names(box))
            others = box.get("not_with", [])
            for other in [others] if isinstance(others, str) else others:
                mine, its = (yoke_names(b) or [b["id"]] for b in (box, self.boxes[other]))
                yield from product(mine, its)

    def price(self, key):
        """Cents, or None where the book has no such part."""
        return self.cents.get(key)


def yoke_names(box):
    """`W1` for one device, `W1.left` and `W1.right` for two."""
    if len(box.get("yokes", [])) == 2:
        return [f"{box['id']}.left", f"{box['id']}.right"]
    return [box["id"]] * len(box.get("yokes", []))


def switch_of(box):
    """The box with the switch of a luminaire."""
    by = box.get("switched_by")
    return None if by is None else by.partition(".")[0]


def is_light(yoke):
    return yoke.kind in ("switch", "luminaire")


def receptacle_amps(yoke):
    return int(cell("receptacles", "rating_amps", configuration=yoke.configuration))
