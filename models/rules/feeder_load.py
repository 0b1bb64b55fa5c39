"""The load by article 220 against feeder breaker, main breaker, bus, legs and service. Amperes.

This is the code calculation: every machine counts, except what a listed interlock keeps off. What
runs together in the rules of use is another number (`legs`).
"""

from collections.abc import Iterator

from models.formulas.shop_feeder import HEAT
from models.plan import Finding
from models.rules.feeders import panels_before
from models.rules.legs import panel_limit
from models.rules.load_calculation import calculated_amps, leg_amps
from models.rules.reading import Reading, amps_text
from models.rules.rule import RuleText, registry
from models.shop import Panel

LOAD = RuleText(
    "feeder-load",
    "Calculated load of the feeder",
    "The load by article 220, continuous loads and the largest motor at 125 %, is within feeder"
    " breaker, main breaker and bus.",
    "NEC 215.3, 220.40, 408.36",
    "code",
)
LARGEST_CIRCUIT = RuleText(
    "feeder-largest-circuit",
    "Feeder and largest circuit",
    "Where there is fixed electric heat the feeder's breaker is no smaller than the largest branch"
    " circuit.",
    "NEC 220.51",
    "code",
)
BUS = RuleText(
    "panel-protection",
    "Protection of the panel",
    "A breaker no larger than its bus protects the panel: its main, or that of its feeder.",
    "NEC 408.36",
    "code",
)
LEGS = RuleText(
    "feeder-legs",
    "Calculated load of each leg",
    "What the load calculation puts on one leg alone, as Annex D Example D1(b) works it out, is"
    " within feeder breaker, main breaker and bus.",
    "NEC Annex D Example D1(b) (informative)",
    "habit",
)
SERVICE = RuleText(
    "service-room",
    "Room in the service",
    "The calculated load of the feeder and what the service carries without it are within the"
    " rating of the service.",
    "NEC 230.42(A), 230.79",
    "code",
)
RULES = registry(LOAD, LARGEST_CIRCUIT, BUS, LEGS, SERVICE)
LESS = (
    "a larger feeder and panel, a listed interlock between heavy machines, or the authority's word"
    " that it leaves out what nobody is there to attend (`noncoincident: attended`)"
)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each limit that the calculated load is over."""
    for panel in reading.shop.supply.panels:
        yield from _load(reading, panel)
        yield from _largest_circuit(reading, panel)
        yield from _bus(reading, panel)
    yield from _service(reading)


def _load(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A load over the least limit, or a leg that is over it while the whole is not."""
    amps, (limit, who) = calculated_amps(reading, panel.id), panel_limit(panel)
    if amps > limit:
        yield LOAD.finding(
            panel.id,
            f"the load calculation of the feeder of {panel.id} comes to {amps_text(amps)} of"
            f" {amps_text(limit)} ({who})",
            edition=reading.edition,
            found=float(amps),
            limit=limit,
            unit="A",
            fix=LESS,
        )
        return
    on_legs = {leg: leg_amps(reading, panel.id, leg) for leg in "AB"}
    for leg, on_leg in on_legs.items():
        if on_leg > limit:
            to_the_other = f"move 120 V circuits from leg {leg} to the other, or take "
            yield LEGS.finding(
                panel.id,
                f"leg {leg} of panel {panel.id} has {amps_text(on_leg)} of the load calculation,"
                f" {amps_text(limit)} ({who}) is the limit; spread over both legs it is"
                f" {amps_text(amps)}",
                edition=reading.edition,
                severity="note",
                detail=leg,
                found=float(on_leg),
                limit=limit,
                unit="A",
                fix=LESS if min(on_legs.values()) > limit else f"{to_the_other}a larger feeder",
            )


def _largest_circuit(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A branch circuit above the feeder where fixed heat is fed."""
    circuits = [
        circuit
        for circuit in reading.plan.circuits
        if panel in panels_before(reading.shop, circuit.panel)
    ]
    if not any(m.kind == HEAT for circuit in circuits for m in reading.machines_on(circuit)):
        return
    largest = max(circuits, key=lambda circuit: circuit.breaker.amps)
    if largest.breaker.amps > panel.feeder.breaker_amps:
        yield LARGEST_CIRCUIT.finding(
            panel.id,
            f"{largest.id} has a breaker of {amps_text(largest.breaker.amps)}, the feeder of"
            f" {panel.id} one of {amps_text(panel.feeder.breaker_amps)}",
            edition=reading.edition,
            found=panel.feeder.breaker_amps,
            limit=largest.breaker.amps,
            unit="A",
            fix="a larger feeder",
        )


def _bus(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A panel behind a breaker above its bus."""
    breakers = [panel.feeder.breaker_amps]
    if panel.main != "main lug":
        breakers.append(panel.main)
    protected = min(breakers)
    if protected > panel.bus_amps:
        yield BUS.finding(
            panel.id,
            f"panel {panel.id} has a bus of {amps_text(panel.bus_amps)} behind a breaker of"
            f" {amps_text(protected)}",
            edition=reading.edition,
            found=protected,
            limit=panel.bus_amps,
            unit="A",
            fix="a feeder breaker or a main breaker no larger than the bus, or another panel",
        )


def _service(reading: Reading) -> Iterator[Finding]:
    """A service with too little room for what hangs on it."""
    supply = reading.shop.supply
    if supply.service is None:
        return
    inside = {panel.id for panel in supply.panels}
    fed = [panel.id for panel in supply.panels if panel.feeder.source not in inside]
    shop = sum(calculated_amps(reading, panel) for panel in fed)
    total = supply.service.calculated_load_amps + shop
    if total > supply.service.rating_amps:
        yield SERVICE.finding(
            "service",
            f"{amps_text(supply.service.calculated_load_amps)} without the shop and"
            f" {amps_text(shop)} for it = {amps_text(total)} of a service of"
            f" {amps_text(supply.service.rating_amps)}",
            edition=reading.edition,
            found=total,
            limit=supply.service.rating_amps,
            unit="A",
            fix="a larger service, a measured load of the house (NEC 220.87), or " + LESS,
        )
