"""Parts of a shop for its bound: items that may share circuits, and what each asks for at least.

No circuit has items of two parts. Costs in the first objective; currents in A.
"""

from collections.abc import Collection, Iterable, Sequence
from functools import cached_property
from itertools import combinations
from typing import Final

from models.formulas.conductors import ohm_per_kft
from models.formulas.receptacles import receptacle_rating_allowed as rating_allowed
from models.formulas.voltage_drop import voltage_drop_v
from models.switching import box_of
from solver.bound.deals import Deals
from solver.catalogue import CABLE_AWGS, RATINGS
from solver.circuit import Circuits
from solver.conductors import ASSUMED_PLUG_LOAD_AMPS
from solver.devices import Devices
from solver.load import CONTINUOUS_SHARE, is_bare_compressor
from solver.points import Item, Point
from solver.sketch import Sketcher
from solver.tandems import kinds, tandem_room
from solver.wire_limits import ampacity_and_breaker

LARGEST: Final = "10"  # this size stands for itself and all larger ones
SMALLEST: Final = "14"
BEST_C: Final = 75  # the column of terminals that carries most
EITHER: Final = (True, False)  # a receptacle alone on its circuit, or not
NO_LIMIT_FT: Final = float("inf")
USUAL_AMPS: Final = 20
PLUGGED_VOLTS: Final = 120
PAIRED_VOLTS: Final = 120  # of circuits with a neutral, that two hots may share
MOST_FIRST: Final = 10  # items that a clique is begun with


class Part:
    """Items that may share circuits with each other and with no others."""

    def __init__(self, circuits: Circuits, items: Sequence[int], clash: Sequence[int]) -> None:
        self.circuits, self.items, self.clash = circuits, tuple(items), clash
        self.boxes = {item: boxes_of(circuits.points.items[item]) for item in items}
        self.at: dict[str, list[int]] = {}
        for item in items:
            for box in self.boxes[item]:
                self.at.setdefault(box, []).append(item)
        self._weights = {item: self._weights_of(circuits.points.items[item]) for item in items}
        self._fits: dict[frozenset[int], bool] = {}
        self._least: dict[frozenset[int], int] = {}

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

    def _outlets(self, item: int) -> list[Point]:
        return [p for p in self.circuits.points.items[item].points if p.kind != "machine"]

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
            if several < len(loaded) and self.deals.known:
                several = max(several, self.deals.least(loaded))
            self._least[items] = max(several, self._counted(items))
        return self._least[items]

    def _counted(self, items: Iterable[int]) -> int:
        """The least number by how many receptacles there may be on a circuit."""
        most: int | None = self.circuits.shop.code.receptacles_per_circuit
        if most is None:
            return 0
        items_here = (self.circuits.points.items[item] for item in items)
        yokes = [p for item in items_here for p in item.points if p.kind == "receptacle"]
        return -(-len(yokes) // most)

    @cached_property
    def deals(self) -> Deals:
        """How its items with machines can be dealt to circuits."""
        return Deals(self.loaded, self._fit)

    @cached_property
    def loaded(self) -> tuple[int, ...]:
        """Items with machines."""
        return tuple(item for item in self.items if self._weights[item])

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

    @cached_property
    def _places(self) -> dict[int, list[int]]:
        """For machines that the planner places, the items they may plug in at."""
        named = {p.id: item for item in self.items for p in self._outlets(item)}
        points = {item: self.circuits.points.items[item].points for item in self.loaded}
        return {
            item: [named[name] for p in points[item] for name in p.options if name in named]
            for item in self.loaded
        }

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
        best = 0
        order = sorted(items, key=lambda item: (-sum(self._apart(item, o) for o in items), item))
        for first in order[:MOST_FIRST]:
            held = [first]
            for item in order:
                if item not in held and all(self._apart(item, other) for other in held):
                    held.append(item)
            best = max(best, len(held))
        return best

    def _apart(self, one: int, two: int) -> bool:
        """Whether two items share no circuit, as what they are or by what they draw."""
        if self.clash[one] >> two & 1:
            return True
        both = bool(self._weights[one]) and bool(self._weights[two])
        return both and one != two and not self._fit(frozenset((one, two)))

    def _fit(self, items: frozenset[int]) -> bool:
        """Whether the worst state of some items is within the largest breaker they may have."""
        if items not in self._fits:
            if len(items) == 1:
                return True
            pairs = combinations(sorted(items), 2)
            apart = any(self.clash[one] >> two & 1 for one, two in pairs)
            weights = {name: w for item in items for name, w in self._weights[item].items()}
            load = 0.0 if apart else self.circuits.loads.worst(weights)[1].load
            most = min(self._most_amps(item) for item in items)
            self._fits[items] = not apart and load <= most + 1e-6
        return self._fits[items]

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


def boxes_of(item: Item) -> frozenset[str]:
    """Every box that a circuit of an item comes to: outlets, luminaires and switches."""
    found = {box_of(switch) for point in item.points for switch in point.switches}
    for point in item.points:
        found.update(point.luminaires)
        found.update([point.box] if point.box else [])
    return frozenset(found)


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
