"""Multiwire circuits and yokes of two circuits, beyond what `claims` asks of a pair.

Source: NFPA 70 (2017, 2020, 2023) 210.4(A), 210.4(C), 210.7, 300.13(B).
"""

from collections.abc import Iterator
from itertools import combinations
from typing import Final

from models.plan import BoxPlan, CircuitPlan, Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

ONE_BELOW: Final = 2  # the next space of the same column
TWO_POLES: Final = 2

PANEL = RuleText(
    "multiwire-panel",
    "One panel for a multiwire circuit",
    "Both circuits that share a neutral come from the same panel.",
    "NEC 210.4(A)",
    "code",
)
LOADS = RuleText(
    "multiwire-loads",
    "What a multiwire circuit feeds",
    "A multiwire circuit feeds outlets from hot to neutral; one from hot to hot beside others needs"
    " a breaker that trips all hots together, for which a handle tie is not enough.",
    "NEC 210.4(C)",
    "code",
)
NEUTRAL = RuleText(
    "multiwire-neutral",
    "Neutral that no device carries on",
    "Taking out a device leaves the neutral of a multiwire circuit whole: where it goes on, it is"
    " spliced, with a pigtail to the device. Behind a GFCI device it is shared no more.",
    "NEC 300.13(B)",
    "code",
)
YOKE = RuleText(
    "one-yoke",
    "Two circuits on one yoke",
    "Two circuits on one yoke open together at the panel.",
    "NEC 210.7",
    "code",
)
RULES = registry(PANEL, LOADS, NEUTRAL, YOKE)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each shared neutral and each shared yoke that is not as it should be."""
    edition = reading.edition
    done: set[frozenset[str]] = set()
    for circuit in reading.plan.circuits:
        if circuit.is_mixed and (says_or_none := _both_voltages_fault(reading, circuit)):
            fix = "a two-pole breaker that trips both hots, or a circuit of its own for that outlet"
            yield LOADS.finding(circuit.id, says_or_none, edition=edition, fix=fix)
        if circuit.multiwire_with is None:
            continue
        other = reading.circuits[circuit.multiwire_with]
        if circuit.panel != other.panel:
            says = f"{circuit.id} comes from {circuit.panel}, {other.id} from {other.panel}"
            fix = f"both circuits in one panel, or a neutral of its own for {circuit.id}"
            yield PANEL.finding(circuit.id, says, edition=edition, fix=fix)
        if _line_to_line(reading, circuit) and not _trips_together(circuit, other):
            says = (
                f"{circuit.id} shares a neutral and feeds an outlet from hot to hot beside others"
            )
            fix = "a two-pole breaker that trips both hots, or a circuit of its own for that outlet"
            yield LOADS.finding(circuit.id, says, edition=edition, fix=fix)
        pair = frozenset({circuit.id, other.id})
        boxes = () if pair in done else reading.plan.boxes
        done.add(pair)
        for box in boxes:
            if _carried_on(box, pair):
                says = f"the neutral of {circuit.id} goes on through a device in {box.id}"
                fix = f"splice the neutrals in {box.id} and bring a pigtail to the device"
                yield NEUTRAL.finding(box.id, says, edition=edition, detail=circuit.id, fix=fix)
    yield from _yokes(reading)


def _both_voltages_fault(reading: Reading, circuit: CircuitPlan) -> str | None:
    """Why one circuit of two hots and a neutral may not serve both voltages; None when it may."""
    if not reading.shop.code.multiwire:
        return f"{circuit.id} is a multiwire circuit, which the shop does not say is allowed"
    if circuit.breaker.poles != TWO_POLES or circuit.breaker.handle_tie:
        return f"{circuit.id} feeds an outlet from hot to hot beside others, and trips one hot only"
    return None


def _line_to_line(reading: Reading, circuit: CircuitPlan) -> bool:
    """Whether a circuit feeds an outlet from hot to hot, and others."""
    outlets = reading.outlets_on(circuit)
    return len(outlets) > 1 and any(outlet.volts == 240 for outlet in outlets)


def _trips_together(circuit: CircuitPlan, other: CircuitPlan) -> bool:
    """Whether one breaker of two poles, no mere handle tie, protects both circuits."""
    breaker = circuit.breaker
    return breaker.poles == 2 and not breaker.handle_tie and breaker.spaces == other.breaker.spaces


def _carried_on(box: BoxPlan, pair: frozenset[str]) -> bool:
    """Whether two neutrals or more of a pair end in a box, and one of them on a device."""
    shared = any(c.role == "hot2" for c in box.conductors if c.circuit in pair)
    if not shared and any(yoke.gfci and yoke.circuit in pair for yoke in box.yokes):
        return False
    neutrals = [
        conductor.ends
        for conductor in box.conductors
        if conductor.circuit in pair
        and conductor.role == "neutral"
        and conductor.ends not in ("passes", "capped")
    ]
    return len(neutrals) > 1 and "on device" in neutrals


def _yokes(reading: Reading) -> Iterator[Finding]:
    """Yokes whose outlets are on circuits that do not open together."""
    on_yoke: dict[str, dict[str, CircuitPlan]] = {}
    for outlet in reading.plan.outlets:
        if outlet.yoke is not None:
            circuits = on_yoke.setdefault(outlet.yoke, {})
            circuits[outlet.circuit] = reading.circuits[outlet.circuit]
    for yoke, circuits in on_yoke.items():
        for one, other in combinations(circuits.values(), 2):
            if not _opens_together(one, other):
                yield YOKE.finding(
                    yoke,
                    f"{one.id} and {other.id} meet on yoke {yoke} and do not open together",
                    edition=reading.edition,
                    detail=f"{one.id}.{other.id}",
                    fix=f"a handle tie or a two-pole breaker for {one.id} and {other.id}",
                )


def _opens_together(one: CircuitPlan, other: CircuitPlan) -> bool:
    """Whether two breakers are one, or tied side by side."""
    if one.panel != other.panel:
        return False
    low, high = sorted((one.breaker.spaces[0], other.breaker.spaces[0]))
    tied = one.breaker.handle_tie and other.breaker.handle_tie and high - low == ONE_BELOW
    return tied or one.breaker.spaces == other.breaker.spaces
