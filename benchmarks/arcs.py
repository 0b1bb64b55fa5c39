"""A plain model of circuits as trees of arcs, by CP-SAT, mended by the exact checks.

Every unit (a receptacle, with the machine seated there) has one arc coming in, from a panel or from
a unit near it; depth along arcs keeps out cycles (Miller, Tucker and Zemlin, 1960; from memory).
Cost: cable by arc, and what opens a circuit at its first unit. A circuit is named by its first
unit, so that sets that the exact checks refuse can be cut off; the model is solved again until
everything in it may be built, or time is up. Costs in the whole unit of `solver.candidate`.
"""

from dataclasses import dataclass
from time import monotonic
from typing import Final

from ortools.sat.python import cp_model

from benchmarks.groupings import (
    Group,
    along_the_walls,
    apart,
    cost_of_set,
    seated,
    split_to_fit,
)
from solver.circuit import Circuits
from solver.refusal import Refusal
from solver.sketch import Sketcher

NEAREST: Final = 8  # units that an arc may lead to
STEP_SHARE: Final = 0.5  # of the time left, for one solve


@dataclass(frozen=True)
class Arcs:
    """Units, what it costs to open a circuit at each, and to go on from one to another."""

    units: list[Group]
    opening: list[int]
    step: dict[tuple[int, int], int]

    @classmethod
    def of(cls, circuits: Circuits) -> "Arcs":
        """The arcs of a shop; both costs by the cheapest way there is."""
        sketch = Sketcher(circuits)
        units = seated(circuits)
        opening = [cost_of_set(circuits, unit) or 0 for unit in units]
        step: dict[tuple[int, int], int] = {}
        for one, unit in enumerate(units):
            others = [two for two in range(len(units)) if two != one]
            others.sort(key=lambda two: (apart(circuits, unit, units[two]), two))
            for two in others[:NEAREST]:
                cost = min(sketch.step(a, b) for a in unit for b in units[two])
                step[one, two] = step[two, one] = cost
        return cls(units, opening, step)


@dataclass(frozen=True)
class Solved:
    """Groups that may all be built; `value` is the model's own cost, `proved` that it is least."""

    groups: list[Group]
    value: int | None
    proved: bool
    rounds: int


class ArcModel:
    """root[j]: a circuit begins at unit j.  arc[i, j].  on[i, l]: i is on the circuit of l."""

    def __init__(self, circuits: Circuits) -> None:
        self.circuits, self.arcs = circuits, Arcs.of(circuits)
        self.model = cp_model.CpModel()
        count = len(self.arcs.units)
        self.every = range(count)
        new = self.model.new_bool_var
        self.on = [[new(f"on[{i},{leader}]") for leader in self.every] for i in self.every]
        self.arc = {pair: new(f"arc{pair}") for pair in self.arcs.step}
        self.depth = [self.model.new_int_var(0, count - 1, f"depth[{i}]") for i in self.every]
        self._define()
        self._define_pairs()

    def _define(self) -> None:
        model = self.model
        for i in self.every:
            root = self.on[i][i]
            coming = [x for (_, j), x in self.arc.items() if j == i]
            model.add_exactly_one([root, *coming])
            model.add_exactly_one(self.on[i])
            model.add(self.depth[i] == 0).only_enforce_if(root)
            for leader in self.every:
                model.add_implication(self.on[i][leader], self.on[leader][leader])
        for (i, j), x in self.arc.items():
            model.add(self.depth[j] == self.depth[i] + 1).only_enforce_if(x)
            for leader in self.every:
                one, two = self.on[i][leader], self.on[j][leader]
                model.add_bool_or(~x, ~one, two)
                model.add_bool_or(~x, one, ~two)
        cable = sum(self.arcs.step[pair] * x for pair, x in self.arc.items())
        opened = sum(self.arcs.opening[i] * self.on[i][i] for i in self.every)
        model.minimize(cable + opened)

    def _define_pairs(self) -> None:
        """Two units that may never share a circuit, whatever else is on it."""
        if self.circuits.shop.code.multiwire:
            return  # what may not be one circuit may still be a pair
        for i in self.every:
            for j in range(i):
                both = self.arcs.units[i] | self.arcs.units[j]
                load = self.circuits.loaded(both)
                if isinstance(load, Refusal) and load.final:
                    self._never([i, j])

    def _never(self, units: list[int]) -> None:
        for leader in self.every:
            self.model.add(sum(self.on[i][leader] for i in units) <= len(units) - 1)

    def _cut(self, units: list[int]) -> None:
        """Cut off a refused set: the least part of it that is refused for good, or just itself."""
        made = self.circuits.candidates(self._items(units))
        if isinstance(made, Refusal) and made.final:
            for unit in list(units):
                fewer = [other for other in units if other != unit]
                less = self.circuits.candidates(self._items(fewer)) if fewer else None
                if isinstance(less, Refusal) and less.final:
                    units = fewer
            self._never(units)
            return
        others = [i for i in self.every if i not in units]
        for leader in self.every:
            inside = sum(self.on[i][leader] for i in units)
            outside = sum(self.on[i][leader] for i in others)
            self.model.add(inside - outside <= len(units) - 1)

    def _items(self, units: list[int]) -> Group:
        return frozenset().union(*(self.arcs.units[i] for i in units))

    def solve(self, until: float) -> Solved:
        """Solve, check exactly, cut, until all that is chosen may be built or time is up.

        Out of time: the cheapest, by exact costs, of the wished circuits split where they fit. The
        circuits along the walls are where the search starts.
        """
        chosen = self._along_the_walls()
        self._hint(chosen)
        best = self._split(chosen)
        rounds = 0
        while (left := until - monotonic()) > 0:
            solver = cp_model.CpSolver()
            solver.parameters.num_workers = 1
            solver.parameters.random_seed = 1
            solver.parameters.max_time_in_seconds = max(1.0, STEP_SHARE * left)
            status = solver.solve(self.model)
            if status == cp_model.INFEASIBLE:
                break  # no arc leads where a circuit would have to go
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                continue
            rounds += 1
            chosen = self._circuits(solver)
            refused = [
                one for one in chosen if cost_of_set(self.circuits, self._items(one)) is None
            ]
            best = min(best, self._split(chosen), key=self._exact_cost)
            if not refused and status == cp_model.OPTIMAL:
                groups = [self._items(one) for one in chosen]
                return Solved(groups, round(solver.objective_value), True, rounds)
            self._hint(chosen)
            for one in refused:
                self._cut(one)
        return Solved(best, None, False, rounds)

    def _along_the_walls(self) -> list[list[int]]:
        number = {unit: i for i, unit in enumerate(self.arcs.units)}
        return [
            sorted(i for unit, i in number.items() if unit <= group)
            for group in along_the_walls(self.circuits, 0)
        ]

    def _split(self, chosen: list[list[int]]) -> list[Group]:
        units = self.arcs.units
        return [
            group
            for one in chosen
            for group in split_to_fit(self.circuits, [units[i] for i in one])
        ]

    def _exact_cost(self, groups: list[Group]) -> int:
        return sum(cost_of_set(self.circuits, group) or 0 for group in groups)

    def _hint(self, chosen: list[list[int]]) -> None:
        """Start from these circuits, each a tree that grows by its cheapest arc."""
        step = self.arcs.step
        depth: dict[int, int] = {}
        leader: dict[int, int] = {}
        taken: set[tuple[int, int]] = set()
        for one in chosen:
            left = set(one)
            while left:
                inside = [i for i in depth if i in one]
                arcs = [(step[i, j], i, j) for i in inside for j in left if (i, j) in step]
                if arcs:
                    _, i, j = min(arcs)
                    depth[j], leader[j] = depth[i] + 1, leader[i]
                    taken.add((i, j))
                else:  # the first, or out of reach of the arcs: a circuit of its own
                    j = next(i for i in one if i in left)
                    depth[j], leader[j] = 0, j
                left.discard(j)
        self.model.clear_hints()  # type: ignore[no-untyped-call]
        for i in self.every:
            self.model.add_hint(self.depth[i], depth[i])
            for other in self.every:
                self.model.add_hint(self.on[i][other], leader[i] == other)
        for pair, x in self.arc.items():
            self.model.add_hint(x, pair in taken)

    def _circuits(self, solver: cp_model.CpSolver) -> list[list[int]]:
        """Units by circuit, from the panel outward."""
        on: dict[int, list[int]] = {}
        for i in self.every:
            leader = next(leader for leader in self.every if solver.value(self.on[i][leader]))
            on.setdefault(leader, []).append(i)
        return [sorted(one, key=lambda i: (solver.value(self.depth[i]), i)) for one in on.values()]


def by_arcs(circuits: Circuits, until: float) -> list[Group]:
    """The grouping that the arc model reaches in time."""
    return ArcModel(circuits).solve(until).groups
