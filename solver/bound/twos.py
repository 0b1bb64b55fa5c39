"""Parts of a large shop of which no three items share a circuit: all circuits priced.

What draws much, as most machines of 240 V, is alone on its circuit or with one other. Then all
circuits there can be are few enough to be priced one by one (`solver.bound.sets`). Two items whose
circuit costs at least as much as one circuit for each are left out: a plan with such a circuit
costs no less than the same with two, which the relaxation has; so it counts no spaces of panels
here. Two items of one box always stay.

Where voltage is asked about, and which items may be left out, runs are taken to be as short as
their ends lie apart along the axes. Costs in the first objective, lengths in hundredths of a foot.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from solver.bound.afar import LAID, Apart, Numbers
from solver.bound.near import Near
from solver.bound.parts import Part
from solver.bound.sets import Items, Sets
from solver.every_tree import home_trees
from solver.load import boxes_of
from solver.priced_ways import PricedWays
from solver.routes import Way
from solver.tree import NO_WAY, Costs
from solver.wiring import Wiring

TWO: Final = 2
MOST_PRICED: Final = 4_000  # circuits of two items


class Straight(Near):
    """The same as if every run led straight along the axes: no run is shorter."""

    def run_ft(self, start: str, end: str) -> float:
        """Length of a straight run. [ft]"""
        places = self.circuits.ways.places
        return sum(abs(a - b) for a, b in zip(places[start], places[end], strict=True)) / 100


class Twos(Sets):
    """Every one or two items of a part that may be a circuit, but those that cost no less apart."""

    def __init__(self, part: Part, apart: Apart, smallest: PricedWays) -> None:
        self.part, self.apart = part, apart
        self._least = self._straight(smallest)
        self._alone: dict[int, int] = {}  # what each item costs alone
        near = Straight(part.circuits, {*part.at, *part.circuits.junctions})
        super().__init__(part.circuits, [part], paired=False, near=near)

    def _priced(self) -> bool:
        """All items alone, and those together that may cost less so. False: not for this part."""
        part = self.part
        single = all(len(part.boxes[item]) == 1 for item in part.items)
        if not single or part.loaded != part.items or not part.deals.known:
            return False
        groups = [part.deals.named(bits) for bits in part.deals.groups]
        if max(map(len, groups)) > TWO:
            return False
        groups.sort(key=lambda items: (len(items), sorted(items)))
        for items in groups:
            if len(items) == 1 or self._panels(items):
                forms = self._forms(items)
                if forms is None or len(self.forms) > MOST_PRICED:
                    return False
                if forms:
                    self.forms[items] = forms
            if len(items) == 1:
                if items not in self.forms:
                    return False
                self._alone[min(items)] = min(form.cost for form in self.forms[items])
        return True

    def _panels(self, items: Items) -> list[str]:
        """Panels from which a circuit may cost less than one for each item."""
        panels = list(self.circuits.panels)
        boxes = [min(self.part.boxes[item]) for item in sorted(items)]
        if len(set(boxes)) < TWO:
            return panels
        apart = sum(self._alone[item] for item in items)
        parts = sum(self.part.device_cost(item) for item in items)
        parts += min(self.part.home_cost(box) for box in (*boxes, *self.circuits.junctions))
        return [panel for panel in panels if parts + self._joined(panel, boxes) < apart]

    def _joined(self, panel: str, boxes: Sequence[str]) -> int:
        """The least that a panel and two boxes are joined for: all of them to one of these, or to
        a junction box.
        """
        at, cost = self.apart.at, self._least
        ends = [at[name] for name in (panel, *boxes)]
        middles = [at[name] for name in (*boxes, *self.circuits.junctions)]
        return int(cost[np.ix_(middles, ends)].sum(axis=1).min())

    def _straight(self, priced: PricedWays) -> Numbers:
        """What a straight run from each enclosure to each costs at least, 0 to itself."""
        apart, circuits = self.apart, self.apart.circuits
        which, found = int(circuits.copper_first), []
        for method, wet in LAID if circuits.ways.raceways else LAID[:1]:
            none, one = (priced.prices(Way(method, (), cft, 0.0, wet=wet), 0) for cft in (0, 1))
            if none is not None and one is not None:
                found.append((none[which], one[which] - none[which]))
        least, more = (min(costs) for costs in zip(*found, strict=True))
        slack = np.array([circuits.slack_cft(name) for name in apart.starts], dtype=np.int64)
        costs = least + more * (apart.cft + slack[:, None] + slack[None, :])
        np.fill_diagonal(costs, 0)
        return np.asarray(costs)

    def _tree(self, wiring: Wiring) -> tuple[int, bool]:
        """The cheapest tree of runs between these boxes that keeps the voltage, or by way of a
        junction box, whatever it keeps.
        """
        costs, boxes = wiring.priced.costs, sorted(boxes_of(wiring.load))
        trees = sorted(
            (sum(costs[start][end] for start, end in runs) + wiring.home_extra(runs[0][1]), runs)
            for runs in home_trees(wiring.panel, boxes, ())
        )
        keeping = (cost for cost, runs in trees if self.drops.keeps(wiring, runs))
        found = min(next(keeping, NO_WAY), self._through_junction(wiring, boxes))
        return found, found <= trees[0][0]

    def _through_junction(self, wiring: Wiring, boxes: Sequence[str]) -> int:
        """The least for a tree with a junction box in it.

        Such a tree holds ways from the panel to some enclosure and from there to each box, none of
        which runs share; the junction box is that enclosure, or lies on one of these ways.
        """
        junctions, ends = self.circuits.junctions, (wiring.panel, *boxes)
        far = _shortest((*ends, *junctions), wiring.priced.costs)
        extra = min(map(wiring.home_extra, (*boxes, *junctions)))
        least = NO_WAY
        for junction in junctions:
            for middle in (junction, *boxes):
                ways = [far[middle][end] for end in ends]
                by = [far[middle][junction] + far[junction][end] for end in ends]
                longer = min(two - one for one, two in zip(ways, by, strict=True))
                least = min(least, sum(ways) + longer + extra)
        return least


def _shortest(names: Sequence[str], costs: Costs) -> dict[str, dict[str, int]]:
    """What ways of several runs between some enclosures cost at least (Floyd 1962)."""
    far = {a: {b: costs[a][b] if a != b else 0 for b in names} for a in names}
    for middle in names:
        for start in names:
            for end in names:
                by_middle = far[start][middle] + far[middle][end]
                far[start][end] = min(far[start][end], by_middle)
    return far
