"""Wiring one multiwire pair: its runs for given halves, checked half by half, and counted.

Each half carries its own current as if the other were off: voltage and conductors are then worst.
No device protects what lies behind it, where the neutral is shared: the breaker is a two-pole GFCI,
or every receptacle yoke has a GFCI of its own.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from models.formulas.conductors import circular_mils
from models.part_keys import HANDLE_TIE
from models.plan import Role
from solver.candidate import HOTS, Candidate, Edge, Half
from solver.devices import BREAKER
from solver.load import Load
from solver.priced_ways import PricedWays
from solver.site import Site
from solver.wiring import Wiring

Halves = tuple[tuple[frozenset[int], Load], tuple[frozenset[int], Load]]


def both(one: Load, other: Load) -> Load:
    """What two halves have together: points and machines of both, the larger currents."""
    heavier = max(one, other, key=lambda load: load.weighted_amps)
    return replace(
        heavier,
        points=(*one.points, *other.points),
        placed={**one.placed, **other.placed},
        amps={**one.amps, **other.amps},
        lights_amps={**one.lights_amps, **other.lights_amps},
        plain_amps=max(one.plain_amps, other.plain_amps),
        conductor_amps=max(one.conductor_amps, other.conductor_amps),
    )


class PairWiring(Wiring):
    """One way to build a pair; `load` is what both halves have together."""

    def __init__(
        self,
        site: Site,
        load: Load,
        breaker_amps: int,
        awg: str,
        allowed: frozenset[str],
        panel: str,
    ) -> None:
        super().__init__(site, load, breaker_amps, awg, allowed, panel)
        self.poles = 2
        self.roles = (*HOTS, "neutral")
        self.two_wire, self.priced = self.priced_for(2), self.priced_for(3)

    @cached_property
    def boxes(self) -> list[str]:
        """Boxes of both halves."""
        return sorted({point.box for point in self.load.outlets if point.box})

    @cached_property
    def carries_at_best(self) -> bool:
        """Whether the conductor may be behind the breaker in the coolest room."""
        room_c = self.site.room_c
        return any(self._largest_breaker(self.awg, m, room_c, 2)[1] for m in ("cable", "raceway"))

    def pair(
        self, runs: Sequence[tuple[str, str]] | None, halves: Halves, least: int
    ) -> Candidate | int | None:
        """The pair, None without a way or price, or what a refused one could not go below.

        `least`: what no tree of these conductors costs less than.
        """
        edges = self._along_ways(self.roles_along(runs or (), halves))
        return None if edges is None else self.laid_as_pair(edges, halves, least)

    def laid_as_pair(
        self, edges: tuple[Edge, ...], halves: Halves, least: int
    ) -> Candidate | int | None:
        """The same along given ways."""
        wired = [self._half(load) for _, load in halves]
        protection = self._protection()
        if protection is None:
            return None
        gfci, devices, parts_cents = protection
        least += 0 if self.site.copper_first else 100 * parts_cents
        mine = [tuple(e for e in edges if hot in e.roles) for hot in HOTS]
        survives = [half._survives(own) for half, own in zip(wired, mine, strict=True)]
        drops = self.drops_percent(edges, halves)
        if None in survives or not self.site.keeps_voltage(max(drops)):
            return least
        if any(self._ground_short(half, edges) for half in wired):
            return least
        prices = [self._ways(e).prices(e.way, self.site.slack_cft(e.start, e.end)) for e in edges]
        cost = sum(price[0] for price in prices if price) + 100 * parts_cents
        copper = sum(price[1] for price in prices if price)
        most: dict[str, int] = {}
        for counts in survives:
            for raceway, count in (counts or {}).items():
                most[raceway] = min(count, most.get(raceway, count))
        first = copper if self.site.copper_first else cost
        one, other = (
            Half(
                items=tuple(sorted(items)),
                load=load,
                gfci_at=tuple(p.id for p in load.outlets if p.id in devices),
                drop_percent=drop,
            )
            for (items, load), drop in zip(halves, drops, strict=True)
        )
        return Candidate(
            items=tuple(sorted((*one.items, *other.items))),
            panel=self.panel,
            volts=120,
            breaker_amps=self.breaker_amps,
            poles=2,
            gfci=gfci,
            awg=self.awg,
            edges=edges,
            load=both(one.load, other.load),
            ground=self.ground,
            drop_percent=max(drops),
            cost=cost,
            copper=copper,
            boxes=self._box_shares(edges, {}),
            raceways=self._raceway_shares(edges, most),
            passages=self._passage_shares(edges),
            halves=(one, other),
            tied=self._tied and gfci is None,
            floor=least if least < first else None,
        )

    def keeper(self, halves: Halves) -> Callable[[tuple[Edge, ...]], bool]:
        """Whether runs of these halves keep the voltage."""
        return lambda edges: self.site.keeps_voltage(max(self.drops_percent(edges, halves)))

    def _half(self, load: Load) -> Wiring:
        """A half as a circuit of two wires."""
        return Wiring(self.site, load, self.breaker_amps, self.awg, self.allowed, self.panel)

    def _ground_short(self, half: Wiring, edges: Sequence[Edge]) -> bool:
        """Whether a half asks for a larger ground than the pair has."""
        return any(
            circular_mils(self.ground[method]) < circular_mils(half._least_ground(method))
            for method in {edge.way.method for edge in edges}
        )

    # -- runs

    def _ways(self, edge: Edge) -> PricedWays:
        return self.priced if edge.shared else self.two_wire

    def roles_along(
        self, runs: Sequence[tuple[str, str]], halves: Halves
    ) -> dict[tuple[str, str], tuple[Role, ...]]:
        """Runs with the hots of the halves that have outlets at their end or beyond."""
        beyond: dict[str, set[Role]] = {}
        for (_, load), hot in zip(halves, HOTS, strict=True):
            for point in load.outlets:
                beyond.setdefault(point.box or "", set()).add(hot)
        for start, end in reversed(runs):
            beyond.setdefault(start, set()).update(beyond.get(end, set()))
        return {
            (start, end): (*(h for h in HOTS if h in beyond[end]), "neutral")
            for start, end in runs
            if beyond.get(end)  # nothing hangs on a junction box at an end
        }

    def _along_ways(
        self, roles: Mapping[tuple[str, str], tuple[Role, ...]]
    ) -> tuple[Edge, ...] | None:
        """Those runs along the cheapest ways; None without a way."""
        edges = []
        for (start, end), carried in roles.items():
            ways = self.priced if len(carried) == len(self.roles) else self.two_wire
            way = ways.way(start, end)
            if way is None:
                return None
            edges.append(Edge(start, end, way, carried))
        return tuple(edges) or None

    def drops_percent(self, edges: Sequence[Edge], halves: Halves) -> list[float]:
        """The largest voltage drop of each half. [%]"""
        return [
            self._half(load).drop_percent(tuple(e for e in edges if hot in e.roles))
            for (_, load), hot in zip(halves, HOTS, strict=True)
        ]

    # -- protection

    def _protection(self) -> tuple[str | None, frozenset[str], int] | None:
        """Where the GFCI is, which yokes hold one, and breaker and devices [cents]; what costs
        least of what the shop wishes. None without a price.
        """
        plain = self._plain_devices_cents
        if plain is None:
            return None
        joined = self._joined_cents()
        if not self._needs_gfci:
            return None if joined is None else (None, frozenset(), joined + plain)
        tripping = self.site.catalogue.breaker(self.breaker_amps, 2, True)
        devices = self._devices()
        wish = self.site.shop.code.gfci_at
        choices: list[tuple[int, str | None, frozenset[str]]] = []
        if devices is not None and joined is not None and wish != "breaker":
            cents = sum(
                (self._device_cents(p, True) or 0) - (self._device_cents(p, False) or 0)
                for p in self.load.outlets
                if p.id in devices
            )
            choices.append((joined + plain + cents, None, devices))
        if tripping is not None and not (wish == "device" and choices):
            choices.append((tripping + plain, BREAKER, frozenset()))
        if not choices:
            return None
        cents, gfci, held = min(choices, key=lambda choice: choice[0])
        return gfci, held, cents

    @property
    def _tied(self) -> bool:
        return self.site.shop.code.ties == "handle tie"

    def _joined_cents(self) -> int | None:
        """A two-pole breaker, or two of one pole with a tie where the shop says so."""
        catalogue = self.site.catalogue
        if not self._tied:
            return catalogue.breaker(self.breaker_amps, 2, False)
        single, tie = catalogue.breaker(self.breaker_amps, 1, False), catalogue.cents(HANDLE_TIE)
        return None if single is None or tie is None else 2 * single + tie

    def _devices(self) -> frozenset[str] | None:
        """The yokes that need a GFCI each; None where something else would need one."""
        needing = [point for point in self.load.outlets if self._point_needs_gfci(point)]
        if not all(map(self._may_hold_gfci, needing)):
            return None
        return frozenset(point.id for point in needing)
