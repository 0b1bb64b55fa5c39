"""The relaxation of one shop: runs of all circuits together, boxes, raceways, circuits alone.

A variable counts the circuits of one part and one conductor along one way between two enclosures,
away from the panel; what only one item may have is one of its exact candidates. Costs in the first
objective; contents in 1/400 in³, areas in 0.0001 in².
"""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Final, NamedTuple

from solver.bound import switch_legs
from solver.bound.certificate import Key
from solver.bound.days import Days
from solver.bound.dealt import Dealt, Group
from solver.bound.near import Near
from solver.bound.parts import NO_LIMIT_FT, PAIRED_VOLTS, Part, clashes, parts_of
from solver.bound.program import Program
from solver.bound.set_rows import add_sets
from solver.bound.sets import Sets
from solver.bound.ways import nodes_of, ways_of
from solver.candidate import area_of
from solver.catalogue import area, cable_ground, volume
from solver.circuit import Circuits
from solver.enclosures import box_choices, fixed_cost, raceway_cost
from solver.lighting import new_light_circuits
from solver.panel import free_spaces
from solver.priced_ways import PricedWays
from solver.refusal import Refusal
from solver.tandems import tandem_room
from solver.thing_costs import thing_costs

WIRES: Final = 2
STEPS_FT: Final = (0.0, 1.0, 2.5, 5.0, 10.0, 20.0)  # from where on a layer begins
ROUNDED_FT: Final = 0.0001
Terms = dict[int, int]


@dataclass(frozen=True)
class Arc:
    """One way from one enclosure to another, for one part and one conductor."""

    part: int
    awg: str
    start: str
    end: str
    gates: frozenset[str]
    number: int
    passes: tuple[str, ...] = ()  # boxes that its conductors pass through
    layers: tuple[int, int] = (0, 0)  # how much farther than need be, at its start and end

    @property
    def come(self) -> "Place":
        """Where it starts."""
        return Place(self.start, self.awg, self.layers[0])

    @property
    def to(self) -> "Place":
        """Where it ends."""
        return Place(self.end, self.awg, self.layers[1])


class Place(NamedTuple):
    """An enclosure as a conductor comes to it: how much farther than need be, by layers."""

    box: str
    awg: str
    layer: int


class Runs:
    """The program of a shop; `constant` is what every plan has to pay beside it."""

    def __init__(self, circuits: Circuits) -> None:
        self.circuits = circuits
        self.program = Program()
        self.panels = frozenset(circuits.panels)
        self.boxes = {box for box in circuits.shop.enclosures if box not in self.panels}
        clash = clashes(circuits)
        items = range(len(circuits.points.items))
        everyone = (1 << len(items)) - 1
        lonely = [n for n in items if clash[n] | 1 << n == everyone]
        self.alone: dict[int, dict[int, int]] = {}  # item -> variable -> candidate
        self._contents: dict[str, Terms] = defaultdict(lambda: defaultdict(int))
        self._through: dict[str, Terms] = defaultdict(lambda: defaultdict(int))
        self._into: dict[tuple[str, str], Terms] = defaultdict(lambda: defaultdict(int))
        self._in_ways: dict[tuple[str, object], tuple[set[int], int]] = {}
        exact = self._exact(lonely)
        others = [item for item in items if item not in exact]
        self.parts = parts_of(circuits, others, clash)
        self.arcs: list[Arc] = []
        self.staying: list[dict[int, Terms]] = []
        self.dealt: dict[int, tuple[Dealt, dict[int, tuple[Group, str]]]] = {}  # by part
        self.whatever: list[int] = []  # what each part costs whatever its circuits are
        self.shared: dict[int, int] = {}  # item with a changeover -> variable: among others
        self._places: Terms = {}  # spaces of panels that circuits take, counted along runs
        self.places_of_sets: Terms = {}  # the same of circuits in sets
        self.in_sets: set[int] = set()  # runs of parts of which every circuit is in a set
        self.without_runs: set[int] = set()  # parts of which only sets are in the relaxation
        self.constant = circuits.later_machines.least
        if not circuits.copper_first:
            self.constant += fixed_cost(circuits.shop, circuits.catalogue)
        for item in sorted(exact):
            self._add_alone(item)
        for number, part in enumerate(self.parts):
            self._add_part(number, part)
        for numbers, paired in self._together():
            sets = Sets(circuits, [self.parts[n] for n in numbers], paired=paired)
            if sets.known:
                add_sets(self, numbers, sets)
        self._fit_panels()
        self.gates: dict[str, int] = {}
        self._add_boxes()
        self._add_raceways()
        self._open_gates()

    # -- circuits of one item

    def _exact(self, lonely: Sequence[int]) -> set[int]:
        """Items on circuits of their own of which all is known that they may be."""
        return {item for item in lonely if not self._may_pair(item) and self._has_exact(item)}

    def _may_pair(self, item: int) -> bool:
        """Whether an item may be half of a multiwire pair."""
        points = self.circuits.points.items[item].points
        return self.circuits.pairs is not None and points[0].volts == PAIRED_VOLTS

    def _has_exact(self, item: int) -> bool:
        """Whether all that a circuit of an item alone may be is known."""
        circuits = self.circuits
        before, circuits.exact = circuits.exact, True
        made = circuits.candidates(frozenset([item]))
        known, circuits.exact = circuits.exact, before
        return known and not isinstance(made, Refusal)

    def _add_alone(self, item: int, optional: bool = False) -> Terms:
        """One variable for each candidate of an item; just one of them where it must be alone."""
        made = self.circuits.candidates(frozenset([item]))
        assert not isinstance(made, Refusal)
        chosen: Terms = {}
        for one in made:
            cost = one.floor if one.floor is not None else self.circuits.rank(one)[0]
            number = self.program.variable(cost, 1)
            chosen[number] = 1
            self._places[number] = one.places
            for box, share in one.boxes.items():
                self._contents[box][number] += share.volume
                if box in self.circuits.junctions:
                    self._into[f"alone {item}", box][number] += 1
            for name, through in one.raceways.items():
                self._through[name][number] += through.room
                self._into[f"alone {item}", name][number] += 1
        if not optional:
            self.program.add(chosen, 1, ("alone", item))
        return chosen

    # -- circuits of a part

    def _add_part(self, number: int, part: Part) -> None:
        """Arcs with what they take, and what boxes and the panel ask for."""
        circuits = self.circuits
        staying = self._changing(part)
        self.staying.append(staying)
        whatever = part.guards_cost(staying)
        whatever += sum(part.device_cost(n) for n in part.items if n not in staying)
        whatever += switch_legs.third_wires(circuits, part, staying)
        whatever += self._days_to_come(part, staying)
        self.constant += whatever
        first = len(self.arcs)
        for awg in part.sizes:
            self._add_arcs(number, part, awg)
        arcs = self.arcs[first:]
        for arc in arcs:
            for box in (arc.start, arc.end, *arc.passes):
                if box not in self.panels:
                    self._contents[box][arc.number] += self._wires(part, volume(arc.awg))
            for name in arc.gates & circuits.ways.raceways.keys():
                self._through[name][arc.number] += self._wires(part, area(arc.awg))
            for name in arc.gates:
                self._into[arc.end, name][arc.number] += 1
        poles = part.volts // PAIRED_VOLTS
        self._places |= {arc.number: poles for arc in arcs if arc.start in self.panels}
        self._ask_boxes(number, part, staying)
        least = part.needed(frozenset(part.items))
        if part.lights and circuits.shop.code.lights_apart:
            least = max(least, new_light_circuits(circuits.shop))
        terms = {arc.number: 1 for arc in arcs if arc.start in self.panels}
        for alone in staying.values():
            terms |= alone
        self.program.add(terms, least, ("home runs", number))
        for row in switch_legs.rows(part, arcs, staying):
            self.program.add(*row)
        if not part.may_pair:
            self._deal(number, part, arcs, staying)
        self.whatever.append(whatever)

    def _deal(
        self, number: int, part: Part, arcs: Sequence[Arc], staying: Mapping[int, Terms]
    ) -> None:
        """Every machine in a group, and runs for each group on its conductor."""
        near = Near(self.circuits, {*part.at, *self.circuits.junctions}).from_any()
        dealt = Dealt(part, near)
        if not dealt.known:
            return
        taken = {
            self.program.variable(0, 1): (group, awg)
            for awg in part.sizes
            for group in dealt.groups
            if dealt.may_be(group, awg)
        }
        self.dealt[number] = dealt, taken
        for item in part.loaded:
            within = {n: 1 for n, (group, _) in taken.items() if item in group.items}
            self.program.add(within | staying.get(item, {}), 1, ("dealt", item))
        for place, boxes in enumerate([frozenset(part.circuits.shop.enclosures), *dealt.boxes()]):
            first = dealt.first_ft(boxes)
            for awg in part.sizes:
                terms = {
                    arc.number: 1
                    for arc in arcs
                    if arc.awg == awg
                    and arc.end in boxes
                    and (arc.start not in boxes or arc.start in self.panels)
                }
                for n, (group, size) in taken.items():
                    entering = 1 if not place else dealt.entering(group, awg, boxes, first)
                    if size == awg and entering:
                        terms[n] = -entering
                self.program.add(terms, 0, ("dealt into", number, place, awg))

    def _together(self) -> Iterator[tuple[list[int], bool]]:
        """Parts by whether their circuits may be paired: those together, each other one alone."""
        pairs = self.circuits.pairs is not None
        halves = [
            number
            for number, part in enumerate(self.parts)
            if pairs and part.volts == PAIRED_VOLTS and not part.lights
        ]
        yield from (([number], False) for number in range(len(self.parts)) if number not in halves)
        if halves:
            yield halves, True

    def _wires(self, part: Part, each: int) -> int:
        """What the wires of a run take; half of a pair's three where there may be pairs."""
        pairs = self.circuits.pairs is not None and part.volts == PAIRED_VOLTS
        return (WIRES + 1) * each // 2 if pairs else WIRES * each

    def _changing(self, part: Part) -> dict[int, Terms]:
        """Items with a changeover: alone in one of their ways, or among others at what it costs
        then.
        """
        later, circuits = self.circuits.later, self.circuits
        found: dict[int, Terms] = {}
        for item in part.items:
            names = [
                (name, point.options or (point.id,))
                for point in circuits.points.items[item].points
                for name in (*circuits.points.fixed.get(point.id, ()), point.machine)
                if name in later.planned
            ]
            if not names:
                continue
            if circuits.shop.code.multiwire or not self._has_exact(item):
                continue
            among = sum(self._left_undone(name, yokes) for name, yokes in names)
            among += part.device_cost(item)
            alone = self._add_alone(item, optional=True)
            shared = self.shared[item] = self.program.variable(among, 1)
            found[item] = alone
            self.program.add({**alone, shared: 1}, 1, ("alone or not", item))
        return found

    def _days_to_come(self, part: Part, staying: Collection[int]) -> int:
        """What changeovers of all other items ask for at least, on any circuit."""
        days, total = Days(self.circuits), 0
        planned = self.circuits.later.planned.keys()
        for item in (n for n in part.items if n not in staying):
            for point in self.circuits.points.items[item].points:
                fixed = self.circuits.points.fixed.get(point.id, ())
                for machine in {*fixed, *filter(None, [point.machine])} & planned:
                    outlets = (1, 2) if part.volts == PAIRED_VOLTS else (1,)
                    places = product(point.options or (point.id,), self.panels, outlets)
                    total += min(days.least(machine, *place) for place in places)
        return total

    def _left_undone(self, machine: str, yokes: Sequence[str]) -> int:
        """What a day to come costs at least that nothing is done about now."""
        again = self.circuits.later.again
        runs = [again(machine, yoke, panel) for yoke in yokes for panel in self.circuits.panels]
        costs = [
            run.expected_copper if self.circuits.copper_first else run.expected_cost
            for run in runs
            if run is not None
        ]
        return min(costs, default=0) if len(costs) == len(runs) else 0

    def _add_arcs(self, number: int, part: Part, awg: str) -> None:
        """Every way that is not dearer than another through no more raceways."""
        circuits = self.circuits
        priced = self.priced(part, awg)
        near = self._near(part)
        layers = {box: self._layers(part, awg, box, near) for box in near}
        for start, end in self.near_pairs(part):
            if start not in near:
                continue
            most = self.most_at(part, end)
            extra = part.home_cost(end) if start in self.panels else 0
            ways = ways_of(circuits, priced, start, end)
            for way, layer in product(ways, range(len(layers[start]))):
                at_ft = near[start] + layers[start][layer] + way.length_ft
                if at_ft > part.reach_ft(awg, end) + ROUNDED_FT:
                    continue
                var = self.program.variable(way.cost + extra, most)
                more_ft = at_ft - near[end] + ROUNDED_FT
                reached = layer, sum(step <= more_ft for step in layers[end]) - 1
                arc = Arc(number, awg, start, end, way.gates, var, way.passes, reached)
                self.arcs.append(arc)

    def priced(self, part: Part, awg: str) -> list[PricedWays]:
        """Ways of a conductor, and of both halves of a pair where there may be pairs."""
        ground = {"cable": cable_ground(awg), "raceway": awg}
        wires = (WIRES, WIRES + 1) if part.may_pair else (WIRES,)
        everything = self.circuits.everything
        return [self.circuits.priced(awg, count, ground, everything) for count in wires]

    def worth_afar(self, _: Mapping[Key, int]) -> int:
        """What runs without variables add to a bound, in millionths; 0 at most."""
        return 0

    def lay_afar(self, _: Mapping[Key, int]) -> int:
        """Give variables to such runs as lower the bound; how many."""
        return 0

    def broken(self) -> Iterator[tuple[Terms, int, Key]]:
        """Rows Σ a·x ≥ b that are looked for late, and that the values found last break."""
        return iter(())

    def asked_first(self, _: Part) -> Iterator[frozenset[str]]:
        """Sets of boxes to ask about before others."""
        return iter(())

    def _near(self, part: Part) -> Mapping[str, float]:
        """How far from a panel each enclosure is that a part may come to, at least. [ft]"""
        return Near(self.circuits, nodes_of(self.circuits, part)).from_any()

    def near_pairs(self, part: Part) -> Iterator[tuple[str, str]]:
        """Ends of the runs of a part that have variables."""
        nodes = nodes_of(self.circuits, part)
        ends = product((*sorted(self.panels), *nodes), nodes)
        yield from ((start, end) for start, end in ends if start != end)

    def _layers(
        self, part: Part, awg: str, box: str, near: Mapping[str, float]
    ) -> tuple[float, ...]:
        """From where on the layers begin of what a conductor may have come farther than need be to
        an enclosure; one where it may go anywhere. [ft]
        """
        if box in self.panels or all(part.reach_ft(awg, b) == NO_LIMIT_FT for b in part.at):
            return (0.0,)
        spare_ft = part.reach_ft(awg, box) - near[box] + ROUNDED_FT
        return tuple(step for step in STEPS_FT if step <= spare_ft) or (0.0,)

    def _ask_boxes(self, number: int, part: Part, staying: dict[int, Terms]) -> None:
        """As many circuits into a box as its items need, and no more out than in."""
        mine = [arc for arc in self.arcs if arc.part == number]
        into: dict[tuple[str, str], Terms] = defaultdict(dict)
        for arc in mine:
            into[arc.awg, arc.end][arc.number] = 1
        for box, items in sorted(part.at.items()):
            terms = {n: 1 for awg in part.sizes for n in into[awg, box]}
            for item in items:
                terms |= staying.get(item, {})
            self.program.add(terms, part.needed(frozenset(items)), ("box", number, box))
            for smallest in part.sizes[1:]:
                large = part.sizes[part.sizes.index(smallest) :]
                asking = set(part.asking_for(large, items)) - staying.keys()
                if asking:
                    terms_large = {n: 1 for awg in large for n in into[awg, box]}
                    least = part.needed(frozenset(asking))
                    self.program.add(terms_large, least, ("large", number, box, smallest))
            most = self.most_at(part, box)
            self.program.add(dict.fromkeys(terms, -1), -most, ("most", number, box))
        self._ask_through(mine)

    def _ask_through(self, arcs: Sequence[Arc]) -> None:
        """Out of an enclosure, to another than they came from, at most what came in no less far."""
        from_other: dict[tuple[str, str, int], dict[int, str]] = defaultdict(dict)
        for arc in arcs:
            from_other[arc.awg, arc.end, arc.layers[1]][arc.number] = arc.start
        for arc in arcs:
            if arc.start not in self.panels:
                come = from_other[arc.awg, arc.start, arc.layers[0]]
                terms = {n: 1 for n, before in come.items() if before != arc.end}
                terms[arc.number] = -1
                self.program.add(terms, 0, ("through", arc.number, arc.start, arc.end))

    # -- things that circuits share

    def _fit_panels(self) -> None:
        """All poles, spaces that are kept and wished ones go into the spaces of all panels."""
        shop = self.circuits.shop
        room = sum(len(free_spaces(shop, panel)) for panel in shop.supply.panels)
        room += tandem_room(shop, self.circuits.catalogue) - shop.later.spare_spaces
        others = {n: count for n, count in self._places.items() if n not in self.in_sets}
        for counted, places in ("runs", self._places), ("sets", others | self.places_of_sets):
            taken = {n: -count for n, count in places.items()}
            self.program.add(taken, -room, ("spaces by", counted))

    def _add_boxes(self) -> None:
        """A size for every new box that holds what enters it, its devices, and one ground."""
        circuits, shop = self.circuits, self.circuits.shop
        if circuits.copper_first:
            return
        devices: dict[str, int] = defaultdict(int)
        for part in self.parts:
            for box in part.at:
                devices[box] = max(devices[box], volume(part.sizes[0]))  # one ground
        for part, staying in zip(self.parts, self.staying, strict=True):
            each = WIRES * volume(part.sizes[0])
            for item in (n for n in part.items if n not in staying):
                for point in circuits.points.items[item].points:
                    if point.kind == "receptacle" and point.box:
                        devices[point.box] += each
                    for switch in point.switches:
                        devices[switch.partition(".")[0]] += each
        for choice in box_choices(shop, circuits.catalogue):
            sizes = {self.program.variable(cost, 1): vol for _, vol, cost in choice.sizes}
            if not sizes:
                continue
            self.program.add(dict.fromkeys(sizes, 1), 1, ("size", choice.box))
            self.program.add(dict.fromkeys(sizes, -1), -1, ("one size", choice.box))
            if choice.box in circuits.junctions:
                (self.gates[choice.box],) = (n for n, vol in sizes.items() if vol)
            needed = dict(sizes)
            for n, taken in self._contents[choice.box].items():
                needed[n] = needed.get(n, 0) - taken
            self.program.add(needed, devices[choice.box], ("holds", choice.box))
            self._count_into(choice.box, sizes, devices[choice.box])

    def _count_into(self, box: str, sizes: Mapping[int, int], devices: int) -> None:
        """A box of each size holds a whole number of runs, so many of a conductor as have room
        beside its devices; what takes more counts as several of these, as far as they are whole.
        """
        taken = self._contents[box]
        for each in sorted({takes for takes in taken.values() if takes > 0}):
            room = {n: (vol - devices) // each for n, vol in sizes.items()}
            counted = {n: -(takes // each) for n, takes in taken.items()}
            self.program.add(room | counted, 0, ("counts", box, each))

    def _add_raceways(self) -> None:
        """A raceway is bought where something goes through, and holds so much."""
        circuits = self.circuits
        if circuits.copper_first:
            return
        costs = thing_costs(circuits)
        for name, route in sorted(circuits.ways.raceways.items()):
            cost = raceway_cost(circuits.catalogue, route)
            if not cost:
                continue
            used = self.gates[name] = self.program.variable(cost, 1)
            most = costs[area_of(name)][0][0]
            terms = {n: -taken for n, taken in self._through[name].items()}
            self.program.add({**terms, used: most}, 0, ("area", name))

    def _open_gates(self) -> None:
        """Nothing goes into an enclosure through a raceway or junction box that is not there."""
        for (end, gate), entering in sorted(self._into.items()):
            if gate in self.gates:
                count = 1 if end.startswith("alone ") else self._most_into(end)
                shut = dict.fromkeys(entering, -1)
                self.program.add({**shut, self.gates[gate]: count}, 0, ("gate", gate, end))

    def _most_into(self, box: str) -> int:
        """No more circuits enter a box than it has items; a junction box, than there are items."""
        return sum(self.most_at(part, box) for part in self.parts)

    def most_at(self, part: Part, box: str) -> int:
        """The same for one part; what enters a box may be a pair's trunk, with its other half."""
        items = part.items if box in self.circuits.junctions else part.at.get(box, ())
        pairs = self.circuits.pairs is not None and part.volts == PAIRED_VOLTS
        return (2 if pairs else 1) * len(items)
