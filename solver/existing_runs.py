"""Runs that are there: where the owner says they lie, or else where they most likely do."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from models.formulas.grounds import equipment_ground_awg
from models.plan import Known, Role
from models.shop import Box, ExistingCircuit, ExistingRun
from solver.routes import Way, Ways


@dataclass(frozen=True)
class ExistingLeg:
    """One existing run: its ends, its way, and what is in it as far as anybody knows."""

    start: str
    end: str
    way: Way
    roles: tuple[Role, ...]
    length_cft: int
    method: Literal["cable", "raceway", "unknown"]
    in_raceway: bool
    known: Known


def ground_of(circuit: ExistingCircuit) -> str:
    """Ground that the breaker of an existing circuit asks for."""
    return equipment_ground_awg(circuit.breaker_amps)


def existing_legs(ways: Ways, circuit: ExistingCircuit) -> Iterator[ExistingLeg]:
    """The runs that the owner describes, or else from box to box as the circuit feeds them."""
    legs = circuit.runs or [
        ExistingRun.model_construct(start=start, end=end, raceways=(), by=(), length_ft=None)
        for start, end in pairwise((circuit.panel, *circuit.feeds))
    ]
    for leg in legs:
        yield _existing_leg(ways, circuit, leg)


def _existing_leg(ways: Ways, circuit: ExistingCircuit, leg: ExistingRun) -> ExistingLeg:
    way = _existing_way(ways, leg)
    end = ways.shop.enclosures[leg.end]
    switch = end.switch_box if isinstance(end, Box) else None
    second: Role = "hot2" if len(circuit.spaces) == 2 else "neutral"
    first: Role = "switched" if switch is not None and switch in circuit.feeds else "hot"
    seen = bool(circuit.runs) and (leg.known or circuit.known) != "unknown"
    sure = way.raceways or (way.method == "cable" and (seen or not circuit.runs))
    return ExistingLeg(
        start=leg.start,
        end=leg.end,
        way=way,
        roles=(first, second),
        length_cft=way.length_cft if leg.length_ft is None else round(100 * leg.length_ft),
        method=way.method if sure else "unknown",
        in_raceway=seen and bool(way.raceways),
        known=circuit.known if not circuit.runs or leg.known is None else leg.known,
    )


def _existing_way(ways: Ways, leg: ExistingRun) -> Way:
    """Where an existing run lies: as given, else the first way there is, else along walls."""
    if leg.raceways and (way := ways.through(leg.start, leg.raceways)):
        return way
    if leg.by:
        return ways.given(leg.start, leg.end, leg.by)
    found = next(iter(ways.between(leg.start, leg.end)), None)
    return found or ways.along_walls(leg.start, leg.end)
