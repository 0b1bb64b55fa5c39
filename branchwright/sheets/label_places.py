"""Places for labels: none on another, on a symbol, on a run or off the page, few on other lines.

For each label the candidates go round its point in growing rings. A candidate that touches
something solid or lies on a run is out; of the others the nearest wins, lines under a label and
what lies under its leader counting as distance. Room beside a run is kept where there is any.
"""

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from branchwright.sheets.display import HAIR, Bounds, Xy
from branchwright.sheets.squares import Squares

RINGS: Final = (3.0, 8.0, 15.0, 24.0, 36.0, 52.0, 75.0, 105.0, 150.0, 210.0, 300.0, 420.0)
LEADER_FROM: Final = 14.0
LINE_COST: Final = 1.0
TURN_COST: Final = 5.0
CROSSED_COST: Final = 120.0  # of each label, symbol or open place that a leader would go through
STRANGER_COST: Final = 20.0  # of a label without a leader that is nearer to another symbol
WALL_WEIGHT, DOOR_WEIGHT = 3.0, 12.0  # of a wall's face and the way of a door against other lines
GAP: Final = 2.0
RUN_GAP: Final = 3.0  # half a raceway's tube
LINE_GAP: Final = 0.75

_Piece = tuple[Xy, Xy, float]  # of a line, with its weight


class Place(NamedTuple):
    """Where a label goes and how far from its point that is."""

    bounds: Bounds
    anchor: Xy
    away: float
    cost: float

    @property
    def needs_leader(self) -> bool:
        """Whether a line should lead from the point to the label."""
        return self.away >= LEADER_FROM

    @property
    def leader(self) -> tuple[Xy, Xy]:
        """From the point to the nearest edge of the label."""
        x, y = self.anchor
        left, top, right, bottom = self.bounds
        return self.anchor, (min(max(x, left), right), min(max(y, top), bottom))


class Target(NamedTuple):
    """What a label belongs to: a point, half its size, and the direction labels prefer."""

    point: Xy
    half_width: float
    half_height: float
    prefers: Xy = (0.0, 1.0)
    penalty: float = 0.0


class Places:
    """What is taken on a sheet: solid shapes, labels already set, runs, and other lines.

    `crowded` lets labels lie on runs, which then only count as lines do; `line_cost` is what a
    point of a line under a label is worth, in points of distance.
    """

    def __init__(
        self, page: Bounds, *, crowded: bool = False, line_cost: float = LINE_COST
    ) -> None:
        self.page, self.crowded, self.line_cost = page, crowded, line_cost
        self._solid: Squares[Bounds] = Squares()
        self._symbols: Squares[Bounds] = Squares()  # what is solid, but for labels
        self._lines: Squares[_Piece] = Squares()
        self._runs: Squares[_Piece] = Squares()
        self._open: list[Bounds] = []

    def add_solid(self, shapes: Iterable[Bounds]) -> None:
        """No label goes where these are, which have names: each label is to stand by its own."""
        for bounds in shapes:
            self._solid.add(bounds, bounds)
            self._symbols.add(bounds, bounds)

    def add_label(self, bounds: Bounds) -> None:
        """No label goes here, and no leader through it where another way is near."""
        self._solid.add(bounds, bounds)

    def add_line(self, points: Sequence[Xy], weight: float = 1.0) -> None:
        """Labels should keep off this line where they can, the more the heavier it is."""
        _add_pieces(self._lines, points, weight)

    def add_open(self, bounds: Bounds) -> None:
        """No leader goes through here where another way is near."""
        self._open.append(bounds)

    def add_run(self, points: Sequence[Xy]) -> None:
        """Labels keep off this run."""
        _add_pieces(self._lines if self.crowded else self._runs, points)

    def free(self, bounds: Bounds, *, lines: bool) -> bool:
        """Whether nothing solid and no run is there, or all but touches it; `lines` may be."""
        if self._blocked(bounds, LINE_GAP) or self._on_run(bounds, 0.0):
            return False
        return lines or not self._lines_under(bounds)

    def put(self, targets: Sequence[Target], width: float, height: float) -> Place | None:
        """Find the best place for a label of this size at any of the targets, and take it."""
        best = self._best(targets, width, height, RUN_GAP)
        best = best or self._best(targets, width, height, 0.0)
        if best:
            self.add_label(best.bounds)
            if best.needs_leader:
                self.add_line(best.leader)
        return best

    def _best(
        self, targets: Sequence[Target], width: float, height: float, gap: float
    ) -> Place | None:
        """The cheapest place that keeps so far from runs."""
        best: Place | None = None
        for target in targets:
            for away, turn, bounds in _candidates(target, width, height):
                floor = away + turn * TURN_COST + target.penalty
                if best and floor >= best.cost:
                    if away >= best.cost:
                        break
                    continue
                if not bounds.inside(self.page) or self._blocked(bounds):
                    continue
                if self._on_run(bounds, gap):
                    continue
                place = Place(bounds, target.point, away, floor)
                cost = floor + self.line_cost * self._lines_under(bounds)
                if away > RINGS[0]:
                    cost += CROSSED_COST * self._opened(*place.leader)
                if place.needs_leader:
                    cost += CROSSED_COST * self._crossed(*place.leader)
                elif best is None or cost < best.cost:
                    cost += STRANGER_COST * self._nearer_another(bounds, target)
                if best is None or cost < best.cost:
                    best = place._replace(cost=cost)
        return best

    def _blocked(self, bounds: Bounds, gap: float = GAP) -> bool:
        """Whether something solid is there."""
        gap -= HAIR  # Bounds.overlaps, written out: this is asked very often
        left, top, right, bottom = bounds
        left, top, right, bottom = left - gap, top - gap, right + gap, bottom + gap
        for low, high, far, deep in self._solid.near(Bounds(left, top, right, bottom)):
            if left < far and low < right and top < deep and high < bottom:
                return True
        return False

    def _on_run(self, bounds: Bounds, gap: float) -> bool:
        """Whether a label there would lie on a run, or nearer to one than the gap."""
        left, top, right, bottom = bounds
        left, top, right, bottom = left - gap, top - gap, right + gap, bottom + gap
        bounds = Bounds(left, top, right, bottom)
        for (x0, y0), (x1, y1), _ in self._runs.near(bounds):
            if (x0 < left and x1 < left) or (x0 > right and x1 > right):
                continue
            if (y0 < top and y1 < top) or (y0 > bottom and y1 > bottom):
                continue
            if _length_inside((x0, y0), (x1, y1), bounds):
                return True
        return False

    def _crossed(self, start: Xy, end: Xy) -> int:
        """How many labels and symbols a leader would go through, but for that which it is of."""
        return sum(
            _length_inside(start, end, shape) > 0
            for shape in self._solid.near(_about(start, end))
            if not _holds(shape, start)
        )

    def _nearer_another(self, bounds: Bounds, target: Target) -> bool:
        """Whether a label there would seem to be of another symbol than the one it is of."""
        here = Bounds(*target.point, *target.point)
        own = [one for one in self._symbols.near(here) if _holds(one, target.point)]
        if not own:
            return False
        away = min(_gap(bounds, one) for one in own)
        around = Bounds(
            bounds.left - away, bounds.top - away, bounds.right + away, bounds.bottom + away
        )
        return any(
            _gap(bounds, one) <= away for one in self._symbols.near(around) if one not in own
        )

    def _opened(self, start: Xy, end: Xy) -> int:
        """Through how many places to keep open a leader would go."""
        return sum(_length_inside(start, end, place) > 0 for place in self._open)

    def _lines_under(self, bounds: Bounds) -> float:
        """Length of lines that a label would lie on, or all but touch, by their weight."""
        left, top, right, bottom = bounds
        around = Bounds(left - LINE_GAP, top - LINE_GAP, right + LINE_GAP, bottom + LINE_GAP)
        return sum(w * _length_inside(a, b, around) for a, b, w in self._lines.near(around))


def _add_pieces(to: Squares[_Piece], points: Sequence[Xy], weight: float = 1.0) -> None:
    """Add the straight pieces of a line."""
    for start, end in itertools.pairwise(points):
        to.add(_about(start, end), (start, end, weight))


def _gap(one: Bounds, other: Bounds) -> float:
    """How far two rectangles are from each other."""
    across = max(0.0, other.left - one.right, one.left - other.right)
    down = max(0.0, other.top - one.bottom, one.top - other.bottom)
    return math.hypot(across, down)


def _holds(bounds: Bounds, point: Xy) -> bool:
    """Whether a point is in a rectangle, or on its edge."""
    left, top, right, bottom = bounds
    return left <= point[0] <= right and top <= point[1] <= bottom


def _about(start: Xy, end: Xy) -> Bounds:
    """The rectangle about a straight line."""
    (x0, x1), (y0, y1) = sorted((start[0], end[0])), sorted((start[1], end[1]))
    return Bounds(x0, y0, x1, y1)


def _candidates(
    target: Target, width: float, height: float
) -> Iterator[tuple[float, float, Bounds]]:
    """Rectangles round a target, nearest first, with how far they turn from what it prefers."""
    x, y = target.point
    prefers = math.atan2(target.prefers[1], target.prefers[0])
    for away in RINGS:
        steps = 8 if away < 30 else 16
        for step in range(steps):
            angle = 2 * math.pi * step / steps
            across, down = _on_square(angle)
            left = x + across * (target.half_width + away + width / 2) - width / 2
            top = y + down * (target.half_height + away + height / 2) - height / 2
            turn = abs(math.remainder(angle - prefers, 2 * math.pi)) / math.pi * 2
            yield away, round(turn, 6), Bounds(left, top, left + width, top + height)


def _on_square(angle: float) -> Xy:
    """The point of the square about the origin (-1 to 1) that lies in a direction."""
    across, down = math.cos(angle), math.sin(angle)
    most = max(abs(across), abs(down))
    return round(across / most, 9), round(down / most, 9)


def _length_inside(start: Xy, end: Xy, bounds: Bounds) -> float:
    """Length of the part of a line that lies in a rectangle (Liang and Barsky's clipping)."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    low, high = 0.0, 1.0
    for step, near, far in (
        (dx, bounds.left - start[0], bounds.right - start[0]),
        (dy, bounds.top - start[1], bounds.bottom - start[1]),
    ):
        if abs(step) < 1e-9:
            if near > 0 or far < 0:
                return 0.0
            continue
        first, last = sorted((near / step, far / step))
        low, high = max(low, first), min(high, last)
    return max(0.0, high - low) * math.hypot(dx, dy)
