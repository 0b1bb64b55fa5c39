"""New circuits: the cheapest ways to build a set of items that may share a circuit.

Tried: every panel, the raceways and passages that matter, every breaker and conductor that can.
Every limit is checked exactly with `models.formulas` before a candidate may exist. Money in
0.0001 USD.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from itertools import combinations

from models.rules.required_outlets import GARAGE_CIRCUIT_AMPS
from solver.candidate import Candidate
from solver.catalogue import CABLE_AWGS, LARGE_AWGS, RATINGS
from solver.changeovers import Changeovers
from solver.every_tree import Layouts, every_tree, no_larger, worth_keeping
from solver.garage import GarageNeed, garage_needs
from solver.later_machines import LaterMachines
from solver.load import Load, boxes_of
from solver.pins import Pinned, pinned, pins_of
from solver.plugs import Plugs
from solver.refusal import Refusal
from solver.sharing import Sharing, overload
from solver.wiring import Wiring

MOST_RACEWAYS_COMBINED = 4
MOST_VARIANTS = 3  # conductor sizes of one circuit
ENOUGH_SURVIVE = 20  # conductors in one raceway; more are hardly ever together


class NewCircuits(Sharing):
    """Circuits of new work for sets of items of a shop, each set by itself."""

    @cached_property
    def garage_needs(self) -> list[GarageNeed]:
        """The receptacle circuits that a dwelling's garage still has to get."""
        return garage_needs(self.shop)

    @cached_property
    def later(self) -> Changeovers:
        """What can be done now for days to come."""
        return Changeovers(self)

    @cached_property
    def later_machines(self) -> LaterMachines:
        """What can be done now for machines that may come."""
        return LaterMachines(self)

    @cached_property
    def plugs(self) -> Plugs:
        """The machines with a plug that may come, and what would carry them."""
        return Plugs(self)

    def forget(self) -> None:
        """Forget what is known of sets of items, of priced ways, and of days to come."""
        super().forget()
        self.__dict__.pop("later", None)
        self.__dict__.pop("later_machines", None)

    def fresh(self, items: tuple[int, ...], load: Load) -> tuple[Candidate, ...] | Refusal:
        """New circuits of a set, along every tree there is where that is wished."""
        found = self._fresh(items, load)
        if isinstance(found, Refusal):
            return found
        return tuple(self.later.allowed(found)) or Refusal("unprepared", {"points": load.names})

    def _fresh(self, items: tuple[int, ...], load: Load) -> tuple[Candidate, ...] | Refusal:
        """The same whatever the shop file says about days to come."""
        found = self._build(items, load)
        if not self.every_tree or (isinstance(found, Refusal) and found.final):
            return found
        every = (
            made
            for seated in self.every_load(frozenset(items))
            for made in self._along_every_tree(items, seated)
        )
        if self.later.on(load) and not isinstance(found, Refusal):
            return tuple(self.worth_keeping((*found, *every)))  # with spares led a way of their own
        return tuple(self.worth_keeping(every)) or found

    def likely(self, items: frozenset[int]) -> tuple[Candidate, ...]:
        """The smallest breaker and conductor that do, every raceway and passage allowed."""
        load = self.loaded(items)
        if isinstance(load, Refusal):
            return ()
        numbers = tuple(sorted(items))
        for amps in RATINGS:
            if self.rating_unfit(amps, load) is None:
                ways = (
                    self._wired(
                        numbers, load, amps, self.everything, panel, Pinned(), variants=False
                    )
                    for panel in self.sources
                )
                found = [one for way in ways if not isinstance(way, Refusal) for one in way]
                if made := self.later.allowed(found):
                    return (min(made, key=self.rank),)
        return ()

    def wired_alone(
        self, load: Load, amps: int, allowed: frozenset[str], panel: str
    ) -> Candidate | None:
        """The cheapest circuit of a load that is no set of items; None when there is none."""
        made = self._wired((), load, amps, allowed, panel, Pinned(), variants=False)
        return None if isinstance(made, Refusal) else min(made, key=self.rank)

    def alone(self, load: Load, panel: str) -> list[Candidate]:
        """Circuits of a load that is no set of items, from one panel: for every set of raceways
        those with the least rating that does, by conductors; what another outlives left out.
        """
        found: list[Candidate] = []
        for allowed in self.raceway_choices(load, panel):
            for amps in RATINGS:
                if self.rating_unfit(amps, load) is not None:
                    continue
                made = self._wired((), load, amps, allowed, panel, Pinned())
                if not isinstance(made, Refusal):
                    found += made
                    break
        return list(self._undominated(found))

    # -- which are worth keeping

    def rank(self, made: Candidate) -> tuple[int, int, int]:
        """What is minimized first, and what breaks ties; a larger breaker at the same price."""
        first, second = made.cost, made.copper
        if self.copper_first:
            first, second = second, first
        return first, second, -made.breaker_amps

    def worth_keeping(self, made: Iterable[Candidate]) -> list[Candidate]:
        """Cheapest first, without those that another, no dearer, does everything for."""
        return worth_keeping(made, self.rank, self._serves_less)

    def within(self, gap: int, pool: Iterable[Candidate]) -> list[Candidate]:
        """Circuits that are dearer by no more than a gap than one that would do in their place,
        were there room for it.
        """
        alike: dict[tuple[object, ...], list[Candidate]] = {}
        for made in pool:
            place = made.panel, made.places, made.spaces
            alike.setdefault((made.items, place), []).append(made)

        def least(one: Candidate, others: Iterable[Candidate]) -> int:
            return min(
                self.rank(other)[0]
                for other in others
                if other.raceways.keys() <= one.raceways.keys()
                and not self._serves_less(other, one)
            )

        return [
            one
            for others in alike.values()
            for one in others
            if one.extends or self.rank(one)[0] - least(one, others) <= gap
        ]

    def serves_garage(self, made: Candidate) -> bool:
        """Whether it would be a receptacle circuit that a dwelling's garage needs."""
        return any(need.met_by(made) for need in self.garage_needs)

    def _serves_less(self, other: Candidate, one: Candidate) -> bool:
        """Whether one would be the garage's receptacle circuit and another not, or would do for a
        machine to come that another does not.
        """
        more = not one.allows <= other.allows
        return more or (self.serves_garage(one) and not self.serves_garage(other))

    def _only_dearer(self, amps: int, made: Collection[Candidate], load: Load) -> bool:
        """Whether a larger rating, beside what is made, costs more and is good for nothing."""
        if not made:
            return False
        if all(point.kind == "hard-wired" for point in load.outlets):
            return True  # a larger breaker asks for conductors as large at least
        if self.plugs.ask_for(amps, load, made):
            return False
        wanted = amps == GARAGE_CIRCUIT_AMPS and any(
            need.met_by_load(load) for need in self.garage_needs
        )
        return not wanted and self._dearer_breaker(amps, made)

    def _dearer_breaker(self, amps: int, made: Iterable[Candidate]) -> bool:
        """Whether a larger breaker costs more, and so do all larger conductors."""
        one = next(iter(made))
        for gfci in (False, True):
            this = self.catalogue.breaker(amps, one.poles, gfci)
            that = self.catalogue.breaker(one.breaker_amps, one.poles, gfci)
            if this is not None and (that is None or this <= that):
                return False
        return self.catalogue.rising

    def ends_with(self, built: Iterable[Candidate]) -> bool:
        """Whether larger conductors than those of circuits that were built gain nothing."""
        return self.catalogue.rising and no_larger(built, self.most_in)

    def _undominated(self, made: Iterable[Candidate]) -> Iterator[Candidate]:
        """Cheapest first, without those that another, no dearer, in the same raceways outlives."""
        kept: list[Candidate] = []
        for one in sorted(made, key=self.rank):
            used = one.panel, one.choices, one.raceways.keys(), one.passages.keys()
            if all(
                other.survives < one.survives or self._serves_less(other, one)
                for other in kept
                if (other.panel, other.choices, other.raceways.keys(), other.passages.keys())
                == used
            ):
                kept.append(one)
                yield one

    # -- along every tree

    def _along_every_tree(self, items: tuple[int, ...], load: Load) -> list[Candidate]:
        """Circuits along every tree by all ways; none where not every tree is tried."""
        pin = pinned(
            self.shop, pins_of(self.points.items[item] for item in items), load.volts // 120
        )
        found: list[Candidate] = []
        if isinstance(pin, Refusal):
            return found
        for amps in RATINGS:
            if self._only_dearer(amps, found, load):
                continue
            if pin.breaker_amps not in (None, amps) or self.rating_unfit(amps, load) is not None:
                continue
            for panel in [self.shop.panel().id] if pin.spaces else self.sources:
                found += self._of_every_size(items, load, amps, panel, pin)
        return found

    def _of_every_size(
        self, items: tuple[int, ...], load: Load, amps: int, panel: str, pin: Pinned
    ) -> Iterator[Candidate]:
        """Circuits along every tree for one rating, until larger conductors gain nothing."""
        for awg in self._sizes(load, pin):
            wiring = Wiring(self, load, amps, awg, self.everything, panel)
            if not wiring.tries_every_tree or wiring.ground["raceway"] not in CABLE_AWGS:
                return
            layouts = Layouts(wiring, every_tree(wiring), wiring.keeps, wiring.home_extra)
            made = (wiring.laid(items, edges) for edges in layouts.edges)
            built = [one for one in made if not isinstance(one, Refusal)]
            short = False
            for one in built:
                ready, unready = self._ready(wiring, one, items, pin)
                ready, lacking = self.plugs.all_stamped(ready)
                short |= unready or lacking
                yield from ready
            if layouts.all_do and self.ends_with(built) and not short:
                return

    # -- along the cheapest trees

    def _build(self, items: tuple[int, ...], load: Load) -> tuple[Candidate, ...] | Refusal:
        """The best build for every panel and every set of raceways that a build could use."""
        top = self.top_rating(load)
        if load.weighted_amps > top + 1e-9:
            return Refusal("overloaded", overload(load, top), final=True)
        poles = load.volts // 120
        pin = pinned(self.shop, pins_of(self.points.items[item] for item in items), poles)
        if isinstance(pin, Refusal):
            return pin
        best: dict[tuple[object, ...], Candidate] = {}
        refusals: list[Refusal] = []
        choices = [
            (panel, allowed)
            for panel in ([self.shop.panel().id] if pin.spaces else self.sources)
            for allowed in self.raceway_choices(load, panel)
        ]
        for amps in RATINGS:
            if pin.breaker_amps not in (None, amps):
                continue
            if self._only_dearer(amps, best.values(), load):
                continue
            unfit = self.rating_unfit(amps, load)
            if unfit is not None:
                refusals.append(unfit)
                continue
            for panel, allowed in choices:
                wired_so = self._wired(items, load, amps, allowed, panel, pin)
                if isinstance(wired_so, Refusal):
                    refusals.append(wired_so)
                    continue
                for made in wired_so:
                    used: tuple[object, ...] = (
                        panel,
                        made.survives,
                        *(choice for _, choice in made.choices),
                        self.serves_garage(made),
                        made.allows,
                        *made.raceways,
                        *made.passages,
                    )
                    if used not in best or self.rank(made) < self.rank(best[used]):
                        best[used] = made
        if best:
            return tuple(self._undominated(best.values()))
        no_such = Refusal("pin", {"why": f"there is no {pin.breaker_amps} A breaker to choose"})
        return max(refusals, key=_telling, default=no_such)

    def raceway_choices(self, load: Load, panel: str) -> list[frozenset[str]]:
        """Sets of raceways and passages a build may use: combinations of the few that matter."""
        names = sorted({panel, *boxes_of(load), *self.junctions})
        ways = [
            way for start, end in combinations(names, 2) for way in self.ways_between(start, end)
        ]
        passages = {passage for way in ways for passage in way.passages}
        near = {raceway for way in ways for raceway in way.raceways} | passages
        if len(near) <= MOST_RACEWAYS_COMBINED:
            sizes = range(len(near) + 1)
            return [frozenset(c) for size in sizes for c in combinations(sorted(near), size)]
        self.exact = False
        return list(dict.fromkeys(map(frozenset, (set(), passages, near - passages, near))))

    def _sizes(self, load: Load, pin: Pinned) -> tuple[str, ...]:
        """The conductors that a circuit may have, by size."""
        sizes: tuple[str, ...] = CABLE_AWGS
        if all(point.kind == "hard-wired" for point in load.points):
            sizes = *sizes, *LARGE_AWGS
        if any(point.kind != "lights" for point in load.points):
            sizes = sizes[sizes.index(self.shop.code.smallest_receptacle_conductor) :]
        return tuple(awg for awg in sizes if pin.conductor in (None, awg))

    def _wired(
        self,
        items: tuple[int, ...],
        load: Load,
        amps: int,
        allowed: frozenset[str],
        panel: str,
        pin: Pinned,
        *,
        variants: bool = True,
    ) -> list[Candidate] | Refusal:
        """The cheapest trees: with the smallest conductor that does (or a larger, cheaper one), and
        with larger ones where in a raceway or passage they survive among more others, or prepare
        for a changeover that smaller ones do not.
        """
        found: list[Candidate] = []
        detour = False  # what was found goes round ways too hot for it, a larger size may not
        short = False  # what was found is too small for a changeover on it
        sizes_found = 0
        dropped = False  # some size would do but for the voltage drop
        refusal = Refusal("conductor", {"points": load.names, "amps": amps})
        for awg in self._sizes(load, pin):
            if sizes_found >= MOST_VARIANTS and not short:
                break
            enough = any(one.survives >= ENOUGH_SURVIVE or not variants for one in found)
            cheaper = detour or any(self.catalogue.cheaper(awg, one.awg) for one in found)
            if enough and not cheaper and not short:
                continue
            wiring = Wiring(self, load, amps, awg, allowed, panel)
            if found and wiring.ground["raceway"] not in CABLE_AWGS:
                break  # its ground is no longer counted by 314.16
            made = wiring.candidate(items)
            if not isinstance(made, Refusal):
                detour = bool(wiring.refused)
                sizes_found += 1
                ready, short = self._ready(wiring, made, items, pin)
                if variants:
                    ready, lacking = self.plugs.all_stamped(ready)
                    short |= lacking
                found += ready
                continue
            if awg in LARGE_AWGS and made.reason == "no way":
                break  # no raceway leads there
            dropped |= made.reason == "voltage drop"
            if not dropped or made.reason != "conductor":
                refusal = made
        return found or refusal

    def _ready(
        self, wiring: Wiring, made: Candidate, items: tuple[int, ...], pin: Pinned
    ) -> tuple[list[Candidate], bool]:
        """A circuit with what it may do for days to come; nothing where its space is pinned.

        Second: whether a larger conductor might prepare for more.
        """
        if pin.spaces:
            return [self.later.unprepared(replace(made, spaces=pin.spaces))], False
        return self.later.variants(wiring, made, items)


_TELLING = (
    "no rating", "motor breaker", "nameplate breaker", "overloaded", "not alone", "no price",
    "pull box", "conductor", "fastened load",
    "cord load", "receptacle horsepower", "voltage drop", "no way",
)  # fmt: skip


def _telling(refusal: Refusal) -> tuple[int, float]:
    """Of several reasons at several ratings, the one that says most; the roomiest limit last."""
    limit = refusal.facts.get("limit", 0)
    rank = _TELLING.index(refusal.reason) if refusal.reason in _TELLING else len(_TELLING)
    return rank, float(limit) if isinstance(limit, int | float | Fraction) else 0.0
