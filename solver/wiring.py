"""Wiring one circuit: its tree for a given breaker and conductor, priced, checked and counted."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from models.formulas.conductors import circular_mils
from models.formulas.pull_boxes import needs_pull_box
from solver.candidate import BoxShare, Candidate, Edge, WayShare
from solver.catalogue import area, volume
from solver.conductors import Conductors
from solver.devices import BREAKER
from solver.load import Load
from solver.priced_ways import PricedWays
from solver.pull_boxes import least_sides_in
from solver.refusal import Refusal
from solver.site import MOST_JOINED, Site
from solver.switched import (
    SWITCHED,
    Row,
    Runs,
    all_ordered,
    chained,
    in_order,
    live_boxes,
    may_follow,
    orders,
    rows_of,
    with_hots,
)
from solver.tree import MOST_OPTIONAL, best_tree, rooted


class Wiring(Conductors):
    """One way to build a circuit: breaker, conductor size and the raceways it may use."""

    def __init__(
        self,
        site: Site,
        load: Load,
        breaker_amps: int,
        awg: str,
        allowed: frozenset[str],
        panel: str,
    ) -> None:
        super().__init__(site, load, breaker_amps, awg, panel)
        self.allowed = allowed
        self.refused: frozenset[tuple[str, float]] = frozenset()  # methods and heats gone round
        self.priced = self.priced_for(len(self.roles))

    def priced_for(self, wires: int) -> PricedWays:
        """Ways for so many insulated conductors of this circuit."""
        return self.site.priced(self.awg, wires, self.ground, self.allowed, self.refused)

    def prices_of(self, edges: Iterable[Edge]) -> list[tuple[int, int] | None]:
        """Cost and copper of every run with its slack; None where it has no price."""
        return [
            self.priced_for(edge.wires).prices(edge.way, self.site.slack_cft(edge.start, edge.end))
            for edge in edges
        ]

    def beside(self, load: Load) -> "Wiring":
        """Another load behind the same breaker and conductor."""
        return Wiring(self.site, load, self.breaker_amps, self.awg, self.allowed, self.panel)

    def candidate(self, items: tuple[int, ...]) -> Candidate | Refusal:
        """The circuit, or why it cannot be built this way."""
        facts = {"points": self.load.names, "amps": self.breaker_amps}
        if self.breaker_cents(gfci=False) is None:
            return Refusal("no price", facts)
        edges = self._edges()
        if edges is None:
            return Refusal("no way", facts)
        if not all(self.may_take(edge.way) for edge in edges):
            self.refused = self._too_hot()
            self.priced = self.priced_for(len(self.roles))
            edges = self._edges()
            if edges is None:
                return Refusal("conductor", facts)
        return self.laid(items, edges)

    def laid(self, items: tuple[int, ...], edges: tuple[Edge, ...]) -> Candidate | Refusal:
        """The circuit along runs that its conductors do on, or why it cannot be built so."""
        facts = {"points": self.load.names, "amps": self.breaker_amps}
        survives = self._survives(edges)
        if survives is None:
            raise AssertionError("ways where the conductor does not do are gone round")
        sides = self._least_sides_in(edges)
        if short := next(
            (box for box in sides if sides[box] > self.site.longest_side_in(box)), None
        ):
            self.site.exact = False  # another tree might go round it
            return Refusal("pull box", {**facts, "box": short, "least": sides[short]})
        drop, limit = self.drop_percent(edges), self.site.shop.code.voltage_drop_percent
        if not self.site.keeps_voltage(drop):
            self.site.exact &= self.tries_every_tree
            return Refusal("voltage drop", {**facts, "found": drop, "limit": limit})
        gfci = self._gfci(edges[0].end)
        cost = self.prices_of(edges)
        parts = self.breaker_cents(gfci=gfci == BREAKER)
        devices = self._devices_cents(gfci)
        if None in cost or parts is None or devices is None:
            return Refusal("no price", facts)
        return Candidate(
            items=items,
            panel=self.panel,
            volts=self.load.volts,
            breaker_amps=self.breaker_amps,
            poles=self.poles,
            gfci=gfci,
            awg=self.awg,
            edges=edges,
            load=self.load,
            ground=self.ground,
            drop_percent=drop,
            cost=sum(pair[0] for pair in cost if pair) + 100 * (parts + devices),
            copper=sum(pair[1] for pair in cost if pair),
            boxes=self._box_shares(edges, sides),
            raceways=self._raceway_shares(edges, survives),
            passages=self._passage_shares(edges),
        )

    def serves(self, edges: tuple[Edge, ...], ground: Mapping[str, str]) -> dict[str, int] | None:
        """Whether runs that are there, with their grounds by method, would do for this circuit.

        Per raceway and passage the largest count that its conductors survive; None when some run
        will not do.
        """
        for edge in edges:
            method = edge.way.method
            small = circular_mils(ground[method]) < circular_mils(self._least_ground(method))
            if small or not self._carries(edge.way, 2):
                return None
        raceways = self._survives(edges)
        if raceways is None or not self.keeps(edges):
            return None
        passages = self._passage_shares(edges)
        return {**raceways, **{name: share.survives for name, share in passages.items()}}

    # -- the tree

    @cached_property
    def tries_every_tree(self) -> bool:
        """Whether boxes are so few, and switched so plainly, that every tree is tried."""
        rows = rows_of(self.load.outlets)
        live = live_boxes(self.load.outlets) | {row.chain[0] for row in rows}
        plain = all(len(row.switches) == 1 and not live & row.fed - {row.chain[0]} for row in rows)
        few = len(live) + len(self.site.junctions) <= MOST_JOINED
        return self.site.every_tree and plain and few

    def _edges(self) -> tuple[Edge, ...] | None:
        """Runs from the panel outwards; what is switched hangs below its switches.

        The cheapest for certain where one row of switches, or none, is all that wants a hot: then
        no other box could be reached by way of what is switched. An order with two runs to one box
        is left out, though another tree might do with it.
        """
        rows = rows_of(self.load.outlets)
        live = live_boxes(self.load.outlets)
        alone = len(rows) == 1 and not live and not self.site.junctions
        self.site.exact &= (not rows or alone) and all_ordered(rows)
        self.site.exact &= len(self.site.junctions) <= MOST_OPTIONAL
        best: tuple[int, tuple[Edge, ...]] | None = None
        for order in orders(rows):
            found = self._wired_in(order)
            if found is not None and (best is None or found[0] < best[0]):
                best = found
        return None if best is None else best[1]

    def _wired_in(self, rows: Sequence[Row]) -> tuple[int, tuple[Edge, ...]] | None:
        """The cheapest runs for switches in this order, with what they cost."""
        behind = self.behind(rows)
        if behind is None:
            self.site.exact = False
            return None
        entered = {end for _, end in behind}
        wanting = live_boxes(self.load.outlets) | {row.chain[0] for row in rows}
        laid = with_hots(behind, wanting & entered)
        if laid is None or wanting <= entered:
            return None
        tree = best_tree(
            self.panel,
            sorted(wanting - entered),
            self.site.junctions,
            self.priced.costs,
            self.priced.spanning,
            self.home_extra,
        )
        if tree is None:
            return None
        roles = {**dict.fromkeys(tree.edges, self.roles), **laid}
        runs = in_order(self.panel, (*tree.edges, *laid))
        if runs is None:
            return None
        made, cost = [], tree.cost
        for start, end in runs:
            ways = self.priced_for(len(roles[start, end]))
            way = ways.way(start, end)
            if way is None:
                return None
            made.append(Edge(start, end, way, roles[start, end]))
            cost += ways.costs[start][end] if (start, end) in laid else 0
        return cost, tuple(made)

    def behind(self, rows: Sequence[Row]) -> Runs | None:
        """Runs from switch to switch and on to what they switch; None where two end at one box."""
        if not may_follow(rows):
            return None
        runs = chained(rows)
        for row in rows:
            last = row.chain[-1]
            spanning = self.priced.spanning([last, *sorted(row.fed - {last})])
            if spanning is None:
                return None
            runs += [(run, SWITCHED) for run in rooted(last, spanning[1])]
        behind = dict(runs)
        return behind if len({end for _, end in behind}) == len(runs) else None

    # -- what it puts into boxes and raceways

    def _least_sides_in(self, edges: tuple[Edge, ...]) -> dict[str, float]:
        """Shortest side of each box with conductors so large that 314.28 sizes it. [in]"""
        if not needs_pull_box(self.awg):
            return {}
        return least_sides_in(self.site.shop, self.site.ways, edges)

    def _box_shares(self, edges: Iterable[Edge], sides: Mapping[str, float]) -> dict[str, BoxShare]:
        """Insulated conductors, devices and grounds per box, boxes passed through included."""
        each = volume(self.awg)
        conductors: dict[str, int] = {}
        grounds: dict[str, list[str]] = {}
        for edge in edges:
            ground = self.ground[edge.way.method]
            for end in (edge.start, edge.end):
                conductors[end] = conductors.get(end, 0) + edge.wires
                grounds.setdefault(end, []).append(ground)
            for box in edge.way.via:  # a conductor that passes counts once
                conductors[box] = conductors.get(box, 0) + edge.wires
                grounds.setdefault(box, []).append(ground)
        holding = [p.box for p in self.load.outlets if p.kind == "receptacle" and p.box]
        holding += [box for row in rows_of(self.load.outlets) for box in row.chain]
        devices = {box: 2 * holding.count(box) for box in holding}
        return {
            box: BoxShare(
                volume=(count + devices.get(box, 0)) * each,
                grounds=len(grounds[box]),
                ground_volume=max(volume(ground) for ground in grounds[box]),
                least_side_in=sides.get(box, 0.0),
            )
            for box, count in sorted(conductors.items())
            if box != self.panel
        }

    def _raceway_shares(
        self, edges: Iterable[Edge], survives: Mapping[str, int]
    ) -> dict[str, WayShare]:
        """Area and counted conductors per raceway."""
        shares: dict[str, WayShare] = {}
        for edge in edges:
            each = edge.wires * area(self.awg) + area(self.ground["raceway"])
            for name in edge.way.raceways:
                share = WayShare(each, edge.carrying, survives[name])
                shares[name] = share.beside(shares.get(name))
        return dict(sorted(shares.items()))

    def _passage_shares(self, edges: Iterable[Edge]) -> dict[str, WayShare]:
        """Cables and counted conductors per passage."""
        shares: dict[str, WayShare] = {}
        for edge in edges:
            survives = self.most_counted(edge.way)
            for name in edge.way.passages:
                share = WayShare(1, edge.carrying, survives)
                shares[name] = share.beside(shares.get(name))
        return dict(sorted(shares.items()))
