"""The plan: the contract between solver, checks, sheets and anyone's script, version 1.

A plan stores claims; `models.rules` recomputes every one of them. Keys name their unit. Lengths
are multiples of 0.01 ft, currents of 0.001 A, money of 0.01 USD. What was not computed is null or
absent, never empty. Keys that a reader does not know are kept. Coordinates are [x, y, z] in feet.

A multiwire pair is two circuits that name each other by `multiwire_with`. Runs that carry both
hots (roles hot, hot2, neutral, ground) are listed once, all on the same one of the two: its hot is
`hot` everywhere, its partner's is `hot2`. Where only one of them goes on, the run has two wires and
is listed on that circuit. One two-pole breaker is stated by both alike, and `pole` says which of
its poles feeds each; two tied breakers have one pole each, side by side.
"""

from typing import Any, Literal

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from models.plan.boxes import BoxPlan, MachinePlan, MakeUp, OutletPlan, Splice, SwitchPlan, YokePlan
from models.plan.changeovers import Alternative, ChangeoverPlan
from models.plan.circuits import BreakerPlan, CircuitConductor, CircuitPlan, Conductor, Run, Worst
from models.plan.findings import Basis, Finding, Severity
from models.plan.later_machines import (
    EmptyRaceway,
    HeldPlug,
    LaidForLater,
    LaterCircuit,
    LaterMachinePlan,
)
from models.plan.origin import ChangedOver, MadeBy, Objective, PinPlan, PriceBookMark, Source, Stage
from models.plan.panels import Demand, FeederPlan, LegDemand, LoadLine, Main, PanelPlan, Space
from models.plan.part import NOW, THEN, Awg, Known, Life, Part, Role, Xyz
from models.plan.raceways import Content, Ledger, PassagePlan, RacewayPlan, RoomLeft
from models.plan.takeoff import CutPiece, PurchaseLine, TakeoffLine, Totals

__all__ = [
    "NOW",
    "PLAN_FORMAT",
    "THEN",
    "Alternative",
    "Awg",
    "Basis",
    "BoxPlan",
    "BreakerPlan",
    "ChangedOver",
    "ChangeoverPlan",
    "CircuitConductor",
    "CircuitPlan",
    "Conductor",
    "Content",
    "CutPiece",
    "Demand",
    "EmptyRaceway",
    "FeederPlan",
    "Finding",
    "HeldPlug",
    "Known",
    "LaidForLater",
    "LaterCircuit",
    "LaterMachinePlan",
    "Ledger",
    "LegDemand",
    "Life",
    "LoadLine",
    "MachinePlan",
    "MadeBy",
    "Main",
    "MakeUp",
    "Objective",
    "OutletPlan",
    "PanelPlan",
    "Part",
    "PassagePlan",
    "PinPlan",
    "Plan",
    "PriceBookMark",
    "PurchaseLine",
    "RacewayPlan",
    "Role",
    "RoomLeft",
    "Run",
    "Severity",
    "Source",
    "Space",
    "Splice",
    "Stage",
    "SwitchPlan",
    "TakeoffLine",
    "Totals",
    "Worst",
    "Xyz",
    "YokePlan",
]

PLAN_FORMAT = "branchwright-plan/1"


class Plan(Part):
    """A whole plan."""

    format: Literal["branchwright-plan/1"]
    made_by: MadeBy
    source: Source
    objective: Objective
    stages: tuple[Stage, ...]
    panels: tuple[PanelPlan, ...]
    feeders: tuple[FeederPlan, ...]
    boxes: tuple[BoxPlan, ...]
    outlets: tuple[OutletPlan, ...]
    machines: tuple[MachinePlan, ...]
    switches: tuple[SwitchPlan, ...]
    circuits: tuple[CircuitPlan, ...]
    removed: tuple[CircuitPlan, ...] | None = Field(
        None, description="Existing circuits that are taken apart; their boxes are on others"
    )
    raceways: tuple[RacewayPlan, ...]
    passages: tuple[PassagePlan, ...] | None = None
    legs: tuple[LegDemand, ...]
    changeovers: tuple[ChangeoverPlan, ...] | None = None
    later_machines: tuple[LaterMachinePlan, ...] | None = Field(
        None, description="What is done now for machines that may come; left out where none may"
    )
    pins: tuple[PinPlan, ...] = ()
    takeoff: tuple[TakeoffLine, ...]
    purchase: tuple[PurchaseLine, ...] | None = None
    totals: Totals
    findings: tuple[Finding, ...]

    @property
    def later_runs(self) -> tuple[Run, ...]:
        """Runs pulled now for machines that may come."""
        return tuple(one.run for one in self.later_machines or () if one.run is not None)

    @property
    def rooms(self) -> tuple[Run, ...]:
        """Runs of machines that may come, for which room is kept in raceways of the shop."""
        return tuple(one.room for one in self.later_machines or () if one.room is not None)

    @property
    def raceways_in_use(self) -> frozenset[str]:
        """Raceways in which a run lies or room is kept for one."""
        runs = [run for circuit in self.circuits for run in circuit.runs]
        return frozenset(name for run in (*runs, *self.rooms) for name in run.raceways)

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `later_machines` where no machine may come, as in older plans."""
        left_out = ("later_machines", None)
        return {key: value for key, value in write(self).items() if (key, value) != left_out}
