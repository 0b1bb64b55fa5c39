"""What is done now for a machine that may come. Feet, USD."""

from typing import Any, Literal

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from models.plan.changeovers import Alternative
from models.plan.circuits import Run, Worst
from models.plan.part import Awg, Part, Xyz
from models.plan.takeoff import TakeoffLine


class EmptyRaceway(Part):
    """A raceway with a pull string that is laid now and left empty until the machine comes."""

    kind: str
    trade_size: str
    length_ft: float


class LaterCircuit(Part):
    """The circuit that the machine then gets, by itself in the heat of its way: one run."""

    breaker_amps: float
    poles: Literal[1, 2]
    breaker_gfci: bool
    awg: Awg
    ground_awg: Awg
    method: Literal["cable", "raceway"] = Field(
        description="Cable where one can go; through raceways of the shop it is counted as surface"
        " EMT of its own"
    )
    path: tuple[Xyz, ...]
    length_ft: float
    allowance_ft: float
    ambient_c: float
    drop_percent: float = Field(description="In its own conductors")


class HeldPlug(Part):
    """A receptacle that a machine is plugged into as it is, on a circuit that carries it too."""

    outlet: str
    circuit: str
    worst: Worst | None = Field(description="Of the circuit, with the machine on it")


class LaterMachinePlan(Part):
    """A machine that may come; `chosen` is one of the alternatives, of which there are none where
    no circuit of its own can be told: `why`.

    With a plug it is `held`, or has a receptacle of its own on that day: where a raceway or a run
    is laid now, that of `yoke`, which then leaves its circuit; else in a box set beside it.
    """

    machine: str
    box: str | None = Field(None, description="Where it is hard-wired, or has its receptacle")
    chosen: str | None
    choice: Literal["nothing", "space", "raceway", "run", "held"] | None
    alternatives: tuple[Alternative, ...]
    likelihood: float
    counted: float | None = Field(
        None,
        description="Part of a cost of the day that counts today, where the shop discounts what is"
        " paid later; left out: the likelihood",
    )
    panel: str | None = None
    panel_spaces: tuple[int, ...] = Field((), description="Kept for its breaker")
    circuit: LaterCircuit | None = None
    run: Run | None = Field(None, description="Pulled now, capped and marked at both ends")
    raceway: EmptyRaceway | None = None
    takeoff_now: tuple[TakeoffLine, ...] = Field((), description="Part of the plan's takeoff")
    takeoff: tuple[TakeoffLine, ...] = Field((), description="What the day asks to buy")
    why: str | None = None
    yoke: str | None = Field(None, description="In whose place, or beside which, its receptacle is")
    configuration: str | None = Field(None, description="Its receptacle, alone on its circuit")
    held: HeldPlug | None = None

    @property
    def changes_over(self) -> bool:
        """Whether a receptacle leaves its circuit for it on that day."""
        return self.yoke is not None and self.choice in ("raceway", "run")

    @property
    def share(self) -> float:
        """The part of a cost of the day that counts today."""
        return self.likelihood if self.counted is None else self.counted

    @property
    def counted_usd(self) -> float:
        """What its day counts today."""
        return self.share * sum(line.cost_usd for line in self.takeoff)

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `counted` where nothing is discounted, nor what is said of plugs alone."""
        optional = ("counted", "yoke", "configuration", "held")
        return {k: v for k, v in write(self).items() if v is not None or k not in optional}
