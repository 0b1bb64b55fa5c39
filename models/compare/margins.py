"""Margins: the limit of each kind that a plan comes nearest to, and where. Shares of the limit.

Recomputed from the plan and its shop; a box is measured against the size that the plan gives it.
"""

from collections.abc import Iterator
from typing import Final, Literal

from pydantic import Field

from models.answers.binding import Bindings
from models.plan import Plan
from models.plan.part import Part
from models.rules.box_fill import fill_in3
from models.rules.legs import lights_on_leg, machines_on_leg, panel_limit
from models.rules.reading import Reading
from models.shop import Panel

Kind = Literal["load", "drop", "box", "raceway", "leg", "calculation"]
KINDS: Final[tuple[Kind, ...]] = ("load", "drop", "box", "raceway", "leg", "calculation")
OF_CIRCUITS: Final = {"load": "load", "drop": "drop", "raceway": "raceway"}
FEEDER_VOLTS: Final = 240


class Margin(Part):
    """One limit: how much of it is taken, and where."""

    kind: Kind
    where: str
    found: float
    limit: float
    unit: str
    share: float = Field(description="found / limit; above 1 it is exceeded")


def margins(reading: Reading) -> tuple[Margin, ...]:
    """The nearest limit of each kind that the plan has at all."""
    found: dict[str, Margin] = {}
    for one in _all(reading):
        if one.kind not in found or one.share > found[one.kind].share:
            found[one.kind] = one
    return tuple(found[kind] for kind in KINDS if kind in found)


def _all(reading: Reading) -> Iterator[Margin]:
    bindings = Bindings(reading)
    for circuit in reading.plan.circuits:
        for limit in bindings.limits(circuit):
            if limit.kind in OF_CIRCUITS:
                yield _margin(limit.kind, limit.where, limit.found, limit.limit, limit.unit)
    for box in reading.plan.boxes:
        if box.volume_in3:
            yield _margin("box", box.id, fill_in3(reading, box), box.volume_in3, "in³")
    for panel in reading.shop.supply.panels:
        yield _legs(reading, panel)
        yield from _calculation(reading.plan, panel)


def _legs(reading: Reading, panel: Panel) -> Margin:
    """The heavier leg of a panel in its worst state of a binding day."""
    limit, _ = panel_limit(panel)
    amps = max(
        reading.rules.worst(machines_on_leg(reading, panel.id, leg), crew).load
        + lights_on_leg(reading, panel.id, leg)
        for leg in "AB"
        for crew in reading.crews.values()
    )
    return _margin("leg", panel.id, amps, limit, "A")


def _calculation(plan: Plan, panel: Panel) -> Iterator[Margin]:
    """The load calculation of a feeder against its breaker."""
    for feeder in plan.feeders:
        if feeder.to == panel.id and feeder.load_calculation:
            amps = sum(line.va for line in feeder.load_calculation) / FEEDER_VOLTS
            yield _margin("calculation", panel.id, amps, panel.feeder.breaker_amps, "A")


def _margin(kind: str, where: str, found: float, limit: float, unit: str) -> Margin:
    return Margin.model_validate(
        {
            "kind": kind,
            "where": where,
            "found": round(found, 3),
            "limit": round(limit, 3),
            "unit": unit,
            "share": round(found / limit, 4) if limit else 0.0,
        }
    )
