"""Futures: every combination of what may come later, and what gives way first in each.

Changeovers of voltage and machines to come, each with its likelihood, taken as independent of each
other. For each combination: the load calculation, what the hots of the feeder carry in the heat of
the panel's room, the worst working state of the heavier leg, what the feeder then loses, the spaces
of the panel, and room in the raceways that a new circuit needs. A new circuit is taken to go to the
panel that the source feeds; a changeover without a space kept is a circuit of its own.
Amperes, percent, square inches.
"""

from collections.abc import Iterable, Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import prod
from typing import Any, Final, Literal

from models.changeovers import changed_machine, later_machine_of, planned_changeovers
from models.crew import Crew
from models.formulas.ampacity import ampacity_amps
from models.formulas.load_calculation import feeder_amps
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, raceway_area_in2
from models.formulas.shop_feeder import shop_feeder_lines, total_va
from models.formulas.voltage_drop import drop_percent
from models.naming import called, on_day
from models.plan import ChangeoverPlan, Plan
from models.rules.feeders import lost_in_feeder_v
from models.shop import FutureMachine, Machine, Panel, Shop
from models.states import WorkingRules, binding_days
from solver.catalogue import CABLE_AWGS, LARGE_AWGS, cable_ground
from solver.feeder_rows import limit_amps
from solver.load import CONTINUOUS_SHARE
from solver.load_calculation import shop_feeder
from solver.panel import free_pairs, leg_of
from solver.points import machine_amps
from solver.routes import Ways
from solver.wire_limits import terminals_c

MOST_TOGETHER: Final = 6  # 64 combinations
LINE_TO_LINE: Final = 240
LIGHT_VOLTS: Final = 120
FEEDER_PERCENT: Final = 3.0  # recommended: 215.2(A), informational note
Kind = Literal["calculation", "service", "conductor", "leg", "drop", "spaces", "raceway"]


@dataclass(frozen=True)
class Coming:
    """Something that may come: a changeover of a machine, or a machine."""

    id: str
    name: str
    kind: Literal["changeover", "machine"]
    likelihood: float


@dataclass(frozen=True)
class Strain:
    """One limit of a future: how much of it is taken, by what; none where something is laid."""

    kind: Kind
    where: str
    found: float
    limit: float
    unit: str
    says: str = ""
    advice: bool = False  # what is recommended: nothing gives way
    apart: bool = False  # spaces that do not lie side by side: it gives way below its limit

    @property
    def share(self) -> float:
        """The part of the limit that is taken; above 1 it gives way."""
        found = max(self.found, self.limit + 1) if self.apart else self.found
        return found / self.limit if self.limit else 0.0


@dataclass(frozen=True)
class Future:
    """A combination, how likely it is, and all its strains."""

    comes: tuple[str, ...]
    likelihood: float
    strains: tuple[Strain, ...]

    @property
    def first(self) -> Strain:
        """What gives way first, or is nearest to it: the greatest share."""
        limits = (strain for strain in self.strains if not strain.advice)
        return max(limits, key=lambda strain: strain.share)

    @property
    def holds(self) -> bool:
        """Whether nothing gives way."""
        return self.first.share <= 1

    def of(self, kind: Kind) -> list[Strain]:
        """The strains of a kind."""
        return [strain for strain in self.strains if strain.kind == kind]


class Futures:
    """All futures of a plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan, self.shop = plan, Shop.model_validate(plan.source.shop)
        self.more_spaces = 0
        self.laid: dict[frozenset[str], tuple[Strain, ...]] = {}  # raceways, by what comes
        self.changes = planned_changeovers(self.shop)
        self.drafts = {draft.machine: draft for draft in plan.changeovers or ()}
        done = plan.later_machines or ()
        self.kept = {later_machine_of(one.machine) for one in done}  # whoever does not come
        self.laid_for = {one.machine for one in done if one.run or one.raceway}
        self.rooms = {one.machine: one.room for one in done if one.room is not None}
        self.held = {one.machine: one.held.circuit for one in done if one.held}
        self.boxes = {one.machine: one.box for one in done if one.circuit}  # of those with a plug
        self.later = {machine.id: machine for machine in self.shop.later.machines}
        self.called = called((*self.shop.machines, *self.shop.later.machines))
        self.seats = {
            m.id: m.outlet or m.hard_wired_at or "" for m in plan.machines if not m.portable
        }

    @property
    def panel(self) -> Panel:
        """The panel that the source feeds."""
        panels = {panel.id for panel in self.shop.supply.panels}
        return next(p for p in self.shop.supply.panels if p.feeder.source not in panels)

    def instead(self, **changes: Any) -> "Futures":
        """The same with another shop, other machines to come, or more spaces."""
        other = copy(self)
        vars(other).update(changes)
        return other

    @cached_property
    def coming(self) -> tuple[Coming, ...]:
        """What is combined: the likeliest, in the order of the shop."""
        found = [
            Coming(name, self.called[name], "changeover", change.likelihood)
            for name, change in self.changes.items()
        ]
        found += [
            Coming(one.id, self.called[one.id], "machine", one.likelihood)
            for one in self.later.values()
        ]
        likeliest = sorted(found, key=lambda one: (-one.likelihood, one.id))[:MOST_TOGETHER]
        return tuple(one for one in found if one in likeliest)

    @property
    def left_out(self) -> int:
        """How many things that may come are not combined."""
        return len(self.changes) + len(self.later) - len(self.coming)

    def all(self) -> tuple[Future, ...]:
        """Every combination: nothing first, then by how many things come."""
        return tuple(
            self._future(chosen)
            for count in range(len(self.coming) + 1)
            for chosen in combinations(self.coming, count)
        )

    def _future(self, chosen: Sequence[Coming]) -> Future:
        odds = prod(c.likelihood if c in chosen else 1 - c.likelihood for c in self.coming)
        then = _Then(self, frozenset(one.id for one in chosen))
        return Future(tuple(one.id for one in chosen), odds, tuple(then.strains()))

    @cached_property
    def ways(self) -> Ways:
        """The ways that a new circuit may take."""
        return Ways(self.shop)

    def prepared(self, machine: str) -> ChangeoverPlan | None:
        """What the plan has prepared for a changeover; None where it prepares nothing."""
        draft = self.drafts.get(machine)
        return draft if draft is not None and draft.prepared else None


Legs = dict[str, tuple[dict[str, float], float]]


class _Then:
    """The shop when some things have come."""

    def __init__(self, futures: Futures, chosen: frozenset[str]) -> None:
        self.all, self.plan, self.panel = futures, futures.plan, futures.panel
        self.changed = [name for name in futures.changes if name in chosen]
        self.new = [one for name, one in futures.later.items() if name in chosen]
        machines = [
            changed_machine(one, futures.changes[one.id], None) if one.id in self.changed else one
            for one in futures.shop.machines
        ]
        self.shop = futures.shop.model_copy(update={"machines": (*machines, *self.new)})
        self.amps = {one.id: machine_amps(one) for one in self.shop.machines}
        self.volts = {one.id: one.volts for one in self.shop.machines}

    def strains(self) -> Iterator[Strain]:
        """Everything that may give way."""
        yield from self._calculation()
        legs = self._legs()
        yield self._leg(legs)
        yield self._drop(legs)
        yield self._spaces()
        key = frozenset((*self.changed, *(one.id for one in self.new)))
        if key not in self.all.laid:
            self.all.laid[key] = tuple(self._raceways())
        yield from self.all.laid[key]

    @property
    def _on_their_own(self) -> list[FutureMachine]:
        """New machines that no circuit of the plan holds."""
        return [one for one in self.new if one.id not in self.all.held]

    # -- loads

    def _calculation(self) -> Iterator[Strain]:
        """The load by article 220 against the feeder, and with the rest against the service."""
        outlets = {outlet.id for outlet in self.plan.outlets}
        seats = {**self.all.seats, **{one.id: f"new {one.id}" for one in self.new}}
        va = total_va(shop_feeder_lines(shop_feeder(self.shop, seats, outlets)))
        amps = feeder_amps(va)
        yield Strain("calculation", self.panel.id, amps, limit_amps(self.panel), "A")
        yield Strain("conductor", self.panel.id, amps, round(self._hots_amps(), 1), "A")
        if (service := self.shop.supply.service) is not None:
            both = amps + service.calculated_load_amps
            yield Strain("service", "service", both, service.rating_amps, "A")

    def _hots_amps(self) -> float:
        """What the hots of the feeder carry in the room of the panel, by its terminals. [A]"""
        return ampacity_amps(
            self.panel.feeder.conductors.hot,
            terminal_c=terminals_c(self.panel, "raceway"),
            ambient_c=self.shop.building.climate_at(*self.shop.stands_in(self.panel)).room_c,
            material=self.panel.feeder.conductors.material,
        )

    def _legs(self) -> Legs:
        """Machines and lights on either leg; new 120 V loads on the lighter. [A]"""
        legs = {"A": self._on("A"), "B": self._on("B")}
        new = sorted(self._on_their_own, key=lambda one: -self.amps[one.id])
        for one in new:
            if one.volts == LINE_TO_LINE:
                for machines, _ in legs.values():
                    machines[one.id] = self.amps[one.id]
        for one in new:
            if one.volts != LINE_TO_LINE:
                lighter = min(legs, key=lambda leg: (self._worst(*legs[leg])[0], leg))
                legs[lighter][0][one.id] = self.amps[one.id]
        return legs

    def _leg(self, legs: Legs) -> Strain:
        """The heavier leg in its worst state of a binding day."""
        amps, says = max(self._worst(*legs[leg]) for leg in legs)
        return Strain("leg", self.panel.id, round(amps, 1), limit_amps(self.panel), "A", says)

    def _drop(self, legs: Legs) -> Strain:
        """What the feeder loses as seen from either leg; what a load on the other saves is not
        counted. [% of 120 V]
        """
        found = []
        for leg in legs:
            drawn = {
                name: [legs[side][0].get(name, 0.0) for side in sorted(legs)]
                for name in sorted(legs["A"][0].keys() | legs["B"][0].keys())
            }
            losses = {name: self._lost_v(leg, *amps) for name, amps in drawn.items()}
            lights = self._lost_v(leg, legs["A"][1], 0.0) + self._lost_v(leg, 0.0, legs["B"][1])
            found.append(self._worst(losses, lights))
        volts, says = max(found)
        percent = round(drop_percent(volts, LIGHT_VOLTS), 2)
        return Strain("drop", self.panel.id, percent, FEEDER_PERCENT, "%", says, advice=True)

    def _lost_v(self, leg: str, a_amps: float, b_amps: float) -> float:
        return max(0.0, lost_in_feeder_v(self.panel.feeder, frozenset(leg), a_amps, b_amps))

    def _worst(self, machines: dict[str, float], lights: float) -> tuple[float, str]:
        """The worst state of the days that bind, and which it is. [A]"""
        rules = WorkingRules.of(self.shop.machines, self.shop.use)
        found = []
        for day in binding_days(self.shop.use.days):
            state = rules.worst(machines, Crew.of(self.shop, day))
            running = " + ".join(
                self.all.called[name] for name in state.machines if name in machines
            )
            found.append((lights + state.load, f"{running or 'lights only'} {on_day(day.id)}"))
        return max(found)

    def _on(self, leg: str) -> tuple[dict[str, float], float]:
        """Machines of the plan on a leg, with what they then draw, and its lights. [A]"""
        machines: dict[str, float] = {}
        lights = 0.0
        watts = {box.id: box.luminaire_watts or 0 for box in self.shop.boxes}
        for circuit in self.plan.circuits:
            legs = {volts: _legs(circuit.fed_at(volts)) for volts in (LIGHT_VOLTS, LINE_TO_LINE)}
            held = [one.id for one in self.new if self.all.held.get(one.id) == circuit.id]
            for name in (*circuit.machines, *held):
                volts = self.volts[name]
                both = name in self.changed and volts == LINE_TO_LINE
                one = name in self.changed and volts != LINE_TO_LINE
                here = {"A", "B"} if both else set(sorted(legs[volts])[:1]) if one else legs[volts]
                if leg in here:
                    machines[name] = self.amps[name]
            if leg in legs[LIGHT_VOLTS]:
                lit = sum(watts[outlet] for outlet in circuit.outlets if outlet in watts)
                lights += lit / LIGHT_VOLTS
        return machines, lights

    # -- spaces

    def _own_circuits(self) -> list[Machine]:
        """Machines that need a new circuit: those that come and that no circuit of the plan holds,
        and changeovers without a space.
        """
        mine = [name for name in self.changed if self.all.prepared(name) is None]
        return [*self._on_their_own, *(one for one in self.shop.machines if one.id in mine)]

    def _spaces(self) -> Strain:
        """Spaces taken of those there are; two poles need neighbours in a column."""
        panel = next(panel for panel in self.plan.panels if panel.id == self.panel.id)
        free = [
            one.space
            for one in panel.spaces
            if one.circuit is None and one.reserved_for in (None, "spare", *self.all.kept)
        ]
        wanted = [one.volts // LIGHT_VOLTS for one in self._own_circuits()]
        pairs = wanted.count(2)
        there = len({one.space for one in panel.spaces})
        taken = there - len(set(free)) + sum(wanted)
        count, beside = there + self.all.more_spaces, free_pairs(free) + self.all.more_spaces // 2
        says = f"{max(0, count - taken)} free then"
        apart = pairs > beside
        if apart:
            says = f"{pairs} two-pole breakers, free neighbours for {beside}"
        return Strain("spaces", self.panel.id, taken, count, "spaces", says, apart=apart)

    # -- raceways

    def _raceways(self) -> Iterator[Strain]:
        """Room on the way of each new circuit whose box is named and that no cable can reach."""
        added: dict[str, float] = {}
        counts: dict[str, int] = {}
        for one in self._own_circuits():
            box = one.hard_wired_at or self.all.boxes.get(one.id)
            if box is None or one.id in self.all.laid_for:
                continue
            if room := self.all.rooms.get(one.id):
                yield self._fills(one, room.raceways, added, counts)
                continue
            ways = self.all.ways.between(self.panel.id, box)
            closed = self.shop.later.open_walls is False
            if not closed and any(way.method == "cable" for way in ways):
                continue
            chains = [way.raceways for way in ways if way.method == "raceway"]
            if not chains:
                says = f"no raceway leads to {box}: one has to be laid"
                yield Strain("raceway", box, 0.0, 0.0, "in²", says)
                continue
            tried = [self._through(one, chain, added, counts) for chain in chains]
            best = min(tried, key=lambda strain: strain.share)
            yield self._fills(one, chains[tried.index(best)], added, counts)

    def _fills(
        self, one: Machine, chain: Sequence[str], added: dict[str, float], counts: dict[str, int]
    ) -> Strain:
        """The fullest raceway of a chain, its new circuit kept in mind for the next."""
        strain = self._through(one, chain, added, counts)
        for name in chain:
            added[name] = added.get(name, 0.0) + self._area_in2(one)
            counts[name] = counts.get(name, 0) + 1 + one.volts // LIGHT_VOLTS
        return strain

    def _through(
        self, one: Machine, chain: Iterable[str], added: dict[str, float], counts: dict[str, int]
    ) -> Strain:
        """The fullest raceway of a chain with a new circuit in it."""
        sizes: dict[str, str] = {
            raceway.id: raceway.trade_size for raceway in self.shop.routes.raceways
        }
        sizes |= {raceway.id: raceway.trade_size for raceway in self.plan.raceways}
        kinds = {raceway.id: raceway.kind for raceway in self.shop.routes.raceways}
        ledgers = {raceway.id: raceway.ledgers[0] for raceway in self.plan.raceways}
        found = []
        for name in chain:
            inside = raceway_area_in2(kinds[name], sizes[name])
            wires = (
                [w for c in ledgers[name].contents for w in c.conductors] if name in ledgers else []
            )
            area = sum(conductor_area_in2(wire.awg, "THHN") for wire in wires)
            area += added.get(name, 0.0) + self._area_in2(one)
            most = inside * fill_limit(max(3, len(wires) + counts.get(name, 0) + 3))
            says = f"{self.all.called[one.id]} through {name}"
            found.append(Strain("raceway", name, round(area, 4), round(most, 4), "in²", says))
        return max(found, key=lambda strain: strain.share)

    def _area_in2(self, one: Machine) -> float:
        """Area of the conductors of a new circuit: its hots, a neutral for 120 V, a ground."""
        if room := self.all.rooms.get(one.id):
            return sum(conductor_area_in2(wire.awg, "THHN") for wire in room.conductors)
        awg = self._awg(one)
        return 2 * conductor_area_in2(awg, "THHN") + conductor_area_in2(cable_ground(awg), "THHN")

    def _awg(self, one: Machine) -> str:
        """The smallest size that carries it, as one of four to six conductors at 30 °C."""
        needed = self.amps[one.id] * (CONTINUOUS_SHARE if one.lasting or one.motor_hp else 1.0)
        smallest = self.shop.code.smallest_receptacle_conductor
        sizes = (*CABLE_AWGS, *LARGE_AWGS)
        for awg in sizes[sizes.index(smallest) :]:
            holds = ampacity_amps(
                awg,
                terminal_c=terminals_c(self.panel, "raceway"),
                ambient_c=30,
                current_carrying=4,
            )
            if holds >= needed:
                return awg
        return sizes[-1]


def _legs(spaces: Iterable[int]) -> set[str]:
    return {leg_of(space) for space in spaces}
