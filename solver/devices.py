"""Breaker and devices of one circuit: what they cost, and where its ground-fault protection goes.

NEC 210.8, by edition; in the first device or in the breaker, whichever may be and costs less.
Money in cents unless a name says otherwise.
"""

from collections.abc import Iterable
from functools import cached_property
from typing import Final, Literal

from models.gfci import (
    READILY_REACHED_FT,
    hard_wired_needs_gfci,
    receptacle_needs_gfci,
    vehicle_receptacle_needs_gfci,
)
from models.switching import box_of, configuration_of_switch, switch_kind
from solver.load import Load
from solver.points import Point
from solver.site import Site
from solver.switched import rows_of

BREAKER: Final = "breaker"


class Devices:
    """A load behind a breaker, with its receptacles and switches."""

    def __init__(self, site: Site, load: Load, breaker_amps: int) -> None:
        self.site, self.load, self.breaker_amps = site, load, breaker_amps
        self.poles: Literal[1, 2] = 1 if load.volts == 120 else 2

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

    # -- ground-fault protection

    @property
    def asks_for_gfci(self) -> bool:
        """Whether some outlet of it is where the edition asks for a GFCI."""
        return self._needs_gfci

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
