"""Classes of items that are alike in everything: the two yokes of a box that nothing tells apart.

Alike: one point each, the same box, kind and receptacle, the same wishes (apart, together, pins),
no machine of its own, and every machine that may plug in at one may at the other; no machine that
may come to the shop may. A circuit of one costs and takes what the same circuit of the other does.
"""

from collections.abc import Mapping, Sequence

from models.reach import receptacles_open_to
from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.points import Item
from solver.refusal import Refusal
from solver.site import Site


def first_alike(site: Site) -> dict[int, int]:
    """For items that another before them is like, that other; the first two of a kind only."""
    first: dict[tuple[object, ...], int] = {}
    found: dict[int, int] = {}
    coming = (one for one in site.shop.later.machines if one.plug is not None and not one.portable)
    told_apart = {
        fitting.yoke_id for one in coming for fitting in receptacles_open_to(site.shop, one)
    }
    for number, item in enumerate(site.points.items):
        kind = _kind(site, item)
        if kind is not None and item.points[0].id in told_apart:
            continue
        if kind is not None:
            before = first.setdefault(kind, number)
            if before != number and before not in found.values():
                found[number] = before
    return found


def _kind(site: Site, item: Item) -> tuple[object, ...] | None:
    """What tells an item from others; None when it is like no other."""
    if len(item.points) > 1 or item.points[0].kind != "receptacle":
        return None
    (point,) = item.points
    if point.switches or point.luminaires or site.points.fixed.get(point.id):
        return None
    wishes = [frozenset(group - {point.id}) for group in site.apart if point.id in group]
    points = [other for one in site.points.items for other in one.points]
    beside = {other.id for other in points if other.box == point.box}
    machines = frozenset(other.machine for other in points if point.id in other.options)
    told_apart = frozenset(wish for wish in wishes if not wish <= beside)
    within = sum(wish <= beside for wish in wishes)
    if any(point.id in circuit.yokes for circuit in site.shop.pins.circuits):
        return None
    return point.box, point.configuration, point.receptacles, machines, told_apart, within


def named(
    circuits: Circuits, alike: Mapping[int, int], chosen: Sequence[Candidate]
) -> list[Candidate]:
    """Chosen circuits with every item on one of them, where items alike were only counted."""
    left: dict[int, list[int]] = {}
    for item, first in sorted(alike.items()):
        left.setdefault(first, [first]).append(item)
    found = []
    for candidate in chosen:
        items = frozenset(
            left[first].pop(0) if (first := alike.get(item, item)) in left else item
            for item in candidate.items
        )
        found.append(
            candidate if items == frozenset(candidate.items) else _same(circuits, candidate, items)
        )
    return found


def _same(circuits: Circuits, candidate: Candidate, items: frozenset[int]) -> Candidate:
    """The circuit of other items that is like a candidate."""
    made = circuits.candidates(items)
    assert not isinstance(made, Refusal), "items are alike"
    return next(
        one
        for one in made
        if (one.panel, one.raceways, one.cost, one.copper, one.choices)
        == (
            candidate.panel,
            candidate.raceways,
            candidate.cost,
            candidate.copper,
            candidate.choices,
        )
    )
