"""Wiring one circuit: its tree for a given breaker and conductor, checked and counted."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from itertools import combinations
from typing import Final, Literal

from models.formulas.conductors import circular_mils, ohm_per_kft
from models.formulas.grounds import enlarged_ground_awg, equipment_ground_awg
from models.formulas.pull_boxes import needs_pull_box
from models.formulas.voltage_drop import drop_percent, voltage_drop_v
from models.gfci import (
    READILY_REACHED_FT,
    hard_wired_needs_gfci,
    receptacle_needs_gfci,
    vehicle_receptacle_needs_gfci,
)
from models.plan import Role
from models.switching import box_of, configuration_of_switch, switch_kind
from solver.candidate import (
    BoxShare,
    Candidate,
    Edge,
    PassageShare,
    RacewayShare,
)
from solver.catalogue import (
    CABLE_AWGS,
    LARGE_AWGS,
    area,
    cable_ground,
    volume,
)
from solver.load import Load, boxes_of
from solver.nameplates import own_breaker_amps
from solver.points import Point
from solver.priced_ways import PricedWays
from solver.pull_boxes import least_sides_in
from solver.refusal import Refusal
from solver.routes import Way
from solver.site import MOST_JOINED, Site
from solver.switched import (
    SWITCHED,
    Row,
    Runs,
    all_ordered,
    chained,
    in_order,
    live_boxes,
    may_follow,
    orders,
    rows_of,
    with_hots,
)
from solver.tree import MOST_OPTIONAL, best_tree, rooted
from solver.wire_limits import RACEWAY_COUNTS, ampacity_and_breaker, terminals_c

ASSUMED_PLUG_LOAD_AMPS: Final = 12.0  # common practice, no source
BREAKER: Final = "breaker"


class Wiring:
    """One way to build a circuit: breaker, conductor size and the raceways it may use."""

    def __init__(
        self,
        site: Site,
        load: Load,
        breaker_amps: int,
        awg: str,
        allowed: frozenset[str],
        panel: str,
    ) -> None:
        self.site, self.load = site, load
        self.breaker_amps, self.awg, self.allowed = breaker_amps, awg, allowed
        self.panel = panel
        self.refused: frozenset[tuple[str, float]] = frozenset()  # methods and heats gone round
        self._most: dict[tuple[str, float], int] = {}  # counted, by method and heat
        self.poles: Literal[1, 2] = 1 if load.volts == 120 else 2
        self.ground = {"cable": cable_ground(awg), "raceway": self._least_ground("raceway")}
        self.roles: tuple[Role, ...] = ("hot", "neutral" if self.poles == 1 else "hot2")
        self.priced = self.priced_for(len(self.roles))

    def priced_for(self, wires: int) -> PricedWays:
        """Ways for so many insulated conductors of this circuit."""
        return self.site.priced(self.awg, wires, self.ground, self.allowed, self.refused)

    def _least_ground(self, method: str) -> str:
        """Ground by breaker, enlarged as the hots are beyond what the breaker asks (250.122(B))."""
        ground = equipment_ground_awg(self.breaker_amps)
        room_c = self.site.room_c
        least = next(
            (
                a
                for a in (*CABLE_AWGS, *LARGE_AWGS)
                if self._largest_breaker(a, method, room_c, 2)[1]
            ),
            self.awg,
        )
        installed, minimum = circular_mils(self.awg), circular_mils(least)
        if installed <= minimum:
            return min(ground, self.awg, key=circular_mils)  # 250.122(A)
        return enlarged_ground_awg(ground, minimum_cmil=minimum, installed_cmil=installed)

    @cached_property
    def _cable_ground_too_small(self) -> bool:
        """Whether a cable has less ground than is asked for."""
        return circular_mils(self.ground["cable"]) < circular_mils(self._least_ground("cable"))

    def candidate(self, items: tuple[int, ...]) -> Candidate | Refusal:
        """The circuit, or why it cannot be built this way."""
        facts = {"points": self.load.names, "amps": self.breaker_amps}
        if self.breaker_cents(gfci=False) is None:
            return Refusal("no price", facts)
        edges = self._edges()
        if edges is None:
            return Refusal("no way", facts)
        if not all(self.may_take(edge.way) for edge in edges):
            self.refused = self._too_hot()
            self.priced = self.priced_for(len(self.roles))
            edges = self._edges()
            if edges is None:
                return Refusal("conductor", facts)
        return self.laid(items, edges)

    def laid(self, items: tuple[int, ...], edges: tuple[Edge, ...]) -> Candidate | Refusal:
        """The circuit along runs that its conductors do on, or why it cannot be built so."""
        facts = {"points": self.load.names, "amps": self.breaker_amps}
        survives = self._survives(edges)
        if survives is None:
            raise AssertionError("ways where the conductor does not do are gone round")
        sides = self._least_sides_in(edges)
        if short := next(
            (box for box in sides if sides[box] > self.site.longest_side_in(box)), None
        ):
            self.site.exact = False  # another tree might go round it
            return Refusal("pull box", {**facts, "box": short, "least": sides[short]})
        drop, limit = self.drop_percent(edges), self.site.shop.code.voltage_drop_percent
        if not self.site.keeps_voltage(drop):
            self.site.exact &= self.tries_every_tree
            return Refusal("voltage drop", {**facts, "found": drop, "limit": limit})
        gfci = self._gfci(edges[0].end)
        cost = [
            self.priced_for(edge.wires).prices(edge.way, self.site.slack_cft(edge.start, edge.end))
            for edge in edges
        ]
        if None in cost:
            return Refusal("no price", facts)
        parts = self.breaker_cents(gfci=gfci == BREAKER)
        devices = self._devices_cents(gfci)
        if parts is None or devices is None:
            return Refusal("no price", facts)
        return Candidate(
            items=items,
            panel=self.panel,
            volts=self.load.volts,
            breaker_amps=self.breaker_amps,
            poles=self.poles,
            gfci=gfci,
            awg=self.awg,
            edges=edges,
            load=self.load,
            ground=self.ground,
            drop_percent=drop,
            cost=sum(pair[0] for pair in cost if pair) + 100 * (parts + devices),
            copper=sum(pair[1] for pair in cost if pair),
            boxes=self._box_shares(edges, sides),
            raceways=self._raceway_shares(edges, survives),
            passages=self._passage_shares(edges),
        )

    # -- prices

    def breaker_cents(self, *, gfci: bool) -> int | None:
        """The breaker [cents], or None when the book has none."""
        return self.site.catalogue.breaker(self.breaker_amps, self.poles, gfci)

    @cached_property
    def _plain_devices_cents(self) -> int | None:
        cents = [self._device_cents(point, False) for point in self.load.outlets]
        cents += self.switches_cents(self.load.outlets)
        return None if None in cents else sum(filter(None, cents))

    def _devices_cents(self, gfci: str | None) -> int | None:
        """Receptacles and switches; one of them may hold the GFCI."""
        plain = self._plain_devices_cents
        if gfci is None or gfci == BREAKER or plain is None:
            return plain
        (holder,) = (point for point in self.load.outlets if point.id == gfci)
        protecting, bare = self._device_cents(holder, True), self._device_cents(holder, False)
        return None if protecting is None or bare is None else plain + protecting - bare

    def _device_cents(self, point: Point, gfci: bool) -> int | None:
        """The receptacle of one point; 0 where it has none, or is there."""
        if point.box in self.site.closed:
            return 0
        if point.kind == "receptacle" and point.configuration:
            kind = "duplex" if point.receptacles > 1 else "single"
            return self.site.catalogue.device(kind, point.configuration, gfci)
        return 0

    def switches_cents(self, points: Iterable[Point]) -> list[int | None]:
        """Every switch of the groups of points that is not there."""
        places = (
            (name, switch_kind(place, len(row.switches)))
            for row in rows_of(points)
            for place, name in enumerate(row.switches)
        )
        return [
            self.site.catalogue.device("switch", configuration_of_switch(kind))
            for name, kind in places
            if box_of(name) not in self.site.closed
        ]

    def beside(self, load: Load) -> "Wiring":
        """Another load behind the same breaker and conductor."""
        return Wiring(self.site, load, self.breaker_amps, self.awg, self.allowed, self.panel)

    def device_and_guard(self, point: Point) -> tuple[int, bool, int | None]:
        """What a point's device costs, whether it asks for a GFCI, and what one in it costs more.

        In 0.0001 USD; the last is None where a GFCI may not be in the device.
        """
        plain, protecting = self._device_cents(point, False), self._device_cents(point, True)
        guard = None
        if (
            self.site.shop.code.gfci_at != "breaker"
            and self._first_device(point.box or "") is not None
            and plain is not None
            and protecting is not None
        ):
            guard = 100 * (protecting - plain)
        return 100 * (plain or 0), self._needs_gfci, guard

    def keeps(self, edges: tuple[Edge, ...]) -> bool:
        """Whether runs keep the voltage."""
        return self.site.keeps_voltage(self.drop_percent(edges))

    # -- the tree

    @cached_property
    def tries_every_tree(self) -> bool:
        """Whether boxes are so few, and switched so plainly, that every tree is tried."""
        rows = rows_of(self.load.outlets)
        live = live_boxes(self.load.outlets) | {row.chain[0] for row in rows}
        plain = all(len(row.switches) == 1 and not live & row.fed - {row.chain[0]} for row in rows)
        few = len(live) + len(self.site.junctions) <= MOST_JOINED
        return self.site.every_tree and plain and few

    def home_extra(self, home: str) -> int:
        """What the GFCI costs more when the home run ends at this box."""
        if self.site.copper_first or not self._needs_gfci:
            return 0
        at = self._gfci(home)
        plain, breaker = self.breaker_cents(gfci=False), self.breaker_cents(gfci=at == BREAKER)
        devices, bare = self._devices_cents(at), self._devices_cents(None)
        if None in (plain, breaker, devices, bare):
            self.site.exact = False  # another home, with a price, may then be the best
            return 0
        return 100 * ((breaker or 0) - (plain or 0) + (devices or 0) - (bare or 0))

    def _edges(self) -> tuple[Edge, ...] | None:
        """Runs from the panel outwards; what is switched hangs below its switches.

        The cheapest for certain where one row of switches, or none, is all that wants a hot: then
        no other box could be reached by way of what is switched. An order with two runs to one box
        is left out, though another tree might do with it.
        """
        rows = rows_of(self.load.outlets)
        live = live_boxes(self.load.outlets)
        alone = len(rows) == 1 and not live and not self.site.junctions
        self.site.exact &= (not rows or alone) and all_ordered(rows)
        self.site.exact &= len(self.site.junctions) <= MOST_OPTIONAL
        best: tuple[int, tuple[Edge, ...]] | None = None
        for order in orders(rows):
            found = self._wired_in(order)
            if found is not None and (best is None or found[0] < best[0]):
                best = found
        return None if best is None else best[1]

    def _wired_in(self, rows: Sequence[Row]) -> tuple[int, tuple[Edge, ...]] | None:
        """The cheapest runs for switches in this order, with what they cost."""
        behind = self.behind(rows)
        if behind is None:
            self.site.exact = False
            return None
        entered = {end for _, end in behind}
        wanting = live_boxes(self.load.outlets) | {row.chain[0] for row in rows}
        laid = with_hots(behind, wanting & entered)
        if laid is None or wanting <= entered:
            return None
        tree = best_tree(
            self.panel,
            sorted(wanting - entered),
            self.site.junctions,
            self.priced.costs,
            self.priced.spanning,
            self.home_extra,
        )
        if tree is None:
            return None
        roles = {**dict.fromkeys(tree.edges, self.roles), **laid}
        runs = in_order(self.panel, (*tree.edges, *laid))
        if runs is None:
            return None
        made, cost = [], tree.cost
        for start, end in runs:
            ways = self.priced_for(len(roles[start, end]))
            way = ways.way(start, end)
            if way is None:
                return None
            made.append(Edge(start, end, way, roles[start, end]))
            cost += ways.costs[start][end] if (start, end) in laid else 0
        return cost, tuple(made)

    def behind(self, rows: Sequence[Row]) -> Runs | None:
        """Runs from switch to switch and on to what they switch; None where two end at one box."""
        if not may_follow(rows):
            return None
        runs = chained(rows)
        for row in rows:
            last = row.chain[-1]
            spanning = self.priced.spanning([last, *sorted(row.fed - {last})])
            if spanning is None:
                return None
            runs += [(run, SWITCHED) for run in rooted(last, spanning[1])]
        behind = dict(runs)
        return behind if len({end for _, end in behind}) == len(runs) else None

    # -- checks

    def serves(self, edges: tuple[Edge, ...], ground: Mapping[str, str]) -> dict[str, int] | None:
        """Whether runs that are there, with their grounds by method, would do for this circuit.

        Per raceway and passage the largest count that its conductors survive; None when some run
        will not do.
        """
        for edge in edges:
            method = edge.way.method
            small = circular_mils(ground[method]) < circular_mils(self._least_ground(method))
            if small or not self._carries(edge.way, 2):
                return None
        raceways = self._survives(edges)
        if raceways is None or not self.keeps(edges):
            return None
        passages = self._passage_shares(edges)
        return {**raceways, **{name: share.survives for name, share in passages.items()}}

    def may_lie(self, edges: Iterable[Edge]) -> bool:
        """Whether conductors and grounds would do on all these ways."""
        return all(self.may_take(edge.way) for edge in edges)

    @property
    def asks_for_gfci(self) -> bool:
        """Whether some outlet of it is where the edition asks for a GFCI."""
        return self._needs_gfci

    def may_take(self, way: Way) -> bool:
        """Whether conductor and ground would do on a way with no others beside them."""
        bare = way.method == "cable" and self._cable_ground_too_small
        return not bare and self._carries(way, 2)

    def _too_hot(self) -> frozenset[tuple[str, float]]:
        """Methods and heats of ways between the circuit's enclosures that it may not take. [°C]"""
        names = sorted({self.panel, *boxes_of(self.load), *self.site.junctions})
        return frozenset(
            (way.method, way.ambient_c)
            for start, end in combinations(names, 2)
            for way in self.site.ways_between(start, end)
            if not self.may_take(way)
        )

    def _carries(self, way: Way, counted: int) -> bool:
        """Whether the conductor holds breaker and loads here with this many others."""
        return self.holds(way.method, way.ambient_c, counted)

    def holds(self, method: str, ambient_c: float, counted: int) -> bool:
        """Whether the conductor holds breaker and loads at a heat and beside so many others."""
        amps, enough = self._largest_breaker(self.awg, method, ambient_c, counted)
        return (enough or self._own_article(amps)) and max(
            self.load.weighted_amps, self.load.conductor_amps
        ) <= amps + 1e-9

    def _largest_breaker(
        self, awg: str, method: str, ambient_c: float, counted: int
    ) -> tuple[float, bool]:
        """Ampacity of a size, and whether it may be behind the breaker."""
        amps, largest = ampacity_and_breaker(
            awg,
            terminals_c(self.site.panels[self.panel], method),
            ambient_c,
            counted,
            self.load.receptacles > 1,
            self.site.shop.code.edition,
        )
        return amps, largest >= self.breaker_amps

    def _own_article(self, amps: float) -> bool:
        """Whether the article of the one machine there lets its conductors be this small."""
        if len(self.load.placed) != 1 or len(self.load.outlets) != 1:
            return False
        (name,) = self.load.placed
        edition = self.site.shop.code.edition
        largest = own_breaker_amps(self.site.points.machines[name], amps, edition)
        return largest is not None and self.breaker_amps <= largest

    def most_counted(self, way: Way) -> int:
        """The largest count of conductors together that these survive on a way; 0 for none."""
        where = way.method, way.ambient_c
        if where not in self._most:
            self._most[where] = next((n for n in RACEWAY_COUNTS if self._carries(way, n)), 0)
        return self._most[where]

    def _survives(self, edges: Iterable[Edge]) -> dict[str, int] | None:
        """Per raceway, the largest count its conductors survive; None when some run is too hot."""
        survives: dict[str, int] = {}
        for edge in edges:
            if edge.way.method == "cable":
                if not self._carries(edge.way, 2):
                    return None
                continue
            most = self.most_counted(edge.way)
            if not most:
                return None
            for raceway in edge.way.raceways:
                survives[raceway] = min(most, survives.get(raceway, most))
        return survives

    def drop_percent(self, edges: tuple[Edge, ...]) -> float:
        """Largest drop: the worst state at its own outlets, or 12 A at the farthest receptacle."""
        at: dict[str, float] = dict.fromkeys((edge.end for edge in edges), 0.0)
        for machine in self.load.running:
            at[self._box_of(self.load.placed[machine])] += self.load.amps[machine]
        for luminaire, amps in self.load.lights_amps.items():
            at[luminaire] += amps
        drops = list(self._drops(edges, at).values())
        if self.load.volts == 120 and self.load.receptacles:
            ohm = ohm_per_kft(self.awg)
            reach = self._reach_ft(edges)
            far = max(reach[p.box] for p in self.load.outlets if p.receptacles and p.box)
            drops.append(voltage_drop_v(ASSUMED_PLUG_LOAD_AMPS, far, ohm))
        return drop_percent(max(drops), self.load.volts)

    def _box_of(self, yoke_id: str) -> str:
        yoke = self.site.points.yokes.get(yoke_id)
        return yoke.box if yoke is not None and yoke.box is not None else yoke_id

    def _drops(self, edges: tuple[Edge, ...], at: Mapping[str, float]) -> dict[str, float]:
        """Drop from the panel to each box, currents summed up the tree. [V]"""
        flow = dict(at)
        for edge in reversed(edges):
            flow[edge.start] = flow.get(edge.start, 0.0) + flow[edge.end]
        drops, ohm = {self.panel: 0.0}, ohm_per_kft(self.awg)
        for edge in edges:
            lost = voltage_drop_v(flow[edge.end], edge.way.length_cft / 100, ohm)
            drops[edge.end] = drops[edge.start] + lost
        return drops

    def _reach_ft(self, edges: tuple[Edge, ...]) -> dict[str, float]:
        """Length of conductor from the panel to each box [ft]."""
        reach = {self.panel: 0.0}
        for edge in edges:
            reach[edge.end] = reach[edge.start] + edge.way.length_cft / 100
        return reach

    # -- ground-fault protection

    @cached_property
    def _needs_gfci(self) -> bool:
        return any(map(self._point_needs_gfci, self.load.outlets))

    def _point_needs_gfci(self, point: Point) -> bool:
        box = self.site.boxes[point.box or ""]
        building, edition = self.site.shop.building, self.site.shop.code.edition
        if point.kind == "hard-wired":
            return hard_wired_needs_gfci(
                building, edition, outdoors=box.outdoors, breaker_amps=self.breaker_amps
            )
        if point.configuration is None:
            return False
        if box.id in self.site.gfci_places and receptacle_needs_gfci(
            building, edition, point.configuration
        ):
            return True
        plugged = (
            self.site.points.machines[m] for m, at in self.load.placed.items() if at == point.id
        )
        return any(
            machine.kind == "vehicle charger" for machine in plugged
        ) and vehicle_receptacle_needs_gfci(edition, point.configuration)

    def _gfci(self, home: str) -> str | None:
        """Where the protection goes: first device, or breaker, whichever may be and costs less."""
        if not self._needs_gfci:
            return None
        wish = self.site.shop.code.gfci_at
        device = self._first_device(home)
        if device is None or wish == "breaker":
            return BREAKER
        breaker = self.breaker_cents(gfci=True)
        if wish == "device" or breaker is None:
            return device
        plain, at_device = self.breaker_cents(gfci=False), self._devices_cents(device)
        bare = self._devices_cents(None)
        if plain is None or at_device is None or bare is None:
            return BREAKER
        return device if plain + at_device < breaker + bare else BREAKER

    def _first_device(self, home: str) -> str | None:
        """The yoke that can protect all the rest: first on the home run, and readily reached."""
        here = [p for p in self.load.outlets if p.box == home and not p.switches]
        return here[0].id if here and self._may_hold_gfci(here[0]) else None

    def _may_hold_gfci(self, point: Point) -> bool:
        """Whether a GFCI device goes where a point is, in readily reached height."""
        box = self.site.boxes[point.box or ""]
        if box.id in self.site.closed:
            return False
        if box.ceiling is not None or self.site.shop.position(box)[2] > READILY_REACHED_FT:
            return False
        if point.kind != "receptacle" or point.volts != 120 or point.receptacles != 2:
            return False
        return self._device_cents(point, True) is not None

    # -- what it puts into boxes and raceways

    def _least_sides_in(self, edges: tuple[Edge, ...]) -> dict[str, float]:
        """Shortest side of each box with conductors so large that 314.28 sizes it. [in]"""
        if not needs_pull_box(self.awg):
            return {}
        return least_sides_in(self.site.shop, self.site.ways, edges)

    def _box_shares(self, edges: Iterable[Edge], sides: Mapping[str, float]) -> dict[str, BoxShare]:
        """Insulated conductors, devices and grounds per box, boxes passed through included."""
        each = 0 if needs_pull_box(self.awg) else volume(self.awg)
        conductors: dict[str, int] = {}
        grounds: dict[str, list[str]] = {}
        for edge in edges:
            ground = self.ground[edge.way.method]
            for end in (edge.start, edge.end):
                conductors[end] = conductors.get(end, 0) + edge.wires
                grounds.setdefault(end, []).append(ground)
            for box in edge.way.via:  # a conductor that passes counts once
                conductors[box] = conductors.get(box, 0) + edge.wires
                grounds.setdefault(box, []).append(ground)
        holding = [p.box for p in self.load.outlets if p.kind == "receptacle" and p.box]
        holding += [box for row in rows_of(self.load.outlets) for box in row.chain]
        devices = {box: 2 * holding.count(box) for box in holding}
        return {
            box: BoxShare(
                volume=(count + devices.get(box, 0)) * each,
                grounds=len(grounds[box]),
                ground_volume=max(volume(ground) for ground in grounds[box]),
                least_side_in=sides.get(box, 0.0),
            )
            for box, count in sorted(conductors.items())
            if box != self.panel
        }

    def _raceway_shares(
        self, edges: Iterable[Edge], survives: Mapping[str, int]
    ) -> dict[str, RacewayShare]:
        """Area and counted conductors per raceway."""
        shares: dict[str, RacewayShare] = {}
        for edge in edges:
            each = edge.wires * area(self.awg) + area(self.ground["raceway"])
            for name in edge.way.raceways:
                share = RacewayShare(each, edge.carrying, survives[name])
                shares[name] = share.beside(shares.get(name))
        return dict(sorted(shares.items()))

    def _passage_shares(self, edges: Iterable[Edge]) -> dict[str, PassageShare]:
        """Cables and counted conductors per passage."""
        shares: dict[str, PassageShare] = {}
        for edge in edges:
            survives = self.most_counted(edge.way)
            for name in edge.way.passages:
                share = PassageShare(1, edge.carrying, survives)
                shares[name] = share.beside(shares.get(name))
        return dict(sorted(shares.items()))
