"""How machines are dealt to circuits, in the relaxation: a variable for every group that fits.

On every circuit is one group of machines, behind conductors of one size. Into a set of boxes where
some of its machines must be, the circuit comes at least once; and at least twice where coming in
once would cost too much voltage: then the current of all of them would flow at least as far as the
nearest box of the set, and that of each machine on from there (a tree has one way to each). Only
what runs in the worst state of the group counts, one of those in which voltage is kept. Volts,
amperes, feet.
"""

from collections.abc import Collection, Iterator, Mapping
from typing import Final, NamedTuple

from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import drop_percent, voltage_drop_v
from solver.bound.parts import Part

MOST_GROUPS: Final = 800
SHARES: Final = (0.25, 0.4, 0.55, 0.7, 0.85)  # of the way to a machine
DETOUR_FT: Final = 20.0  # boxes that are so little off the way to a machine are on it


class Group(NamedTuple):
    """Items with machines on one circuit; each machine that runs with its boxes."""

    items: frozenset[int]
    machines: Mapping[str, frozenset[str]]
    running: Mapping[str, float]


class Dealt:
    """Groups of a part, and the sets of boxes they are asked about."""

    def __init__(self, part: Part, near: Mapping[str, float]) -> None:
        self.part, self.near = part, near
        deals = part.deals
        self.known = deals.known and 1 < len(deals.groups) <= MOST_GROUPS
        self.groups = (
            [self._group(deals.named(bits)) for bits in deals.groups] if self.known else []
        )

    def _group(self, items: frozenset[int]) -> Group:
        """A group with what runs of it in its worst state."""
        machines = {
            name: boxes for item in items for name, boxes in self.part.machine_boxes(item).items()
        }
        circuits = self.part.circuits
        load = circuits.loads.of(circuits.points_of(items), dict.fromkeys(machines, ""))
        return Group(items, machines, {name: load.amps[name] for name in load.running})

    def boxes(self) -> list[frozenset[str]]:
        """Sets of boxes to ask about: those of a machine, and those beyond so much of the way."""
        found: dict[frozenset[str], None] = {}
        for group in self.groups:
            for places in group.machines.values() if len(group.items) == 1 else ():
                if places and places <= self.near.keys():
                    found[places] = None
                    found.update(dict.fromkeys(self._beyond(places)))
        return list(found)

    def _beyond(self, places: frozenset[str]) -> Iterator[frozenset[str]]:
        """Boxes on the way to some places, beyond so much of it, and all boxes that are as far."""
        far = min(self.near[place] for place in places)
        for share in SHARES:
            beyond = {box for box, ft in self.near.items() if ft >= share * far and ft > 0}
            yield frozenset(beyond | places)
            on_the_way = {box for box in beyond if self._is_on_the_way(box, places)}
            yield frozenset(on_the_way | places)

    def _is_on_the_way(self, box: str, places: Collection[str]) -> bool:
        """Whether a way to one of some places by way of a box is hardly longer."""
        ways = self.part.circuits.ways_between
        for place in places:
            lengths = [way.length_cft / 100 for way in ways(box, place)] if box != place else [0.0]
            if lengths and self.near[box] + min(lengths) <= self.near[place] + DETOUR_FT:
                return True
        return False

    def first_ft(self, boxes: Collection[str]) -> float:
        """How far the nearest of some boxes is. [ft]"""
        return min((self.near[box] for box in boxes if box in self.near), default=0.0)

    def entering(self, group: Group, awg: str, boxes: frozenset[str], first: float) -> int:
        """How many runs of a circuit with a group come at least into a set of places with all
        places of some boxes; the first place of the set is so far. [ft]
        """
        inside = [name for name, places in group.machines.items() if places and places <= boxes]
        if not inside:
            return 0
        if awg == self.part.sizes[-1]:
            return 1  # it stands for all larger ones too
        drawn = {name: group.running[name] for name in inside if name in group.running}
        together = sum(drawn.values())
        ohm, shop = ohm_per_kft(awg), self.part.circuits.shop
        for name, amps in drawn.items():
            far = min(self.near[place] for place in group.machines[name])
            lost = voltage_drop_v(together, first, ohm)
            lost += voltage_drop_v(amps, max(0.0, far - first), ohm)
            if drop_percent(lost, self.part.volts) > shop.code.voltage_drop_percent + 1e-6:
                return 2
        return 1

    def may_be(self, group: Group, awg: str) -> bool:
        """Whether each machine of a group by itself keeps the voltage on the straightest way."""
        if awg == self.part.sizes[-1]:
            return True
        ohm, most = ohm_per_kft(awg), self.part.circuits.shop.code.voltage_drop_percent
        for name, amps in group.running.items():
            far = min((self.near.get(b, 0.0) for b in group.machines[name]), default=0.0)
            if drop_percent(voltage_drop_v(amps, far, ohm), self.part.volts) > most + 1e-6:
                return False
        return True
