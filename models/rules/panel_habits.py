"""Habits of the trade about a panel: legs loaded alike, room left for later. Amperes.

None of them is law; what the owner wished for is asked by other rules and comes before them.
"""

from collections.abc import Iterator
from typing import Final

from models.plan import CircuitPlan, Finding
from models.rules.legs import lights_on_leg, machines_on_leg, panel_limit
from models.rules.panel_spaces import leg_of
from models.rules.reading import Reading, amps_text, machine_amps
from models.rules.rule import SAME_AMPS, RuleText, registry
from models.shop import Panel

UNEQUAL: Final = 0.20  # of the heavier leg; common practice, no source
WORTH_MOVING: Final = 0.10  # less gained than this is not worth a word
SPARE: Final = 0.20  # 20 to 25 % are usual; common practice, no source
SOURCE: Final = "common practice, no source"

BALANCE = RuleText(
    "leg-balance",
    "Legs loaded alike",
    "In the states that load them most the two legs differ by no more than 20 % of the heavier one,"
    " as far as another place for one 120 V breaker can bring that about.",
    SOURCE,
    "habit",
)
ROOM = RuleText(
    "spare-room",
    "Room for later",
    "A fifth of the panel's spaces is free, unless the owner says how many, and a fifth of the"
    " feeder's current is left in every working state, or the part that the owner wishes.",
    SOURCE,
    "habit",
)
RULES = registry(BALANCE, ROOM)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a note for legs that could be more alike, and for a panel or feeder that is full."""
    for panel in reading.shop.supply.panels:
        yield from _balance(reading, panel)
    yield from _spaces(reading)
    for panel in reading.shop.supply.panels:
        yield from _current(reading, panel)


def _machines(reading: Reading, circuit: CircuitPlan) -> dict[str, float]:
    """Machines of a circuit with their current. [A]"""
    return {machine.id: machine_amps(machine) for machine in reading.machines_on(circuit)}


def _balance(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """The breaker of a panel whose move to the other leg would help most."""
    legs = {leg: _loads(reading, panel, leg) for leg in "AB"}
    amps = {leg: _worst_amps(reading, *loads) for leg, loads in legs.items()}
    heavy, light = sorted("AB", key=lambda leg: -amps[leg])
    if amps[heavy] - amps[light] <= UNEQUAL * amps[heavy] + SAME_AMPS:
        return
    best: tuple[float, float, str] | None = None
    for circuit in reading.new_circuits:
        if circuit.panel != panel.id or not _movable(circuit, heavy):
            continue
        moved, lights = _machines(reading, circuit), reading.luminaire_amps(circuit)
        staying = {name: load for name, load in legs[heavy][0].items() if name not in moved}
        left = _worst_amps(reading, staying, legs[heavy][1] - lights)
        there = _worst_amps(reading, legs[light][0] | moved, legs[light][1] + lights)
        found = left, there, circuit.id
        best = found if best is None or max(left, there) < max(best[:2]) else best
    if best is not None and max(best[:2]) <= (1 - WORTH_MOVING) * amps[heavy]:
        left, there, name = best
        yield BALANCE.finding(
            name,
            f"leg {heavy} carries up to {amps_text(amps[heavy])}, leg {light}"
            f" {amps_text(amps[light])}; with {name} on leg {light} it would be"
            f" {amps_text(left)} and {amps_text(there)}",
            edition=reading.edition,
            severity="note",
            fix=f"exchange {name} with a breaker on leg {light} that carries little",
        )


def _movable(circuit: CircuitPlan, leg: str) -> bool:
    """Whether a breaker takes one space of a leg and may be put elsewhere."""
    breaker = circuit.breaker
    single = breaker.poles == 1 and breaker.kind != "tandem" and circuit.multiwire_with is None
    return single and leg_of(breaker.spaces[0]) == leg


def _worst_amps(reading: Reading, machines: dict[str, float], lights_amps: float) -> float:
    """Most that machines and lights draw together on any binding day. [A]"""
    worst = reading.worst(machines, lights_amps)
    return worst.amps if worst else lights_amps


def _spaces(reading: Reading) -> Iterator[Finding]:
    """Panels with few free spaces, where the owner wished for no number of them."""
    if reading.shop.later.spare_spaces:
        return
    for panel in reading.plan.panels:
        used = {entry.space for entry in panel.spaces if entry.circuit is not None}
        spaces = {entry.space for entry in panel.spaces}
        free = len(spaces - used)
        if free < SPARE * len(spaces):
            yield ROOM.finding(
                panel.id,
                f"{free} of {len(spaces)} spaces of panel {panel.id} are free; a fifth is usual",
                edition=reading.edition,
                severity="note",
                detail="spaces",
                found=float(free),
                limit=SPARE * len(spaces),
                unit="spaces",
                fix="a panel with more spaces, or say in `later.spare_spaces` how many you want",
            )


def _loads(reading: Reading, panel: Panel, leg: str) -> tuple[dict[str, float], float]:
    """Machines on a leg, and its lights. [A]"""
    return machines_on_leg(reading, panel.id, leg), lights_on_leg(reading, panel.id, leg)


def _current(reading: Reading, panel: Panel) -> Iterator[Finding]:
    """A feeder that some state loads nearly fully, or beyond the part that is wished free."""
    wish = reading.shop.later.spare_capacity
    limit, who = panel_limit(panel)
    for leg in "AB":
        amps = _worst_amps(reading, *_loads(reading, panel, leg))
        most = (1 - (SPARE if wish is None else wish)) * limit
        if most + SAME_AMPS < amps <= limit + SAME_AMPS:
            asked = "a fifth is usual" if wish is None else f"{100 * wish:g} % is wished"
            yield ROOM.finding(
                panel.id,
                f"leg {leg} carries up to {amps_text(amps)} of {amps_text(limit)} ({who}): "
                f"{100 * (1 - amps / limit):.0f} % left, {asked}",
                edition=reading.edition,
                severity="note" if wish is None else "warning",
                detail=f"leg {leg}",
                found=amps,
                limit=most,
                unit="A",
                fix="less at once, or ask the electrician what a larger feeder would take",
            )
            return
