"""Trees of a multiwire pair: a trunk of three wires, and tails of two where one half goes on alone.

Every tree is a trunk that joins some boxes to the panel, with boxes of one half alone hung on it,
those of the other half beside them. For each way to deal the boxes to trunk and tails the cheapest
tree is the cheapest trunk plus the cheapest tails (spanning trees, exact). Few boxes are dealt in
every way; of more a good deal is improved step by step, and a bound tells what no tree goes below.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import compress, product
from typing import Final

from solver.priced_ways import PricedWays
from solver.tree import NO_WAY, Spanning, attached, best_tree, rooted

MOST_DEALS: Final = 1_000
TRUNK, LEFT, RIGHT, UNUSED = range(4)
Boxes = frozenset[str]
Deal = tuple[Boxes, Boxes, Boxes]  # boxes on the trunk, on tails of the one half, of the other


@dataclass(frozen=True)
class PairTree:
    """Boxes dealt to trunk and tails, with what their tree costs in the first objective."""

    cost: int
    deal: Deal


class PairTrees:
    """Trees from one panel of conductors of one size, the raceways given."""

    def __init__(self, panel: str, two_wire: PricedWays, three_wire: PricedWays) -> None:
        self.panel, self.two_wire, self.three_wire = panel, two_wire, three_wire
        self._trunks: dict[Boxes, Spanning | None] = {}
        self._sorted: dict[tuple[str, ...], list[PairTree]] = {}
        self._tails: dict[tuple[Boxes, Boxes], Spanning | None] = {}

    def edges(self, deal: Deal) -> list[tuple[str, str]] | None:
        """Runs from the panel outwards."""
        trunk, *sides = deal
        parts = [self._trunk(trunk), *(self._hung(trunk, side) for side in sides)]
        if None in parts:
            return None
        return rooted(self.panel, [edge for part in parts if part for edge in part[1]])

    def cost(self, deal: Deal) -> int:
        """What the cheapest tree of a deal costs."""
        trunk, left, right = deal
        if not trunk:
            return NO_WAY  # the home run has both hots
        parts = self._trunk(trunk), self._hung(trunk, left), self._hung(trunk, right)
        return NO_WAY if None in parts else sum(part[0] for part in parts if part)

    def _trunk(self, boxes: Boxes) -> Spanning | None:
        """The cheapest home run and three-wire tree over some boxes."""
        if boxes not in self._trunks:
            nodes = sorted(boxes)
            found = self.three_wire.spanning(nodes) if nodes else None
            costs = self.three_wire.costs[self.panel]
            step, home = min(((costs[box], box) for box in nodes), default=(NO_WAY, ""))
            self._trunks[boxes] = (
                None
                if found is None or step == NO_WAY
                else (found[0] + step, [(self.panel, home), *found[1]])
            )
        return self._trunks[boxes]

    def _hung(self, trunk: Boxes, boxes: Boxes) -> Spanning | None:
        """The cheapest two-wire tails from a trunk to some boxes."""
        if (trunk, boxes) not in self._tails:
            self._tails[trunk, boxes] = attached(sorted(trunk), sorted(boxes), self.two_wire.costs)
        return self._tails[trunk, boxes]

    # -- choosing

    def in_all_ways(self, boxes: Sequence[str], optional: Sequence[str]) -> bool:
        """Whether so many boxes are dealt in every way."""
        deals: int = 3 ** len(boxes) * 4 ** len(optional)
        return deals <= MOST_DEALS

    def cheapest(
        self, boxes: Sequence[str], optional: Sequence[str], allowed: Callable[[Deal], bool]
    ) -> PairTree | None:
        """The cheapest tree whose deal is allowed; of many boxes a good one."""
        if not self.in_all_ways(boxes, optional):
            return self._improved(boxes, allowed)
        return next((t for t in self._all(tuple(boxes), tuple(optional)) if allowed(t.deal)), None)

    def _all(self, boxes: tuple[str, ...], optional: tuple[str, ...]) -> list[PairTree]:
        """The tree of every deal, cheapest first."""
        if boxes not in self._sorted:
            trees = [PairTree(self.cost(deal), deal) for deal in _deals(boxes, optional)]
            ordered = sorted(trees, key=lambda tree: tree.cost)
            self._sorted[boxes] = [tree for tree in ordered if tree.cost < NO_WAY]
        return self._sorted[boxes]

    def _improved(self, boxes: Sequence[str], allowed: Callable[[Deal], bool]) -> PairTree | None:
        """From all boxes on the trunk, one box at a time to where it costs less."""
        place = dict.fromkeys(boxes, TRUNK)
        deal = _dealt(place)
        best = PairTree(self.cost(deal), deal)
        if best.cost >= NO_WAY or not allowed(deal):
            return None
        better = True
        while better:
            better = False
            for box in boxes:
                for side in (LEFT, RIGHT, TRUNK):
                    deal = _dealt({**place, box: side})
                    cost = self.cost(deal)
                    if cost < best.cost and allowed(deal):
                        best, better = PairTree(cost, deal), True
                        place[box] = side
        return best

    def least(self, boxes: Sequence[str], optional: Sequence[str]) -> int:
        """A cost that no tree goes below: three wires in the home run, two everywhere else."""
        tree = best_tree(
            self.panel,
            boxes,
            optional,
            self.three_wire.costs,
            self.two_wire.spanning,
            lambda _: 0,
        )
        return NO_WAY if tree is None else tree.cost


def _deals(boxes: Sequence[str], optional: Sequence[str]) -> Iterator[Deal]:
    """Every way to deal boxes to trunk and tails; optional ones may stay unused.

    Turned around, a deal is the same: the first box that is not on the trunk goes to the left.
    """
    nodes = (*boxes, *optional)
    for dealt in _patterns(len(boxes), len(optional)):
        trunk, left, right = (frozenset(compress(nodes, side)) for side in dealt)
        yield trunk, left, right


@cache
def _patterns(boxes: int, optional: int) -> list[tuple[tuple[bool, ...], ...]]:
    """Which of so many boxes are on trunk, left and right, for every deal."""
    places = [(TRUNK, LEFT, RIGHT)] * boxes + [(UNUSED, TRUNK, LEFT, RIGHT)] * optional
    return [
        tuple(tuple(where == side for where in dealt) for side in (TRUNK, LEFT, RIGHT))
        for dealt in product(*places)
        if TRUNK in dealt and next((w for w in dealt if w in (LEFT, RIGHT)), LEFT) == LEFT
    ]


def _dealt(place: dict[str, int]) -> Deal:
    trunk, left, right = (
        frozenset(box for box, where in place.items() if where == side)
        for side in (TRUNK, LEFT, RIGHT)
    )
    return trunk, left, right
