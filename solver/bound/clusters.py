"""Sets of boxes that a large shop's bound asks about first: neighbours, and all beyond some line.

Into any set of boxes come as many circuits as what is in it needs, so any sets may be asked about;
these are those that cost a plan most. Neighbours: boxes joined by ever longer steps, each set as it
grows. Lines: along both axes, and at a distance from the nearest panel.
"""

from collections.abc import Iterator
from typing import Final

import numpy as np

from solver.bound.afar import Apart, Numbers

LINES: Final = 24  # along an axis, from each side


def clusters(apart: Apart) -> Iterator[frozenset[str]]:
    """Sets of boxes and junction boxes, all that differ."""
    names = apart.nodes
    at = np.array([apart.at[name] for name in names])
    found = dict.fromkeys(_joined(apart.cft[np.ix_(at, at)]))
    places = np.array([apart.circuits.ways.places[name] for name in names])
    for far in (places[:, 0], -places[:, 0], places[:, 1], -places[:, 1], apart.from_panel_cft[at]):
        for line in np.unique(np.quantile(far, np.arange(LINES) / LINES, method="lower")):
            found[frozenset(np.flatnonzero(far >= line).tolist())] = None
    yield from (frozenset(names[one] for one in some) for some in found)


def _joined(cft: Numbers) -> Iterator[frozenset[int]]:
    """Sets that ever longer steps join (Kruskal 1956)."""
    count = len(cft)
    group = {one: frozenset([one]) for one in range(count)}
    for step in np.argsort(cft, axis=None, kind="stable"):
        one, two = divmod(int(step), count)
        if one < two and group[one] is not group[two]:
            both = group[one] | group[two]
            group.update(dict.fromkeys(both, both))
            yield both
            if len(both) == count:
                return
