"""Switch groups of a circuit: in which order their switches are wired, and what their runs carry.

Power comes to the first switch; travellers with the neutral lead from switch to switch; from the
last one the switched hot and the neutral lead to what is switched (common practice, no source). So
a neutral is in every switch box, 404.2(C), and a circuit stays one tree of boxes, all conductors of
it together, 300.3(B). A box that wants a hot and hangs behind a switch too gets both in one run of
three wires. Where a box would have to be reached by two runs, the order of switches is no good.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, pairwise, permutations, product
from math import factorial, prod
from typing import Final

from models.plan import Role
from models.switching import box_of
from solver.points import Point

MOST_ORDERS: Final = 64  # of all groups of a circuit together
TRAVELLERS: Final[tuple[Role, ...]] = ("traveller", "traveller2", "neutral")
SWITCHED: Final[tuple[Role, ...]] = ("switched", "neutral")
WITH_HOT: Final[tuple[Role, ...]] = ("hot", "switched", "neutral")

Runs = dict[tuple[str, str], tuple[Role, ...]]


@dataclass(frozen=True)
class Row:
    """One group with its switches in the order they are wired, and the boxes of its outlets."""

    switches: tuple[str, ...]
    fed: frozenset[str]

    @property
    def chain(self) -> tuple[str, ...]:
        """Boxes of the switches in order."""
        return tuple(map(box_of, self.switches))


def rows_of(points: Iterable[Point]) -> list[Row]:
    """The groups of a set of points, their switches by name."""
    fed: dict[tuple[str, ...], set[str]] = {}
    for point in points:
        if point.switches:
            boxes = point.luminaires or ((point.box,) if point.receptacles and point.box else ())
            fed.setdefault(point.switches, set()).update(boxes)
    return [Row(switches, frozenset(boxes)) for switches, boxes in sorted(fed.items())]


def orders(rows: Sequence[Row]) -> Iterator[tuple[Row, ...]]:
    """Every way to order the switches of all groups, at most so many."""
    each = [[Row(order, row.fed) for order in permutations(row.switches)] for row in rows]
    return islice(product(*each), MOST_ORDERS)


def all_ordered(rows: Sequence[Row]) -> bool:
    """Whether `orders` leaves none out."""
    return prod(factorial(len(row.switches)) for row in rows) <= MOST_ORDERS


def live_boxes(points: Iterable[Point]) -> frozenset[str]:
    """Boxes with something that no switch turns off."""
    return frozenset(point.box for point in points if point.box and not point.switches)


def may_follow(rows: Iterable[Row]) -> bool:
    """Whether nothing that is switched sits in the box of a switch before the last."""
    return not any(row.fed & set(row.chain[:-1]) for row in rows)


def in_order(root: str, runs: Iterable[tuple[str, str]]) -> list[tuple[str, str]] | None:
    """Runs so that each starts where one before it ends; None where two end at one box or a run
    hangs on nothing.
    """
    todo, reached, found = list(runs), {root}, []
    while todo:
        step = next((run for run in todo if run[0] in reached), None)
        if step is None or step[1] in reached:
            return None
        todo.remove(step)
        reached.add(step[1])
        found.append(step)
    return found


def with_hots(runs: Runs, wanting: frozenset[str]) -> Runs | None:
    """Runs behind switches with a hot on the way to each box that wants one; None where travellers
    take its place.
    """
    before = {end: (start, end) for start, end in runs}
    made = dict(runs)
    for wants in sorted(wanting):
        box = wants
        while (run := before.get(box)) is not None and made[run] != WITH_HOT:
            if made[run] != SWITCHED:
                return None
            made[run] = WITH_HOT
            box = run[0]
    return made


def chained(rows: Iterable[Row]) -> list[tuple[tuple[str, str], tuple[Role, ...]]]:
    """The runs from switch to switch, with what they carry."""
    return [(run, TRAVELLERS) for row in rows for run in pairwise(row.chain)]
