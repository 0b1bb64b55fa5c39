"""The pool: candidate circuits to select from.

Small shops: every set of items that can be a circuit, found by growing sets and dropping those
that no growth can mend; the pool is then complete. Larger shops: a search over whole circuits by
simulated annealing; every circuit it looks at joins the pool.
"""

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.lighting import new_light_circuits
from solver.panel import free_spaces
from solver.refusal import Refusal
from solver.shortlist import shortlist
from solver.solve import Control

MOST_ENUMERATED_ITEMS: Final = 16
MOST_ENUMERATED_SETS: Final = 40_000
MOVES_PER_EFFORT: Final = 3_000
QUICK_MOVES: Final = 2_000
ROW_PENALTY: Final = 10**9
IMPOSSIBLE: Final = 10**10
HEAT: Final = 0.02  # of the first total


@dataclass(frozen=True)
class Pool:
    """Candidates, whether no circuit there could be is cheaper, and a first choice."""

    candidates: Sequence[Candidate]
    complete: bool
    first: tuple[Candidate, ...]


def make_pool(circuits: Circuits, control: Control) -> Pool:
    """Enumerate a small shop after a quick search; search a larger one with all the effort.

    When time is up the best choice found is all there is left to select from.
    """
    effort = MOVES_PER_EFFORT * control.effort
    if len(circuits.points.items) <= MOST_ENUMERATED_ITEMS:
        first = Search(circuits, control).run(min(QUICK_MOVES, effort))
        if enumerate_all(circuits, control):
            return Pool(circuits.pool(), circuits.exact, first)
    first = Search(circuits, control).run(effort)
    if control.cut_short and first:
        return Pool(first, False, first)
    kept = shortlist(circuits.shop, circuits.pool(), first, copper=circuits.copper_first)
    return Pool(kept, False, first)


def enumerate_all(circuits: Circuits, control: Control) -> bool:
    """Ask for every set that may be a circuit; False when there are too many or work stops.

    A refusal that is final for a set is final for every larger one, so sets grow item by item
    from those that were not refused for good.
    """
    everything = len(circuits.points.items)
    level = [frozenset([item]) for item in range(everything)]
    asked = 0
    while level:
        grown: list[frozenset[int]] = []
        for items in level:
            asked += 1
            if asked > MOST_ENUMERATED_SETS or control.over():
                return False
            made = circuits.candidates(items)
            if not (isinstance(made, Refusal) and made.final):
                grown.extend(items | {item} for item in range(max(items) + 1, everything))
        level = grown
    return True


class Search:
    """Simulated annealing over partitions of the items into circuits."""

    def __init__(self, circuits: Circuits, control: Control) -> None:
        self.circuits, self.control = circuits, control
        self.random = random.Random(control.seed)
        shop = circuits.shop
        free = sum(len(free_spaces(shop, panel)) for panel in shop.supply.panels)
        self.room = free - shop.later.spare_spaces
        self.light_circuits = new_light_circuits(circuits.shop)
        self.items = range(len(circuits.points.items))

    def _best(self, items: frozenset[int]) -> Candidate | None:
        made = self.circuits.candidates(items)
        return None if isinstance(made, Refusal) else made[0]

    def _cost(self, items: frozenset[int]) -> float:
        """Cost of one circuit; a price on every item of a set that cannot be one."""
        if not items:
            return 0.0
        best = self._best(items)
        return IMPOSSIBLE * len(items) if best is None else float(self.circuits.rank(best)[0])

    def _total(self, groups: Sequence[frozenset[int]]) -> float:
        """Cost of all circuits; a price on every pole too many and lighting circuit too few."""
        best = [made for group in groups if group and (made := self._best(group)) is not None]
        over = max(0, sum(made.poles for made in best) - self.room)
        dark = max(0, self.light_circuits - sum(made.lights for made in best))
        return sum(self._cost(group) for group in groups) + ROW_PENALTY * (over + dark)

    def run(self, moves: int) -> tuple[Candidate, ...]:
        """Insert greedily, then move, swap, join and split while cooling; best choice found.

        Empty when some item found no circuit.
        """
        groups = self._insert()
        if not groups:
            return ()
        total = self._total(groups)
        best, best_total = list(groups), total
        heat = max(1.0, HEAT * min(total, IMPOSSIBLE))
        for step in range(moves):
            if step % 256 == 0 and self.control.over():
                break
            changed = self._move(groups)
            if changed is None:
                continue
            new = self._total(changed)
            temperature = heat * (1 - step / moves) + 1e-9
            if new <= total or self.random.random() < math.exp((total - new) / temperature):
                groups, total = changed, new
                if total < best_total:
                    best, best_total = list(groups), total
        found = [self._best(group) for group in best]
        whole = [candidate for candidate in found if candidate is not None]
        return tuple(whole) if len(whole) == len(found) else ()

    def _insert(self) -> list[frozenset[int]]:
        """Each item where it adds least; machines first, with a receptacle they may plug into."""
        items = self.circuits.points.items
        groups: list[frozenset[int]] = []
        left = set(self.items)
        wanting = [i for i in self.items if any(p.options for p in items[i].points)]
        for machine in sorted(wanting, key=lambda i: -self._weight(i)):
            names = {name for p in items[machine].points for name in p.options}
            sets = [
                frozenset({machine, other} & left)
                for other in self.items
                if names & {p.id for p in items[other].points}
            ]
            left -= self._add(groups, sets)
        for item in sorted(left):
            self._add(groups, [frozenset([item])])
        return groups

    def _weight(self, item: int) -> float:
        """Current of the machines of an item. [A]"""
        points = self.circuits.points
        return sum(points.amps[p.machine] for p in points.items[item].points if p.machine)

    def _add(self, groups: list[frozenset[int]], sets: Sequence[frozenset[int]]) -> frozenset[int]:
        """Put one of the sets into a circuit, or open one, where it adds least."""
        options = [
            (self._cost(group | new) - self._cost(group), index, sorted(new))
            for new in sets
            for index, group in enumerate([*groups, frozenset[int]()])
        ]
        _, index, chosen = min(options)
        if index == len(groups):
            groups.append(frozenset())
        groups[index] |= frozenset(chosen)
        return frozenset(chosen)

    def _move(self, groups: Sequence[frozenset[int]]) -> list[frozenset[int]] | None:
        """A changed copy: one item moved or opened, two swapped, or two circuits joined."""
        new = [group for group in groups if group]
        source = self.random.randrange(len(new))
        target = self.random.randrange(len(new) + 1)
        if source == target:
            return None
        kind = self.random.random()
        item = self.random.choice(sorted(new[source]))
        if target == len(new):
            new.append(frozenset())
        if kind < 0.1 and new[target]:
            new[target] |= new[source]
            new[source] = frozenset()
        elif kind < 0.4 and new[target]:
            other = self.random.choice(sorted(new[target]))
            new[source] = new[source] - {item} | {other}
            new[target] = new[target] - {other} | {item}
        else:
            new[target] |= {item}
            new[source] -= {item}
        return [group for group in new if group]
