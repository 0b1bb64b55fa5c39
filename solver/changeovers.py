"""Changeovers: what a circuit can do now about a machine on it that may take its other voltage.

Alternatives are variants of a candidate, each checked as the circuit will be after that day:

* nothing: the day is counted as a run of its own for the machine, whatever of the old one could
  serve; in surface EMT where walls are not opened again;
* space: a circuit of one outlet, all cable: the white is re-marked as a hot (200.7(C)(1)), and a
  space is kept beside the breaker that gets a second pole;
* spare: in a raceway, where the white may not be re-marked, a conductor is pulled now, capped and
  marked. On a circuit with other outlets, whose loads need the neutral, it is pulled all the way,
  and two hots and a neutral then serve both (210.4(C), exception 2: a breaker of common trip).

Larger conductors are candidates of their own, of which the same is asked. Every changeover is
counted by itself, at its likelihood and the shop's discount. Where the shop file says `prepare:
nothing`, nothing is the only choice; with `everything` a circuit prepares for all on it that it
can, and a machine that could not change beside others shares no circuit. Money in 0.0001 USD,
copper in 1e-8 lb.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations, product
from typing import TYPE_CHECKING, Final

from models.changeovers import (
    changed_machine,
    counted_share,
    new_configurations,
    planned_changeovers,
    shop_after,
)
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, raceway_area_in2
from models.part_keys import (
    CABLE_CONNECTOR,
    RACEWAY_CONNECTOR,
    breaker_key,
    cable_key,
    device_key,
    raceway_key,
    single_key,
)
from models.reach import receptacles_in_reach
from solver.candidate import Candidate, Choice, Edge, Prepared
from solver.catalogue import RATINGS
from solver.changed_candidate import (
    HUNDREDTHS,
    Parts,
    exchanged,
    goes_in_alone,
    heated,
    is_shared,
    passed,
    run_copper,
    with_days,
)
from solver.devices import BREAKER
from solver.load import Load
from solver.points import Point, Points
from solver.refusal import Refusal
from solver.switched import rows_of
from solver.tree import NO_WAY, attached
from solver.wiring import Wiring

if TYPE_CHECKING:
    from solver.new_circuits import NewCircuits

MOST_TRIED: Final = 3  # boxes that the spare may pass before its own, in every order
SURFACE: Final = ("EMT", ("1/2", "3/4", "1"))


@dataclass(frozen=True)
class Future:
    """A machine after its changeover, at one receptacle: the shop then, and its outlet there."""

    circuits: "NewCircuits"
    point: Point
    alone: Load
    configuration: str | None


class Changeovers:
    """What can be done about the changeovers of a shop, circuit by circuit."""

    def __init__(self, circuits: "NewCircuits") -> None:
        self.now = circuits
        self.planned = planned_changeovers(circuits.shop)
        self.wish = circuits.shop.later.prepare
        self._futures: dict[tuple[str, str], tuple[Future, ...]] = {}
        self._again: dict[tuple[str, str, str], Prepared | None] = {}
        self._led_for: tuple[Wiring | None, dict[str, list[tuple[Edge, ...]]]] = None, {}

    def share(self, machine: str) -> float:
        """The part of a cost of its day that counts today."""
        return counted_share(self.now.shop.later, self.planned[machine])

    # -- variants of a candidate

    def on(self, load: Load) -> list[str]:
        """Machines of a load that may change."""
        return [machine for machine in self.planned if machine in load.placed]

    def unprepared(self, made: Candidate) -> Candidate:
        """A candidate that does nothing about them."""
        loads = [half.load for half in made.halves] or [made.load]
        todo = [(machine, load.placed[machine]) for load in loads for machine in self.on(load)]
        found = [self.again(machine, yoke, made.panel) for machine, yoke in todo]
        return with_days(made, [one for one in found if one is not None])

    def variants(
        self, wiring: Wiring, made: Candidate, items: tuple[int, ...]
    ) -> tuple[list[Candidate], bool]:
        """A candidate that does nothing, and those that prepare for some of the machines on it.

        Second: whether a larger conductor might prepare for more.
        """
        machines = self.on(made.load)
        plain = self.unprepared(made)
        if not machines or self.wish == "nothing":
            return [plain], False
        found, short = [plain], False
        ways = [self._ways(made, machine) for machine in machines]
        for chosen in product(*(range(1 + len(way)) for way in ways)):
            if not any(chosen):
                continue
            doing = {
                machine: way[number - 1]
                for machine, way, number in zip(machines, ways, chosen, strict=True)
                if number
            }
            best = self._best(wiring, made, items, doing)
            if best is not None:
                found.append(best)
            elif len(doing) == 1:
                short = True
        return found, short

    def allowed(self, found: Sequence[Candidate]) -> Sequence[Candidate]:
        """Of all circuits of one set, where everything is to be prepared for, those that prepare
        for the most; beside other items for every machine, or none.
        """
        if self.wish != "everything" or not found:
            return found
        readiness = [sum(one.choice != "nothing" for one in made.prepared) for made in found]
        most, made = max(readiness), found[0]
        if is_shared(made.load, len(made.items)):
            most = len(self._changing_alone(made.load))
        return [made for made, ready in zip(found, readiness, strict=True) if ready >= most]

    def bars(self, load: Load, items: int) -> bool:
        """Whether so many items share no circuit, because everything is to be prepared for."""
        if self.wish != "everything" or self.now.shop.code.multiwire:
            return False
        return is_shared(load, items) and bool(self._changing_alone(load))

    def keeps(self, load: Load) -> int:
        """Spaces kept beside a breaker, because everything is to be prepared for."""
        return int(
            self.wish == "everything" and load.volts == 120 and bool(self._changing_alone(load))
        )

    def bars_pair(self, made: Candidate) -> bool:
        """Whether a multiwire pair is none, because everything is to be prepared for."""
        loads = [half.load for half in made.halves]
        return self.wish == "everything" and any(map(self._changing_alone, loads))

    def _changing_alone(self, load: Load) -> list[str]:
        """Machines that may change, each alone at its yoke, so that it could be prepared for."""
        seats = list(load.placed.values())
        return [machine for machine in self.on(load) if seats.count(load.placed[machine]) == 1]

    def _ways(self, made: Candidate, machine: str) -> list[Future]:
        """The futures that a circuit could be prepared for, before its runs are looked at."""
        load, yoke = made.load, made.load.placed[machine]
        beside = [name for name, at in load.placed.items() if at == yoke and name != machine]
        if beside or made.extends or made.halves or rows_of(load.outlets):
            return []
        futures = self.futures(machine, yoke)
        if len(load.outlets) == 1:
            return list(futures)
        may = load.volts == 120 and self.now.shop.code.multiwire
        return list(futures) if may else []

    def _best(
        self, wiring: Wiring, made: Candidate, items: tuple[int, ...], doing: dict[str, Future]
    ) -> Candidate | None:
        """The cheapest runs that are prepared for some machines; None when none will do."""
        best: Candidate | None = None
        for edges in self._trees(wiring, made, doing):
            spared = self._spared(edges, made.load, doing)
            if not wiring.may_lie(spared):
                continue
            laid = wiring.laid(items, spared)
            if isinstance(laid, Refusal) or not goes_in_alone(laid, self.now):
                continue
            ready = self._ready(laid, doing)
            if ready is not None and (best is None or self.now.rank(ready) < self.now.rank(best)):
                best = ready
        return best

    # -- runs with spares

    def _spared(
        self, edges: Sequence[Edge], load: Load, doing: dict[str, Future]
    ) -> tuple[Edge, ...]:
        """Runs with a spare where the changed circuit needs one."""
        if len(load.outlets) == 1:
            need = {edge.end for edge in edges if edge.way.method == "raceway"}
        else:
            need = set()
            for future in doing.values():
                need.update(passed(edges, future.point.box or ""))
        return tuple(
            replace(edge, roles=(*edge.roles, "spare")) if edge.end in need else edge
            for edge in edges
        )

    def _trees(
        self, wiring: Wiring, made: Candidate, doing: dict[str, Future]
    ) -> Iterator[tuple[Edge, ...]]:
        """The candidate's own runs, and others that lead the spare a shorter way."""
        yield made.edges
        if len(made.load.outlets) == 1:
            self.now.exact &= not any(edge.way.method == "raceway" for edge in made.edges)
            return
        # of every tree some were dropped already by what they take without a spare
        self.now.exact &= not self.now.every_tree
        boxes = sorted({point.box for point in made.load.outlets if point.box})
        if self._led_for[0] is not wiring:
            self._led_for = wiring, {}
        led = self._led_for[1]
        for goal in [future.point.box or "" for future in doing.values()]:
            if goal not in led:
                led[goal] = list(self._led(wiring, boxes, goal))
            yield from led[goal]
        few = len(boxes) - 1 <= MOST_TRIED and not self.now.junctions
        self.now.exact &= few and len(doing) == 1

    def _led(self, wiring: Wiring, boxes: Sequence[str], goal: str) -> Iterator[tuple[Edge, ...]]:
        """Runs with three wires by way of some boxes to the machine's, the others hung on them."""
        three, two = wiring.priced_for(3), wiring.priced_for(2)
        others = [box for box in boxes if box != goal]
        found = []
        for count in range(min(len(others), MOST_TRIED) + 1):
            for between in permutations(others, count):
                trunk = [*between, goal]
                steps = list(zip([wiring.panel, *trunk[:-1]], trunk, strict=True))
                rest = attached(trunk, sorted(set(others) - set(between)), two.costs)
                cost = sum(three.costs[start][end] for start, end in steps)
                if rest is None or cost + rest[0] >= NO_WAY:
                    continue
                total = cost + rest[0] + wiring.home_extra(trunk[0])
                found.append((total, steps, rest[1]))
        for _, steps, hung in sorted(found, key=lambda one: one[:2])[:MOST_TRIED]:
            made = [(three.way(*step), *step) for step in steps]
            made += [(two.way(*step), *step) for step in hung]
            yield tuple(
                Edge(start, end, way, wiring.roles) for way, start, end in made if way is not None
            )

    # -- after the day

    def _ready(self, laid: Candidate, doing: dict[str, Future]) -> Candidate | None:
        """A candidate whose runs serve after each of these days, and after all of them."""
        single = len(laid.load.outlets) == 1
        prepared: list[Prepared] = []
        survives: dict[str, int] = {}
        for machine in self.on(laid.load):
            future = doing.get(machine)
            if future is None:
                one = self.again(machine, laid.load.placed[machine], laid.panel)
                prepared += [] if one is None else [one]
                continue
            changing = self._alone_after if single else self._shared_after
            after = changing(laid, future, machine)
            if after is None:
                return None
            prepared.append(after[0])
            for name, most in after[1].items():
                survives[name] = min(most, survives.get(name, most))
        return with_days(heated(laid, survives, 0 if single else 1), prepared)

    def _alone_after(
        self, laid: Candidate, future: Future, machine: str
    ) -> tuple[Prepared, dict[str, int]] | None:
        """A circuit of one outlet at the other voltage, with its cheapest breaker that does."""
        found = []
        for amps in RATINGS:
            if future.circuits.rating_unfit(amps, future.alone) is not None:
                continue
            after = Wiring(future.circuits, future.alone, amps, laid.awg, frozenset(), laid.panel)
            survives = after.serves(laid.edges, laid.ground)
            if survives is None:
                continue
            gfci = after.asks_for_gfci
            cents = self.now.catalogue.breaker(amps, after.poles, gfci)
            if cents is not None:
                found.append((cents, amps, gfci, after.poles, survives))
                if future.configuration is None:
                    break  # a machine that is wired gets no larger breaker than it needs
        if not found:
            return None
        _, amps, gfci, poles, survives = min(found, key=lambda one: one[:2])
        spare = any("spare" in edge.roles for edge in laid.edges)
        keeps = poles > laid.poles
        choice: Choice = "spare" if spare else "space"
        parts = {breaker_key(amps, poles, gfci): HUNDREDTHS} | exchanged(future.configuration)
        one = self._prepared(machine, choice, parts, 0, amps, gfci, future)
        return replace(one, keeps_space=keeps), survives

    def _shared_after(
        self, laid: Candidate, future: Future, machine: str
    ) -> tuple[Prepared, dict[str, int]] | None:
        """A circuit of two hots and a neutral: the machine between the hots, all else on one.

        Its drop is taken as if the neutral carried everything.
        """
        load = self._load_after(laid.load, future, machine)
        amps = laid.breaker_amps
        if load is None or future.circuits.rating_unfit(amps, load) is not None:
            return None
        after = Wiring(future.circuits, load, amps, laid.awg, frozenset(), laid.panel)
        alone = Wiring(future.circuits, future.alone, amps, laid.awg, frozenset(), laid.panel)
        survives = after.serves(laid.edges, laid.ground)
        gfci = laid.gfci is not None or alone.asks_for_gfci
        if survives is None or self.now.catalogue.breaker(amps, 2, gfci) is None:
            self.now.exact = False  # in another tree it might do
            return None
        self.now.exact &= laid.gfci in (None, BREAKER)
        parts = {breaker_key(amps, 2, gfci): HUNDREDTHS} | exchanged(future.configuration)
        if laid.gfci not in (None, BREAKER, laid.load.placed[machine]):
            guard = self.now.points.yokes[laid.gfci]  # one hot would come from its load side
            parts[device_key("duplex", guard.configuration)] = HUNDREDTHS
        one = self._prepared(machine, "spare", parts, 0, amps, gfci, future)
        return replace(one, keeps_space=True), survives

    def _load_after(self, load: Load, future: Future, machine: str) -> Load | None:
        """What is on a circuit then; what stays at 120 V first, by which its drop is told."""
        named = {point.id: point for point in future.circuits.points.points}
        names = [point.id for point in load.points if point.machine != machine]
        if not named.keys() >= set(names):
            self.now.exact = False  # another machine has one place left, and is no point then
            return None
        points = sorted((named[name] for name in names), key=lambda p: (p.volts, p.id))
        return future.circuits.loads.of(tuple(points), load.placed)

    def guess(self, load: Load, panel: str) -> int:
        """About what days to come add to the first objective of a circuit."""
        total = 0
        for machine in self.on(load):
            one = self.again(machine, load.placed[machine], panel)
            if one is None:
                continue
            if len(load.outlets) > 1 or self.wish == "nothing":
                total += one.expected_copper if self.now.copper_first else one.expected_cost
            elif not self.now.copper_first:
                fixed = {breaker_key(one.breaker_amps, 2, one.gfci)}
                fixed.add(device_key("single", one.configuration))
                total += round(self.share(machine) * self._cost(one.parts, fixed))
        return total

    def _cost(self, parts: Iterable[tuple[str, int]], among: set[str]) -> int:
        cents = self.now.catalogue.cents
        return sum(count * (cents(key) or 0) for key, count in parts if key in among)

    # -- doing nothing

    def again(self, machine: str, yoke: str, panel: str) -> Prepared | None:
        """A run of its own later, at what it costs least; None when the machine cannot change."""
        key = machine, yoke, panel
        if key not in self._again:
            found = [
                made
                for future in self.futures(machine, yoke)
                for made in self._run_alone(future, machine, panel)
            ]
            rank = "expected_copper" if self.now.copper_first else "expected_cost"
            self._again[key] = min(found, key=lambda one: getattr(one, rank), default=None)
        return self._again[key]

    def _run_alone(self, future: Future, machine: str, panel: str) -> Iterator[Prepared]:
        """A circuit of its own for the machine, by every breaker that suits it."""
        circuits, everything = future.circuits, (*self.now.ways.raceways, *self.now.ways.passages)
        for amps in RATINGS:
            if circuits.rating_unfit(amps, future.alone) is not None:
                continue
            made = circuits.wired_alone(future.alone, amps, frozenset(everything), panel)
            if made is None:
                continue
            closed = self.now.shop.later.open_walls is False
            parts = self.run_parts(made, future.configuration, closed=closed)
            if parts is None:
                continue
            slack = self.now.slack_cft
            copper = sum(run_copper(e, made, slack(e.start, e.end)) for e in made.edges)
            gfci = made.gfci == BREAKER
            yield self._prepared(machine, "nothing", parts, copper, amps, gfci, future)
            if future.configuration is None:
                return  # a machine that is wired gets no larger breaker than it needs

    def run_parts(
        self, made: Candidate, configuration: str | None, *, closed: bool
    ) -> Parts | None:
        """What a circuit with one receptacle, or none, asks to buy, in hundredths; in surface EMT
        where walls are `closed`. None when the book does not price a part.
        """
        parts = {breaker_key(made.breaker_amps, made.poles, made.gfci == BREAKER): HUNDREDTHS}
        for key, count in exchanged(configuration).items():
            parts[key] = parts.get(key, 0) + count
        for edge in made.edges:
            cut = edge.way.length_cft + self.now.slack_cft(edge.start, edge.end)
            ground = made.ground[edge.way.method]
            if edge.way.method == "cable" and not closed:
                more = {cable_key(made.awg, edge.wires): cut, CABLE_CONNECTOR: 2 * HUNDREDTHS}
            else:
                more = {single_key(made.awg, wet=edge.way.wet): edge.wires * cut}
                grounding = single_key(ground, wet=edge.way.wet)
                more[grounding] = more.get(grounding, 0) + cut
                if edge.way.method == "cable":
                    size = self.surface(made.awg, ground, edge.wires)
                    if size is None:
                        return None
                    more |= {size: edge.way.length_cft, RACEWAY_CONNECTOR: 2 * HUNDREDTHS}
            for key, count in more.items():
                parts[key] = parts.get(key, 0) + count
        return parts if all(self.now.catalogue.cents(key) is not None for key in parts) else None

    def surface(self, awg: str, ground: str, wires: int) -> str | None:
        """The smallest surface raceway with a price that holds a run of so many wires."""
        kind, sizes = SURFACE
        area = wires * conductor_area_in2(awg, "THHN") + conductor_area_in2(ground, "THHN")
        for size in sizes:
            holds = raceway_area_in2(kind, size) * fill_limit(wires + 1) >= area
            if holds and self.now.catalogue.raceway(kind, size) is not None:
                return raceway_key(kind, size)
        return None

    def _prepared(
        self,
        machine: str,
        choice: Choice,
        parts: Parts,
        copper: int,
        amps: int,
        gfci: bool,
        future: Future,
    ) -> Prepared:
        """What is counted of a day: its parts at their prices, and its share by likelihood."""
        cost = sum(count * (self.now.catalogue.cents(key) or 0) for key, count in parts.items())
        share = self.share(machine)
        return Prepared(
            machine=machine,
            choice=choice,
            later_cost=cost,
            later_copper=copper,
            expected_cost=round(cost * share),
            expected_copper=round(copper * share),
            parts=tuple(sorted(parts.items())),
            breaker_amps=amps,
            gfci=gfci,
            configuration=future.configuration,
        )

    # -- the shop then

    def futures(self, machine: str, yoke: str) -> tuple[Future, ...]:
        """The shop after a machine has changed at a yoke, by receptacle; the cheapest first."""
        key = machine, yoke
        if key not in self._futures:
            change = self.planned[machine]
            now = self.now.points.machines[machine]
            priced = []
            for name in new_configurations(now, change):
                cents = 0 if name is None else self.now.catalogue.device("single", name)
                if cents is not None:
                    priced.append((cents, name or "", name))
            found = (self._future(machine, yoke, name) for _, _, name in sorted(priced))
            self._futures[key] = tuple(one for one in found if one is not None)
        return self._futures[key]

    def _future(self, machine: str, yoke: str, configuration: str | None) -> Future | None:
        now, change = self.now.points.machines[machine], self.planned[machine]
        shop = shop_after(self.now.shop, change, yoke, configuration)
        choosing = [m for m in shop.machines if not (m.portable or m.receptacle or m.hard_wired_at)]
        if not all(receptacles_in_reach(shop, other) for other in choosing):
            return None  # another machine would have no place
        points = Points(shop)
        named = {point.id: point for point in points.points}
        if yoke not in named or points.fixed.get(yoke) != [machine]:
            return None  # on what is there already, or not alone there
        circuits = type(self.now)(shop, points, self.now.ways, self.now.catalogue)
        alone = circuits.loads.of((named[yoke],), {machine: yoke})
        assert named[yoke].volts == changed_machine(now, change, configuration).volts
        return Future(circuits, named[yoke], alone, configuration)
