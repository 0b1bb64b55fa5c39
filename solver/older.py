"""An older plan to start from: what hung together on each of its circuits, by names.

The shop may have changed since. Points are known by yoke, luminaire or machine, which keep their
names (`branchwright ids`); how circuits were built and where their runs went is not looked at.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from models.plan import CircuitPlan, Plan
from models.shop import Shop
from solver.points import Item, Point, machine_point


@dataclass(frozen=True)
class Older:
    """Names on each circuit of an older plan, a multiwire pair as one; the hash of its file."""

    circuits: tuple[frozenset[str], ...]
    sha256: str

    @classmethod
    def of(cls, plan: Plan, sha256: str) -> "Older":
        """What a plan says."""
        yokes = {outlet.id: outlet.yoke or outlet.id for outlet in plan.outlets}
        by_id = {circuit.id: circuit for circuit in plan.circuits}

        def names(circuit: CircuitPlan) -> frozenset[str]:
            outlets = (yokes.get(outlet, outlet) for outlet in circuit.outlets)
            return frozenset([*outlets, *map(machine_point, circuit.machines)])

        found: dict[frozenset[str], None] = {}
        for circuit in plan.circuits:
            partner = by_id.get(circuit.multiwire_with or "")
            found[names(circuit) | (names(partner) if partner else frozenset())] = None
        return cls(tuple(found), sha256)

    def gone(self, shop: Shop) -> list[str]:
        """What is in no shop file any more: yokes and luminaires, then machines."""
        there = {name for box in shop.boxes for name in (box.id, *box.yoke_ids)}
        there |= {machine_point(machine.id) for machine in shop.machines}
        return sorted(frozenset().union(*self.circuits) - there, key=_outlets_first)

    def groups(self, items: Sequence[Item]) -> list[frozenset[int]]:
        """Items that were on one circuit; an item is where the first point of it was."""
        at = {name: number for number, names in enumerate(self.circuits) for name in names}
        groups: dict[int, set[int]] = {}
        for number, item in enumerate(items):
            known = (at[name] for point in item.points for name in _names(point) if name in at)
            if (circuit := next(known, None)) is not None:
                groups.setdefault(circuit, set()).add(number)
        return [frozenset(group) for _, group in sorted(groups.items())]


def _names(point: Point) -> tuple[str, ...]:
    """What a plan may call a point."""
    return point.id, *point.luminaires


def _outlets_first(name: str) -> tuple[bool, str]:
    return name.startswith(machine_point("")), name
