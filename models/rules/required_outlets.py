"""Outlets that a dwelling's garage or accessory building must have, whoever wished for them. Feet.

A vehicle bay is a zone for vehicles, or else what lies behind an overhead door; a wide door is two
bays. What belongs to an attached building may hang on circuits of the house that no shop file of
the workshop shows: there a missing outlet is a warning and no violation.
"""

from collections.abc import Iterator
from math import dist
from typing import Final, NamedTuple

from models.formulas.receptacles import receptacle
from models.gfci import READILY_REACHED_FT
from models.plan import CircuitPlan, Finding, OutletPlan, Severity
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry
from models.shop import Building, Opening, Point

BAY_TOP_FT: Final = 5.5  # 210.52(G)(1)
GARAGE_CIRCUIT_AMPS: Final = 20
TWO_BAYS_FT: Final = 14.0  # an overhead door so wide takes two cars; common practice, no source

BAY = RuleText(
    "garage-receptacle",
    "A receptacle in every vehicle bay",
    "Each vehicle bay of a dwelling's garage has a 125 V receptacle of 15 or 20 A, not more than"
    " 5-1/2 ft above the floor.",
    "NEC 210.52(G)(1)",
    "code",
)
CIRCUIT = RuleText(
    "garage-branch-circuit",
    "Receptacle circuit of a garage",
    "A dwelling's garage has a 120 V 20 A circuit for receptacles that feeds nothing else, no"
    " lights above all; since 2020 it feeds one in every vehicle bay. It may also feed some"
    " outdoors.",
    "NEC 210.11(C)(4)",
    "code",
)
BUILDING = RuleText(
    "accessory-building-receptacle",
    "A receptacle in an accessory building",
    "An accessory building of a dwelling that has power has a 125 V receptacle of 15 or 20 A.",
    "NEC 210.52(G)(2)",
    "code",
)
LIGHT = RuleText(
    "lighting-outlet",
    "A light with a switch on the wall",
    "A dwelling's garage, and since 2023 its accessory building too, has a lighting outlet inside"
    " that a switch on the wall controls.",
    "NEC 210.70(A)(2)",
    "code",
)
ENTRANCE = RuleText(
    "entrance-light",
    "Lights outside doors",
    "Each door of a dwelling's garage that leads outdoors at grade has a lighting outlet on its"
    " outer side; an overhead door for vehicles is no such door.",
    "NEC 210.70(A)(2)",
    "code",
)
RULES = registry(BAY, CIRCUIT, BUILDING, LIGHT, ENTRANCE)


class GarageCircuit(NamedTuple):
    """What 210.11(C)(4) says in one edition: of which receptacles, and what else may be on it."""

    in_every_bay: bool
    any_outdoors: bool  # else only what is readily reached
    equipment_in_one_bay: bool  # hard-wired, where the garage has a single bay


GARAGE_CIRCUIT: Final = {
    2017: GarageCircuit(False, False, False),
    2020: GarageCircuit(True, False, False),
    2023: GarageCircuit(True, True, True),
}
SWITCHED_LIGHT: Final = {
    2017: frozenset({"garage"}),
    2020: frozenset({"garage"}),
    2023: frozenset({"garage", "accessory building"}),
}


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each outlet and circuit that must be there and is not."""
    building = reading.shop.building
    if not building.dwelling:
        return
    if building.kind == "garage":
        yield from _bays(reading)
        yield from _circuit(reading)
        yield from _entrances(reading)
    elif building.kind in ("accessory building", "shop") and not _general(reading):
        yield BUILDING.finding(
            building.kind,
            f"no 125 V receptacle of 15 or 20 A is inside{_perhaps_of_house(building)}",
            edition=reading.edition,
            severity=_severity(building),
            fix="add one",
        )
    if building.kind in SWITCHED_LIGHT[reading.edition]:
        yield from _light(reading)


def bays(building: Building) -> tuple[Point, ...]:
    """The middle of every vehicle bay, or of the part of its door. [ft]"""
    zones = [zone for zone in building.zones if "vehicles" in zone.kinds]
    if zones:
        return tuple(
            ((zone.low[0] + zone.high[0]) / 2, (zone.low[1] + zone.high[1]) / 2) for zone in zones
        )
    doors = [opening for opening in building.openings if opening.kind == "overhead door"]
    return tuple(point for door in doors for point in _behind(building, door))


def _behind(building: Building, door: Opening) -> Iterator[Point]:
    """The middle of an overhead door, or of both halves of a wide one."""
    low, high = sorted(door.between)
    shares = (0.25, 0.75) if high - low >= TWO_BAYS_FT else (0.5,)
    for share in shares:
        along = low + share * (high - low)
        yield building.on_wall(door.wall, along, along)


def _general(reading: Reading) -> list[OutletPlan]:
    """The 125 V receptacles of 15 and 20 A inside."""
    return [
        outlet
        for outlet in reading.plan.outlets
        if outlet.configuration is not None
        and (found := receptacle(outlet.configuration)).volts == 120
        and found.amps <= 20
        and not reading.box_of_shop(outlet).outdoors
    ]


def _by_bay(reading: Reading) -> dict[Point, list[OutletPlan]]:
    """The receptacles that count for each vehicle bay: low ones, each for the nearest bay."""
    found: dict[Point, list[OutletPlan]] = {bay: [] for bay in bays(reading.shop.building)}
    for outlet in _general(reading):
        x, y, z = reading.shop.position(reading.box_of_shop(outlet))
        if found and z <= BAY_TOP_FT:
            found[min(found, key=lambda bay: dist(bay, (x, y)))].append(outlet)
    return found


def _bays(reading: Reading) -> Iterator[Finding]:
    """Vehicle bays without a receptacle."""
    building = reading.shop.building
    for number, (bay, outlets) in enumerate(_by_bay(reading).items(), 1):
        if not outlets:
            x, y = bay
            yield BAY.finding(
                building.kind,
                f"the vehicle bay at [{x:g} ft, {y:g} ft] has no receptacle up to 5-1/2 ft above"
                f" the floor{_perhaps_of_house(building)}",
                edition=reading.edition,
                severity=_severity(building),
                detail=f"bay {number}",
                fix="add a 125 V receptacle there",
            )


def _circuit(reading: Reading) -> Iterator[Finding]:
    """A garage without its receptacle circuit, or with a bay that the circuit leaves out."""
    for detail, says, fix in garage_faults(reading, serving_garage(reading)):
        yield CIRCUIT.finding(
            reading.shop.building.kind, says, edition=reading.edition, detail=detail, fix=fix
        )


def serving_garage(reading: Reading) -> set[str]:
    """The circuits that are the receptacle circuit of a garage."""
    return {circuit.id for circuit in reading.plan.circuits if _serves_garage(reading, circuit)}


def garage_faults(reading: Reading, serving: set[str]) -> Iterator[tuple[str, str, str]]:
    """What is wrong where these are the garage's receptacle circuits: where, what, its remedy."""
    if not serving:
        says = "no 120 V 20 A circuit feeds the garage's receptacles and nothing else"
        fix = "a 20 A circuit for 120 V receptacles inside, without lights or hard-wired loads"
        yield "", says, fix
    elif GARAGE_CIRCUIT[reading.edition].in_every_bay:
        for number, (bay, outlets) in enumerate(_by_bay(reading).items(), 1):
            if outlets and serving.isdisjoint(outlet.circuit for outlet in outlets):
                x, y = bay
                says = (
                    f"no receptacle of the vehicle bay at [{x:g} ft, {y:g} ft] is on a 120 V 20 A"
                    " circuit that feeds receptacles only"
                )
                fix = "put one of its receptacles on the garage's receptacle circuit"
                yield f"bay {number}", says, fix


def _serves_garage(reading: Reading, circuit: CircuitPlan) -> bool:
    """Whether a circuit is the one asked for: receptacles, one of them inside, nothing else."""
    edition = GARAGE_CIRCUIT[reading.edition]
    wired = edition.equipment_in_one_bay and len(bays(reading.shop.building)) == 1
    outlets = reading.outlets_on(circuit)
    general = {outlet.id for outlet in _general(reading)}
    return (
        circuit.volts == 120
        and circuit.breaker.amps == GARAGE_CIRCUIT_AMPS
        and all(o.kind == "receptacle" or (wired and o.kind == "hard-wired") for o in outlets)
        and all(edition.any_outdoors or _reached(reading, outlet) for outlet in outlets)
        and any(outlet.id in general for outlet in outlets)
    )


def _reached(reading: Reading, outlet: OutletPlan) -> bool:
    """Whether an outlet is inside, or outdoors where a person readily reaches it."""
    box = reading.box_of_shop(outlet)
    return not box.outdoors or reading.shop.position(box)[2] <= READILY_REACHED_FT


def _light(reading: Reading) -> Iterator[Finding]:
    """No lighting outlet inside that a switch on the wall controls."""
    building = reading.shop.building
    lights = [box for box in reading.shop.boxes if box.luminaire_watts is not None]
    inside = [box for box in lights if not box.outdoors]
    if any(box.switched_by for box in inside):
        return
    yield LIGHT.finding(
        building.kind,
        f"no light inside is on a switch on the wall{_perhaps_of_house(building)}",
        edition=reading.edition,
        severity="warning" if inside else _severity(building),
        fix="say in the shop file which switch controls it"
        if inside
        else "add a light inside with a switch on the wall",
    )


def _entrances(reading: Reading) -> Iterator[Finding]:
    """Doors to the outside without a light on their outer side."""
    building = reading.shop.building
    lit = {b.wall for b in reading.shop.boxes if b.outdoors and b.luminaire_watts is not None}
    certain = not building.attached and building.floor == "at or below grade"
    for door in building.openings:
        if door.kind != "door" or building.is_partition(door.wall) or door.wall in lit:
            continue
        if certain:
            says = f"no light is outside of {door.id}, on wall {door.wall}"
            fix = f"add a light outside of {door.id}"
        else:
            says = f"no light is outside of {door.id}: if it leads outdoors, one is asked for"
            fix = f"look where {door.id} leads, and whether a light of the house is there"
        yield ENTRANCE.finding(
            door.id,
            says,
            edition=reading.edition,
            severity="violation" if certain else "note",
            fix=fix,
        )


def _severity(building: Building) -> Severity:
    """How sure it is that something is missing."""
    return "warning" if building.attached else "violation"


def _perhaps_of_house(building: Building) -> str:
    """What may hide an outlet of an attached building from the shop file."""
    return "; a circuit of the house may serve it" if building.attached else ""
