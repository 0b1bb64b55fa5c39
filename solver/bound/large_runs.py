"""The relaxation of a large shop: variables for runs between near enclosures, all others by cost.

`solver.bound.afar` says why runs afar may be without variables. Beside that everything is asked for
that `solver.bound.runs` asks for, except what would take too long: circuits of one item, of sets of
items and of groups of machines are not looked at one by one, how far conductors have come is taken
from how far enclosures lie apart, and that nothing leaves a box that has not come in is left to
cuts. Whatever is not asked for makes the relaxation weaker, never wrong. Of a part of which no
three items share a circuit there are all circuits and no runs (`solver.bound.twos`).
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from solver.bound.afar import Afar, Apart, Prices
from solver.bound.certificate import Key
from solver.bound.clusters import clusters
from solver.bound.parts import Part
from solver.bound.runs import Arc, Runs, Terms
from solver.bound.twos import Twos
from solver.catalogue import volume
from solver.circuit import Circuits
from solver.sparse import is_large

NEAR_BOXES: Final = 12  # to each box
NEAR_JUNCTIONS: Final = 2
NEAR_PANELS: Final = 2
LEAST: Final = 10**-3  # a row that is broken by less is not added
COUNTING: Final = {
    "box",
    "large",
    "home runs",
    "enter",
    "sized",
    "onward",
}  # rows in which runs afar count


class LargeRuns(Runs):
    """The program of a large shop; `afar` are the runs of each part that have no variable."""

    def __init__(self, circuits: Circuits) -> None:
        self.afar: dict[int, Afar] = {}  # by part
        self._laid: set[int] = set()
        self._apart: dict[int, Apart] = {}
        super().__init__(circuits)
        for number, part in enumerate(self.parts):
            if number in self.without_runs:
                continue
            apart = self._apart_of(part)
            priced = {awg: self.priced(part, awg) for awg in part.sizes}
            most = {end: self.most_at(part, end) for end in apart.nodes}
            self.afar[number] = Afar(part, apart, priced, most, self.near_pairs(part))

    def worth_afar(self, prices: Mapping[Key, int]) -> int:
        """What all runs afar add to a bound."""
        return sum(one.worth(Prices.of(n, prices)) for n, one in self.afar.items())

    def lay_afar(self, prices: Mapping[Key, int]) -> int:
        """The same, at what they cost at least."""
        laid = 0
        for number, one in self.afar.items():
            part = self.parts[number]
            rows = [
                (at, row.says)
                for at, row in enumerate(self.program.rows)
                if row.says[0] in COUNTING and row.says[1] == number
            ]
            for run in list(one.lowering(Prices.of(number, prices))):
                variable = self.program.variable(run.cost, run.most)
                home = run.start in self.panels
                factors = {at: run.factor_in(key, part, home=home) for at, key in rows}
                self.program.enter(variable, {at: n for at, n in factors.items() if n})
                self._laid.add(variable)
                self.arcs.append(Arc(number, run.awg, run.start, run.end, frozenset(), variable))
                laid += 1
        return laid

    def broken(self) -> Iterator[tuple[Terms, int, Key]]:
        """Out of an enclosure leads to another at most what came in from others than that."""
        values = self.program.values
        into: dict[tuple[int, str, str], dict[str, Terms]] = {}
        for arc in self.arcs:
            ways = into.setdefault((arc.part, arc.awg, arc.end), {}).setdefault(arc.start, {})
            ways[arc.number] = 1
        for (part, awg, end), starts in into.items():
            for start, ways in starts.items():
                if start in self.panels or ways.keys() & self._laid:
                    continue
                come = into.get((part, awg, start), {})
                come = {other: terms for other, terms in come.items() if other != end}
                out = sum(values[n] for n in ways)
                if out > LEAST + sum(values[n] for terms in come.values() for n in terms):
                    terms = {n: 1 for terms in come.values() for n in terms}
                    yield terms | dict.fromkeys(ways, -1), 0, ("onward", part, awg, start, end)

    def asked_first(self, part: Part) -> Iterator[frozenset[str]]:
        """Neighbours, and what is beyond some line."""
        if any(self.parts[number] is part for number in self.without_runs):
            return iter(())
        return clusters(self._apart_of(part))

    def _add_part(self, number: int, part: Part) -> None:
        """Its runs; where every circuit has one item or two, all of these and no runs.

        Each box of a circuit is come into by one run of it at least. Spaces of panels are not
        counted, see `solver.bound.twos`.
        """
        if part.may_pair:
            return super()._add_part(number, part)
        twos = Twos(part, self._apart_of(part), self.priced(part, part.sizes[0])[0])
        if not twos.known:
            return super()._add_part(number, part)
        self.without_runs.add(number)
        self.staying.append({})
        self.whatever.append(0)
        taken = {
            self.program.variable(form.cost, 1): items
            for items, forms in twos.forms.items()
            for form in forms
        }
        within: dict[int, Terms] = {item: {} for item in part.items}
        for variable, items in taken.items():
            for item in items:
                within[item][variable] = 1
            for box in {box for item in items for box in part.boxes[item]}:
                self._contents[box][variable] += self._wires(part, volume(part.sizes[0]))
        for item, terms in within.items():
            self.program.add(terms, 1, ("in a set", item))
        return None

    def _apart_of(self, part: Part) -> Apart:
        first = part.items[0]
        if first not in self._apart:
            self._apart[first] = Apart(self.circuits, {*part.at, *self.circuits.junctions})
        return self._apart[first]

    def _near(self, part: Part) -> Mapping[str, float]:
        apart = self._apart_of(part)
        return {
            name: float(cft) / 100
            for name, cft in zip(apart.starts, apart.from_panel_cft, strict=True)
        }

    def _layers(self, *_: Any) -> tuple[float, ...]:
        return (0.0,)

    def near_pairs(self, part: Part) -> Iterator[tuple[str, str]]:
        """Ends of the runs of a part that have variables: near ones, and those of one item."""
        apart, found = self._apart_of(part), set[tuple[str, str]]()
        for end in apart.nodes:
            for other in apart.near(end, NEAR_BOXES, NEAR_JUNCTIONS, NEAR_PANELS):
                found.add((other, end))
                if other not in self.panels:
                    found.add((end, other))
        for boxes in part.boxes.values():
            found |= {(start, end) for start in boxes for end in boxes if start != end}
        yield from sorted(found)

    def _exact(self, _: Sequence[int]) -> set[int]:
        return set()

    def _deal(self, *_: Any) -> None:
        """Groups of machines are not looked at."""

    def _together(self) -> Iterator[tuple[list[int], bool]]:
        """Sets of items are not looked at."""
        return iter(())

    def _ask_through(self, _: Sequence[Arc]) -> None:
        """Cuts see to it."""


def runs_of(circuits: Circuits) -> Runs:
    """The relaxation of a shop of any size."""
    return LargeRuns(circuits) if is_large(circuits.shop) else Runs(circuits)
