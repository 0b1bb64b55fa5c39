"""Working states: which machines may be on together, and the state that loads a limit most.

A state of a day is a set of machines: at most one attended machine per person, who keeps to a
place when the day says so (`models.crew`); always-on, set-and-leave and self-starting machines
beside them; a follower exactly when one of its leaders is on; never more than the agreed number
out of a group that does not run together. The worst state is found exactly by branch and bound
over the machines, heaviest first.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
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
        more = [{}, *({name: extra} for name, extra in sorted(largest_of.items()))]
        states = (
            self.worst({name: load + extra.get(name, 0) for name, load in loads.items()}, crew)
            for crew in crews
            for extra in more
        )
        return tuple(dict.fromkeys(frozenset(state.machines) for state in states))

    def worst(self, loads: Mapping[str, float], crew: Crew) -> State:
        """The allowed state with the greatest sum of `loads` [any unit, not negative].

        A machine without a load is only looked at when a follower of it has one.
        """
        return _Search(self, loads, crew).run()


class _Search:
    """Branch and bound over the machines that matter, each on or off."""

    def __init__(self, rules: WorkingRules, loads: Mapping[str, float], crew: Crew) -> None:
        self.rules, self.crew, self.best = rules, crew, State((), -1.0)
        self.loads = {machine: load for machine, load in loads.items() if load > 0}
        leaders = {f: self._all_leaders(f) for f in sorted(self.loads) if f in rules.leaders}
        matter = set(self.loads).union(*leaders.values()) - rules.leaders.keys()
        self.value = {
            machine: self.loads.get(machine, 0.0)
            + sum(self.loads[f] for f, leads in leaders.items() if machine in leads)
            for machine in matter
        }
        self.free = sorted(matter, key=lambda machine: (-self.value[machine], machine))

    def _all_leaders(self, follower: str) -> frozenset[str]:
        """Leaders of a follower, through followers that lead in turn."""
        found: set[str] = set()
        todo = [follower]
        while todo:
            for leader in self.rules.leaders.get(todo.pop(), frozenset()) - found:
                found.add(leader)
                todo.append(leader)
        return frozenset(found)

    def run(self) -> State:
        """Search from the heaviest machine down."""
        self._branch(0, (), ())
        return self.best

    def _bound(self, index: int, people: int) -> float:
        """The most that the machines from `index` on can still add."""
        total = 0.0
        for machine in self.free[index:]:
            if machine not in self.rules.attended:
                total += self.value[machine]
            elif people:
                total += self.value[machine]
                people -= 1
        return total

    def _branch(self, index: int, chosen: tuple[str, ...], attended: tuple[str, ...]) -> None:
        running = self.rules.running(chosen)
        if not self.rules.allows(running):
            return
        load = sum(self.loads.get(machine, 0.0) for machine in sorted(running))
        if load > self.best.load + 1e-9:
            self.best = State(tuple(sorted(running)), load)
        most = load + self._bound(index, self.crew.size - len(attended))
        if index == len(self.free) or most <= self.best.load + 1e-9:
            return
        machine = self.free[index]
        if machine not in self.rules.attended:
            self._branch(index + 1, (*chosen, machine), attended)
        elif self.crew.attends((*attended, machine)):
            self._branch(index + 1, (*chosen, machine), (*attended, machine))
        self._branch(index + 1, chosen, attended)


def binding_days(days: Iterable[Day]) -> list[Day]:
    """The days that bind the plan, in id order."""
    return sorted((day for day in days if day.binds), key=lambda day: day.id)
