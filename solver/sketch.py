"""Sketches: what a circuit of some items nearly costs, fast enough for a search to ask often.

A sketch takes the likeliest build: the smallest breaker that suits, the smallest conductor that
does at the heat of the way there, the cheapest tree with at most one junction box. Loads, wishes
and ratings are exact; the rest is left to `solver.circuit`, which looks at every circuit that is
taken. Whole numbers of the first objective.

Sets of items are bits here: item 3 is 1 << 3. Answers are kept by these, and parts of an answer by
the bits that it hangs on.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import chain
from typing import Final, NamedTuple

from solver.build import Build
from solver.candidate import Candidate
from solver.catalogue import CABLE_AWGS, RATINGS
from solver.circuit import Circuits
from solver.classes import first_alike
from solver.load import Load
from solver.points import Item, Point
from solver.refusal import Refusal
from solver.wiring import Wiring

IMPOSSIBLE: Final = 10**11  # for each item of a set that can be no circuit
USUAL_AWG: Final = "12"
USUAL_WIRES: Final = 2


class Sketched(NamedTuple):
    """What a set of items costs as a circuit, and what it takes of the panel."""

    cost: int
    poles: int = 0
    lights: int = 0
    takes: Mapping[str, int] = {}

    @property
    def possible(self) -> bool:
        """Whether it may be a circuit."""
        return self.poles > 0


def bits_of(group: Iterable[int]) -> int:
    """A set of items as bits."""
    return sum(1 << item for item in group)


def items_of(bits: int) -> Iterator[int]:
    """The items of a set, in order."""
    while bits:
        low = bits & -bits
        yield low.bit_length() - 1
        bits ^= low


class Sketcher:
    """Sketches of sets of items, each made once."""

    def __init__(self, circuits: Circuits) -> None:
        self.circuits = circuits
        self.items = circuits.points.items
        self._ways = frozenset(circuits.ways.raceways) | frozenset(circuits.ways.passages)
        self.clash = self._clashes()
        self.first_alike = first_alike(circuits)
        self._second = bits_of(self.first_alike)
        grounds = {"cable": USUAL_AWG, "raceway": USUAL_AWG}
        self._usual = circuits.priced(USUAL_AWG, USUAL_WIRES, grounds, self._ways)
        self._bit = [1 << number for number in range(len(self.items))]
        self._slow = self._having(lambda item: bool(item.pins) or _has(item, "hard-wired"))
        self._seated_by = self._having(self._has_to_do_with_machines)
        self._changing = [bits_of(one.items) for one in circuits.changing]
        self.pairing = True  # what is no single circuit may be a multiwire pair
        self._made: dict[int, Sketched] = {}
        self._paired: dict[int, Sketched] = {}
        self._likely: dict[tuple[object, ...], list[Build]] = {}
        self._builds: dict[tuple[str, int, str, int], Build] = {}
        self._placed: dict[int, Mapping[str, str] | None] = {}
        self._heat: dict[tuple[str, str], float] = {}
        for one in circuits.changing:
            self(one.items)

    def __call__(self, group: frozenset[int]) -> Sketched:
        """A set of items as one circuit; dear beyond measure when it can be none."""
        bits = self._alike(sum(map(self._bit.__getitem__, group)))
        made = self._made.get(bits)
        if made is None:
            made = self._made[bits] = self._single(bits)
        if made.poles or not self.pairing or self.circuits.pairs is None:
            return made
        pair = self._paired.get(bits)
        if pair is None:
            pair = self._paired[bits] = self._pair(bits)
        return pair

    def first(self, item: int) -> int:
        """The first item that an item is like, itself if it is like none before it."""
        return self.first_alike.get(item, item)

    def mirrored(self, group: frozenset[int]) -> frozenset[int] | None:
        """The same circuit of the other items alike; None when it shares an item with this one."""
        others = {first: item for item, first in self.first_alike.items()}
        other = frozenset(others.get(item, item) for item in group)
        return None if other & group else other

    def alike(self, group: frozenset[int]) -> frozenset[int]:
        """The same circuit of the first of items that are alike in everything."""
        if self.first_alike.keys().isdisjoint(group):
            return group
        return frozenset(items_of(self._alike(bits_of(group))))

    def _alike(self, bits: int) -> int:
        for item in items_of(bits & self._second):
            first = self._bit[self.first_alike[item]]
            if not bits & first:
                bits ^= first | self._bit[item]
        return bits

    def possible(self) -> Iterator[tuple[frozenset[int], Sketched]]:
        """Every set sketched so far that may be a circuit."""
        for bits, made in chain(self._made.items(), self._paired.items()):
            if made.possible:
                yield frozenset(items_of(bits)), made

    def exactly(self, group: frozenset[int]) -> tuple[Candidate, ...]:
        """The circuits of a set, all rules checked; the sketch is put right."""
        made = self.circuits.candidates(group)
        found = () if isinstance(made, Refusal) else made
        bits = self._alike(bits_of(group))
        self._made[bits] = self._of(found, group)
        self._paired.pop(bits, None)
        return found

    def may_join(self, one: int, two: int) -> bool:
        """Whether two items may ever share a circuit."""
        return not self.clash[one] >> two & 1

    def lonely(self, item: int) -> bool:
        """Whether an item can share a circuit with no other."""
        return self.clash[item] | 1 << item == (1 << len(self.items)) - 1

    def step(self, one: int, two: int) -> int:
        """About what it costs to go on from one item to another; machines go with their yokes."""
        boxes = [[p.box for p in self.items[item].points if p.box] for item in (one, two)]
        costs = self._usual.costs
        return min((costs[a][b] if a != b else 0 for a in boxes[0] for b in boxes[1]), default=0)

    def _of(self, made: Sequence[Candidate], group: frozenset[int]) -> Sketched:
        if not made:
            return Sketched(IMPOSSIBLE * len(group))
        best = made[0]
        return Sketched(self.circuits.rank(best)[0], best.poles, int(best.lights), best.takes)

    def _having(self, wanted: Callable[[Item], bool]) -> int:
        """The items of a kind."""
        return bits_of(number for number, item in enumerate(self.items) if wanted(item))

    def _has_to_do_with_machines(self, item: Item) -> bool:
        """Whether it is a machine, a machine is there, or one may plug in."""
        fixed = self.circuits.points.fixed
        options = {name for one in self.items for point in one.points for name in point.options}
        return any(p.machine or p.id in options or fixed.get(p.id) for p in item.points)

    def _clashes(self) -> list[int]:
        """For each item the items, as bits, that it can share no circuit with."""
        clash = [0] * len(self.items)
        kinds = [self._kind(item) or number for number, item in enumerate(self.items)]
        known: dict[tuple[object, object], bool] = {}
        for one in range(len(self.items)):
            for two in range(one):
                pair = kinds[one], kinds[two]
                if pair not in known:
                    known[pair] = self._clash(one, two)
                there = any({one, two} <= old.items for old in self.circuits.changing)
                if not there and known[pair]:
                    clash[one] |= 1 << two
                    clash[two] |= 1 << one
        return clash

    def _kind(self, item: Item) -> tuple[object, ...] | None:
        """All of an item that a clash hangs on; None where a wish names it."""
        circuits = self.circuits
        if any(point.id in group for point in item.points for group in circuits.apart):
            return None
        return tuple(
            (
                point.kind,
                point.box is None,
                point.volts,
                point.configuration,
                point.receptacles,
                bool(point.options),
                tuple(circuits.loads.lights_amps[name] for name in point.luminaires),
                point.machine,
                tuple(map(self._machine_kind, circuits.points.fixed.get(point.id, ()))),
            )
            for point in item.points
        )

    def _machine_kind(self, name: str) -> tuple[object, ...]:
        """All of a machine that a clash hangs on, wherever it is plugged in."""
        machine, loads = self.circuits.points.machines[name], self.circuits.loads
        wired = machine.hard_wired_at is not None
        facts = machine.model_copy(
            update={"id": "", "name": "", "at": None, "plugs_into": None, "hard_wired_at": wired}
        )
        return repr(facts), loads.alike(name)

    def _clash(self, one: int, two: int) -> bool:
        """Whether two items share no circuit, whatever else is on it.

        What no breaker suits, none suits with more on it.
        """
        items = self.items[two], self.items[one]
        points = (*items[0].points, *items[1].points)
        if self.circuits.unfit(points) is not None:
            return True
        if any(point.options for point in points) or not any(map(self._loaded, items)):
            return False
        load = self.circuits.loaded(frozenset([one, two]))
        return isinstance(load, Refusal) or all(
            self.circuits.rating_unfit(amps, load) is not None for amps in RATINGS
        )

    def _loaded(self, item: Item) -> bool:
        """Whether something is wired or plugged in there for good, or it is no usual receptacle."""
        fixed = self.circuits.points.fixed
        return any(p.kind == "hard-wired" or p.volts != 120 or fixed.get(p.id) for p in item.points)

    def _pair(self, bits: int) -> Sketched:
        """A set that is no single circuit as a multiwire pair."""
        group = frozenset(items_of(bits))
        pair = self.circuits.pairs.likely(group) if self.circuits.pairs else None
        if pair is None or self.circuits.later.bars_pair(pair):
            return self._of((), group)
        return self._of((self.circuits.later.unprepared(pair),), group)

    def _single(self, bits: int) -> Sketched:
        """A set as one circuit that is no multiwire pair."""
        impossible = Sketched(IMPOSSIBLE * bits.bit_count())
        if any(self.clash[item] & bits for item in items_of(bits)):
            return impossible
        if bits & self._slow or any(old & bits == old for old in self._changing):
            return self._slowly(bits)
        points = tuple([p for item in items_of(bits) for p in self.items[item].points])
        placed = self._seats(bits, points)
        if placed is None or self.circuits.crowded(points):
            return impossible
        load = self.circuits.loads.of(points, placed)
        if self.circuits.later.bars(load, bits.bit_count()):
            return impossible
        builds = [made for panel in self.circuits.sources if (made := self._build(load, panel))]
        return min(builds, key=lambda made: made.cost) if builds else impossible

    def _slowly(self, bits: int) -> Sketched:
        """A set with something pinned, hard-wired or already there, made exactly or nearly so."""
        group = frozenset(items_of(bits))
        if self.circuits.is_special(group):
            found = self.circuits.candidates(group)
            return self._of(() if isinstance(found, Refusal) else found, group)
        return self._of(self.circuits.likely(group), group)

    def _seats(self, bits: int, points: Sequence[Point]) -> Mapping[str, str] | None:
        """Where the machines of a set plug in."""
        key = bits & self._seated_by
        if key not in self._placed:
            seated = self.circuits.loads.seat(points)
            self._placed[key] = None if isinstance(seated, Refusal) else seated
        return self._placed[key]

    def _build(self, load: Load, panel: str) -> Sketched | None:
        """The likeliest build from a panel."""
        for build in self._builds_for(load, panel):
            made = build.circuit(load)
            if made is not None:
                lights = any(point.kind == "lights" for point in load.points)
                later = self.circuits.later.guess(load, panel)
                poles = build.poles + self.circuits.later.keeps(load)
                return Sketched(made.cost + later, poles, int(lights), made.takes)
        return None

    def _builds_for(self, load: Load, panel: str) -> list[Build]:
        """The smallest breaker that suits, with each conductor that holds the load there."""
        hot_c = max([self._heat_c(panel, point.box) for point in load.outlets if point.box])
        yokes = self.circuits.points.yokes
        key = (
            panel,
            hot_c,
            load.volts,
            load.single,
            min(load.receptacles, 2),
            min(len(load.outlets), 2),
            round(load.weighted_amps, 3),
            round(load.conductor_amps, 3),
            frozenset([(point.kind, point.configuration) for point in load.outlets]),
            tuple(
                [
                    (name, yokes[at].configuration if at in yokes else None)
                    for name, at in load.placed.items()
                ]
            ),
        )
        if key not in self._likely:
            self._likely[key] = self._likeliest(load, panel, hot_c)
        return self._likely[key]

    def _likeliest(self, load: Load, panel: str, hot_c: float) -> list[Build]:
        sizes: tuple[str, ...] = CABLE_AWGS
        if any(point.kind != "lights" for point in load.points):
            sizes = sizes[sizes.index(self.circuits.shop.code.smallest_receptacle_conductor) :]
        for amps in RATINGS:
            if self.circuits.rating_unfit(amps, load) is None:
                wirings = (
                    Wiring(self.circuits, load, amps, awg, self._ways, panel) for awg in sizes
                )
                holding = [wiring for wiring in wirings if wiring.holds("cable", hot_c, 2)]
                if holding:
                    return [self._build_of(wiring) for wiring in holding]
        return []

    def _build_of(self, wiring: Wiring) -> Build:
        """The build of a wiring, one for all loads."""
        key = wiring.panel, wiring.breaker_amps, wiring.awg, wiring.poles
        if key not in self._builds:
            self._builds[key] = Build(wiring)
        return self._builds[key]

    def _heat_c(self, panel: str, box: str) -> float:
        """How hot the usual way from a panel to a box gets. [°C]"""
        if (panel, box) not in self._heat:
            ways = self.circuits.ways.between(panel, box)
            self._heat[panel, box] = ways[0].ambient_c if ways else self.circuits.room_c
        return self._heat[panel, box]


def _has(item: Item, kind: str) -> bool:
    return any(point.kind == kind for point in item.points)
