"""Placement: which spaces, and so which leg, each circuit's breaker takes in its panel.

A small CP-SAT model for each panel: two poles in neighbouring spaces of a column, spare spaces
kept, the heavier leg in any allowed state of any binding day as light as can be. States are added
when they turn out to load a leg more than those known so far (exactly, by `models.states`). Ties
are broken by what all machines together put on a leg, as the load calculation counts them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from ortools.sat.python import cp_model

from models.shop import Panel, Shop
from solver.candidate import Candidate
from solver.legs import binding_states
from solver.load import Loads
from solver.panel import free_spaces, leg_of
from solver.points import Points
from solver.solve import Control
from solver.staying import staying

MILLI: Final = 1000
SHARE: Final = 0.1  # of the effort, for each solve
SETTLING_SHARE: Final = 0.03
MOST_SETTLED: Final = 20


@dataclass(frozen=True)
class Fed:
    """One breaker as placement sees it: its poles and what hangs on it [A].

    `legs` where it sits already; the breaker that feeds another panel is one of these a leg. The
    two halves of a multiwire pair are one pole each, `beside` each other in a column. `spaces`
    where it has to sit, `among` where it may.
    """

    id: str
    poles: int
    machines: Mapping[str, float]
    lights_amps: float
    legs: frozenset[str] = frozenset()
    beside: str | None = None
    spaces: tuple[int, ...] = ()
    among: frozenset[int] | None = None


@dataclass(frozen=True)
class Placed:
    """Spaces by circuit, spare spaces, and the heavier leg in the worst state [A]."""

    spaces: Mapping[str, tuple[int, ...]]
    spare: tuple[int, ...]
    heavier_leg_amps: float


def fed_new(names: Sequence[str], candidate: Candidate) -> list[Fed]:
    """A selected candidate; of a pair each half; a space kept beside it sits like such a half."""
    if candidate.halves:
        pairs = zip(names, candidate.halves, reversed(names), strict=True)
        return [Fed(name, 1, half.load.amps, 0.0, beside=other) for name, half, other in pairs]
    load = candidate.load
    (name,) = names
    lights = sum(load.lights_amps.values())
    if candidate.keeps_space:
        kept = kept_beside(name)
        return [Fed(name, 1, load.amps, lights, beside=kept), Fed(kept, 1, {}, 0.0, beside=name)]
    return [Fed(name, candidate.poles, load.amps, lights, spaces=candidate.spaces)]


def kept_beside(name: str) -> str:
    """The space kept beside a breaker, as a breaker without a load."""
    return f"beside {name}"


def fed_later(made: Candidate) -> Fed:
    """Spaces kept for a machine that may come, as a breaker without a load."""
    assert made.for_later is not None
    return Fed(kept_later(made.for_later.machine), made.poles, {}, 0.0)


def kept_later(machine: str) -> str:
    """The spaces kept for a machine that may come, by the name they are placed under."""
    return f"later {machine}"


def fed_existing(shop: Shop, panel: Panel, points: Points, loads: Loads) -> list[Fed]:
    """The circuits that are there already in a panel and stay."""
    fed = []
    for circuit in staying(shop):
        if circuit.panel != panel.id:
            continue
        boxes = set(circuit.feeds)
        machines = {
            machine: points.amps[machine]
            for machine, at in points.on_existing.items()
            if points.box_at(at) in boxes
        }
        lights = sum(amps for box, amps in loads.lights_amps.items() if box in boxes)
        legs = frozenset(map(leg_of, circuit.spaces))
        fed.append(Fed(circuit.id, len(circuit.spaces), machines, lights, legs))
    return fed


class Placement:
    """at[c, s]: the first pole of circuit c is in space s.  spare[s]: space s is kept free."""

    def __init__(
        self, shop: Shop, panel: Panel, loads: Loads, new: Sequence[Fed], old: Sequence[Fed]
    ) -> None:
        self.loads, self.new, self.old = loads, new, old
        self.free = free_spaces(shop, panel)
        self.model = cp_model.CpModel()
        self.at = {
            (fed.id, space): self.model.new_bool_var(f"at[{fed.id},{space}]")
            for fed in new
            for space in self.free
            if fed.poles == 1 or space + 2 in self.free
            if not fed.spaces or space == fed.spaces[0]
            if fed.among is None or space in fed.among
        }
        self.spare = {s: self.model.new_bool_var(f"spare[{s}]") for s in self.free}
        self.heavier = self.model.new_int_var(0, 10**7, "heavier leg")
        self._define_one_place_each()
        self._define_one_circuit_per_space()
        self._define_pairs_side_by_side()

    def _define_one_place_each(self) -> None:
        """Σ_s at[c, s] = 1 for every circuit c."""
        for fed in self.new:
            self.model.add_exactly_one(x for (name, _), x in self.at.items() if name == fed.id)

    def _define_one_circuit_per_space(self) -> None:
        """A space holds one pole, or is kept free, or neither."""
        for space in self.free:
            inside = [self.at[f.id, space] for f in self.new if (f.id, space) in self.at]
            inside += [
                self.at[f.id, space - 2]
                for f in self.new
                if f.poles == 2 and (f.id, space - 2) in self.at
            ]
            self.model.add_at_most_one([*inside, self.spare[space]])

    def _define_pairs_side_by_side(self) -> None:
        """at[c, s] ≤ at[d, s - 2] + at[d, s + 2] for the halves c and d of a pair."""
        for fed in self.new:
            if fed.beside is None:
                continue
            for space in self.free:
                near = [self.at[key] for key in _both_sides(fed.beside, space) if key in self.at]
                self.model.add(sum(near) >= self.at[fed.id, space])

    def amps(self, fed: Fed, state: frozenset[str]) -> int:
        """What a circuit draws per pole in a state [mA]."""
        running = sum(amps for name, amps in fed.machines.items() if name in state)
        return round(MILLI * (running + fed.lights_amps))

    def fixed_amps(self, leg: str, state: frozenset[str]) -> int:
        """What a leg carries in a state wherever single poles sit [mA]."""
        old = sum(self.amps(fed, state) for fed in self.old if leg in fed.legs)
        return old + sum(self.amps(fed, state) for fed in self.new if fed.poles == 2)

    def add_state(self, state: frozenset[str], most: cp_model.IntVar | None = None) -> None:
        """Both legs in this state are at most `heavier`, or what else is told."""
        for leg in "AB":
            moving = sum(
                self.amps(fed, state) * self.at[fed.id, space]
                for fed in self.new
                if fed.poles == 1
                for space in self.free
                if leg_of(space) == leg and (fed.id, space) in self.at
            )
            fixed = self.fixed_amps(leg, state)
            self.model.add(fixed + moving <= (self.heavier if most is None else most))

    def solve(self, control: Control, spare: int) -> Placed | None:
        """The best placement found with so many spaces spare; None when breakers do not go in."""
        if not self.new:
            return Placed({}, tuple(self.free[len(self.free) - spare :]), 0.0)
        self.model.add(sum(self.spare.values()) == spare)
        spaces = self._first_fit() or self._any_fit(control)
        if spaces is None:
            return None
        for (name, space), x in self.at.items():
            self.model.add_hint(x, spaces[name][0] == space)
        states: set[frozenset[str]] = set()
        more = binding_states(self, control)
        while True:
            worst, state = self.worst(spaces)
            if state in states or control.cut_short:
                break
            for one in dict.fromkeys((*more, state)):
                self.add_state(one)
            states.update(more, (state,))
            more = []
            self.model.minimize(self.heavier)
            answer = control.run(self.model, SHARE)
            if not answer.found:
                break
            spaces = {fed.id: self._spaces(fed, answer.solver) for fed in self.new}
        return self._settle(control, spaces, worst, spare)

    def _first_fit(self) -> dict[str, tuple[int, ...]] | None:
        """Fixed ones first, then two neighbours, each into the first free place it may have.

        None when one finds none.
        """
        left = set(self.free)
        spaces: dict[str, tuple[int, ...]] = {}
        order = sorted(
            self.new,
            key=lambda fed: (not fed.spaces, fed.among is None, -(2 if fed.beside else fed.poles)),
        )
        for fed in order:
            if fed.id in spaces:
                continue
            double = fed.poles == 2 or fed.beside
            starts = [s for s in sorted(left) if (fed.id, s) in self.at]
            places = [(s, s + 2) if double else (s,) for s in starts]
            place = next((place for place in places if left.issuperset(place)), None)
            if place is None:
                return None
            left -= set(place)
            spaces[fed.id] = place
            if fed.beside:
                spaces[fed.id], spaces[fed.beside] = place[:1], place[1:]
        return spaces

    def _any_fit(self, control: Control) -> dict[str, tuple[int, ...]] | None:
        """Some places for all; None when there are none.

        Asked only where first fit may fail though there are: breakers that may sit in some spaces.
        """
        if all(fed.among is None for fed in self.new):
            return None
        answer = control.run(self.model, SHARE)
        if not answer.found:
            return None
        return {fed.id: self._spaces(fed, answer.solver) for fed in self.new}

    def _spaces(self, fed: Fed, solver: cp_model.CpSolver) -> tuple[int, ...]:
        first = next(
            s for s in self.free if (fed.id, s) in self.at and solver.value(self.at[fed.id, s])
        )
        return (first,) if fed.poles == 1 else (first, first + 2)

    def worst(self, spaces: Mapping[str, tuple[int, ...]]) -> tuple[float, frozenset[str]]:
        """The heavier leg in the worst state under these places. [A]"""
        found: tuple[float, frozenset[str]] = (-1.0, frozenset())
        for leg in "AB":
            amps, base = self.leg_loads(spaces, leg)
            for day in self.loads.days:
                state = self.loads.rules.worst(amps, self.loads.crews[day.id])
                if base + state.load > found[0] + 1e-9:
                    found = base + state.load, frozenset(state.machines)
        return found

    def leg_loads(
        self, spaces: Mapping[str, tuple[int, ...]], leg: str
    ) -> tuple[dict[str, float], float]:
        """Machines on a leg with their current, and its lights. [A]"""
        amps: dict[str, float] = {}
        base = 0.0
        for fed in [*self.new, *self.old]:
            legs = fed.legs or {leg_of(space) for space in spaces[fed.id]}
            if leg in legs:
                amps.update(fed.machines)
                base += fed.lights_amps
        return amps, base

    def _settle(
        self, control: Control, spaces: dict[str, tuple[int, ...]], worst: float, wished: int
    ) -> Placed:
        """Among placements as good, the evenest with everything on, then filled from the top."""
        self.model.add(self.heavier <= round(MILLI * worst) + len(self.new))
        everything = frozenset(name for fed in (*self.new, *self.old) for name in fed.machines)
        connected = self.model.new_int_var(0, 10**7, "heavier leg with everything on")
        self.add_state(everything, connected)
        self.model.clear_objective()  # type: ignore[no-untyped-call]
        together = sorted(self.new, key=lambda fed: fed.poles == 1)  # 240 V breakers first
        order = {fed.id: len(self.new) - index for index, fed in enumerate(together)}
        filling = sum(order[name] * space * x for (name, space), x in self.at.items())
        keeping = sum((self.free[-1] + 1 - space) * x for space, x in self.spare.items())
        most = (len(self.new) + 1) ** 2 * (self.free[-1] + 1) + sum(self.free)
        self.model.minimize(most * connected + filling + keeping)
        for _ in range(MOST_SETTLED):
            answer = control.run(self.model, SETTLING_SHARE)
            if not answer.found:
                break
            settled = {fed.id: self._spaces(fed, answer.solver) for fed in self.new}
            heavier, state = self.worst(settled)
            if heavier <= worst + 1e-6:
                spare = tuple(s for s, x in self.spare.items() if answer.solver.value(x))
                return Placed(settled, spare, worst)
            self.add_state(state)
        held = {space for places in spaces.values() for space in places}
        left = [space for space in self.free if space not in held]
        return Placed(spaces, tuple(left[len(left) - wished :]), worst)


def _both_sides(name: str, space: int) -> tuple[tuple[str, int], tuple[str, int]]:
    """A breaker in the space above one in its column, and in the one below."""
    return (name, space - 2), (name, space + 2)
