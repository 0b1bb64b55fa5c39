"""What the supply alone shows before any plan is made: feeder, service and building disconnect.

The load calculation is taken as low as any plan may have it, so what is told here is in the way of
every plan. Remedies are sized for the highest it may be. Amperes.
"""

from collections.abc import Iterator
from typing import Final

from models.building_main import LARGEST_BACK_FED_AMPS, back_fed_main_amps
from models.formulas.feeders import MOST_DISCONNECTS
from models.rules.legs import panel_limit
from models.shop import Panel, Shop
from solver.causes import Cause, Remedy
from solver.feeder_remedies import feeder_remedies
from solver.load_calculation import FEEDER_VOLTS, calculated_va, least_va, likely_seats
from solver.panel import panels_behind

FEEDER_LOAD: Final = "feeder-load"  # causes are named as the rules that would find them
SERVICE_ROOM: Final = "service-room"
DISCONNECT: Final = "building-disconnect"
SERVICES_AMPS: Final = (100, 125, 150, 200, 400, 600, 800)  # common practice, no source
BUILDING_SWITCHES: Final = ("back-fed breaker", "separate switch")


def supply_causes(shop: Shop, least_handles: int) -> Iterator[Cause]:
    """Causes by the load calculation of the one feeder that carries all, and by its panel.

    The service waits for the feeder: what takes load off the one does so for the other.
    """
    inside = {panel.id for panel in shop.supply.panels}
    fed = [panel for panel in shop.supply.panels if panel.feeder.source not in inside]
    if len(fed) != 1 or panels_behind(shop, fed[0]) != inside:
        return
    panel = fed[0]
    least = least_va(shop) / FEEDER_VOLTS
    most = calculated_va(shop, likely_seats(shop)) / FEEDER_VOLTS
    limit, who = panel_limit(panel)
    if round(least) > limit:
        says = (
            f"the load calculation of the feeder of {panel.id} comes to {most:.0f} A of"
            f" {limit:g} A ({who})"
        )
        yield Cause(FEEDER_LOAD, panel.id, says, tuple(feeder_remedies(shop, panel, most)))
    else:
        yield from service_cause(shop, least, most)
    if least_handles > MOST_DISCONNECTS and not disconnects(shop, panel):
        yield disconnect_cause(shop, panel)


def service_cause(shop: Shop, least: float, most: float) -> Iterator[Cause]:
    """A service too small for the house and the shop."""
    service = shop.supply.service
    if service is None:
        return
    without, rating = service.calculated_load_amps, service.rating_amps
    if without + round(least) <= rating:
        return
    says = (
        f"the service: {without:g} A without the shop and {most:.0f} A for it ="
        f" {without + most:.0f} A of {rating:g} A (NEC 230.42(A); the house's load as measured, NEC"
        " 220.87, may be less than calculated)"
    )
    larger = next((amps for amps in SERVICES_AMPS if amps >= without + most), None)
    remedies = (
        Remedy(f"a service of {larger} A", (("supply.service.rating", f"{larger} A"),)),
    )  # fmt: skip
    yield Cause(SERVICE_ROOM, "service", says, remedies if larger else ())


def disconnects(shop: Shop, panel: Panel) -> bool:
    """Whether one thing disconnects the building of a panel, or none is asked for."""
    return (
        shop.building.attached
        or panel.main != "main lug"
        or panel.disconnect in BUILDING_SWITCHES
        or back_fed_main_amps(shop, panel) is not None
    )


def disconnect_cause(shop: Shop, panel: Panel) -> Cause:
    """Nothing that disconnects the building: a main in the panel, or a switch before it."""
    amps, path = panel.feeder.breaker_amps, f"supply.panels[{panel.id}]"
    says = (
        f"panel {panel.id} has main lugs, and nothing disconnects the building at once: more than"
        f" {MOST_DISCONNECTS} breakers would have to be thrown (NEC 225.31, 225.33)"
    )
    remedies = []
    if amps <= LARGEST_BACK_FED_AMPS:
        says_fed = f"a back-fed main breaker of {amps:g} A, held down: it takes two spaces"
        remedies.append(Remedy(says_fed, ((f"{path}.disconnect", "none"),)))
    else:
        says += f"; behind {amps:g} A no breaker is fed backwards as a main"
    main = ((f"{path}.main", f"{amps:g} A"), (f"{path}.disconnect", "main breaker"))
    remedies.append(Remedy(f"a panel with a main breaker of {amps:g} A", main))
    switch = f"a switch of {amps:g} A beside the panel that disconnects the building"
    remedies.append(Remedy(switch, ((f"{path}.disconnect", "separate switch"),)))
    return Cause(DISCONNECT, panel.id, says, tuple(remedies))
