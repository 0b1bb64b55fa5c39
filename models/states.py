"""Working states: which machines may be on together, and the state that loads a limit most.

A state of a day is a set of machines: at most one attended machine per person, who keeps to a
place when the day says so (`models.crew`); always-on, set-and-leave and self-starting machines
beside them; a follower exactly when one of its leaders is on; never more than the agreed number
out of a group that does not run together. The worst state is found exactly by branch and bound
over the machines, heaviest first.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from models.crew import Crew
from models.shop import Day, Machine, Use


class State(NamedTuple):
    """A working state and the load it puts on the limit that was asked about."""

    machines: tuple[str, ...]
    load: float


@dataclass(frozen=True)
class WorkingRules:
    """The rules of use in the form the search needs; ids in sorted order."""

    attended: frozenset[str]
    leaders: Mapping[str, frozenset[str]]
    groups: tuple[tuple[frozenset[str], int], ...]

    @cached_property
    def _brought(self) -> dict[str, frozenset[str]]:
        """What machines bring along, as far as it was asked."""
        return {}

    @classmethod
    def of(cls, machines: Iterable[Machine], use: Use, *, promises: bool = True) -> "WorkingRules":
        """Read the rules of a shop; what they say of machines that are not there is left out.

        Without `promises` only listed interlocks keep machines apart, as for a code calculation.
        """
        there = {machine.id: machine for machine in machines}
        leaders: dict[str, frozenset[str]] = {}
        for follower in sorted(use.followers, key=lambda item: item.machine):
            known = leaders.get(follower.machine, frozenset())
            if follower.machine in there:
                leaders[follower.machine] = known | (frozenset(follower.follows) & there.keys())
        attended = {m.id for m in there.values() if m.attended and m.id not in leaders}
        named = (
            (frozenset(group.machines) & there.keys(), group.at_most)
            for group in use.never_together
            if promises or group.by == "interlock"
        )
        groups = sorted((pair for pair in named if len(pair[0]) > pair[1]), key=repr)
        return cls(frozenset(attended), leaders, tuple(groups))

    def running(self, chosen: Iterable[str]) -> frozenset[str]:
        """Chosen machines with every follower that they bring along."""
        running = set(chosen)
        while more := {
            follower
            for follower, leads in self.leaders.items()
            if follower not in running and leads & running
        }:
            running |= more
        return frozenset(running)

    def brought_by(self, machine: str) -> frozenset[str]:
        """A machine with every follower that it brings along."""
        if machine not in self._brought:
            self._brought[machine] = self.running([machine])
        return self._brought[machine]

    def all_leaders(self, follower: str) -> frozenset[str]:
        """Leaders of a follower, through followers that lead in turn."""
        found: set[str] = set()
        todo = [follower]
        while todo:
            for leader in self.leaders.get(todo.pop(), frozenset()) - found:
                found.add(leader)
                todo.append(leader)
        return frozenset(found)

    def first_of(self, machine: str) -> frozenset[str]:
        """Machines that start it: itself, or leaders that follow none."""
        if machine not in self.leaders:
            return frozenset([machine])
        return self.all_leaders(machine) - self.leaders.keys()

    def allows(self, running: frozenset[str]) -> bool:
        """Whether every group keeps its agreed number; people are counted elsewhere."""
        return all(len(running & group) <= at_most for group, at_most in self.groups)

    def heaviest(
        self, loads: Mapping[str, float], crews: Iterable[Crew], largest_of: Mapping[str, float]
    ) -> tuple[frozenset[str], ...]:
        """For each crew and each machine that may be the largest, the state that then loads most.

        `largest_of`: what each such machine adds if it is the one; the greatest total over all
        states, the largest machine's addition included, is among those returned.
        """
        found: list[frozenset[str]] = []
        for crew in crews:
            parts = _Parts(self, loads, crew)
            usual = parts.machines()
            most = max((largest_of.get(name, 0.0) for name in usual), default=0.0)
            found.append(usual)
            found += [
                parts.machines(name, extra)
                for name, extra in sorted(largest_of.items())
                if extra >= most  # any other adds less to what is no more
            ]
        return tuple(dict.fromkeys(found))

    def worst(self, loads: Mapping[str, float], crew: Crew, known: "Known | None" = None) -> State:
        """The allowed state with the greatest sum of `loads` [any unit, not negative].

        A machine without a load is only looked at when a follower of it has one. `known`: answers
        of these rules for this crew, for those who ask for nearly the same again.
        """
        machines = tuple(sorted(_Parts(self, loads, crew, known).machines()))
        return State(machines, sum(loads.get(machine, 0.0) for machine in machines))


@dataclass
class Known:
    """Parts of some machines, and worst states of some loads, of one set of rules and one crew."""

    parts: dict[tuple[str, ...], list[list[str]]] = field(default_factory=dict)
    states: dict[tuple[tuple[str, float], ...], frozenset[str]] = field(default_factory=dict)


class _Parts:
    """Machines in parts that have nothing to do with each other: no people in common, no follower,
    no group that does not run together. Together the worst states of all parts are the worst.
    """

    def __init__(
        self,
        rules: WorkingRules,
        loads: Mapping[str, float],
        crew: Crew,
        known: "Known | None" = None,
    ) -> None:
        self.rules, self.loads, self.crew, self.known = rules, loads, crew, known
        self.parts = self._apart(tuple(name for name, load in loads.items() if load > 0))
        self.part_of = {name: at for at, part in enumerate(self.parts) for name in part}
        self.states = [self._worst({name: loads[name] for name in part}) for part in self.parts]

    def machines(self, name: str = "", extra: float = 0.0) -> frozenset[str]:
        """Machines of the worst state, where one of them adds something more than its load."""
        if name not in self.loads or extra <= 0:
            return frozenset[str]().union(*self.states)
        if name not in self.part_of:
            return _Parts(self.rules, {**self.loads, name: extra}, self.crew).machines()
        at = self.part_of[name]
        loads = {other: self.loads[other] for other in self.parts[at]}
        loads[name] += extra
        others = self.states[:at] + self.states[at + 1 :]
        return self._worst(loads).union(*others)

    def _apart(self, machines: tuple[str, ...]) -> list[list[str]]:
        if self.known is None:
            return _apart(self.rules, machines, self.crew)
        if machines not in self.known.parts:
            self.known.parts[machines] = _apart(self.rules, machines, self.crew)
        return self.known.parts[machines]

    def _worst(self, loads: Mapping[str, float]) -> frozenset[str]:
        if self.known is None:
            return frozenset(_Search(self.rules, loads, self.crew).run().machines)
        key = tuple(loads.items())
        if key not in self.known.states:
            found = frozenset(_Search(self.rules, loads, self.crew).run().machines)
            self.known.states[key] = found
        return self.known.states[key]


def _apart(rules: WorkingRules, machines: Iterable[str], crew: Crew) -> list[list[str]]:
    """Machines in parts: what people, followers and groups put together."""
    parts: list[tuple[set[object], list[str]]] = []
    for machine in machines:
        links, members = _links(rules, machine, crew), [machine]
        apart = []
        for part in parts:
            if part[0].isdisjoint(links):
                apart.append(part)
            else:
                links |= part[0]
                members += part[1]
        parts = [*apart, (links, members)]
    return [members for _, members in parts]


def _links(rules: WorkingRules, machine: str, crew: Crew) -> set[object]:
    """What a machine, or one that it follows, may have in common with others."""
    found: set[object] = set()
    for first in rules.first_of(machine):
        brought = rules.brought_by(first)
        found |= brought
        found.update(n for n, (group, _) in enumerate(rules.groups) if brought & group)
        if first in rules.attended:
            found.update(
                (people, may) for people, may in crew.groups if may is None or first in may
            )
    return found


class _Search:
    """Branch and bound over the machines that matter, each on or off.

    People are counted place by place where no machine is in two places; otherwise all together,
    and who attends what is found by matching.
    """

    def __init__(self, rules: WorkingRules, loads: Mapping[str, float], crew: Crew) -> None:
        self.rules, self.crew, self.best = rules, crew, State((), -1.0)
        self.loads = {machine: load for machine, load in loads.items() if load > 0}
        leaders = {f: rules.all_leaders(f) for f in sorted(self.loads) if f in rules.leaders}
        matter = set(self.loads).union(*leaders.values()) - rules.leaders.keys()
        value = {
            machine: self.loads.get(machine, 0.0)
            + sum(self.loads[f] for f, leads in leaders.items() if machine in leads)
            for machine in matter
        }
        free = sorted(matter, key=lambda machine: (-value[machine], machine))
        places = {m: self._places(m) if m in rules.attended else [] for m in free}
        self.free = [m for m in free if places[m] or m not in rules.attended]
        self.apart = all(len(places[machine]) <= 1 for machine in self.free)
        used = sorted({place for machine in self.free for place in places[machine]})
        self.people = [crew.groups[place][0] for place in used] if self.apart else [crew.size]
        self.place = {
            machine: (used.index(places[machine][0]) if self.apart else 0)
            for machine in self.free
            if places[machine]
        }
        self.brings = {machine: rules.brought_by(machine) for machine in self.free}
        together = frozenset[str]().union(*self.brings.values())
        self.groups = [(g, most) for g, most in rules.groups if len(g & together) > most]
        self._add_up(value)

    def _places(self, machine: str) -> list[int]:
        """The groups of people of whom somebody may attend a machine."""
        return [
            index
            for index, (people, may) in enumerate(self.crew.groups)
            if people and (may is None or machine in may)
        ]

    def _add_up(self, value: Mapping[str, float]) -> None:
        """Sums that bound what the machines from each place of the order on can add."""
        self.sums = [[0.0] for _ in self.people]  # of the attended ones of a place, heaviest first
        self.before = [tuple(0 for _ in self.people)]  # how many of them come before
        alone = [0.0]
        for machine in self.free:
            place = self.place.get(machine)
            counts = list(self.before[-1])
            if place is None:
                alone.append(alone[-1] + value[machine])
            else:
                alone.append(alone[-1])
                self.sums[place].append(self.sums[place][-1] + value[machine])
                counts[place] += 1
            self.before.append(tuple(counts))
        self.alone = [alone[-1] - so_far for so_far in alone]

    def _bound(self, index: int, busy: tuple[int, ...]) -> float:
        """The most that the machines from `index` on can still add."""
        total = self.alone[index]
        for sums, before, people, taken in zip(
            self.sums, self.before[index], self.people, busy, strict=True
        ):
            total += sums[min(before + people - taken, len(sums) - 1)] - sums[before]
        return total

    def run(self) -> State:
        """Search from the heaviest machine down."""
        self._branch(0, frozenset(), 0.0, (), (0,) * len(self.people))
        machines = self.best.machines
        return State(machines, sum(self.loads.get(machine, 0.0) for machine in machines))

    def _branch(
        self,
        index: int,
        running: frozenset[str],
        load: float,
        attended: tuple[str, ...],
        busy: tuple[int, ...],
    ) -> None:
        if load > self.best.load + 1e-9:
            self.best = State(tuple(sorted(running)), load)
        if load + self._bound(index, busy) <= self.best.load + 1e-9:
            return
        machine = self.free[index]
        more = self.brings[machine] - running
        together = running | more
        if all(len(together & group) <= at_most for group, at_most in self.groups):
            added = load + sum(self.loads.get(name, 0.0) for name in sorted(more))
            place = self.place.get(machine)
            if place is None:
                self._branch(index + 1, together, added, attended, busy)
            elif busy[place] < self.people[place] and (
                self.apart or self.crew.attends((*attended, machine))
            ):
                taken = (*busy[:place], busy[place] + 1, *busy[place + 1 :])
                self._branch(index + 1, together, added, (*attended, machine), taken)
        self._branch(index + 1, running, load, attended, busy)


def binding_days(days: Iterable[Day]) -> list[Day]:
    """The days that bind the plan, in id order."""
    return sorted((day for day in days if day.binds), key=lambda day: day.id)
