"""What is done now for a machine that may come. Feet, USD."""

from typing import Any, Final, Literal

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from models.plan.changeovers import Alternative
from models.plan.circuits import Run, Worst
from models.plan.part import Awg, Part, Xyz
from models.plan.takeoff import TakeoffLine

# what older plans do not have, nor those where it is of no use
LATER_KEYS: Final = ("counted", "room", "laid", "yoke", "configuration", "held")


class EmptyRaceway(Part):
    """A raceway with a pull string that is laid now and left empty until the machine comes."""

    kind: str
    trade_size: str
    length_ft: float
    string_ft: float | None = Field(
        None, description="Pull string, cut; left out in older plans, which counted none"
    )

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `string_ft` in older plans."""
        left_out = ("string_ft", None)
        return {key: value for key, value in write(self).items() if (key, value) != left_out}


class LaidForLater(Part):
    """A raceway of the shop that is laid now, or laid larger, because room is kept in it."""

    raceway: str
    trade_size: str
    instead_of: str | None = Field(
        None, description="The trade size that it would have otherwise; null: it would not be laid"
    )


class LaterCircuit(Part):
    """The circuit that the machine then gets, by itself in the heat of its way: one run."""

    breaker_amps: float
    poles: Literal[1, 2]
    breaker_gfci: bool
    awg: Awg
    ground_awg: Awg
    method: Literal["cable", "raceway"] = Field(
        description="Cable where one can go; through raceways of the shop in which no room is kept"
        " it is counted as surface EMT of its own"
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
    is laid now, or room kept, in the place of `yoke`; else there, or in a box beside `box`.
    """

    machine: str
    box: str | None = Field(None, description="Where it is hard-wired, or has its receptacle")
    chosen: str | None
    choice: Literal["nothing", "space", "raceway", "room", "run", "held"] | None
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
    room: Run | None = Field(
        None,
        description="Drawn in on its day through raceways of the shop: room is kept for it there,"
        " with a pull string as long as its cut",
    )
    laid: tuple[LaidForLater, ...] = Field(
        (),
        description="Of several machines with room in a raceway each tells what comes to those"
        " before it",
    )
    takeoff_now: tuple[TakeoffLine, ...] = Field((), description="Part of the plan's takeoff")
    takeoff: tuple[TakeoffLine, ...] = Field((), description="What the day asks to buy")
    why: str | None = None
    yoke: str | None = Field(
        None, description="It then leaves its circuit, and its place is for this one"
    )
    configuration: str | None = Field(None, description="Its receptacle, alone on its circuit")
    held: HeldPlug | None = None

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
        """Without those of `LATER_KEYS` that say nothing."""
        told = write(self)
        silent = [
            key for key in LATER_KEYS if told[key] is None or (key == "laid" and not self.laid)
        ]
        return {key: value for key, value in told.items() if key not in silent}
