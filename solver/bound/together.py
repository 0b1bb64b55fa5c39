"""Which items of a part go together on one circuit, by what their machines draw.

Worst states hang on what a machine draws and who attends it, so each question is asked once for all
items that are alike in that. Currents in A, sets of items as bits.
"""

from collections.abc import Collection, Sequence
from functools import cached_property
from itertools import combinations
from typing import Final

from models.switching import box_of
from solver.catalogue import RATINGS
from solver.circuit import Circuits
from solver.load import CONTINUOUS_SHARE, is_bare_compressor
from solver.points import Item, Point
from solver.sketch import bits_of
from solver.wire_limits import NM_TERMINALS_C, ampacity_and_breaker

BEST_C: Final = 75  # the column of terminals that carries most
USUAL_AMPS: Final = 20
ROUNDED: Final = 1e-6


class Together:
    """Items with what they draw; `clash`: for each item those it can share no circuit with."""

    def __init__(self, circuits: Circuits, items: Sequence[int], clash: Sequence[int]) -> None:
        self.circuits, self.items, self.clash = circuits, tuple(items), clash
        self.boxes = {item: boxes_of(circuits.points.items[item]) for item in items}
        self.at: dict[str, list[int]] = {}
        for item in items:
            for box in self.boxes[item]:
                self.at.setdefault(box, []).append(item)
        self._weights = {item: self._weights_of(circuits.points.items[item]) for item in items}
        self._fits: dict[frozenset[int], bool] = {}
        self._within_kinds: dict[tuple[int, ...], bool] = {}
        self._carries: dict[tuple[str, int, int], bool] = {}

    def _outlets(self, item: int) -> list[Point]:
        return [p for p in self.circuits.points.items[item].points if p.kind != "machine"]

    @cached_property
    def loaded(self) -> tuple[int, ...]:
        """Items with machines."""
        return tuple(item for item in self.items if self._weights[item])

    @cached_property
    def _places(self) -> dict[int, list[int]]:
        """For machines that the planner places, the items they may plug in at."""
        named = {p.id: item for item in self.items for p in self._outlets(item)}
        points = {item: self.circuits.points.items[item].points for item in self.loaded}
        return {
            item: [named[name] for p in points[item] for name in p.options if name in named]
            for item in self.loaded
        }

    @cached_property
    def _apart(self) -> dict[int, int]:
        """For each item the items, as bits, that it shares no circuit with, as what they are or by
        what they draw.
        """
        apart = {item: self.clash[item] for item in self.items}
        for one, two in combinations(self.loaded, 2):
            if not apart[one] >> two & 1 and not self._fit(frozenset((one, two))):
                apart[one] |= 1 << two
                apart[two] |= 1 << one
        return apart

    def _fit(self, items: frozenset[int]) -> bool:
        """Whether the worst state of some items is within the largest breaker they may have."""
        if items not in self._fits:
            if len(items) == 1:
                return True
            here = bits_of(items)
            apart = any(self.clash[item] & here for item in items)
            self._fits[items] = not apart and self._within(items)
        return self._fits[items]

    def _within(self, items: Collection[int]) -> bool:
        """The same of items that do not clash; what is drawn alike by the same people is alike."""
        kinds = tuple(sorted(map(self._kinds.__getitem__, items)))
        if kinds not in self._within_kinds:
            weights = {name: w for item in items for name, w in self._weights[item].items()}
            load = self.circuits.loads.worst(weights)[1].load
            most = min(self._most_amps(item) for item in items)
            self._within_kinds[kinds] = load <= most + ROUNDED
        return self._within_kinds[kinds]

    @cached_property
    def _kinds(self) -> dict[int, int]:
        """Items with machines, numbered by all that their worst states hang on."""
        alike, numbers = self.circuits.loads.alike, dict[object, int]()
        found = {}
        for item in self.loaded:
            weights = self._weights[item].items()
            drawn = sorted(repr((w, alike(name), *self._nameplate(name))) for name, w in weights)
            kind = self._most_amps(item), *drawn
            found[item] = numbers.setdefault(kind, len(numbers))
        return found

    def _nameplate(self, name: str) -> tuple[object, ...]:
        """What of a machine conductors are sized by."""
        machine, amps = self.circuits.points.machines[name], self.circuits.points.amps[name]
        return amps, machine.motor_hp, machine.i1eff_amps, is_bare_compressor(machine)

    def _most_amps(self, item: int) -> int:
        """The largest breaker that a circuit of an item and others may have."""
        points = self.circuits.points
        names = [p.configuration for p in self._outlets(item)]
        if not names:
            places = self._places[item]
            return max((self._most_amps(place) for place in places), default=RATINGS[-1])
        rated = (points.configurations[name].amps if name else RATINGS[-1] for name in names)
        return min(max(USUAL_AMPS, amps) for amps in rated)

    def _weights_of(self, item: Item) -> dict[str, float]:
        """Current of the machines of an item, continuous ones at 125 %. [A]"""
        points = self.circuits.points
        names = {
            name
            for p in item.points
            for name in (*points.fixed.get(p.id, ()), *filter(None, (p.machine,)))
        }
        return {
            name: points.amps[name] * (CONTINUOUS_SHARE if points.machines[name].lasting else 1.0)
            for name in sorted(names)
        }

    def _carried(self, awg: str, one: int, two: int) -> bool:
        """Whether a conductor carries two items where it does best: in cable, where every circuit
        of the part has some.
        """
        one_kind, two_kind = sorted((self._kinds[one], self._kinds[two]))
        pair = awg, one_kind, two_kind
        if pair not in self._carries:
            circuits = self.circuits
            names = [*self._weights[one], *self._weights[two]]
            points = circuits.points_of(frozenset((one, two)))
            load = circuits.loads.of(points, dict.fromkeys(names, ""))
            column_c = BEST_C if self._piped else NM_TERMINALS_C
            edition = circuits.shop.code.edition
            most, _ = ampacity_and_breaker(awg, column_c, circuits.room_c, 2, False, edition)
            self._carries[pair] = max(load.weighted_amps, load.conductor_amps) <= most + ROUNDED
        return self._carries[pair]

    @cached_property
    def _piped(self) -> bool:
        """Whether a raceway ends at a box of the part, so that circuits may be without cable."""
        raceways = self.circuits.ways.raceways.values()
        return any(end in self.at for route in raceways for end in route.raceway.ends)


def boxes_of(item: Item) -> frozenset[str]:
    """Every box that a circuit of an item comes to: outlets, luminaires and switches."""
    found = {box_of(switch) for point in item.points for switch in point.switches}
    for point in item.points:
        found.update(point.luminaires)
        found.update([point.box] if point.box else [])
    return frozenset(found)
