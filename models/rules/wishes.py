"""Wishes: what the owner and local answers ask of the grouping itself."""

from collections.abc import Iterator

from models.plan import Finding
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

WISHES = RuleText(
    "wishes",
    "What the owner asked for",
    "Yokes that the shop wants on one circuit or on different ones are; a local limit of receptacle"
    " yokes on a circuit is kept; pins are listed.",
    "shop file",
    "plan",
)
RULES = registry(WISHES)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each wish that the plan does not keep."""
    faults = (_apart, _together, _pinned, _chosen, _limit, _pins, _light_circuits)
    for where, says in (fault for find in faults for fault in find(reading)):
        fix = "plan the shop again, or change the wish in the shop file"
        yield WISHES.finding(where, says, edition=reading.edition, detail=says, fix=fix)


def _circuits_of(reading: Reading) -> dict[str, str | None]:
    """The circuit of each yoke, and of each luminaire by its box."""
    found = {yoke.id: yoke.circuit for box in reading.plan.boxes for yoke in box.yokes}
    found.update({o.box: o.circuit for o in reading.plan.outlets if o.kind == "luminaire"})
    return found


def _apart(reading: Reading) -> Iterator[tuple[str, str]]:
    """Members that share a circuit though they should not."""
    circuit = _circuits_of(reading)
    for members in reading.shop.apart():
        named = [circuit.get(member) for member in members]
        shared = {name for name in named if name is not None and named.count(name) > 1}
        for name in sorted(shared):
            yield members[0], f"{' and '.join(members)} are to be apart and share {name}"


def _together(reading: Reading) -> Iterator[tuple[str, str]]:
    """Members on different circuits though they should share one."""
    circuit = _circuits_of(reading)
    pins = reading.shop.pins
    for members in (*pins.together, *(pin.yokes for pin in pins.circuits)):
        named = sorted({circuit.get(member) or "none" for member in members})
        if len(named) > 1:
            yield members[0], f"{' and '.join(members)} are pinned together, on {', '.join(named)}"


def _pinned(reading: Reading) -> Iterator[tuple[str, str]]:
    """Circuits called pinned without a pin, or with one and not called so."""
    circuit = _circuits_of(reading)
    pinned = {circuit.get(group[0]) for group in reading.shop.pins.together if len(group) > 1}
    pinned |= {circuit.get(pin.yokes[0]) for pin in reading.shop.pins.circuits}
    for one in reading.plan.circuits:
        given = reading.existing.get(one.id)
        chosen = one.id in pinned and (given is None or given.may_change)
        if one.pinned != chosen:
            yield one.id, f"{one.id} is called {'' if one.pinned else 'not '}pinned"


def _chosen(reading: Reading) -> Iterator[tuple[str, str]]:
    """Breakers, conductors and spaces other than those that the owner has chosen."""
    of_yoke = _circuits_of(reading)
    for pin in reading.shop.pins.circuits:
        for yoke in pin.yokes:
            circuit = reading.circuits.get(of_yoke.get(yoke) or "")
            if circuit is None:
                yield yoke, f"{yoke} is pinned to a circuit and is on none"
                continue
            breaker = circuit.breaker
            for what, found, asked in (
                ("panel", circuit.panel, reading.shop.panel().id if pin.spaces else None),
                ("spaces", sorted(breaker.spaces), sorted(pin.spaces) or None),
                ("breaker [A]", breaker.amps, pin.breaker_amps),
                ("conductor", circuit.conductor.awg, pin.conductor),
            ):
                if asked is not None and found != asked:
                    yield yoke, f"{what} of {yoke} is pinned to {asked}, the plan says {found}"


def _light_circuits(reading: Reading) -> Iterator[tuple[str, str]]:
    """Fewer circuits with lights than the owner asks for."""
    lit = {o.circuit for o in reading.plan.outlets if o.kind == "luminaire"}
    wanted = reading.shop.code.light_circuits
    if lit and len(lit) < wanted:
        yield "lights", f"the lights are on {len(lit)} circuits, {wanted} are wished for"


def _limit(reading: Reading) -> Iterator[tuple[str, str]]:
    """Circuits with more receptacle yokes than the local limit."""
    most = reading.shop.code.receptacles_per_circuit
    for circuit in reading.worked_circuits:
        yokes = {outlet.yoke for outlet in reading.receptacles_on(circuit)}
        if most is not None and len(yokes) > most:
            yield circuit.id, f"{circuit.id} has {len(yokes)} receptacle yokes of {most} allowed"


def _pins(reading: Reading) -> Iterator[tuple[str, str]]:
    """Pins of the shop that the plan does not list as they are."""
    pins = reading.shop.pins
    asked = [("together", group) for group in pins.together]
    asked += [("apart", group) for group in pins.apart]
    asked += [("circuit", pin.yokes) for pin in pins.circuits]
    if asked != [(pin.kind, pin.members) for pin in reading.plan.pins]:
        yield "pins", "the plan does not list the pins of the shop"
