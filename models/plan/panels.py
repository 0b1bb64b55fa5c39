"""Panels with their spaces, feeders, and what loads them most. Currents in A."""

from typing import Literal

from pydantic import Field

from models.formulas.load_calculation import feeder_amps
from models.plan.part import Part, Xyz


class Space(Part):
    """One place in a panel. A tandem puts two circuits, halves a and b, in one space."""

    space: int = Field(ge=1)
    leg: Literal["A", "B"]
    pole: int | None = None
    circuit: str | None = None
    tandem: Literal["a", "b"] | None = None
    reserved_for: str | None = None


class Main(Part):
    """Main breaker, lugs only, or a main to be added: fed backwards, in two of the spaces."""

    kind: Literal["breaker", "lug", "back-fed"]
    amps: float | None


class PanelPlan(Part):
    """A panel with all its spaces in order."""

    id: str
    place: Xyz
    bus_amps: float
    main: Main
    terminals_c: Literal[60, 75]
    spaces: tuple[Space, ...]


class Demand(Part):
    """The worst state of a day at a panel or feeder, by leg."""

    day: str
    state: tuple[str, ...]
    a_amps: float
    b_amps: float


class LegDemand(Demand):
    """The worst state of a day on the legs of one panel."""

    panel: str


class LoadLine(Part):
    """One line of a load calculation."""

    says: str
    va: int
    source: str


class FeederPlan(Part):
    """What feeds a panel."""

    id: str
    source: str
    to: str
    breaker_amps: float
    length_ft: float
    conductors: dict[str, str]
    load_calculation: tuple[LoadLine, ...] | None
    demand: tuple[Demand, ...]

    @property
    def calculated_va(self) -> int:
        """The sum of the load calculation; 0 of a feeder without one. [VA]"""
        return sum(line.va for line in self.load_calculation or ())

    @property
    def calculated_amps(self) -> int:
        """The same at 240 V, nominal. [A]"""
        return feeder_amps(self.calculated_va)
