"""Machines that may come with a plug: which circuits would carry them, and which could spare a
receptacle for them.

A circuit *holds* such a machine at one of its receptacle yokes when everything a new circuit is
checked for still keeps with the machine plugged in there: worst state, breaker, conductors beside
as many others as before, voltage drop, receptacle, horsepower, ground-fault protection. It can have
a yoke *freed* when nothing is plugged in there, it guards nothing beyond, and the circuit feeds
something else as well: another receptacle that does for each portable tool that reaches it, and for
a dwelling's garage. Each machine is looked at by itself, so a selection (`solver.later_rows`)
lets a circuit hold one.

Stricter than need be, and simple: a multiwire pair, a switched receptacle, a circuit that prepares
for a changeover, and an existing one with a run that was not seen hold none. Amperes.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from models.reach import receptacles_in_reach, receptacles_open_to
from models.shop import ExistingCircuit, FutureMachine
from solver.candidate import Candidate, Edge, Seat
from solver.catalogue import RATINGS
from solver.extend import Changing, Extension, kept
from solver.garage import wanted_yokes
from solver.load import Load
from solver.points import Point, Points
from solver.refusal import Refusal
from solver.staying import staying
from solver.there import all_there
from solver.wiring import Wiring

if TYPE_CHECKING:
    from solver.new_circuits import NewCircuits


class Plugs:
    """The machines with a plug that may come to a shop, and where each might be plugged in."""

    def __init__(self, now: "NewCircuits") -> None:
        self.now = now
        self._then: dict[str, NewCircuits] = {}

    @cached_property
    def machines(self) -> dict[str, FutureMachine]:
        """Those with a place, by id."""
        later = sorted(self.now.shop.later.machines, key=lambda one: one.id)
        return {one.id: one for one in later if one.plug is not None and not one.portable}

    @cached_property
    def yokes(self) -> dict[str, tuple[str, ...]]:
        """The receptacle yokes that each may be plugged into, the nearest first."""
        shop = self.now.shop
        return {
            name: tuple(fitting.yoke_id for fitting in receptacles_open_to(shop, machine))
            for name, machine in self.machines.items()
        }

    def then(self, machine: str) -> "NewCircuits":
        """The circuits of the shop when one of them has come, and nothing else may."""
        if machine not in self._then:
            shop = self.now.shop
            later = shop.later.model_copy(update={"machines": ()})
            machines = (*shop.machines, self.machines[machine])
            then = shop.model_copy(update={"machines": machines, "later": later})
            now = self.now
            self._then[machine] = type(now)(then, Points(then), now.ways, now.catalogue)
        return self._then[machine]

    def may_be_held(self, machine: str, yoke: str) -> bool:
        """Whether some breaker would suit a machine at a yoke with what is there in any case."""
        now = self.now
        item = next((i for i in now.points.items if yoke in {p.id for p in i.points}), None)
        if item is None:
            return False
        placed = {name: p.id for p in item.points for name in now.points.fixed.get(p.id, ())}
        if not _is_free(self.machines[machine], yoke, now.loads.of(item.points, placed)):
            return False
        load = self.then(machine).loads.of(item.points, {**placed, machine: yoke})
        ratings = {*RATINGS, *(round(one.breaker_amps) for one in now.shop.existing)}
        return any(self._suits(machine, amps, load) for amps in sorted(ratings))

    # -- what a circuit allows

    def all_stamped(self, every: Iterable[Candidate]) -> tuple[list[Candidate], bool]:
        """Circuits with the seats that each allows; whether larger conductors might allow more."""
        if not self.machines:
            return list(every), False
        stamped = [self._stamped(made) for made in every]
        return [made for made, _ in stamped], any(lacking for _, lacking in stamped)

    def _stamped(self, made: Candidate) -> tuple[Candidate, bool]:
        """The same of one circuit."""
        allows, lacking = set(), False
        for machine, yoke in self._pairs(made.load):
            if self._may_free(made, yoke):
                allows.add(Seat(machine, yoke, "freed"))
            load = self._load_then(made, machine, yoke)
            if load is None or not self._suits(machine, made.breaker_amps, load):
                continue
            if self._serves(made, machine, load):
                allows.add(Seat(machine, yoke, "held"))
            else:
                lacking = True
        return (replace(made, allows=frozenset(allows)) if allows else made), lacking

    @cached_property
    def _wanted(self) -> tuple[frozenset[str], ...]:
        """Sets of yokes of which a circuit that has any keeps one: where alike, what the shop asks
        to be there, and what a portable tool is plugged into.
        """
        shop, found = self.now.shop, set(wanted_yokes(self.now.shop))
        for tool in (machine for machine in shop.machines if machine.portable):
            reached: dict[str, set[str]] = {}
            for fitting in receptacles_in_reach(shop, tool):
                reached.setdefault(fitting.configuration, set()).add(fitting.yoke_id)
            found |= set(map(frozenset, reached.values()))
        return tuple(found)

    def _may_free(self, made: Candidate, yoke: str) -> bool:
        """Whether a circuit can do without a yoke, and the shop without it there."""
        loads = [half.load for half in made.halves] or [made.load]
        load = next(load for load in loads if yoke in load.names)
        point = next(point for point in load.outlets if point.id == yoke)
        left = {one.id for one in load.outlets} - {yoke}
        guards = made.gfci == yoke or any(yoke in half.gfci_at for half in made.halves)
        used = any(yoke in one.placed.values() for one in loads)
        missed = any(yoke in wanted and left.isdisjoint(wanted) for wanted in self._wanted)
        fixed = made.extends is not None or point.switches
        return bool(left) and not (guards or used or missed or fixed)

    def ask_for(self, amps: int, load: Load, made: Iterable[Candidate]) -> bool:
        """Whether a breaker of a rating might hold a machine that no circuit made does."""
        pairs = list(self._pairs(load))
        if not pairs:
            return False
        held = {seat[:2] for one in made for seat in one.allows if seat.how == "held"}
        for machine, yoke in pairs:
            if (machine, yoke) not in held and _is_free(self.machines[machine], yoke, load):
                then = self.then(machine).loads.of(load.points, {**load.placed, machine: yoke})
                if self._suits(machine, amps, then):
                    return True
        return False

    def _pairs(self, load: Load) -> Iterator[tuple[str, str]]:
        """Machines that may come, with the yokes of a load that are open to them."""
        if not self.machines:
            return
        here = {point.id for point in load.points if point.kind == "receptacle"}
        for machine, yokes in self.yokes.items():
            for yoke in yokes:
                if yoke in here:
                    yield machine, yoke

    def _load_then(self, made: Candidate, machine: str, yoke: str) -> Load | None:
        """What is on a circuit with a machine plugged in; None where there is no room for it."""
        prepares = any(one.choice != "nothing" for one in made.prepared)
        if made.halves or prepares or not _is_free(self.machines[machine], yoke, made.load):
            return None
        placed = {**made.load.placed, machine: yoke}
        return self.then(machine).loads.of(made.load.points, placed)

    def _suits(self, machine: str, amps: int, load: Load) -> bool:
        """Whether a breaker suits what is then on the circuit."""
        return not isinstance(self.then(machine).rating_unfit(amps, load), Refusal)

    def _serves(self, made: Candidate, machine: str, load: Load) -> bool:
        """Whether its conductors and devices then do, among as many others as they do now.

        An existing circuit without ground-fault protection may go on so, but for a vehicle.
        """
        after, edges = self._wiring(made, machine, load)
        as_before = made.extends is not None and self.machines[machine].kind != "vehicle charger"
        if edges is None or (after.asks_for_gfci and made.gfci is None and not as_before):
            return False
        ground = made.ground or after.ground
        survives = after.serves(edges, ground)
        shares = {**made.raceways, **made.passages}
        return survives is not None and all(
            survives.get(name, 0) >= share.survives for name, share in shares.items()
        )

    def staying(self, machine: str) -> dict[str, str]:
        """Yokes where an existing circuit that nothing may change on holds a machine, and which."""
        now = self.now
        there = all_there(now.ways)
        found = {}
        for circuit in staying(now.shop):
            points = tuple(_points_on(now, circuit))
            ids = {point.id for point in points}
            if ids.isdisjoint(self.yokes[machine]):
                continue
            placed = {name: at for name, at in now.points.on_existing.items() if at in ids}
            made = kept(
                now,
                Changing(circuit, frozenset(), there[circuit.id]),
                (),
                now.loads.of(points, placed),
            )
            for seat in self._stamped(made)[0].allows:
                if seat.machine == machine and seat.how == "held":
                    found[seat.yoke] = circuit.id
        return found

    def _wiring(
        self, made: Candidate, machine: str, load: Load
    ) -> tuple[Wiring, tuple[Edge, ...] | None]:
        """The circuit with what is then on it, and all its runs; None where not all were seen."""
        then, awg, panel = self.then(machine), made.awg, made.panel
        if made.extends is None:
            return Wiring(then, load, made.breaker_amps, awg, frozenset(), panel), made.edges
        circuit = next(one for one in then.shop.existing if one.id == made.extends)
        after = Extension(then, load, circuit, frozenset())
        return after, None if after.runs_there is None else (*after.runs_there, *made.edges)


def _points_on(now: "NewCircuits", circuit: ExistingCircuit) -> Iterator[Point]:
    """What takes current from an existing circuit, box by box."""
    points = now.points
    wired = {at for at in points.on_existing.values() if at not in points.yokes}
    volts = 120 * len(circuit.spaces)
    for name in circuit.feeds:
        yield from (point for point in points.yokes.values() if point.box == name)
        if name in wired:
            yield Point(name, "hard-wired", name, volts)
        elif now.boxes[name].luminaire_watts is not None:
            yield Point(name, "lights", name, volts, luminaires=(name,))


def _is_free(machine: FutureMachine, yoke: str, load: Load) -> bool:
    """Whether a yoke of a load has a receptacle left that the machine may take."""
    point = next(point for point in load.points if point.id == yoke)
    taken = sum(at == yoke for at in load.placed.values())
    if machine.receptacle not in (None, yoke):
        return not point.switches and not taken  # one of two: whichever another then takes
    return not point.switches and taken < point.receptacles
