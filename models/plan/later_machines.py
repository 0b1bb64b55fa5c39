"""What is done now for a machine that may come. Feet, USD."""

from typing import Any, Final, Literal

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from models.plan.changeovers import Alternative
from models.plan.circuits import Run
from models.plan.part import Awg, Part, Xyz
from models.plan.takeoff import TakeoffLine

LATER_KEYS: Final = ("counted", "room", "laid")  # what older plans do not have


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


class LaterMachinePlan(Part):
    """A machine that may come; `chosen` is one of the alternatives, of which there are none where
    no circuit of its own can be told: `why`.
    """

    machine: str
    box: str | None = Field(None, description="Where it is hard-wired")
    chosen: str | None
    choice: Literal["nothing", "space", "raceway", "room", "run"] | None
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
        """Without `counted` where nothing is discounted, `room` and `laid` where there is none."""
        told = write(self)
        found = self.counted, self.room, self.laid or None
        left_out = [key for key, value in zip(LATER_KEYS, found, strict=True) if value is None]
        return {key: value for key, value in told.items() if key not in left_out}
