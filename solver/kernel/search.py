"""Search: groupings of items into circuits, by simulated annealing over whole circuits.

It knows of items, of what a group of them costs and takes, and of which items are near each other;
what these are is not its business. Moves take an item, an item with its nearest companions or a
whole group to where a near item is, exchange two items, or open a new group.

Kirkpatrick, Gelatt & Vecchi 1983; moves as in Ahuja, Orlin & Sharma 2001.
"""

import math
import random
from collections.abc import Callable, Mapping, Sequence
from heapq import nsmallest
from typing import Final, NamedTuple, Protocol

Group = frozenset[int]
NONE: Final = frozenset[int]()
LOOK: Final = 256  # moves between two looks at the clock
LIMIT_PRICE: Final = 10**9  # on every unit over a limit
OVER_PRICE: Final = 4_000  # at first, on every unit of a thing over the most there can be
HOPELESS: Final = 8  # times the heat: a step guessed so much worse is not looked at
PAIR: Final = 2
NEVER: Final = 30  # times the heat: a step so much worse is not taken


class Taken(Protocol):
    """What a group costs, and the poles and lighting circuits it counts as."""

    @property
    def possible(self) -> bool:
        """Whether it may be a group."""

    @property
    def cost(self) -> int:
        """What is to be made least."""

    @property
    def poles(self) -> int:
        """Breaker poles."""

    @property
    def lights(self) -> int:
        """1 for a circuit with lights."""

    @property
    def takes(self) -> Mapping[str, int]:
        """Amounts of things that all groups share."""


Steps = Sequence[tuple[int, int]]  # (up to this amount, this cost), from the least amount up


class Limits(NamedTuple):
    """At most so many poles, at least so many lighting circuits; what amounts of things cost."""

    poles: int
    lights: int
    costs: Mapping[str, Steps] = {}
    over: int = OVER_PRICE
    there: Mapping[str, int] = {}  # what others take of things already

    def beyond(self, poles: int, lights: int) -> int:
        """The price of being beyond the limits."""
        return LIMIT_PRICE * (max(0, poles - self.poles) + max(0, self.lights - lights))

    def of(self, thing: str, amount: int) -> int:
        """What an amount of a thing costs, with the price of being over the most there can be."""
        steps = self.costs.get(thing)
        if steps is None or amount <= 0:
            return 0
        for most, cost in steps:
            if amount <= most:
                return cost
        most, cost = steps[-1]
        return cost + self.over * (amount - most)


class Sums(NamedTuple):
    """What all groups cost and take."""

    cost: int
    poles: int
    lights: int
    things: Mapping[str, int]


class Grouping:
    """Items in groups, changed move by move; the sums are kept up to date."""

    def __init__(
        self, groups: Sequence[Group], taken: Callable[[Group], Taken], limits: Limits
    ) -> None:
        self.taken, self.limits = taken, limits
        self.groups = list(groups)
        self.place = {item: n for n, group in enumerate(self.groups) for item in group}
        self.things: dict[str, int] = dict(limits.there)
        self.cost = self.poles = self.lights = 0
        for group in groups:
            made = taken(group)
            self.cost += made.cost
            self.poles += made.poles
            self.lights += made.lights
            for thing, amount in made.takes.items():
                self.things[thing] = self.things.get(thing, 0) + amount
        self.cost += sum(limits.of(*pair) for pair in self.things.items())
        self.total = self.cost + limits.beyond(self.poles, self.lights)

    def after(self, changes: dict[int, Group]) -> Sums:
        """What changes with other groups in some places; of things only those that do."""
        cost, poles, lights = self.cost, self.poles, self.lights
        more: dict[str, int] = {}
        for place, group in changes.items():
            old = self.groups[place] if place < len(self.groups) else NONE
            for sign, one in ((-1, old), (1, group)):
                if one:
                    made = self.taken(one)
                    cost += sign * made.cost
                    poles += sign * made.poles
                    lights += sign * made.lights
                    for thing, amount in made.takes.items():
                        more[thing] = more.get(thing, 0) + sign * amount
        things = {}
        for thing, amount in more.items():
            if amount:
                had = self.things.get(thing, 0)
                things[thing] = had + amount
                cost += self.limits.of(thing, had + amount) - self.limits.of(thing, had)
        return Sums(cost, poles, lights, things)

    def change(self, changes: dict[int, Group], sums: Sums, total: int) -> None:
        """Put other groups in some places; an empty place is filled with the last group."""
        self.cost, self.poles, self.lights, self.total = sums.cost, sums.poles, sums.lights, total
        self.things.update(sums.things)
        for place, group in changes.items():
            if place == len(self.groups):
                self.groups.append(group)
            self.groups[place] = group
            for item in group:
                self.place[item] = place
        for place in sorted(changes, reverse=True):
            if not self.groups[place]:
                last = self.groups.pop()
                if place < len(self.groups):
                    self.groups[place] = last
                    for item in last:
                        self.place[item] = place


class Annealer:
    """One search with a seed of its own.

    `near[i]` are the items near item i, nearest first; `step[i][j]` is about what it costs to go on
    from one to the other.
    """

    def __init__(
        self,
        taken: Callable[[Group], Taken],
        near: Sequence[Sequence[int]],
        step: Sequence[Mapping[int, int]],
        limits: Limits,
        seed: int,
        over: Callable[[], bool],
    ) -> None:
        self.taken, self.near, self.step, self.limits, self.over = taken, near, step, limits, over
        self.rank = [{other: n for n, other in enumerate(others)} for others in near]
        self.random = random.Random(seed)

    def run(self, start: Sequence[Group], moves: int, hot: float, cold: float) -> list[Group]:
        """The best groups met in so many moves, cooling from one temperature to another."""
        at = Grouping(start, self.taken, self.limits)
        best, least = list(at.groups), at.total
        chance, heat = self.random.random, hot
        cooling = (cold / hot) ** (LOOK / max(moves, LOOK))
        for step in range(moves):
            if step % LOOK == 0:
                heat *= cooling
                if self.over():
                    break
            changes = self._move(at)
            if changes is None or self._guess(at, changes) > HOPELESS * heat:
                continue
            sums = at.after(changes)
            total = sums.cost + self.limits.beyond(sums.poles, sums.lights)
            worse = total - at.total
            if worse <= 0 or (worse < NEVER * heat and chance() < math.exp(-worse / heat)):
                at.change(changes, sums, total)
                if total < least:
                    best, least = list(at.groups), at.total
        return best

    def _move(self, at: Grouping) -> dict[int, Group] | None:
        """Changed groups by their places; None when a move leads nowhere."""
        pick = self.random.randrange
        item = pick(len(self.near))
        source = at.place[item]
        here = at.groups[source]
        near = self.near[item]
        kind = self.random.random()
        if kind < 0.08 or not near:
            if len(here) == 1:
                return None
            leaving = self._with_companions(item, here) if kind < 0.04 else frozenset([item])
            if len(leaving) == len(here):
                return None
            return {source: here - leaving, len(at.groups): leaving}
        other = near[min(pick(len(near)), pick(len(near)))]
        target = at.place[other]
        if target == source:
            return None
        there = at.groups[target]
        if kind < 0.5:
            return {source: here - {item}, target: there | {item}}
        if kind < 0.72:
            out = self.random.choice(sorted(there)) if kind < 0.61 else other
            return {source: here - {item} | {out}, target: there - {out} | {item}}
        if kind < 0.92:
            moving = self._with_companions(item, here)
            if kind < 0.84:
                return {source: here - moving, target: there | moving}
            leaving_too = self._with_companions(other, there)
            return {
                source: here - moving | leaving_too,
                target: there - leaving_too | moving,
            }
        return {source: NONE, target: there | here}

    def _guess(self, at: Grouping, changes: dict[int, Group]) -> int:
        """What a change costs at least, guessed from the steps to the nearest neighbours.

        Groups that open or close are not guessed: what they save is not in the steps.
        """
        if len(changes) != PAIR or any(
            not group or place == len(at.groups) for place, group in changes.items()
        ):
            return 0
        guess = 0
        for place, group in changes.items():
            old = at.groups[place]
            staying = old & group
            if not staying:
                return 0
            guess += sum(min(map(self.step[item].__getitem__, staying)) for item in group - old)
            guess -= sum(self._spared(item, staying) for item in old - group)
        return guess

    def _spared(self, item: int, staying: Group) -> int:
        """What a group spares at most when an item leaves: its own step, or the way round by it."""
        steps = self.step[item]
        near = nsmallest(PAIR, staying, key=steps.__getitem__)
        first = steps[near[0]]
        if len(near) < PAIR:
            return first
        second = near[1]
        return max(first, first + steps[second] - self.step[near[0]][second])

    def _with_companions(self, item: int, group: Group) -> Group:
        """An item with some of its nearest companions in its group."""
        rank = self.rank[item]
        known = sorted((rank[other], other) for other in group if other in rank)
        count = int(1.0 / (1.0 - self.random.random()))  # half of them take one along, few many
        return frozenset([item, *(other for _, other in known[:count])])
