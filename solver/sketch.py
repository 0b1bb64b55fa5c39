"""Sketches: what a circuit of some items nearly costs, fast enough for a search to ask often.

A sketch takes the likeliest build: the smallest breaker that suits, the smallest conductor that
does at the heat of the way there, the cheapest tree with at most one junction box. Loads, wishes
and ratings are exact; the rest is left to `solver.circuit`, which looks at every circuit that is
taken. Whole numbers of the first objective.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final, NamedTuple

from solver.candidate import Candidate, raceway_takes
from solver.catalogue import CABLE_AWGS, RATINGS
from solver.circuit import Circuits
from solver.classes import first_alike
from solver.load import Load
from solver.points import Point
from solver.refusal import Refusal
from solver.tree import NO_WAY, rooted
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


class _Part(NamedTuple):
    """What one point adds: its device, whether it asks for a GFCI, what one there costs more."""

    device: int
    asks: bool
    guard: int | None


class Sketcher:
    """Sketches of sets of items, each made once."""

    def __init__(self, circuits: Circuits) -> None:
        self.circuits = circuits
        self.items = circuits.points.items
        self._ways = frozenset(circuits.ways.raceways) | frozenset(circuits.ways.passages)
        self._clash = self._clashes()
        self.first_alike = first_alike(circuits)
        grounds = {"cable": USUAL_AWG, "raceway": USUAL_AWG}
        self._usual = circuits.priced(USUAL_AWG, USUAL_WIRES, grounds, self._ways)
        self._made: dict[frozenset[int], Sketched] = {}
        self._builds: dict[tuple[object, ...], list[Wiring]] = {}
        self._parts: dict[tuple[str, int, str], _Part] = {}
        self._heat: dict[tuple[str, str], float] = {}
        for one in circuits.changing:
            self(one.items)

    def __call__(self, group: frozenset[int]) -> Sketched:
        """A set of items as one circuit; dear beyond measure when it can be none."""
        made = self._made.get(group)
        if made is None:
            alike = self.alike(group)
            made = self._made.get(alike)
            if made is None:
                made = self._made[alike] = self._sketch(alike)
            self._made[group] = made
        return made

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
        return frozenset(
            first if (first := self.first(item)) not in group else item for item in group
        )

    def possible(self) -> Iterable[tuple[frozenset[int], Sketched]]:
        """Every set sketched so far that may be a circuit."""
        return ((group, made) for group, made in self._made.items() if made.possible)

    def exactly(self, group: frozenset[int]) -> tuple[Candidate, ...]:
        """The circuits of a set, all rules checked; the sketch is put right."""
        made = self.circuits.candidates(group)
        found = () if isinstance(made, Refusal) else made
        self._made[group] = self._of(found, group)
        return found

    def may_join(self, one: int, two: int) -> bool:
        """Whether two items may ever share a circuit."""
        return not self._clash[one] >> two & 1

    def step(self, one: int, two: int) -> int:
        """About what it costs to go on from one item to another; machines go with their yokes."""
        boxes = [[p.box for p in self.items[item].points if p.box] for item in (one, two)]
        costs = self._usual.costs
        return min((costs[a][b] if a != b else 0 for a in boxes[0] for b in boxes[1]), default=0)

    def _of(self, made: Sequence[Candidate], group: frozenset[int]) -> Sketched:
        if not made:
            return Sketched(IMPOSSIBLE * len(group))
        best = made[0]
        cost = self.circuits.rank(best)[0]
        takes = {name: share.in_volume for name, share in best.boxes.items()}
        for name, share in best.raceways.items():
            takes |= raceway_takes(name, share)
        return Sketched(cost, best.poles, int(best.lights), takes)

    def _clashes(self) -> list[int]:
        """For each item the items, as bits, that it can share no circuit with."""
        clash = [0] * len(self.items)
        for one, item in enumerate(self.items):
            for two in range(one):
                refusal = self.circuits.unfit((*self.items[two].points, *item.points))
                there = any({one, two} <= old.items for old in self.circuits.changing)
                if refusal is not None and not there:
                    clash[one] |= 1 << two
                    clash[two] |= 1 << one
        return clash

    def _sketch(self, group: frozenset[int]) -> Sketched:
        single = self._single(group)
        if single.possible or self.circuits.pairs is None:
            return single
        pair = self.circuits.pairs.likely(group)
        return single if pair is None else self._of((pair,), group)

    def _single(self, group: frozenset[int]) -> Sketched:
        """A set as one circuit that is no multiwire pair."""
        bits = 0
        for item in group:
            if self._clash[item] & bits:
                return self._of((), group)
            bits |= 1 << item
        points = tuple(p for item in sorted(group) for p in self.items[item].points)
        if self.circuits.is_special(group):
            found = self.circuits.candidates(group)
            return self._of(() if isinstance(found, Refusal) else found, group)
        if any(point.switches or point.kind in ("lights", "hard-wired") for point in points):
            return self._of(self.circuits.likely(group), group)
        placed = self.circuits.loads.seat(points)
        if isinstance(placed, Refusal) or self.circuits.crowded(points):
            return self._of((), group)
        load = self.circuits.loads.of(points, placed)
        builds = [made for panel in self.circuits.panels if (made := self._build(load, panel))]
        return min(builds, key=lambda made: made.cost) if builds else self._of((), group)

    def _build(self, load: Load, panel: str) -> Sketched | None:
        """The likeliest build from a panel."""
        boxes = sorted({point.box for point in load.outlets if point.box})
        for wiring in self._wirings(load, boxes, panel):
            parts, extra = 0, dict.fromkeys((*boxes, ""), 0)
            if not self.circuits.copper_first:
                parts, extra = self._priced_parts(load, wiring)
            tree = self._tree(wiring, boxes, extra)
            if tree is None or tree[0] + parts >= NO_WAY:
                return None
            cost, runs = tree
            wired = wiring.beside(load)
            if wired.drop_in_tree(runs) <= self.circuits.shop.code.voltage_drop_percent:
                later = self.circuits.later.guess(load, panel)
                return Sketched(cost + parts + later, wiring.poles, 0, wired.takes(runs))
        return None

    def _tree(
        self, wiring: Wiring, boxes: list[str], extra: Mapping[str, int]
    ) -> tuple[int, tuple[tuple[str, str], ...]] | None:
        """The cheapest tree with at most one junction box: cost and edges."""
        costs, panel = wiring.priced.costs, wiring.panel
        row = costs[panel]
        step, home = min((row[box] + extra[box], box) for box in boxes)
        spanning = wiring.priced.spanning(boxes)
        best = None if spanning is None else (spanning[0] + step, home, spanning[1])
        if len(boxes) > 1:
            near = sorted(
                (min(map(costs[junction].__getitem__, boxes)), junction)
                for junction in self.circuits.junctions
            )
            longest = NO_WAY
            if spanning is not None:
                near = near[:1]  # the nearest is tried, the others only where nothing else joins
                longest = max([step, *(costs[one][two] for one, two in spanning[1])])
            for nearest, junction in near:
                with_it = wiring.priced.spanning([*boxes, junction]) if nearest < longest else None
                if with_it is not None:
                    start = min((step, home), (row[junction] + extra[""], junction))
                    found = with_it[0] + start[0], start[1], with_it[1]
                    best = found if best is None else min(best, found)
        if best is None or best[0] >= NO_WAY:
            return None
        cost, home, edges = best
        return cost, ((panel, home), *rooted(home, edges))

    def _priced_parts(self, load: Load, wiring: Wiring) -> tuple[int, dict[str, int]]:
        """Breaker and devices, and what a GFCI costs more when the home run ends at each box."""
        parts = [self._part(point, wiring) for point in load.outlets]
        plain = wiring.breaker_cents(gfci=False)
        if plain is None:
            return NO_WAY, {}
        extra: dict[str, int] = {}
        if any(part.asks for part in parts):
            breaker = wiring.breaker_cents(gfci=True)
            more = NO_WAY if breaker is None else 100 * (breaker - plain)
            for point, part in zip(load.outlets, parts, strict=True):
                at_device = NO_WAY if part.guard is None else part.guard
                extra.setdefault(point.box or "", min(more, at_device))
            extra[""] = more
        else:
            extra = dict.fromkeys(("", *(point.box or "" for point in load.outlets)), 0)
        return 100 * plain + sum(part.device for part in parts), extra

    def _part(self, point: Point, wiring: Wiring) -> _Part:
        key = point.id, wiring.breaker_amps, wiring.panel
        if key not in self._parts:
            alone = wiring.beside(self.circuits.loads.of((point,), {}))
            self._parts[key] = _Part(*alone.device_and_guard(point))
        return self._parts[key]

    def _wirings(self, load: Load, boxes: Sequence[str], panel: str) -> list[Wiring]:
        """The smallest breaker that suits, with each conductor that holds the load there."""
        hot_c = max(self._heat_c(panel, box) for box in boxes)
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
            frozenset((point.kind, point.configuration) for point in load.outlets),
            tuple(
                (name, yokes[at].configuration if at in yokes else None)
                for name, at in load.placed.items()
            ),
        )
        if key not in self._builds:
            self._builds[key] = self._likeliest(load, panel, hot_c)
        return self._builds[key]

    def _likeliest(self, load: Load, panel: str, hot_c: float) -> list[Wiring]:
        smallest = CABLE_AWGS.index(self.circuits.shop.code.smallest_receptacle_conductor)
        for amps in RATINGS:
            if self.circuits.rating_unfit(amps, load) is None:
                sizes = (
                    Wiring(self.circuits, load, amps, awg, self._ways, panel)
                    for awg in CABLE_AWGS[smallest:]
                )
                if found := [wiring for wiring in sizes if wiring.holds("cable", hot_c, 2)]:
                    return found
        return []

    def _heat_c(self, panel: str, box: str) -> float:
        """How hot the usual way from a panel to a box gets. [°C]"""
        if (panel, box) not in self._heat:
            ways = self.circuits.ways.between(panel, box)
            self._heat[panel, box] = ways[0].ambient_c if ways else self.circuits.room_c
        return self._heat[panel, box]
