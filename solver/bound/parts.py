"""Parts of a shop for its bound: items that may share circuits, and what each asks for at least.

No circuit has items of two parts. Costs in the first objective; currents in A.
"""

from collections.abc import Collection, Iterable, Sequence
from functools import cached_property
from itertools import combinations
from math import ceil
from typing import Final

from models.formulas.conductors import ohm_per_kft
from models.formulas.receptacles import receptacle_rating_allowed as rating_allowed
from models.formulas.voltage_drop import voltage_drop_v
from solver.bound.deals import Deals
from solver.bound.together import BEST_C, ROUNDED, Together
from solver.catalogue import CABLE_AWGS, RATINGS
from solver.circuit import Circuits
from solver.devices import Devices
from solver.load import CONTINUOUS_SHARE, is_bare_compressor
from solver.points import Point
from solver.sharing import LARGEST_LIGHTING_CIRCUIT_AMPS
from solver.sketch import Sketcher, bits_of, items_of
from solver.sparse import is_large
from solver.tandems import kinds, tandem_room
from solver.voltage import ASSUMED_PLUG_LOAD_AMPS
from solver.wire_limits import ampacity_and_breaker

LARGEST: Final = "10"  # this size stands for itself and all larger ones
SMALLEST: Final = "14"
EITHER: Final = (True, False)  # a receptacle alone on its circuit, or not
NO_LIMIT_FT: Final = float("inf")
PLUGGED_VOLTS: Final = 120
PAIRED_VOLTS: Final = 120  # of circuits with a neutral, that two hots may share
MOST_FIRST: Final = 10  # items that a clique is begun with
THREE: Final = 3
LARGE_DEALT: Final = 0  # items with machines of a large shop that are dealt to circuits


class Part(Together):
    """Items that may share circuits with each other and with no others."""

    def __init__(self, circuits: Circuits, items: Sequence[int], clash: Sequence[int]) -> None:
        super().__init__(circuits, items, clash)
        self._least: dict[frozenset[int], int] = {}
        self._most_dealt = LARGE_DEALT if is_large(circuits.shop) else len(items)

    @cached_property
    def points(self) -> list[Point]:
        """All points."""
        return [p for item in self.items for p in self.circuits.points.items[item].points]

    @cached_property
    def volts(self) -> int:
        """The voltage of its circuits."""
        return self.points[0].volts

    @cached_property
    def lights(self) -> bool:
        """Whether all of it is lights."""
        return all(point.kind == "lights" for point in self.points)

    @cached_property
    def sizes(self) -> tuple[str, ...]:
        """Conductors that its circuits may have; the last stands for all larger ones too."""
        each = [self.smallest(item) for item in self._wanting] or [SMALLEST]
        smallest = min(each, key=CABLE_AWGS.index)
        last = max((LARGEST, *each), key=CABLE_AWGS.index)
        return CABLE_AWGS[CABLE_AWGS.index(smallest) : CABLE_AWGS.index(last) + 1]

    def smallest(self, item: int) -> str:
        """The smallest conductor that a circuit of an item may have."""
        circuits = self.circuits
        outlets = self._outlets(item)
        least = circuits.shop.code.smallest_receptacle_conductor
        if any(point.kind == "lights" for point in outlets):
            return SMALLEST
        amps = min(self.ratings(item))
        if self._by_nameplate:
            return least
        room_c, edition = circuits.room_c, circuits.shop.code.edition
        enough = (
            awg
            for awg in CABLE_AWGS[CABLE_AWGS.index(least) :]
            if ampacity_and_breaker(awg, BEST_C, room_c, 2, False, edition)[1] >= amps
        )
        return next(enough, CABLE_AWGS[-1])

    def asking_for(self, sizes: Collection[str], items: Iterable[int]) -> list[int]:
        """Items that have outlets and none on a conductor but these."""
        return [i for i in items if self._outlets(i) and self.smallest(i) in sizes]

    def ratings(self, item: int) -> list[int]:
        """Breakers that a circuit of an item may have, by its receptacles. [A]"""
        points = self.circuits.points
        rated = [
            points.configurations[p.configuration].amps
            for p in self._outlets(item)
            if p.configuration
        ]
        edition = self.circuits.ratings_edition
        return [
            amps
            for amps in RATINGS
            if all(
                any(rating_allowed(amps, one, single=single, edition=edition) for single in EITHER)
                for one in rated
            )
        ]

    @cached_property
    def _by_nameplate(self) -> bool:
        """Whether some machine may have smaller conductors than its breaker asks for, by an article
        of its own; what is wired may be such a one.
        """
        machines = self.circuits.points.machines
        here = [machines[name] for item in self.items for name in self._weights[item]]
        return any(point.kind == "hard-wired" for point in self.points) or any(
            machine.mca_amps is not None
            or machine.i1eff_amps is not None
            or is_bare_compressor(machine)
            for machine in here
        )

    def reach_ft(self, awg: str, box: str) -> float:
        """How far from its panel a conductor may lead to a box. [ft]"""
        here = [[p for p in self._outlets(item) if p.box == box] for item in self.at.get(box, ())]
        plugs = bool(here) and all(
            points and all(point.receptacles for point in points) for points in here
        )
        if self.volts != PLUGGED_VOLTS or not plugs or awg == self.sizes[-1]:
            return NO_LIMIT_FT
        most_v = self.volts * self.circuits.shop.code.voltage_drop_percent / 100
        return most_v / voltage_drop_v(ASSUMED_PLUG_LOAD_AMPS, 1.0, ohm_per_kft(awg))

    # -- what an item and a circuit cost at least

    def device_cost(self, item: int) -> int:
        """Receptacles and switches of an item."""
        outlets = tuple(self._outlets(item))
        if self.circuits.copper_first or not outlets:
            return 0
        devices = self._devices(outlets)
        cents = sum(filter(None, devices.switches_cents(outlets)))
        return 100 * cents + sum(devices.device_and_guard(point)[0] for point in outlets)

    def home_cost(self, end: str) -> int:
        """The cheapest breaker, with a GFCI where every outlet asks for one: in the breaker, or in
        a device that the home run comes to first, so at its end; of a pair, anywhere.
        """
        plain, held, guards, asking = self._breakers
        if len(asking) < len(self._wanting):
            return plain
        here: Iterable[int] = guards.values() if self.may_pair else [guards.get(end, held)]
        return plain + min([held, *here])

    def guards_cost(self, staying: Collection[int]) -> int:
        """GFCIs of all circuits with an outlet that asks for one, where not all do; items that may
        be alone pay for theirs.
        """
        _, held, guards, asking = self._breakers
        if len(asking) == len(self._wanting):
            return 0
        more = min([held, *guards.values()])
        return more * self.needed(frozenset(asking) - frozenset(staying))

    @cached_property
    def _wanting(self) -> list[int]:
        """Items with outlets."""
        return [item for item in self.items if self._outlets(item)]

    @cached_property
    def may_pair(self) -> bool:
        """Whether its circuits may be halves of multiwire pairs."""
        return self.circuits.pairs is not None and self.volts == PLUGGED_VOLTS

    @cached_property
    def _breakers(self) -> tuple[int, int, dict[str, int], list[int]]:
        """The cheapest breaker, what a GFCI breaker costs more at least, what one in a device does
        by box, and the items that ask for one.
        """
        circuits = self.circuits
        if circuits.copper_first:
            return 0, 0, {}, []
        poles = 1 if self.volts == PLUGGED_VOLTS else 2
        breaker = circuits.catalogue.breaker
        ratings = sorted({amps for item in self._wanting for amps in self.ratings(item)})
        plain = [cents for amps in ratings if (cents := breaker(amps, poles, False)) is not None]
        guarding = [cents for amps in ratings if (cents := breaker(amps, poles, True)) is not None]
        least = 100 * min(plain, default=0)
        if poles == 1 and tandem_room(circuits.shop, circuits.catalogue):
            least += min([0, *(kind.more // 2 for kind in kinds(circuits.catalogue))])
        held = [100 * cents for cents in guarding]
        if self.may_pair:
            both = [cents for amps in ratings if (cents := breaker(amps, 2, False)) is not None]
            least = min([least, *(50 * cents for cents in both)])
            both = [cents for amps in ratings if (cents := breaker(amps, 2, True)) is not None]
            held += [50 * cents for cents in both]
        asking, guards = self._guards()
        dearest = max([0, *guards.values()])
        more = min((cost - least for cost in held), default=dearest)
        return least, max(0, more), {box: max(0, one) for box, one in guards.items()}, asking

    def _guards(self) -> tuple[list[int], dict[str, int]]:
        """Items that ask for a GFCI, and what one in a device costs more, by box."""
        asking: list[int] = []
        guards: dict[str, int] = {}
        for item in self._wanting:
            outlets = self._outlets(item)
            found = [(p.box or "", *self._devices((p,)).device_and_guard(p)) for p in outlets]
            wired = any(point.kind == "hard-wired" for point in outlets)
            if not wired and any(asks for _, _, asks, _ in found):
                asking.append(item)
            for box, _, _, guard in found:
                if guard is not None:
                    guards[box] = min(guard, guards.get(box, guard))
        return asking, guards

    def _devices(self, points: tuple[Point, ...]) -> Devices:
        return Devices(self.circuits, self.circuits.loads.of(points, {}), RATINGS[0])

    # -- circuits that some items ask for

    def needed(self, items: frozenset[int]) -> int:
        """The least number of circuits that some items can be dealt to, as far as is known."""
        if items not in self._least:
            loaded = frozenset(item for item in items if self._weights[item])
            several = self._clique(items)
            if several < len(loaded) <= self._most_dealt and self.deals.known:
                several = max(several, self.deals.least(loaded))
            here = bits_of(loaded)
            two_each = (
                (whole & here).bit_count() + -(-(half & here).bit_count() // 2)
                for whole, half in self._halves
            )
            self._least[items] = max(several, self._counted(items), self._lit(items), *two_each)
        return self._least[items]

    def _counted(self, items: Iterable[int]) -> int:
        """The least number by how many receptacles there may be on a circuit."""
        most: int | None = self.circuits.shop.code.receptacles_per_circuit
        if most is None:
            return 0
        items_here = (self.circuits.points.items[item] for item in items)
        yokes = [p for item in items_here for p in item.points if p.kind == "receptacle"]
        return -(-len(yokes) // most)

    def _lit(self, items: Iterable[int]) -> int:
        """The least number by what lights draw, all at once."""
        if not self.lights:
            return 0
        boxes = {n for i in items for p in self._outlets(i) for n in p.luminaires}
        drawn = sum(CONTINUOUS_SHARE * self.circuits.loads.lights_amps[name] for name in boxes)
        return ceil(drawn / LARGEST_LIGHTING_CIRCUIT_AMPS - ROUNDED)

    @cached_property
    def _halves(self) -> list[tuple[int, int]]:
        """Pairs of sets of items, as bits: those of the first share with no other of both, and of
        the second no three share. So many circuits are needed as there are of the first, and half
        as many as of the second.
        """
        own = {item: max(self._weights[item].values()) for item in self.loaded}
        found: dict[tuple[int, int], None] = {}
        most = max(map(self._most_amps, self.loaded), default=0)
        for least in sorted(amps for amps in set(own.values()) if THREE * amps > most):
            both = sorted(item for item in self.loaded if own[item] >= least)
            here, whole = bits_of(both), 0
            for item in sorted(both, key=lambda item: (-own[item], item)):
                if (self._apart[item] | 1 << item) & here == here:
                    whole |= 1 << item
            half = self._no_three([item for item in both if not whole >> item & 1])
            if half.bit_count() > 1:
                found[whole, half] = None
        return list(found)

    def _no_three(self, items: Sequence[int]) -> int:
        """Items of which no three share a circuit, found greedily, as bits."""
        held: list[int] = []
        for item in items:
            pairs = (
                (one, two)
                for one, two in combinations(held, 2)
                if not (self._apart[item] >> one | self._apart[item] >> two) & 1
                and not self._apart[one] >> two & 1
            )
            if not any(self._within((item, *pair)) for pair in pairs):
                held.append(item)
        return bits_of(held)

    @cached_property
    def sized(self) -> dict[str, int]:
        """For conductors but the largest, items as bits of which no three share a circuit, and no
        two one on that conductor or a smaller one.
        """
        found: dict[str, int] = {}
        for awg in self.sizes[:-1]:
            for whole, half in self._halves:
                both, held = whole | half, 0
                for item in items_of(both):
                    beside = items_of(held & ~self._apart[item])
                    if not any(self._carried(awg, item, other) for other in beside):
                        held |= 1 << item
                if held.bit_count() > found.get(awg, 0).bit_count():
                    found[awg] = held
        return found

    def is_smaller(self, awg: str, than: str) -> bool:
        """Whether one of its conductors is smaller than another."""
        return self.sizes.index(awg) < self.sizes.index(than)

    def room_for_sized(self, awg: str, sized: str) -> int:
        """How many of the sized items of a conductor may be on a circuit of another."""
        return 2 if self.is_smaller(sized, awg) else 1

    @cached_property
    def deals(self) -> Deals:
        """How its items with machines can be dealt to circuits."""
        return Deals(self.loaded, self._fit)

    def inside(self, boxes: frozenset[str]) -> frozenset[int]:
        """Items whose circuits all enter some boxes: what has an outlet there, and machines that
        can be plugged in nowhere else.
        """
        here = {item for box in boxes for item in self.at.get(box, ())}
        for item in self.loaded:
            places = self._places[item]
            if places and all(self.boxes[place] & boxes for place in places):
                here.add(item)
        return frozenset(here)

    def machine_boxes(self, item: int) -> dict[str, frozenset[str]]:
        """The machines of an item, each with the boxes it may be at."""
        points, found = self.circuits.points, dict[str, frozenset[str]]()
        named = {p.id: p.box for i in self.items for p in self._outlets(i)}
        for point in points.items[item].points:
            for name in points.fixed.get(point.id, ()):
                found[name] = frozenset(filter(None, [point.box]))
            if point.machine is not None:
                boxes = [named.get(option) for option in point.options]
                found[point.machine] = frozenset(filter(None, boxes))
        return found

    def _clique(self, items: frozenset[int]) -> int:
        """The size of a set of items no two of which may share a circuit, found greedily."""
        here = bits_of(items)
        apart = {item: bits for item in items if (bits := self._apart[item] & here)}
        order = sorted(apart, key=lambda item: (-apart[item].bit_count(), item))
        best = min(1, len(items))
        for first in order[:MOST_FIRST]:
            count, left = 1, apart[first]
            for item in order:
                if left >> item & 1:
                    count, left = count + 1, left & apart[item]
            best = max(best, count)
        return best


def clashes(circuits: Circuits) -> list[int]:
    """For each item the items, as bits, that it can share no circuit with; a machine that the
    planner places shares none with what all its places clash with.
    """
    clash = list(Sketcher(circuits).clash)
    items = circuits.points.items
    named = {point.id: number for number, item in enumerate(items) for point in item.points}
    for number, item in enumerate(items):
        options = [point.options for point in item.points if point.options]
        if not options or len(item.points) > 1:
            continue
        places = [named[name] for name in options[0] if name in named]
        for other in range(len(items)):
            barred = other != number and all(
                place != other and clash[place] >> other & 1 for place in places
            )
            if places and barred:
                clash[number] |= 1 << other
                clash[other] |= 1 << number
    return clash


def parts_of(circuits: Circuits, items: Sequence[int], clash: Sequence[int]) -> list[Part]:
    """Items by which may share a circuit, directly or by way of others."""
    left, found = set(items), []
    while left:
        todo, part = [min(left)], set[int]()
        while todo:
            one = todo.pop()
            if one in left:
                left.discard(one)
                part.add(one)
                todo += [other for other in left if not clash[one] >> other & 1]
        found.append(Part(circuits, sorted(part), clash))
    return found
