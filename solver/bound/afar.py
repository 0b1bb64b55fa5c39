"""Runs between enclosures that are not near each other, in the relaxation of a large shop.

Of a thousand boxes there are a million runs for each conductor. Those between near ones, and those
within one item, are variables (`solver.bound.large_runs`). All others are in the relaxation too, so
that it holds every plan, but each only by a cost that it is not below: no run is shorter than its
ends lie apart along the axes, for every path goes along the axes piece by piece; and only between
ends of raceways there is anything but cable. What such a run takes of boxes and raceways is left
out, and so is through which raceway it goes: it counts as coming in past every gate. Both make the
relaxation weaker, never wrong: a plan that met the rows meets them still.

So it counts in the rows of the box it leads to, in home runs where it begins at a panel, and in all
sets of places that it comes into. Costs in the first objective, lengths in hundredths of a foot.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from solver.bound.certificate import Key
from solver.bound.parts import Part
from solver.bound.program import SCALE
from solver.circuit import Circuits
from solver.priced_ways import PricedWays
from solver.routes import Way

LAID: Final[tuple[tuple[Literal["cable", "raceway"], bool], ...]] = (
    ("cable", False),
    ("raceway", False),
    ("raceway", True),
)  # and whether in a wet place
NO_RUN: Final = 1 << 60
MOST_TO_EACH: Final = 3
LEAST: Final = 1  # a run that lowers a bound by less is not looked for
EXACT: Final = 1 << 53  # up to here sums of floating-point numbers are whole
Numbers = NDArray[Any]


class Apart:
    """How far some enclosures and all panels lie apart at least; panels come first."""

    def __init__(self, circuits: Circuits, nodes: Iterable[str]) -> None:
        self.circuits = circuits
        self.panels = sorted(circuits.panels)
        self.nodes = sorted(set(nodes))
        self.starts = [*self.panels, *self.nodes]
        self.at = {name: place for place, name in enumerate(self.starts)}
        places = np.array([circuits.ways.places[name] for name in self.starts], dtype=np.int64)
        self.cft = np.abs(places[:, None, :] - places[None, :, :]).sum(axis=2)

    @property
    def from_panel_cft(self) -> Numbers:
        """How far each is from the nearest panel at least."""
        return np.asarray(self.cft[: len(self.panels)].min(axis=0))

    def near(self, end: str, boxes: int, junctions: int, panels: int) -> list[str]:
        """So many of each kind that are nearest to one."""
        left = {"box": boxes, "junction": junctions, "panel": panels}
        found = []
        for at in np.argsort(self.cft[self.at[end]], kind="stable"):
            name = self.starts[at]
            kind = "junction" if name in self.circuits.junctions else "box"
            kind = "panel" if at < len(self.panels) else kind
            if name != end and left[kind]:
                left[kind] -= 1
                found.append(name)
        return found


class Run(NamedTuple):
    """One run afar."""

    awg: str
    start: str
    end: str
    cost: int
    most: int

    def factor_in(self, row: Key, part: Part, *, home: bool) -> int:
        """How often it counts in a row of its part; `home`: whether it begins at a panel."""
        match row:
            case ("box", _, box):
                return int(box == self.end)
            case ("large", _, box, smallest):
                return int(box == self.end and not part.is_smaller(self.awg, smallest))
            case ("home runs", _):
                return int(home)
            case ("enter", _, side, _) if self._comes_into(side):
                return 1
            case ("sized", _, side, awg) if self._comes_into(side):
                return part.room_for_sized(self.awg, awg)
            case ("onward", _, awg, start, end):
                return int((awg, start) == (self.awg, self.end) and end != self.start)
        return 0

    def _comes_into(self, side: frozenset[Any]) -> bool:
        return (self.end, self.awg, 0) in side and (self.start, self.awg, 0) not in side


class Prices(NamedTuple):
    """What rows are worth in which runs afar count for one, in millionths: boxes to come to, each
    with the smallest conductor that counts, if any; home runs; sets of places to come into; runs
    of a conductor that lead on from where they end. With a set, the conductor whose sized items
    it is about, if any.
    """

    boxes: list[tuple[str, str, int]]
    home_runs: int
    sides: list[tuple[frozenset[Any], str, int]]
    onward: list[tuple[str, str, str, int]]

    @classmethod
    def of(cls, number: int, prices: Mapping[Key, int]) -> "Prices":
        """Those of one part, of all prices by name."""
        boxes, sides, onward, home_runs = [], [], [], 0
        for key, price in prices.items():
            match key:
                case ("box", int(part), box) if part == number:
                    boxes.append(("", box, price))
                case ("large", int(part), box, smallest) if part == number:
                    boxes.append((smallest, box, price))
                case ("home runs", int(part)) if part == number:
                    home_runs += price
                case ("enter", int(part), side, _) if part == number:
                    sides.append((side, "", price))
                case ("sized", int(part), side, awg) if part == number:
                    sides.append((side, awg, price))
                case ("onward", int(part), awg, start, end) if part == number:
                    onward.append((awg, start, end, price))
        return cls(boxes, home_runs, sides, onward)


class Afar:
    """All runs of one part that have no variable; `most` of them may enter each enclosure."""

    def __init__(
        self,
        part: Part,
        apart: Apart,
        priced: Mapping[str, Sequence[PricedWays]],
        most: Mapping[str, int],
        known: Iterable[tuple[str, str]],
    ) -> None:
        self.part, self.apart = part, apart
        self.most = np.array([most[end] for end in apart.nodes], dtype=np.int64)
        self._known = np.eye(len(apart.starts), dtype=bool)
        for start, end in known:
            self._known[apart.at[start], apart.at[end]] = True
        self.costs = {awg: self._costs(awg, ways) for awg, ways in priced.items()}

    def _costs(self, awg: str, priced: Sequence[PricedWays]) -> Numbers:
        """What a run from each start to each end costs at least, `NO_RUN` where there is none."""
        apart, circuits = self.apart, self.apart.circuits
        panels = len(apart.panels)
        length = apart.cft[:, panels:]
        slack = np.array([[circuits.slack_cft(start, end) for end in apart.nodes[:1]]
                          for start in apart.starts])  # fmt: skip
        ends = {end for way in circuits.ways.raceways.values() for end in way.raceway.ends}
        piped = np.array([name in ends for name in apart.starts])
        both = piped[:, None] & piped[None, panels:]
        costs = np.full(length.shape, NO_RUN, dtype=np.int64)
        for share, ways in enumerate(priced, 1):
            for method, wet in LAID:
                one, two = (ways.prices(Way(method, (), cft, 0.0, wet=wet), 0) for cft in (0, 1))
                if one is None or two is None:
                    continue
                which = circuits.copper_first
                found = one[which] + (two[which] - one[which]) * (length + slack)
                found = np.where(both | (method == "cable"), found // share, NO_RUN)
                costs = np.minimum(costs, found)
        homes = np.array([self.part.home_cost(end) for end in apart.nodes], dtype=np.int64)
        costs[:panels] += homes
        reach = np.array([100 * self.part.reach_ft(awg, end) for end in apart.nodes])
        far = apart.from_panel_cft[:, None] + length > reach[None, :] + 1
        costs[far | self._known[:, panels:] | (costs > NO_RUN)] = NO_RUN
        return costs

    def reduced(self, awg: str, prices: "Prices") -> Numbers:
        """Cost of each run less what rows in which it counts are worth, in millionths."""
        apart, costs = self.apart, self.costs[awg]
        panels = len(apart.panels)
        worth = np.zeros(costs.shape, dtype=np.int64)
        for kind, box, price in prices.boxes:
            if not kind or not self.part.is_smaller(awg, kind):
                worth[:, apart.at[box] - panels] += price
        worth[:panels] += prices.home_runs
        for size, start, end, price in prices.onward:
            if size == awg:
                worth[:, apart.at[start] - panels] += price
                worth[apart.at[end], apart.at[start] - panels] -= price
        sides = [
            (
                self._inside(side, awg),
                price * (self.part.room_for_sized(awg, sized) if sized else 1),
            )
            for side, sized, price in prices.sides
        ]
        worth += _coming_in(sides, len(apart.starts))[:, panels:]
        return np.where(costs < NO_RUN, SCALE * np.minimum(costs, NO_RUN // SCALE) - worth, NO_RUN)

    def _inside(self, side: frozenset[Any], awg: str) -> list[int]:
        """Enclosures, as a conductor comes to them, that are in a set of places."""
        at = self.apart.at
        return [at[place[0]] for place in side if place[1] == awg and place[0] in at]

    def worth(self, prices: Prices) -> int:
        """What all of them add to a bound, in millionths; 0 at most."""
        total = 0
        for awg in self.costs:
            below = np.minimum(self.reduced(awg, prices), 0)
            total += sum(int(n) * int(m) for n, m in zip(below.sum(axis=0), self.most, strict=True))
        return total

    def lowering(self, prices: Prices) -> Iterator[Run]:
        """Runs that lower a bound most, a few to each enclosure; they are taken out of these."""
        apart = self.apart
        for awg, costs in self.costs.items():
            reduced = self.reduced(awg, prices)
            for end, row in enumerate(np.argsort(reduced, axis=0, kind="stable")[:MOST_TO_EACH].T):
                for start in row:
                    if reduced[start, end] < -LEAST * SCALE:
                        cost, most = int(costs[start, end]), int(self.most[end])
                        yield Run(awg, apart.starts[start], apart.nodes[end], cost, most)
                        costs[start, end] = NO_RUN


def _coming_in(sides: Sequence[tuple[Sequence[int], int]], count: int) -> Numbers:
    """For each run between so many enclosures, the prices of all sets that it comes into."""
    if not sides:
        return np.zeros((count, count), dtype=np.int64)
    inside = np.zeros((len(sides), count))
    for row, (places, _) in enumerate(sides):
        inside[row, places] = 1.0
    prices = np.array([float(price) for _, price in sides])
    assert sum(price for _, price in sides) < EXACT, "sums of these prices are not whole"
    weighted = inside * prices[:, None]
    return np.asarray(weighted.sum(axis=0)[None, :] - inside.T @ weighted).astype(np.int64)
