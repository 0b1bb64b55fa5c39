"""Runs that have no variable, rechecked: what they take off what the prices of rows show.

Start by start, with none of the code of `solver.bound.afar`, which says why a run costs no less
than this: cable, or between ends of raceways single conductors, as long as its ends lie apart along
the axes. Its price less what the rows are worth that it counts in, where that is below 0, is taken
off as often as circuits may enter its end. Whole numbers throughout.
"""

from collections.abc import Mapping
from functools import cached_property
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from solver.bound.large_runs import LargeRuns
from solver.routes import Way

MILLIONTHS: Final = 10**6
LARGEST: Final = 1 << 58  # of all prices together
NEVER: Final = 1 << 40  # the cost of a run that there is none of
METHODS: Final[tuple[tuple[Literal["cable", "raceway"], bool], ...]] = (
    ("cable", False),
    ("raceway", False),
    ("raceway", True),
)
SPARE_CFT: Final = 1  # a run is beyond reach where it is so by more
Whole = NDArray[np.int64]
Key = tuple[Any, ...]


class TooLargeError(Exception):
    """Prices too large to be added up."""


def taken_off(runs: LargeRuns, prices: Mapping[Key, int]) -> int:
    """What all such runs take off, in millionths; 0 at most."""
    if sum(prices.values()) > LARGEST:
        raise TooLargeError
    return sum(
        _Row(runs, number, awg, prices).total()
        for number, part in enumerate(runs.parts)
        if number not in runs.without_runs
        for awg in part.sizes
    )


class _Row:
    """Runs of one part by one conductor, those from one enclosure at a time."""

    def __init__(self, runs: LargeRuns, number: int, awg: str, prices: Mapping[Key, int]) -> None:
        self.runs, self.part, self.awg = runs, runs.parts[number], awg
        circuits = self.circuits = runs.circuits
        self.ends = sorted({*self.part.at, *circuits.junctions})
        self.place = {end: at for at, end in enumerate(self.ends)}
        self.panels = sorted(circuits.panels)
        self.xyz = np.array([circuits.ways.places[end] for end in self.ends], dtype=np.int64)
        self.near: dict[str, list[int]] = {}
        for start, end in runs.near_pairs(self.part):
            self.near.setdefault(start, []).append(self.place[end])
        routes = circuits.ways.raceways.values()
        self.piped = {end for route in routes for end in route.raceway.ends}
        self.to_end = np.zeros(len(self.ends), dtype=np.int64)
        self.from_panel = 0
        self.on: dict[
            str, list[tuple[int | None, int]]
        ] = {}  # from an end, but not back to a start
        self.sides: list[tuple[frozenset[str], int]] = []
        for key, price in prices.items():
            if len(key) > 1 and key[1] == number:
                self._count(key, price)
        self.inside = np.zeros((len(self.sides), len(self.ends)), dtype=np.int64)
        for row, (names, _) in enumerate(self.sides):
            self.inside[row, [self.place[name] for name in names]] = 1

    def _count(self, key: Key, price: int) -> None:
        """A row in which these runs count."""
        sizes = self.part.sizes
        match key:
            case ("box", _, box):
                self.to_end[self.place[box]] += price
            case ("large", _, box, least) if sizes.index(self.awg) >= sizes.index(least):
                self.to_end[self.place[box]] += price
            case ("home runs", _):
                self.from_panel += price
            case ("enter", _, side, _):
                self._side(side, price)
            case ("sized", _, side, awg):
                larger = sizes.index(self.awg) > sizes.index(awg)
                self._side(side, 2 * price if larger else price)
            case ("onward", _, awg, start, end) if awg == self.awg:
                self.to_end[self.place[start]] += price
                self.on.setdefault(end, []).append((self.place[start], price))

    def _side(self, side: frozenset[tuple[str, str, int]], price: int) -> None:
        names = frozenset(box for box, awg, _ in side if awg == self.awg and box in self.place)
        self.sides.append((names, price))

    def total(self) -> int:
        """What they take off."""
        each = [self.runs.most_at(self.part, end) for end in self.ends]
        from_panel = np.min([self._apart(panel) for panel in self.panels], axis=0)
        reach = np.array([100 * self.part.reach_ft(self.awg, end) for end in self.ends])
        found = 0
        for start in (*self.panels, *self.ends):
            home = start in self.panels
            length = self._apart(start)
            come = 0 if home else int(from_panel[self.place[start]])
            cost = self._costs(start, length)
            if home:
                cost += np.array([self.part.home_cost(end) for end in self.ends], dtype=np.int64)
            left = MILLIONTHS * cost - self._worth(start)
            left[cost >= NEVER] = 0
            left[come + length > reach + SPARE_CFT] = 0
            left[self.near.get(start, [])] = 0
            if not home:
                left[self.place[start]] = 0
            found += sum(int(left[at]) * each[at] for at in np.flatnonzero(left < 0))
        return found

    def _apart(self, start: str) -> Whole:
        here = np.array(self.circuits.ways.places[start], dtype=np.int64)
        return np.asarray(np.abs(self.xyz - here).sum(axis=1))

    def _worth(self, start: str) -> Whole:
        """What the rows are worth that a run from here to each end counts in."""
        outside = np.array(
            [0 if start in names else price for names, price in self.sides], dtype=np.int64
        )
        worth = self.to_end + outside @ self.inside
        if start in self.panels:
            return np.asarray(worth + self.from_panel)
        for end, price in self.on.get(start, ()):
            worth[end] -= price
        return np.asarray(worth)

    def _costs(self, start: str, length: Whole) -> Whole:
        """The least that a run from here to each end costs."""
        least = np.full(len(self.ends), NEVER, dtype=np.int64)
        slack = [self.circuits.slack_cft(start, end) for end in self.ends]
        for price, more, circuits, by_raceway in self._prices:
            cost = (price + more * (length + slack)) // circuits
            if by_raceway:
                open_to = [start in self.piped and end in self.piped for end in self.ends]
                cost = np.where(open_to, cost, NEVER)
            least = np.minimum(least, cost)
        return least

    @cached_property
    def _prices(self) -> list[tuple[int, int, int, bool]]:
        """What a run costs with no length, what a hundredth of a foot more, for how many circuits,
        and whether it lies in raceways.
        """
        which, found = int(self.circuits.copper_first), []
        for circuits, priced in enumerate(self.runs.priced(self.part, self.awg), 1):
            for method, wet in METHODS:
                none, one = (priced.prices(Way(method, (), cft, 0.0, wet=wet), 0) for cft in (0, 1))
                if none is not None and one is not None:
                    more = one[which] - none[which]
                    found.append((none[which], more, circuits, method == "raceway"))
        return found
