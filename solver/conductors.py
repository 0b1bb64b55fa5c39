"""The conductors of one circuit: whether size and ground do on the ways they take.

Ampacity and breaker by NEC 110.14(C), 240.4 and 310, grounds by 250.122, the voltage drop that the
shop wishes. Currents in A, lengths in feet unless a name says otherwise.
"""

from collections.abc import Iterable
from functools import cached_property
from itertools import combinations

from models.formulas.conductors import circular_mils, ohm_per_kft
from models.formulas.grounds import enlarged_ground_awg, equipment_ground_awg
from models.formulas.voltage_drop import drop_percent
from models.plan import Role
from solver.candidate import Edge
from solver.catalogue import CABLE_AWGS, LARGE_AWGS, cable_ground
from solver.devices import Devices
from solver.load import Load, boxes_of
from solver.nameplates import own_breaker_amps
from solver.routes import Way
from solver.site import Site
from solver.voltage import losses_of
from solver.wire_limits import RACEWAY_COUNTS, ampacity_and_breaker, terminals_c


class Conductors(Devices):
    """A load behind a breaker of a panel, on conductors of one size."""

    def __init__(self, site: Site, load: Load, breaker_amps: int, awg: str, panel: str) -> None:
        super().__init__(site, load, breaker_amps)
        self.awg, self.panel = awg, panel
        self._most: dict[tuple[str, float], int] = {}  # counted, by method and heat
        self.ground = {"cable": cable_ground(awg), "raceway": self._least_ground("raceway")}
        self.roles: tuple[Role, ...] = ("hot", "neutral" if self.poles == 1 else "hot2")

    # -- grounds

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

    # -- ampacity

    def may_take(self, way: Way) -> bool:
        """Whether conductor and ground would do on a way with no others beside them."""
        bare = way.method == "cable" and self._cable_ground_too_small
        return not bare and self._carries(way, 2)

    def may_lie(self, edges: Iterable[Edge]) -> bool:
        """Whether conductors and grounds would do on all these ways."""
        return all(self.may_take(edge.way) for edge in edges)

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

    # -- voltage drop

    def keeps(self, edges: tuple[Edge, ...]) -> bool:
        """Whether runs keep the voltage."""
        return self.site.keeps_voltage(self.drop_percent(edges))

    def drop_percent(self, edges: tuple[Edge, ...]) -> float:
        """Largest drop in any state, or of 12 A at the farthest receptacle."""
        runs = [(edge.start, edge.end, edge.way.length_cft / 100) for edge in edges]
        losses = losses_of(self.site.points, self.load, runs, ohm_per_kft(self.awg))
        return drop_percent(losses.most_v(self.site.loads), self.load.volts)
