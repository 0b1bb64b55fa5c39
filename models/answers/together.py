"""What runs together on one breaker without overloading it: machine by machine, in pairs.

On a circuit are the machines that the plan has there, and each portable tool that finds a
receptacle of it: in reach of its use, of its plug, and large enough. What is always on and the
lights are counted with every pair, and so are followers that a pair starts. The two halves of a
multiwire pair are held each against its own pole. Amperes; continuous loads and lights at 125 %.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Literal

from models.answers.binding import plugs_in, weighted_amps
from models.plan import CircuitPlan
from models.rules.portable_tools import circuits_for
from models.rules.reading import CONTINUOUS, Reading
from models.rules.rule import SAME_AMPS
from models.states import WorkingRules

Apart = Literal["", "people", "promise", "interlock", "receptacles"]


@dataclass(frozen=True)
class Load:
    """What a circuit carries, and what its breaker and conductors hold."""

    circuit: str
    amps: float
    limit_amps: float

    @property
    def fits(self) -> bool:
        """Whether it is not too much."""
        return self.amps <= self.limit_amps + SAME_AMPS


@dataclass(frozen=True)
class Member:
    """A machine at a circuit, the load with nothing else switched on, and what is on all the same.

    `with_it`: what is always on there, and followers that start with it.
    """

    machine: str
    portable: bool
    alone: Load
    with_it: tuple[str, ...]


@dataclass(frozen=True)
class Meeting:
    """Two machines on at once. `loads` has a second one when they are on two halves of a pair.

    `day` is a binding day on which both may be on; without one `apart` says what keeps them apart.
    `brings`: the second runs whenever the first does. `third`: machines of the circuit that would
    be too much beside a pair that fits.
    """

    machines: tuple[str, str]
    loads: tuple[Load, ...]
    day: str
    apart: Apart
    brings: bool
    third: tuple[str, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether no breaker is overloaded."""
        return all(load.fits for load in self.loads)


@dataclass(frozen=True)
class SharedBreaker:
    """Who shares a breaker: one circuit, or both halves of a multiwire pair."""

    circuits: tuple[str, ...]
    members: tuple[Member, ...]
    meetings: tuple[Meeting, ...]


class Together:
    """Asks of a plan what runs together."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self._days: dict[frozenset[str], str] = {}

    def breakers(self) -> Iterator[SharedBreaker]:
        """Each circuit with a machine, pairs once; in the plan's order."""
        done: set[str] = set()
        for circuit in self.reading.plan.circuits:
            halves = self.reading.pair(circuit)
            names = tuple(half.id for half in halves)
            if circuit.id in done:
                continue
            done.update(names)
            members = tuple(member for half in halves for member in self._members(half))
            if members:
                yield SharedBreaker(names, members, tuple(self._meetings(members)))

    @cached_property
    def _tools(self) -> dict[str, list[str]]:
        """Portable tools by the circuits that they find a receptacle of."""
        found: dict[str, list[str]] = {}
        for tool in sorted(self.reading.shop.machines, key=lambda machine: machine.id):
            for circuit in circuits_for(self.reading, tool) if tool.portable else ():
                found.setdefault(circuit.id, []).append(tool.id)
        return found

    def _fixed(self, circuit: CircuitPlan) -> list[str]:
        """Machines that the plan has on a circuit."""
        return [machine.id for machine in self.reading.machines_on(circuit)]

    def _members(self, circuit: CircuitPlan) -> Iterator[Member]:
        tools = self._tools.get(circuit.id, [])
        for machine in (*self._fixed(circuit), *tools):
            with_it = tuple(sorted(self._on(circuit, [machine]) - {machine}))
            yield Member(machine, machine in tools, self._load(circuit, [machine]), with_it)

    def _on(self, circuit: CircuitPlan, group: Iterable[str]) -> set[str]:
        """A group here, with the followers it starts here, and what is always on here."""
        here, fixed = set(group), set(self._fixed(circuit))
        here |= {name for name in fixed if self.reading.machines_of_shop[name].always_on}
        return here | (self.reading.rules.running(here) & fixed)

    def _load(self, circuit: CircuitPlan, group: Iterable[str]) -> Load:
        """Of a group with all that is on with it, and of the lights."""
        reading = self.reading
        on = sorted(self._on(circuit, group))
        lights = CONTINUOUS * reading.luminaire_amps(circuit)
        amps = lights + sum(weighted_amps(reading.machines_of_shop[name]) for name in on)
        return Load(circuit.id, amps, reading.limit_amps(circuit))

    def _meetings(self, members: tuple[Member, ...]) -> Iterator[Meeting]:
        circuits = self.reading.circuits
        for one, other in combinations(members, 2):
            pair = (one.machine, other.machine)
            at = circuits[one.alone.circuit], circuits[other.alone.circuit]
            if one.machine == other.machine:  # a tool that either half would hold
                continue
            if at[0] is at[1]:
                loads: tuple[Load, ...] = (self._load(at[0], pair),)
            else:
                loads = tuple(self._load(here, [name]) for here, name in zip(at, pair, strict=True))
            day, apart = self._day(pair, at)
            brought = self.reading.rules.brought_by
            if one.machine in brought(other.machine):
                pair = pair[::-1]
            third: tuple[str, ...] = ()
            if len(loads) == 1 and loads[0].fits:
                third = tuple(self._third(at[0], pair, members))
            yield Meeting(pair, loads, day, apart, pair[1] in brought(pair[0]), third)

    def _third(
        self, circuit: CircuitPlan, pair: tuple[str, str], members: tuple[Member, ...]
    ) -> Iterator[str]:
        """Members of the circuit that are one too many beside a pair."""
        for member in members:
            if member.alone.circuit == circuit.id and member.machine not in pair:
                group = (*pair, member.machine)
                if plugs_in(self.reading, circuit, group) and not self._load(circuit, group).fits:
                    yield member.machine

    def _day(self, pair: tuple[str, str], at: tuple[CircuitPlan, CircuitPlan]) -> tuple[str, Apart]:
        """A binding day on which two machines may both be on here; else what keeps them apart."""
        if at[0] is at[1] and not plugs_in(self.reading, at[0], pair):
            return "", "receptacles"
        group = frozenset(pair)
        if group not in self._days:
            most = self.reading.worst(dict.fromkeys(sorted(group), 1.0))
            both = most is not None and most.amps > len(group) - 0.5
            self._days[group] = most.day if most and both else ""
        if day := self._days[group]:
            return day, ""
        rules = self.reading.rules
        running = rules.running(group)
        if rules.allows(running):
            return "", "people"
        return "", "promise" if self._interlocks.allows(running) else "interlock"

    @cached_property
    def _interlocks(self) -> WorkingRules:
        """The rules of use without promises."""
        shop = self.reading.shop
        return WorkingRules.of(shop.machines, shop.use, promises=False)
