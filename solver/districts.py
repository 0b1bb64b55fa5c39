"""Districts: the items of a large shop dealt to parts of neighbours that are searched one by one.

What must or may only be together goes together: items in one box, a machine that the planner
places with the receptacles it may have, everything on an existing circuit that may change. Bundles
of these are cut apart along the axis that they stretch most along, at whole districts from one end;
another offset puts the cuts elsewhere. Lengths in hundredths of a foot.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import chain
from math import ceil
from typing import Final, NamedTuple

from models.switching import box_of
from solver.circuit import Circuits
from solver.floor import Xyz
from solver.points import Item

MOST_ITEMS: Final = 60  # of a district
MOST_TIED: Final = 40  # items that machines the planner places hold together
MOST_JUNCTIONS: Final = 3  # that circuits of a district may go by
NEAREST_PANELS: Final = 2

Bundle = frozenset[int]


class District(NamedTuple):
    """Items, panels their circuits are tried from, and junction boxes they may go by."""

    items: tuple[int, ...]
    sources: tuple[str, ...]
    junctions: tuple[str, ...]


def boxes_of_item(item: Item) -> set[str]:
    """Every box that has to do with an item."""
    found = {point.box for point in item.points if point.box}
    for point in item.points:
        found.update(point.luminaires)
        found.update(map(box_of, point.switches))
    return found


def places_of(circuits: Circuits) -> list[Xyz]:
    """Where each item is; a machine that the planner places, at the first yoke it may have."""
    places, yokes = circuits.ways.places, circuits.points.yokes
    firsts = [item.points[0] for item in circuits.points.items]
    return [places[point.box or yokes[point.options[0]].box or ""] for point in firsts]


def bundles(circuits: Circuits) -> list[Bundle]:
    """Items that stay together, each in one bundle, by their first items."""
    items = circuits.points.items
    tied = _Tied(len(items))
    first_in: dict[str, int] = {}
    for number, item in enumerate(items):
        for box in sorted(boxes_of_item(item)):
            tied.tie(first_in.setdefault(box, number), number)
    for one in circuits.changing:
        for other in sorted(one.items):
            tied.tie(min(one.items), other)
    named = {point.id: number for number, item in enumerate(items) for point in item.points}
    for number, item in enumerate(items):
        for point in item.points:
            options = [named[name] for name in point.options if name in named]
            for rank, other in enumerate(options):
                if rank == 0 or tied.size(number) + tied.size(other) <= MOST_TIED:
                    tied.tie(number, other)
    return tied.groups()


class _Tied:
    """Sets of items that grow together."""

    def __init__(self, count: int) -> None:
        self.group = [{item} for item in range(count)]

    def size(self, item: int) -> int:
        """How many are together with an item."""
        return len(self.group[item])

    def tie(self, one: int, other: int) -> None:
        """Put two and all that is with them together."""
        if other not in self.group[one]:
            both = self.group[one] | self.group[other]
            for item in both:
                self.group[item] = both

    def groups(self) -> list[Bundle]:
        """All of them, by their first items."""
        firsts = (item for item, group in enumerate(self.group) if item == min(group))
        return [frozenset(self.group[item]) for item in firsts]


def deal(
    bundled: Iterable[Bundle],
    places: Sequence[Xyz],
    most: int = MOST_ITEMS,
    *,
    shifted: bool = False,
) -> list[tuple[int, ...]]:
    """Items of each district: whole bundles, as even as may be, hardly any more than `most`.

    `shifted`: by half a district, so that the cuts lie in the middle of what they were between.
    """
    middles = {bundle: _middle([places[item] for item in bundle]) for bundle in bundled}
    count = sum(map(len, middles))
    usual = ceil(count / ceil(count / most)) if count else most
    order = sorted(middles, key=min)
    dealt = _cut(order, middles, usual, usual // 2 if shifted else 0)
    return [tuple(sorted(chain.from_iterable(part))) for part in dealt]


def _cut(
    bundled: list[Bundle], middles: Mapping[Bundle, tuple[float, ...]], most: int, offset: int
) -> list[list[Bundle]]:
    """Bundles cut in two, and these again, until each part is a district."""
    sizes = sum(map(len, bundled))
    if sizes <= most or len(bundled) == 1:
        return [bundled]
    spans = [
        max(middles[bundle][axis] for bundle in bundled)
        - min(middles[bundle][axis] for bundle in bundled)
        for axis in (0, 1)
    ]
    axis = int(spans[1] > spans[0])
    order = sorted(bundled, key=lambda bundle: (middles[bundle][axis], min(bundle)))
    wanted = offset + most * max(0 if offset else 1, round((sizes / 2 - offset) / most))
    before, count = 0, 0
    while count < len(order) - 1 and (count == 0 or before + len(order[count]) <= wanted):
        before += len(order[count])
        count += 1
    left, right = order[:count], order[count:]
    return [*_cut(left, middles, most, offset), *_cut(right, middles, most, 0)]


def district_of(circuits: Circuits, items: tuple[int, ...], places: Sequence[Xyz]) -> District:
    """A district with the panels and junction boxes that are near it."""
    ways = circuits.ways
    middle = _middle([places[item] for item in items])

    def away(name: str) -> tuple[float, str]:
        return _apart(middle, ways.places[name]), name

    panels = sorted(circuits.panels, key=away)
    nearest = {min(panels, key=lambda name: _apart(places[item], ways.places[name]))
               for item in items}  # fmt: skip
    sources = [name for name in panels if name in nearest or name in panels[:NEAREST_PANELS]]
    ends = {end for route in ways.raceways.values() for end in route.raceway.ends
            if not set(route.raceway.ends).isdisjoint(sources)}  # fmt: skip
    by_raceway = sorted(ends.intersection(circuits.junctions), key=away)
    others = sorted(set(circuits.junctions).difference(ends), key=away)
    junctions = [*by_raceway[:NEAREST_PANELS], *others][:MOST_JUNCTIONS]
    in_order = [panel for panel in circuits.panels if panel in sources]
    return District(items, tuple(in_order), tuple(sorted(junctions)))


def _middle(places: Sequence[Xyz]) -> tuple[float, ...]:
    return tuple(sum(place[axis] for place in places) / len(places) for axis in range(3))


def _apart(one: Sequence[float], two: Sequence[float]) -> float:
    """How far two places are from each other along the axes."""
    return sum(abs(a - b) for a, b in zip(one, two, strict=True))
