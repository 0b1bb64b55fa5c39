"""Circuits: whether a set of items can be one branch circuit, and the cheapest ways to build it.

Every limit is checked exactly with `models.formulas` before a candidate may exist. Answers are
cached by the set of items: a search asks for the same sets again and again.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import combinations

from models.formulas.conductors import circular_mils
from models.formulas.motors import motor_breaker_ceiling_amps, small_motors_may_share
from models.formulas.receptacles import largest_cord_load_amps, receptacle_rating_allowed
from models.rules.required_outlets import GARAGE_CIRCUIT_AMPS
from models.shop import Shop
from solver.candidate import Candidate
from solver.catalogue import CABLE_AWGS, LARGE_AWGS, RATINGS, Catalogue
from solver.changeovers import Changeovers
from solver.every_tree import Layouts, every_tree, no_larger, worth_keeping
from solver.extend import Changing, Extension, kept
from solver.garage import garage_needs
from solver.load import Load, boxes_of
from solver.nameplates import nameplate_unfit, shares_against_nameplate
from solver.pairs import Pairs
from solver.pins import Pinned, is_otherwise, pinned, pins_of
from solver.points import UNRATED_HP, Point, Points
from solver.refusal import Refusal
from solver.routes import Ways
from solver.site import Site
from solver.wiring import Wiring

MOST_RACEWAYS_COMBINED = 4
MOST_VARIANTS = 3  # conductor sizes of one circuit
ENOUGH_SURVIVE = 20  # conductors in one raceway; more are hardly ever together
DWELLING_SHARED = frozenset({15, 20, 30})  # several outlets; 40 and 50 A for cooking only
SHARED = DWELLING_SHARED | {40, 50}
LARGEST_LIGHTING_CIRCUIT_AMPS = 20  # 210.23: larger ones light no dwelling; snap switches end there


_rating_allowed = cache(receptacle_rating_allowed)
_largest_cord_load_amps = cache(largest_cord_load_amps)


class Circuits(Site):
    """All candidate circuits of a shop, made on demand."""

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
        dwelling = shop.building.dwelling
        self._shared_ratings = DWELLING_SHARED if dwelling else SHARED  # 210.23
        self.garage_needs = garage_needs(shop)
        self.changing = Changing.all_of(self)
        self._cache: dict[frozenset[int], tuple[Candidate, ...] | Refusal] = {}
        self._loaded: dict[frozenset[int], Load | Refusal] = {}
        self.pairs = Pairs(self) if shop.code.multiwire else None
        self.pairs_last = False  # no pairs of sets that can be one circuit: for large shops
        self.later = Changeovers(self)

    def candidates(self, items: frozenset[int]) -> tuple[Candidate, ...] | Refusal:
        """Every build worth keeping for a set of items, cheapest first, or why there is none."""
        if items not in self._cache:
            self._cache[items] = self._with_pairs(items, self._make(items))
        return self._cache[items]

    def _with_pairs(
        self, items: frozenset[int], made: tuple[Candidate, ...] | Refusal
    ) -> tuple[Candidate, ...] | Refusal:
        """Circuits of a set with the multiwire pairs it can be; refused for good only as both."""
        if self.pairs is None or (self.pairs_last and not isinstance(made, Refusal)):
            return made
        pairs = tuple(map(self.later.unprepared, self.pairs.candidates(items)))
        if not isinstance(made, Refusal):
            return tuple(sorted((*made, *pairs), key=self.rank))
        if pairs:
            return pairs
        return replace(made, final=made.final and self.pairs.hopeless(items))

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

    def rank(self, made: Candidate) -> tuple[int, int, int]:
        """What is minimized first, and what breaks ties; a larger breaker at the same price."""
        first, second = made.cost, made.copper
        if self.copper_first:
            first, second = second, first
        return first, second, -made.breaker_amps

    def _make(self, items: frozenset[int]) -> tuple[Candidate, ...] | Refusal:
        points = self.points_of(items)
        whole = [one for one in self.changing if one.items <= items]
        found = (self._keep(one, items, points) for one in whole)
        kept = [self.later.unprepared(made) for made in found if made is not None]
        load = self.loaded(items)
        fresh = load if isinstance(load, Refusal) else self._fresh(tuple(sorted(items)), load)
        if not isinstance(fresh, Refusal):
            kept += fresh
        elif not kept:
            partly = any(one.items & items and one not in whole for one in self.changing)
            return replace(fresh, final=fresh.final and not partly)
        return tuple(sorted(kept, key=self.rank))

    def loaded(self, items: frozenset[int]) -> Load | Refusal:
        """What a set draws, or why it may not share a circuit whatever its breaker."""
        if items not in self._loaded:
            self._loaded[items] = self._load(self.points_of(items))
        return self._loaded[items]

    def every_load(self, items: frozenset[int]) -> Iterator[Load]:
        """What a set draws for every way to plug its machines in."""
        points = self.points_of(items)
        return (self.loads.of(points, placed) for placed in self.loads.every_seat(points))

    def points_of(self, items: Iterable[int]) -> tuple[Point, ...]:
        """The points of a set of items, in their order."""
        return tuple(p for item in sorted(items) for p in self.points.items[item].points)

    def _load(self, points: tuple[Point, ...]) -> Load | Refusal:
        refusal = self.unfit(points)
        if refusal is not None:
            return refusal
        placed = self.loads.seat(points)
        return placed if isinstance(placed, Refusal) else self.loads.of(points, placed)

    def fits(self, items: frozenset[int], amps: int) -> bool:
        """Whether a set may be on one breaker of this rating, before it is wired."""
        load = self.loaded(items)
        if isinstance(load, Refusal) or not load.outlets:
            return False
        return self.rating_unfit(amps, load) is None

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

    def unfit(self, points: Sequence[Point]) -> Refusal | None:
        """Refuse what may not share a circuit whatever it draws."""
        names = {point.id for point in points}
        for point in points:
            why = self._not_planned(point)
            if why is not None:
                return Refusal("not planned", {"point": point.id, "why": why}, final=True)
        if len({point.volts for point in points}) > 1:
            return Refusal("mixed voltages", {"points": sorted(names)}, final=True)
        lights = sum(point.kind == "lights" for point in points)
        if self.shop.code.lights_apart and 0 < lights < len(points):
            return Refusal("lights apart", {"points": sorted(names)}, final=True)
        for group in self.apart:
            if len(names & group) > 1:
                return Refusal("apart", {"points": sorted(names & group)}, final=True)
        return self.crowded(points)

    def crowded(self, points: Sequence[Point]) -> Refusal | None:
        """Refuse more receptacles on a circuit than are allowed locally."""
        most = self.shop.code.receptacles_per_circuit
        yokes = sum(point.kind == "receptacle" for point in points)
        if most is not None and yokes > most:
            return Refusal("too many receptacles", {"found": yokes, "limit": most}, final=True)
        return None

    def _not_planned(self, point: Point) -> str | None:
        """Receptacles that this version builds no circuit for."""
        if point.configuration is None:
            return None
        found = self.points.configurations[point.configuration]
        if not found.for_new_circuits:
            return f"{point.configuration} is not for new circuits: choose a grounding type"
        if found.hots == 2 and found.neutral:
            return (
                f"{point.configuration} wants two hots and a neutral; two-wire 240 V circuits are"
                " planned so far: choose a 6- or L6- type where the machine allows it"
            )
        return None

    def _fresh(self, items: tuple[int, ...], load: Load) -> tuple[Candidate, ...] | Refusal:
        """New circuits of a set, along every tree there is where that is wished."""
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
            for panel in [self.shop.panel().id] if pin.spaces else self.panels:
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
                ready, lacking = self._ready(wiring, one, items, pin)
                short |= lacking
                yield from ready
            if layouts.all_do and self.ends_with(built) and not short:
                return

    def _ready(
        self, wiring: Wiring, made: Candidate, items: tuple[int, ...], pin: Pinned
    ) -> tuple[list[Candidate], bool]:
        """A circuit with what it may do for days to come; nothing where its space is pinned.

        Second: whether a larger conductor might prepare for more.
        """
        if pin.spaces:
            return [self.later.unprepared(replace(made, spaces=pin.spaces))], False
        return self.later.variants(wiring, made, items)

    def serves_garage(self, made: Candidate) -> bool:
        """Whether it would be a receptacle circuit that a dwelling's garage needs."""
        return any(need.met_by(made) for need in self.garage_needs)

    def _serves_less(self, other: Candidate, one: Candidate) -> bool:
        """Whether one would be the garage's receptacle circuit and another not."""
        return self.serves_garage(one) and not self.serves_garage(other)

    def _only_dearer(self, amps: int, made: Collection[Candidate], load: Load) -> bool:
        """Whether a larger rating, beside what is made, costs more and is good for nothing."""
        if not made:
            return False
        if all(point.kind == "hard-wired" for point in load.outlets):
            return True  # a larger breaker asks for conductors as large at least
        wanted = amps == GARAGE_CIRCUIT_AMPS and any(
            need.met_by_load(load) for need in self.garage_needs
        )
        return not wanted and self._dearer_breaker(amps, made)

    def ends_with(self, built: Iterable[Candidate]) -> bool:
        """Whether larger conductors than those of circuits that were built gain nothing."""
        return self.catalogue.rising and no_larger(built, self.most_in)

    def _build(self, items: tuple[int, ...], load: Load) -> tuple[Candidate, ...] | Refusal:
        """The best build for every panel and every set of raceways that a build could use."""
        top = self._top_rating(load)
        if load.weighted_amps > top + 1e-9:
            return Refusal("overloaded", _overload(load, top), final=True)
        poles = load.volts // 120
        pin = pinned(self.shop, pins_of(self.points.items[item] for item in items), poles)
        if isinstance(pin, Refusal):
            return pin
        best: dict[tuple[str | int, ...], Candidate] = {}
        refusals: list[Refusal] = []
        choices = [
            (panel, allowed)
            for panel in ([self.shop.panel().id] if pin.spaces else self.panels)
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
                    used: tuple[str | int, ...] = (
                        panel,
                        made.survives,
                        *(choice for _, choice in made.choices),
                        self.serves_garage(made),
                        *made.raceways,
                        *made.passages,
                    )
                    if used not in best or self.rank(made) < self.rank(best[used]):
                        best[used] = made
        if best:
            return tuple(self._undominated(best.values()))
        no_such = Refusal("pin", {"why": f"there is no {pin.breaker_amps} A breaker to choose"})
        return max(refusals, key=_telling, default=no_such)

    def _top_rating(self, load: Load) -> int:
        """The largest breaker that the receptacles of the set can ever be on, alone or not. [A]"""
        if any(point.kind == "lights" for point in load.outlets):
            return LARGEST_LIGHTING_CIRCUIT_AMPS
        rated = [
            self.points.configurations[p.configuration].amps
            for p in load.outlets
            if p.configuration
        ]
        return min(
            (_top_circuit_amps(amps, self.ratings_edition) for amps in rated), default=RATINGS[-1]
        )

    def rating_unfit(self, amps: int, load: Load) -> Refusal | None:
        """Whether a breaker rating suits the receptacles and the machines of the set."""
        if amps not in self._shared_ratings and sum(p.receptacles or 1 for p in load.outlets) > 1:
            return Refusal("no rating", {"points": load.names, "amps": amps})
        for point in load.outlets:
            if point.configuration is None:
                continue
            rated = self.points.configurations[point.configuration].amps
            if not _rating_allowed(amps, rated, single=load.single, edition=self.ratings_edition):
                return Refusal("no rating", {"points": load.names, "amps": amps})
        if load.weighted_amps > amps + 1e-9:
            return Refusal("overloaded", _overload(load, amps))
        if any(point.kind == "lights" for point in load.outlets) and (
            amps > LARGEST_LIGHTING_CIRCUIT_AMPS
        ):
            return Refusal("no rating", {"points": load.names, "amps": amps})
        for name in load.placed:
            refusal = self._machine_unfit(name, amps, load)
            if refusal is not None:
                return refusal
        return None

    def _machine_unfit(self, name: str, amps: int, load: Load) -> Refusal | None:
        """210.23, 210.21(B)(2), and the horsepower rating of the receptacle."""
        machine, current = self.points.machines[name], load.amps[name]
        unfit = shares_against_nameplate(machine, load, self.shop.code.edition) or nameplate_unfit(
            machine, amps, self._top_rating(load), self.shop.code.edition
        )
        if unfit is not None:
            return unfit
        yoke = self.points.yokes.get(load.placed[name])
        facts: dict[str, object] = {"machine": name, "at": load.placed[name], "found": current}
        if yoke is None:
            half = amps / 2
            shared = any(point.kind != "hard-wired" for point in load.outlets)
            wired = (m for m, at in load.placed.items() if at not in self.points.yokes)
            total = sum(load.amps[m] for m in wired)
            if shared and amps <= 20 and total > half:
                return Refusal("fastened load", {**facts, "found": total, "limit": half})
            return self._motor_unfit(name, amps, load)
        rated = self.points.configurations[yoke.configuration or ""]
        limit = _largest_cord_load_amps(amps, rated.amps, individual=load.single)
        if current > limit:
            self.exact &= not self._better_seat(name, rated.amps, load)
            return Refusal("cord load", {**facts, "limit": limit})
        power = machine.motor_hp
        if power is not None and power > max(rated.horsepower, UNRATED_HP):
            facts = {**facts, "found": power, "limit": rated.horsepower}
            return Refusal("receptacle horsepower", facts)
        return None

    def _motor_unfit(self, name: str, amps: int, load: Load) -> Refusal | None:
        """430.52 and 430.53 for a hard-wired motor."""
        most = motor_breaker_ceiling_amps(load.amps[name], self.shop.code.edition)
        if self.points.machines[name].motor_hp is None or amps <= most:
            return None
        placed = (self.points.machines[other] for other in load.placed)
        motors = [(m.motor_hp, load.amps[m.id]) for m in placed if m.motor_hp is not None]
        if len(load.outlets) > 1 and small_motors_may_share(motors, amps, load.volts):
            return None
        return Refusal("motor breaker", {"points": load.names, "found": amps, "limit": most})

    def _better_seat(self, machine: str, amps: int, load: Load) -> bool:
        """Whether the planner could have seated a machine at a larger receptacle of the set."""
        options = {
            name for point in load.points if point.machine == machine for name in point.options
        }
        rated = [
            self.points.configurations[point.configuration].amps
            for point in load.outlets
            if point.id in options and point.configuration
        ]
        return max(rated, default=0) > amps

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

    def _dearer_breaker(self, amps: int, made: Iterable[Candidate]) -> bool:
        """Whether a larger breaker costs more, and so do all larger conductors."""
        one = next(iter(made))
        for gfci in (False, True):
            this = self.catalogue.breaker(amps, one.poles, gfci)
            that = self.catalogue.breaker(one.breaker_amps, one.poles, gfci)
            if this is not None and (that is None or this <= that):
                return False
        return self.catalogue.rising

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
                    for panel in self.panels
                )
                made = [one for way in ways if not isinstance(way, Refusal) for one in way]
                if made:
                    return (min(made, key=self.rank),)
        return ()

    def wired_alone(
        self, load: Load, amps: int, allowed: frozenset[str], panel: str
    ) -> Candidate | None:
        """The cheapest circuit of a load that is no set of items; None when there is none."""
        made = self._wired((), load, amps, allowed, panel, Pinned(), variants=False)
        return None if isinstance(made, Refusal) else min(made, key=self.rank)

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
            if sizes_found >= MOST_VARIANTS:
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
                found += ready
                continue
            if awg in LARGE_AWGS and made.reason == "no way":
                break  # no raceway leads there
            dropped |= made.reason == "voltage drop"
            if not dropped or made.reason != "conductor":
                refusal = made
        return found or refusal


@cache
def _top_circuit_amps(receptacle_amps: int, edition: int) -> int:
    """Largest circuit that may feed a receptacle of this rating, 210.21(B). [A]"""
    return max(
        amps
        for amps in RATINGS
        for single in (True, False)
        if _rating_allowed(amps, receptacle_amps, single=single, edition=edition)
    )


def _overload(load: Load, limit: float) -> dict[str, object]:
    """The facts of an overload."""
    return {
        "state": load.running,
        "lights": sorted(load.lights_amps),
        "points": load.names,
        "found": load.weighted_amps,
        "limit": limit,
    }


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
