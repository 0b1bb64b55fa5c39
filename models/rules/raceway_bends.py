"""Bends of each raceway from one pull point to the next: enclosure to enclosure. Degrees.

Every corner of its way is a bend of a quarter circle. Offsets at boxes come on top and are not in
the plan.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Final

from models.plan import Finding, RacewayPlan, Severity, Xyz
from models.rules.reading import Reading
from models.rules.rule import SAME_FT, RuleText, registry

MOST_DEGREES: Final = 360
ARTICLES: Final = {"EMT": 358, "PVC-40": 352, "PVC-80": 352, "ENT": 362, "RMC": 344}

BENDS = RuleText(
    "raceway-bends",
    "Bends of a raceway",
    "Between two pull points, boxes or conduit bodies, the bends of a raceway come to no more than"
    " 360 degrees, four quarter bends.",
    "NEC 344.26, 352.26, 358.26, 362.26",
    "code",
)
RULES = registry(BENDS)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each raceway with more than four quarter bends."""
    for raceway in reading.plan.raceways:
        degrees = bends_degrees(raceway.path)
        if degrees <= MOST_DEGREES:
            continue
        severity, as_known = _how_sure(reading, raceway)
        yield BENDS.finding(
            raceway.id,
            f"raceway {raceway.id} ({raceway.kind} {raceway.trade_size}) bends by {degrees}°"
            f" between {raceway.start} and {raceway.end}{as_known}, {MOST_DEGREES}° is the most"
            + (f" ({ARTICLES[raceway.kind]}.26)" if raceway.kind in ARTICLES else ""),
            edition=reading.edition,
            severity=severity,
            found=float(degrees),
            limit=float(MOST_DEGREES),
            unit="°",
            fix=f"a box or conduit body on the way of {raceway.id}, or a way with fewer corners:"
            " give its points in the shop file (`by`)",
        )


def bends_degrees(path: Sequence[Xyz]) -> int:
    """Sum of the bends of a way whose parts are square to the axes. [°]

    >>> bends_degrees([(0, 0, 5), (0, 0, 9), (0, 8, 9), (3, 8, 9)])
    180
    """
    turns = [
        sum(a * b for a, b in zip(before, after, strict=True))
        for before, after in pairwise(directions(path))
    ]
    return sum(90 * (1 - along) for along in turns)


def directions(path: Sequence[Xyz]) -> list[tuple[int, int, int]]:
    """Which way each part of a path goes along the axes: 1, 0 or -1; parts of no length left out.

    >>> directions([(0, 0, 5), (0, 0, 9), (0, 0, 9), (0, -8, 9)])
    [(0, 0, 1), (0, -1, 0)]
    """
    parts = [(_sign(a[0], b[0]), _sign(a[1], b[1]), _sign(a[2], b[2])) for a, b in pairwise(path)]
    return [part for part in parts if any(part)]


def _sign(start: float, end: float) -> int:
    """Which way a step goes along an axis."""
    return (end - start > SAME_FT) - (end - start < -SAME_FT)


def _how_sure(reading: Reading, raceway: RacewayPlan) -> tuple[Severity, str]:
    """How grave it is: new work; pipe that was there; pipe whose way nobody has told."""
    given = next((r for r in reading.shop.routes.raceways if r.id == raceway.id), None)
    if raceway.life == "existing" and given is not None and not given.by:
        return "note", " as it is drawn"
    new_runs = [run for _, run in reading.runs_in_raceway.get(raceway.id, []) if run.life == "new"]
    return ("violation" if new_runs else "warning"), ""
