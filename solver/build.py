"""Builds: a breaker and a conductor from one panel, with what devices, trees and runs then cost.

For sketches (`solver.sketch`), which ask for the same trees again and again: every answer is kept.
A tree has at most one junction box, the nearest, or any where nothing else joins the boxes. Whole
numbers of the first objective; what a circuit takes of boxes and raceways as amounts of things.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import islice
from typing import Final, NamedTuple

from models.formulas.conductors import ohm_per_kft
from models.formulas.voltage_drop import voltage_drop_v
from models.switching import box_of
from solver.candidate import GROUNDS_AS_ONE, HEAT, Edge, area_of, heat_of
from solver.catalogue import area, volume
from solver.load import Load
from solver.points import Point
from solver.switched import Row, Runs, in_order, live_boxes, orders, rows_of, with_hots
from solver.tree import NO_WAY, rooted
from solver.voltage import ASSUMED_PLUG_LOAD_AMPS, losses_of
from solver.wiring import Wiring

MOST_ORDERS: Final = 8  # of the switches of a circuit
NO_JUNCTION: Final = ""
Run = tuple[str, str]
Takes = dict[str, int]


class Part(NamedTuple):
    """What one point adds: its device, whether it asks for a GFCI, what one there costs more."""

    device: int
    asks: bool
    guard: int | None


class Made(NamedTuple):
    """Runs from the panel outwards, what they cost, and what they take of boxes and raceways."""

    cost: int
    runs: tuple[Run, ...]
    takes: Takes


class _Join(NamedTuple):
    """Boxes joined up, by way of a junction box or not, still without a home run."""

    junction: str
    cost: int
    edges: list[Run]


class Build:
    """One breaker and one conductor; every raceway and passage may be used."""

    def __init__(self, wiring: Wiring) -> None:
        self.wiring, self.site, self.panel = wiring, wiring.site, wiring.panel
        self.poles = wiring.poles
        self.costs = wiring.priced.costs
        self.each = volume(wiring.awg)
        self.ohm = ohm_per_kft(wiring.awg)
        self.plain = wiring.breaker_cents(gfci=False)
        guarding = wiring.breaker_cents(gfci=True)
        known = self.plain is not None and guarding is not None
        self.more = 100 * ((guarding or 0) - (self.plain or 0)) if known else NO_WAY
        self._parts: dict[str, Part] = {}
        self._joins: dict[tuple[str, ...], list[_Join]] = {}
        self._trees: dict[tuple[tuple[str, ...], str, str], tuple[tuple[Run, ...], Takes]] = {}
        self._full: dict[tuple[tuple[Run, ...], tuple[str, ...]], Takes] = {}
        self._reach: dict[tuple[Run, ...], dict[str, float]] = {}
        self._takes: dict[tuple[str, str, int], tuple[tuple[str, int], ...]] = {}
        self._behind: dict[tuple[Row, ...], Runs | None] = {}
        self._laid: dict[tuple[tuple[Row, ...], frozenset[str]], tuple[int, Runs, Takes] | None]
        self._laid = {}

    def circuit(self, load: Load) -> Made | None:
        """The likeliest circuit of a load; None where it cannot be wired or drops too much."""
        if self.plain is None:
            return None
        parts, extra = 0, None
        if not self.site.copper_first:
            parts, extra = self._priced_parts(load)
        wired = self._wired(load, extra)
        if wired is None or wired.cost + parts >= NO_WAY:
            return None
        if self._drops_too_much(load, wired.runs):
            return None
        return Made(wired.cost + parts, wired.runs, self._with_devices(load, wired))

    def _with_devices(self, load: Load, wired: Made) -> Takes:
        """What a circuit takes with its receptacles and switches; kept for others alike."""
        holding = [point.box or "" for point in load.outlets if point.kind == "receptacle"]
        holding += [box_of(switch) for point in load.outlets for switch in point.switches]
        key = wired.runs, tuple(holding)
        takes = self._full.get(key)
        if takes is None:
            takes = self._full[key] = dict(wired.takes)
            for box in holding:
                takes[box] = takes.get(box, 0) + 2 * self.each
        return takes

    # -- devices

    def _priced_parts(self, load: Load) -> tuple[int, Mapping[str, int] | None]:
        """Breaker and devices, and what a GFCI costs more when the home run ends at each box."""
        parts = [self._part(point) for point in load.outlets]
        cost = 100 * (self.plain or 0) + sum([part.device for part in parts])
        if any(point.switches for point in load.outlets):
            cost += 100 * sum(filter(None, self.wiring.switches_cents(load.outlets)))
        if not any(part.asks for part in parts):
            return cost, None
        extra: dict[str, int] = {}
        for point, part in zip(load.outlets, parts, strict=True):
            at_device = NO_WAY if part.guard is None else part.guard
            extra.setdefault(point.box or "", min(self.more, at_device))
        return cost, extra

    def _part(self, point: Point) -> Part:
        if point.id not in self._parts:
            alone = self.wiring.beside(self.site.loads.of((point,), {}))
            self._parts[point.id] = Part(*alone.device_and_guard(point))
        return self._parts[point.id]

    # -- trees

    def _wired(self, load: Load, extra: Mapping[str, int] | None) -> Made | None:
        """The cheapest runs; what is switched hangs below its switches."""
        rows = rows_of(load.outlets)
        if not rows:
            boxes = {point.box for point in load.outlets if point.box}
            return self._tree(tuple(sorted(boxes)), extra)
        live, best = live_boxes(load.outlets), None
        for order in islice(orders(rows), MOST_ORDERS):
            made = self._switched(order, live, extra)
            if made is not None and (best is None or made.cost < best.cost):
                best = made
        return best

    def _switched(
        self, rows: tuple[Row, ...], live: frozenset[str], extra: Mapping[str, int] | None
    ) -> Made | None:
        if rows not in self._behind:
            self._behind[rows] = self.wiring.behind(rows)
        behind = self._behind[rows]
        if behind is None:
            return None
        entered = {end for _, end in behind}
        wanting = live | {row.chain[0] for row in rows}
        key = rows, wanting & entered
        if key not in self._laid:
            self._laid[key] = self._lay(behind, wanting & entered)
        laid, free = self._laid[key], wanting - entered
        tree = self._tree(tuple(sorted(free)), extra) if laid and free else None
        if laid is None or tree is None:
            return None
        cost, added, taken = laid
        runs = in_order(self.panel, (*tree.runs, *added))
        if runs is None:
            return None
        takes = dict(tree.takes)
        for thing, amount in taken.items():
            takes[thing] = takes.get(thing, 0) + amount
        return Made(tree.cost + cost, tuple(runs), takes)

    def _lay(self, behind: Runs, wanting: frozenset[str]) -> tuple[int, Runs, Takes] | None:
        """Runs behind switches: what they cost and take."""
        laid = with_hots(behind, wanting)
        if laid is None:
            return None
        cost = sum(
            self.wiring.priced_for(len(roles)).costs[start][end]
            for (start, end), roles in laid.items()
        )
        return cost, laid, self._sum((*run, len(roles)) for run, roles in laid.items())

    def _tree(self, boxes: tuple[str, ...], extra: Mapping[str, int] | None) -> Made | None:
        """The cheapest tree with at most one junction box."""
        joins = self._joins.get(boxes)
        if joins is None:
            joins = self._joins[boxes] = self._joined(boxes)
        row, best = self.costs[self.panel], None
        if extra is None:
            step, home = min((row[box], box) for box in boxes)
        else:
            more = self.more
            step, home = min((row[box] + extra.get(box, more), box) for box in boxes)
        for junction, cost, _ in joins:
            start = step, home
            if junction:
                start = min(start, (row[junction] + (self.more if extra else 0), junction))
            if best is None or cost + start[0] < best[0]:
                best = cost + start[0], start[1], junction
        if best is None or best[0] >= NO_WAY:
            return None
        cost, home, junction = best
        runs, takes = self._rooted(boxes, junction, home)
        return Made(cost, runs, takes)

    def _joined(self, boxes: tuple[str, ...]) -> list[_Join]:
        """Boxes joined up directly, and by way of a junction box where that may pay."""
        costs, spanning = self.costs, self.wiring.priced.spanning
        direct = spanning(boxes)
        joins = [] if direct is None else [_Join(NO_JUNCTION, *direct)]
        if len(boxes) == 1:
            return joins
        near = sorted(
            (min(map(costs[junction].__getitem__, boxes)), junction)
            for junction in self.site.junctions
        )
        longest = NO_WAY
        if direct is not None:
            near = near[:1]  # the nearest is tried, the others only where nothing else joins
            home = min(map(costs[self.panel].__getitem__, boxes))
            longest = max([home, *(costs[one][two] for one, two in direct[1])])
        for nearest, junction in near:
            found = spanning([*boxes, junction]) if nearest < longest else None
            if found is not None:
                joins.append(_Join(junction, *found))
        return joins

    def _rooted(
        self, boxes: tuple[str, ...], junction: str, home: str
    ) -> tuple[tuple[Run, ...], Takes]:
        """Runs from the panel outwards, and what they take."""
        key = boxes, junction, home
        if key not in self._trees:
            edges = next(join.edges for join in self._joins[boxes] if join.junction == junction)
            runs = ((self.panel, home), *rooted(home, edges))
            wires = len(self.wiring.roles)
            self._trees[key] = runs, self._sum((*run, wires) for run in runs)
        return self._trees[key]

    # -- what runs take

    def _sum(self, runs: Iterable[tuple[str, str, int]]) -> Takes:
        total: Takes = {}
        for run in runs:
            if run not in self._takes:
                self._takes[run] = tuple(self._taken(*run).items())
            for thing, amount in self._takes[run]:
                total[thing] = total.get(thing, 0) + amount
        return total

    def _taken(self, start: str, end: str, wires: int) -> Takes:
        """Volume that a run takes of boxes, area and heat of raceways; four grounds are one."""
        way = self._edge(start, end, wires).way
        ground = self.wiring.ground[way.method]
        each = wires * self.each + volume(ground) // GROUNDS_AS_ONE
        takes = dict.fromkeys((box for box in (start, end, *way.via) if box != self.panel), each)
        for name in way.raceways:
            takes[area_of(name)] = wires * area(self.wiring.awg) + area(
                self.wiring.ground["raceway"]
            )
            takes[heat_of(name)] = HEAT * wires
        return takes

    def _edge(self, start: str, end: str, wires: int) -> Edge:
        way = self.wiring.priced_for(wires).way(start, end)
        assert way is not None, "the tree is made of ways"
        return Edge(start, end, way, self.wiring.roles)

    # -- voltage drop

    def _drops_too_much(self, load: Load, runs: tuple[Run, ...]) -> bool:
        """Whether any state, or 12 A at a receptacle, loses more than the shop allows."""
        reach = self._reach.get(runs)
        if reach is None:
            reach = self._reach[runs] = self._reach_ft(runs)
        at_once = sum(load.amps.values()) + sum(load.lights_amps.values())
        everything = max(at_once, ASSUMED_PLUG_LOAD_AMPS)
        wished_v = self.site.wished_v(load.volts)
        if voltage_drop_v(everything, max(reach.values()), self.ohm) <= wished_v:
            return False
        lengths = [(start, end, reach[end] - reach[start]) for start, end in runs]
        losses = losses_of(self.site.points, load, lengths, self.ohm)
        return losses.exceed(wished_v, self.site.loads, load.running)

    def _reach_ft(self, runs: Sequence[Run]) -> dict[str, float]:
        """Length of conductor from the panel to each box. [ft]"""
        reach = {self.panel: 0.0}
        for start, end in runs:
            way = self.wiring.priced.way(start, end)
            reach[end] = reach[start] + (0.0 if way is None else way.length_cft / 100)
        return reach
