"""Loads: what a set of points draws in its worst state, before any wiring is chosen."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Final, NamedTuple

from models.crew import Crew
from models.formulas.compressors import compressor_conductor_amps
from models.formulas.load_calculation import welder_group_amps
from models.formulas.motors import motor_conductor_amps
from models.shop import Machine, Shop
from models.states import State, WorkingRules, binding_days
from models.switching import box_of
from solver.points import Point, Points
from solver.refusal import Refusal

CONTINUOUS_SHARE: Final = 1.25
LIGHTING_VOLTS: Final = 120


@dataclass(frozen=True)
class Load:
    """A set of points, its machines with their yokes, and its worst state."""

    points: tuple[Point, ...]
    placed: Mapping[str, str]
    amps: Mapping[str, float]
    lights_amps: Mapping[str, float]
    day: str
    state: tuple[str, ...]
    weighted_amps: float
    plain_amps: float
    conductor_amps: float

    @cached_property
    def volts(self) -> int:
        """Voltage of the circuit."""
        return self.points[0].volts

    @cached_property
    def outlets(self) -> tuple[Point, ...]:
        """Its points that have a box."""
        return tuple(point for point in self.points if point.box is not None)

    @cached_property
    def receptacles(self) -> int:
        """How many receptacles it has; a duplex is two."""
        return sum(point.receptacles for point in self.points)

    @cached_property
    def single(self) -> bool:
        """One single receptacle alone on the circuit."""
        return self.receptacles == 1 and len(self.outlets) == 1

    @cached_property
    def running(self) -> list[str]:
        """Machines of the worst state that are on this circuit."""
        return [machine for machine in self.state if machine in self.amps]

    @cached_property
    def names(self) -> list[str]:
        """Ids of its outlets."""
        return [point.id for point in self.outlets]


def boxes_of(load: Load) -> frozenset[str]:
    """Every box that a load's circuit must come to: of outlets and of switches."""
    names = {point.box for point in load.outlets if point.box}
    names.update(name for point in load.outlets for name in point.luminaires)
    names.update(box_of(switch) for point in load.outlets for switch in point.switches)
    return frozenset(names)


class _Drawn(NamedTuple):
    """What machines draw in their worst state, and what their conductors count it as. [A]"""

    amps: Mapping[str, float]
    day: str
    state: tuple[str, ...]
    weighted: float
    motor: float
    own_article: float


def is_bare_compressor(machine: Machine) -> bool:
    """Whether it is a hard-wired cooling unit marked in amperes, without MCA and MOCP."""
    marked = machine.kind == "cooling" and machine.marked_amps is not None
    return marked and machine.hard_wired_at is not None


class Loads:
    """Worst states of sets of points."""

    def __init__(self, shop: Shop, points: Points) -> None:
        self.shop, self.points = shop, points
        self._known: dict[tuple[str, ...], _Drawn] = {}
        self.rules = WorkingRules.of(shop.machines, shop.use)
        self.days = binding_days(shop.use.days)
        self.crews = {day.id: Crew.of(shop, day) for day in self.days}
        self.lights_amps = {
            box.id: box.luminaire_watts / LIGHTING_VOLTS
            for box in shop.boxes
            if box.luminaire_watts is not None
        }

    def worst(self, loads: Mapping[str, float]) -> tuple[str, State]:
        """The binding day and its worst state; the first day in id order wins ties."""
        best = self.days[0].id, State((), 0.0)
        for day in self.days:
            state = self.rules.worst(loads, self.crews[day.id])
            if state.load > best[1].load + 1e-9:
                best = day.id, state
        return best

    def alike(self, name: str) -> tuple[object, ...]:
        """All of a machine that worst states hang on beside what it draws: machines of the same
        draw and the same answer may stand in for each other.
        """
        rules = self.rules
        followed = name in rules.leaders or any(name in leads for leads in rules.leaders.values())
        if followed or any(name in group for group, _ in rules.groups):
            return (name,)
        crews = (self.crews[day.id].groups for day in self.days)
        places = tuple(may is None or name in may for groups in crews for _, may in groups)
        return name in rules.attended, places

    def of(self, points: tuple[Point, ...], placed: Mapping[str, str]) -> Load:
        """What these points draw with their machines at these yokes. [A]"""
        lights = {
            name: self.lights_amps[name] for point in points for name in sorted(point.luminaires)
        }
        drawn = self._drawn(tuple(sorted(placed)))
        lit = sum(lights.values())
        return Load(
            points=points,
            placed=placed,
            amps=drawn.amps,
            lights_amps=lights,
            day=drawn.day,
            state=drawn.state,
            weighted_amps=drawn.weighted + CONTINUOUS_SHARE * lit,
            plain_amps=sum(drawn.amps[name] for name in drawn.state if name in drawn.amps) + lit,
            conductor_amps=max(drawn.motor + CONTINUOUS_SHARE * lit, drawn.own_article),
        )

    def _drawn(self, names: tuple[str, ...]) -> "_Drawn":
        """What some machines draw, worked out once."""
        if names not in self._known:
            amps = {name: self.points.amps[name] for name in names}
            weights = {
                name: current * (CONTINUOUS_SHARE if self.points.machines[name].lasting else 1.0)
                for name, current in amps.items()
            }
            day, (state, weighted) = self.worst(weights)
            motor = self._motor_amps(amps, weights)
            own = max(self._welder_amps(amps), self._compressor_amps(amps))
            self._known[names] = _Drawn(amps, day, state, weighted, motor, own)
        return self._known[names]

    def _motor_amps(self, amps: Mapping[str, float], weights: Mapping[str, float]) -> float:
        """What the conductors must carry with each motor in turn as the largest, 430.24. [A]"""
        motors = [name for name in amps if self.points.machines[name].motor_hp is not None]
        loads = {**weights, **{name: amps[name] for name in motors}}
        return max(
            (
                self.worst({**loads, name: motor_conductor_amps(amps[name])})[1].load
                for name in motors
            ),
            default=0.0,
        )

    def _welder_amps(self, amps: Mapping[str, float]) -> float:
        """What the conductors of all its welders carry, whoever works: 630.11. [A]"""
        welders = [amps[name] for name in amps if self.points.machines[name].i1eff_amps is not None]
        return welder_group_amps(welders) if welders else 0.0

    def _compressor_amps(self, amps: Mapping[str, float]) -> float:
        """What the conductors carry for the largest compressor without MCA: 440.32. [A]"""
        bare = (amps[name] for name in amps if is_bare_compressor(self.points.machines[name]))
        return max(map(compressor_conductor_amps, bare), default=0.0)

    def seat(self, points: Iterable[Point]) -> dict[str, str] | Refusal:
        """Where each machine plugs in; those the planner places go where a receptacle is free."""
        placed, room, wanting = self._sockets(points)
        taken: dict[str, list[str]] = {yoke: [] for yoke in room}
        for machine in wanting:
            if not _find_seat(machine, wanting, room, taken, set()):
                return Refusal("no place for machine", {"machine": machine})
        placed.update({name: yoke for yoke, names in taken.items() for name in names})
        return placed

    def every_seat(self, points: Iterable[Point]) -> Iterator[dict[str, str]]:
        """Every way to plug in the machines that the planner places."""
        placed, room, wanting = self._sockets(points)
        options = [[yoke for yoke in point.options if yoke in room] for point in wanting.values()]
        for chosen in product(*options):
            if all(chosen.count(yoke) <= room[yoke] for yoke in chosen):
                yield {**placed, **dict(zip(wanting, chosen, strict=True))}

    def _sockets(
        self, points: Iterable[Point]
    ) -> tuple[dict[str, str], dict[str, int], dict[str, Point]]:
        """Machines that have their yoke, plugs each yoke still takes, machines without a yoke."""
        placed: dict[str, str] = {}
        room: dict[str, int] = {}
        wanting: dict[str, Point] = {}
        for point in points:
            here = self.points.fixed.get(point.id, [])
            placed.update(dict.fromkeys(here, point.id))
            if point.kind == "receptacle":
                room[point.id] = max(0, point.receptacles - len(here))
            elif point.machine is not None:
                wanting[point.machine] = point
        return placed, room, wanting


def _find_seat(
    machine: str,
    wanting: Mapping[str, Point],
    room: Mapping[str, int],
    taken: Mapping[str, list[str]],
    tried: set[str],
) -> bool:
    """Find a receptacle for a machine, moving others along if need be (augmenting path)."""
    for yoke in wanting[machine].options:
        if yoke not in room or yoke in tried:
            continue
        tried.add(yoke)
        seated = taken[yoke]
        if len(seated) < room[yoke]:
            seated.append(machine)
            return True
        for other in list(seated):
            if _find_seat(other, wanting, room, taken, tried):
                seated.remove(other)
                seated.append(machine)
                return True
    return False
