"""Existing circuits that may change: kept as they are, or extended from one of their boxes.

A kept circuit is a candidate with everything that is on it now, at no cost. An extended one has
more on it: new runs hang on the boxes where its hot conductor is, the breaker is there and is
exchanged for one with ground-fault protection where a new outlet asks for it. What is there is
judged as if it were new before anything is added to it; nothing is added where a run was not seen.
Taking a circuit apart needs nothing of its own: then its boxes are on new circuits.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from models.plan import Role
from models.shop import ExistingCircuit
from solver.candidate import Candidate, Edge
from solver.devices import BREAKER
from solver.existing_runs import existing_legs
from solver.load import Load
from solver.refusal import Refusal
from solver.site import Site
from solver.staying import changeable
from solver.there import There, all_there
from solver.tree import NO_WAY, rooted
from solver.wiring import Wiring


@dataclass(frozen=True)
class Changing:
    """An existing circuit that may change: its items, and what it takes as it is."""

    circuit: ExistingCircuit
    items: frozenset[int]
    share: There

    @classmethod
    def all_of(cls, site: Site) -> "list[Changing]":
        """Every one of a shop."""
        shares = all_there(site.ways)
        return [
            cls(circuit, _items_on(site, circuit), shares[circuit.id])
            for circuit in changeable(site.shop)
        ]


def _items_on(site: Site, circuit: ExistingCircuit) -> frozenset[int]:
    """Items with a point in one of its boxes."""
    return frozenset(
        number
        for number, item in enumerate(site.points.items)
        if any({point.box, *point.luminaires} & set(circuit.feeds) for point in item.points)
    )


def kept(site: Site, changing: Changing, items: tuple[int, ...], load: Load) -> Candidate:
    """The circuit as it is."""
    circuit, share = changing.circuit, changing.share
    return Candidate(
        items=items,
        panel=circuit.panel,
        volts=load.volts,
        breaker_amps=round(circuit.breaker_amps),
        poles=1 if len(circuit.spaces) == 1 else 2,
        gfci=BREAKER if circuit.gfci else None,
        awg=circuit.conductor,
        edges=(),
        load=load,
        ground={},
        drop_percent=0.0,
        cost=0,
        copper=0,
        boxes=share.boxes,
        raceways=share.raceways,
        passages=share.passages,
        spaces=tuple(sorted(circuit.spaces)),
        extends=circuit.id,
    )


class Extension(Wiring):
    """An existing circuit with more on it, through the raceways and passages it may use."""

    def __init__(
        self, site: Site, load: Load, circuit: ExistingCircuit, allowed: frozenset[str]
    ) -> None:
        amps = round(circuit.breaker_amps)
        super().__init__(site, load, amps, circuit.conductor, allowed, circuit.panel)
        self.circuit = circuit
        self.added = [p for p in load.outlets if p.box not in circuit.feeds]

    def candidate(self, items: tuple[int, ...]) -> Candidate | Refusal:
        """The circuit with what is added, or why that cannot be."""
        facts = {"points": self.load.names, "amps": self.breaker_amps}
        if self.runs_there is None or self._cable_ground_too_small:
            return Refusal("conductor", facts)
        new = self._new_edges()
        if new is None:
            return Refusal("no way", facts)
        edges = (*self.runs_there, *new)
        survives = self._survives(edges)
        if survives is None:
            return Refusal("conductor", facts)
        sides = self._least_sides_in(edges)
        if any(sides[box] > self.site.longest_side_in(box) for box in sides):
            return Refusal("pull box", facts)
        drop, limit = self.drop_percent(edges), self.site.shop.code.voltage_drop_percent
        if drop > limit + 1e-9:
            return Refusal("voltage drop", {**facts, "found": drop, "limit": limit})
        prices = self.prices_of(new)
        devices = [self._device_cents(point, False) for point in self.added]
        devices += self.switches_cents(self.added)
        exchanged = self.breaker_cents(gfci=True) if self._exchanges else 0
        if None in prices or None in devices or exchanged is None:
            return Refusal("no price", facts)
        return Candidate(
            items=items,
            panel=self.panel,
            volts=self.load.volts,
            breaker_amps=self.breaker_amps,
            poles=self.poles,
            gfci=BREAKER if self._exchanges or self.circuit.gfci else None,
            awg=self.awg,
            edges=new,
            load=self.load,
            ground=self.ground,
            drop_percent=drop,
            cost=sum(pair[0] for pair in prices if pair)
            + 100 * (sum(filter(None, devices)) + exchanged),
            copper=sum(pair[1] for pair in prices if pair),
            boxes=self._box_shares(edges, sides),
            raceways=self._raceway_shares(edges, survives),
            passages=self._passage_shares(edges),
            spaces=tuple(sorted(self.circuit.spaces)),
            extends=self.circuit.id,
        )

    @cached_property
    def _exchanges(self) -> bool:
        """Whether a new outlet asks for protection that the breaker there does not give."""
        return not self.circuit.gfci and any(map(self._point_needs_gfci, self.added))

    @cached_property
    def runs_there(self) -> tuple[Edge, ...] | None:
        """The runs there from the panel outwards; None when not all were seen, or are no tree."""
        legs = list(existing_legs(self.site.ways, self.circuit))
        by_ends = {
            (leg.start, leg.end): Edge(
                leg.start, leg.end, replace(leg.way, length_cft=leg.length_cft), leg.roles
            )
            for leg in legs
        }
        order = rooted(self.panel, by_ends)
        homes = sum(start == self.panel for start, _ in order)
        seen = all(leg.method != "unknown" and leg.known != "unknown" for leg in legs)
        if not seen or homes != 1 or set(order) != set(by_ends) or len(order) != len(legs):
            return None
        return tuple(by_ends[ends] for ends in order)

    def _new_edges(self) -> tuple[Edge, ...] | None:
        """Runs to the boxes that are added, from boxes with a hot; luminaires behind switches."""
        boxes = sorted({p.box for p in self.added if p.box})
        roots = [edge.end for edge in self.runs_there or () if edge.roles == self.roles]
        pairs = self._grow(roots, boxes)
        if pairs is None:
            return None
        edges = [(start, end, self.roles) for start, end in pairs]
        behind: tuple[Role, ...] = ("switched", "neutral")
        for point in self.added:
            if len(point.switches) > 1 or (point.switches and point.kind == "receptacle"):
                return None  # only lights behind one switch are added to what is there
            if point.switches and point.box:
                hung = self._grow([point.box], sorted(point.luminaires))
                if hung is None:
                    return None
                edges += [(start, end, behind) for start, end in hung]
        ways = [self.priced_for(len(roles)).way(start, end) for start, end, roles in edges]
        return tuple(
            Edge(start, end, way, roles)
            for (start, end, roles), way in zip(edges, ways, strict=True)
            if way is not None
        )

    def _grow(self, roots: Sequence[str], boxes: Sequence[str]) -> list[tuple[str, str]] | None:
        """The cheapest runs that join boxes to what is fed already, nearest first."""
        fed, left, made = list(roots), list(boxes), []
        costs: Mapping[str, Mapping[str, int]] = self.priced.costs
        while left:
            steps = [(costs[start][end], start, end) for start in fed for end in left]
            step, start, end = min(steps, default=(NO_WAY, "", ""))
            if step == NO_WAY:
                return None
            made.append((start, end))
            fed.append(end)
            left.remove(end)
        return made
