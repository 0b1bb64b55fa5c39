"""Circuits: every candidate of a shop, made on demand, new and kept ones and multiwire pairs.

Answers are cached by the set of items: a search asks for the same sets again and again.
"""

from collections.abc import Sequence
from copy import copy
from dataclasses import replace

from models.formulas.conductors import circular_mils
from models.price_book import PriceBook
from models.shop import Shop
from solver.candidate import Candidate
from solver.catalogue import Catalogue
from solver.extend import Changing, Extension, kept
from solver.new_circuits import NewCircuits
from solver.pairs import Pairs
from solver.pins import is_otherwise, pins_of
from solver.points import Point, Points
from solver.refusal import Refusal
from solver.routes import Ways


class Circuits(NewCircuits):
    """All candidate circuits of a shop."""

    def __init__(
        self,
        shop: Shop,
        points: Points,
        ways: Ways,
        catalogue: Catalogue,
        *,
        every_tree: bool = False,
        gap: int | None = None,
    ) -> None:
        super().__init__(shop, points, ways, catalogue, every_tree=every_tree, gap=gap)
        self.changing = Changing.all_of(self)
        self.pairs = Pairs(self) if shop.code.multiwire else None
        self.pairs_last = False  # no pairs of sets that can be one circuit: for large shops

    @classmethod
    def of(cls, shop: Shop, book: PriceBook) -> "Circuits":
        """Those of a shop at the prices of a book, nothing known of them yet."""
        return cls(shop, Points(shop), Ways(shop), Catalogue(shop, book))

    def part(
        self, items: Sequence[int], sources: Sequence[str], junctions: Sequence[str]
    ) -> "Circuits":
        """The circuits of some items alone, that are numbered anew in this order: from some
        panels, by some junction boxes. Answers about ways and loads are shared.
        """
        part = copy(self)
        part.points = self.points.part(items)
        number = {item: at for at, item in enumerate(items)}
        part.changing = [
            replace(one, items=frozenset(number[item] for item in one.items))
            for one in self.changing
            if one.items and one.items <= number.keys()
        ]
        part.sources, part.junctions = tuple(sources), tuple(junctions)
        part.plugs = self.plugs  # which knows nothing of items
        part.forget()
        part.pairs = Pairs(part) if self.pairs is not None else None
        return part

    def forget(self) -> None:
        """Begin to know sets of items and priced ways, anew where some are known."""
        super().forget()
        self._cache: dict[frozenset[int], tuple[Candidate, ...] | Refusal] = {}

    def deciding(self) -> "Circuits":
        """The same where what costs least is prepared for, whatever the shop file wishes."""
        if self.shop.later.prepare == "least cost":
            return self
        later = self.shop.later.model_copy(update={"prepare": "least cost"})
        free = copy(self)
        free.shop = self.shop.model_copy(update={"later": later})
        free.forget()
        free.pairs = Pairs(free) if self.pairs is not None else None
        return free

    def candidates(self, items: frozenset[int]) -> tuple[Candidate, ...] | Refusal:
        """Every build worth keeping for a set of items, cheapest first, or why there is none."""
        if items not in self._cache:
            self._cache[items] = self._with_pairs(items, self._make(items))
        return self._cache[items]

    def pool(self) -> list[Candidate]:
        """Every candidate found so far, in a fixed order; what may change can always stay."""
        for one in self.changing:
            self.candidates(one.items)
        found = (made for made in self._cache.values() if not isinstance(made, Refusal))
        flat = (candidate for made in found for candidate in made)
        return sorted(flat, key=lambda c: (c.items, self.rank(c), sorted(c.raceways)))

    def is_special(self, items: frozenset[int]) -> bool:
        """Whether something of such a circuit is pinned, or it may be an existing one."""
        return any(self.points.items[item].pins for item in items) or any(
            one.items <= items for one in self.changing
        )

    def _make(self, items: frozenset[int]) -> tuple[Candidate, ...] | Refusal:
        points = self.points_of(items)
        whole = [one for one in self.changing if one.items <= items]
        found = (self._keep(one, items, points) for one in whole)
        ready = [self.later.unprepared(made) for made in found if made is not None]
        kept = self.plugs.all_stamped(ready)[0]
        load = self.loaded(items)
        fresh = load if isinstance(load, Refusal) else self.fresh(tuple(sorted(items)), load)
        if not isinstance(fresh, Refusal):
            kept += fresh
        elif not kept:
            partly = any(one.items & items and one not in whole for one in self.changing)
            return replace(fresh, final=fresh.final and not partly)
        return tuple(sorted(kept, key=self.rank))

    def _with_pairs(
        self, items: frozenset[int], made: tuple[Candidate, ...] | Refusal
    ) -> tuple[Candidate, ...] | Refusal:
        """Circuits of a set with the multiwire pairs it can be; refused for good only as both."""
        if self.pairs is None or (self.pairs_last and not isinstance(made, Refusal)):
            return made
        found = (made for made in self.pairs.candidates(items) if not self.later.bars_pair(made))
        pairs = tuple(self.plugs.all_stamped(map(self.later.unprepared, found))[0])
        if not isinstance(made, Refusal):
            return tuple(sorted((*made, *pairs), key=self.rank))
        if pairs:
            return pairs
        return replace(made, final=made.final and self.pairs.hopeless(items))

    def _keep(
        self, one: Changing, items: frozenset[int], points: tuple[Point, ...]
    ) -> Candidate | None:
        """The cheapest way to keep an existing circuit with all this on it; None if there is none.

        What is on it alone is not judged: it is there.
        """
        placed = self.loads.seat(points)
        if isinstance(placed, Refusal):
            return None
        load, numbers = self.loads.of(points, placed), tuple(sorted(items))
        circuit, names = one.circuit, {point.id for point in points}
        pins = pins_of(self.points.items[item] for item in numbers)
        if any(is_otherwise(pin, circuit) for pin in pins):
            return None
        if any(len(names & group) > 1 for group in self.apart):
            return None
        if all(point.box in circuit.feeds for point in points):
            return kept(self, one, numbers, load)
        amps = round(circuit.breaker_amps)
        if self.unfit(points) or self.rating_unfit(amps, load):
            return None
        if load.receptacles and not self._large_enough(circuit.conductor):
            return None
        if load.volts != 120 * len(circuit.spaces):
            return None
        if all(point.box is None or point.box in circuit.feeds for point in points):
            return kept(self, one, numbers, load)
        made = [
            Extension(self, load, circuit, allowed).candidate(numbers)
            for allowed in self.raceway_choices(load, circuit.panel)
        ]
        found = [candidate for candidate in made if not isinstance(candidate, Refusal)]
        self.exact &= bool(found) and not self.junctions
        return min(found, key=self.rank, default=None)

    def _large_enough(self, awg: str) -> bool:
        """Whether a conductor is as large as the shop asks for behind receptacles."""
        return circular_mils(awg) >= circular_mils(self.shop.code.smallest_receptacle_conductor)
