"""Breakers of a panel that feed no circuit: a back-fed main, and those of feeders. Amperes."""

from collections.abc import Iterator
from typing import NamedTuple

from branchwright.measures import length_words
from models.building_main import MAIN
from models.plan import PanelPlan, Plan


class OtherBreaker(NamedTuple):
    """Such a breaker: its spaces, and in words what it is for."""

    spaces: tuple[int, ...]
    amps: float
    says: str
    under: str


def other_breakers(plan: Plan, panel: PanelPlan) -> tuple[OtherBreaker, ...]:
    """Those of one panel, in the order of their spaces."""
    return tuple(sorted(_all(plan, panel)))


def _all(plan: Plan, panel: PanelPlan) -> Iterator[OtherBreaker]:
    if spaces := _spaces(panel, MAIN):
        amps = panel.main.amps or 0.0
        yield OtherBreaker(spaces, amps, "main of the building", "fed backwards, held down")
    for feeder in plan.feeders:
        if feeder.source == panel.id and (spaces := _spaces(panel, feeder.to)):
            conductors = f"feeder, {length_words(feeder.length_ft)}"
            yield OtherBreaker(spaces, feeder.breaker_amps, f"feeds panel {feeder.to}", conductors)


def _spaces(panel: PanelPlan, name: str) -> tuple[int, ...]:
    """Spaces that are held for a breaker."""
    return tuple(space.space for space in panel.spaces if space.reserved_for == name)
