"""Circles in a circle: how conductors may lie at the bottom of a raceway. Any unit of length."""

import itertools
import math
from collections.abc import Iterator, Sequence

Xy = tuple[float, float]
TOUCH = 1e-9


def packed(radii: Sequence[float], around: float) -> list[Xy | None]:
    """Centres of circles of these radii in one of radius `around`, its centre at 0, 0, y down.

    The largest goes in first; each comes to lie as low as it can. None for one without room.

    >>> [(round(x, 2), round(y, 2)) for x, y in packed([1.0, 1.0], 3.0)]
    [(0.0, 2.0), (1.73, 1.0)]
    >>> packed([1.0, 1.0, 1.0], 2.0)[2] is None
    True
    """
    centres: list[Xy | None] = [None] * len(radii)
    placed: list[tuple[Xy, float]] = []
    for index in sorted(range(len(radii)), key=lambda one: -radii[one]):
        radius = radii[index]
        free = [
            spot for spot in _spots(radius, placed, around) if _fits(spot, radius, placed, around)
        ]
        if free:
            best = min(free, key=lambda spot: (-round(spot[1], 6), -round(spot[0], 6)))
            centres[index] = best
            placed.append((best, radius))
    return centres


def _spots(radius: float, placed: Sequence[tuple[Xy, float]], around: float) -> Iterator[Xy]:
    """Where a circle would touch two things: circles that lie there, or the wall."""
    yield 0.0, around - radius
    for centre, other in placed:
        yield from _meeting((0.0, 0.0), around - radius, centre, other + radius)
    for (one, a), (two, b) in itertools.combinations(placed, 2):
        yield from _meeting(one, a + radius, two, b + radius)


def _meeting(one: Xy, a: float, two: Xy, b: float) -> Iterator[Xy]:
    """Points at distance `a` from one centre and `b` from another."""
    dx, dy = two[0] - one[0], two[1] - one[1]
    apart = math.hypot(dx, dy)
    if apart < TOUCH or apart > a + b or apart < abs(a - b):
        return
    along = (a * a - b * b + apart * apart) / (2 * apart)
    off = math.sqrt(max(0.0, a * a - along * along))
    x, y = one[0] + along * dx / apart, one[1] + along * dy / apart
    yield x - off * dy / apart, y + off * dx / apart
    yield x + off * dy / apart, y - off * dx / apart


def _fits(spot: Xy, radius: float, placed: Sequence[tuple[Xy, float]], around: float) -> bool:
    if math.hypot(*spot) > around - radius + 1e-6:
        return False
    return all(
        math.hypot(spot[0] - x, spot[1] - y) >= radius + other - 1e-6 for (x, y), other in placed
    )
