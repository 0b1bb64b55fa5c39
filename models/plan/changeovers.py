"""What is done now for the day when a machine changes."""

from typing import Any

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from models.plan.part import Part
from models.plan.takeoff import TakeoffLine


class Alternative(Part):
    """One way to prepare for a changeover."""

    says: str
    cost_now_usd: float = Field(description="More than the least circuit that prepares nothing")
    cost_later_usd: float = Field(description="On the day")
    expected_usd: float | None = Field(None, description="Now, and the day as it counts")


class ChangeoverPlan(Part):
    """The day a machine changes voltage, amperes or place; `chosen` is one of the alternatives."""

    machine: str
    chosen: str
    alternatives: tuple[Alternative, ...]
    spare_runs: tuple[str, ...] = Field(description="Runs with a spare that the day puts to use")
    panel_spaces: tuple[int, ...] = Field(description="Of the breaker then, with the one kept")
    parts: tuple[str, ...]
    steps: tuple[str, ...]
    prepared: bool | None = Field(None, description="Whether the circuit is changed where it lies")
    circuit: str | None = Field(None, description="The circuit that serves the machine now")
    volts: int | None = Field(None, description="Of the machine then")
    likelihood: float | None = None
    counted: float | None = Field(
        None,
        description="Part of a cost of the day that counts today, where the shop discounts what is"
        " paid later; left out: the likelihood",
    )
    breaker_amps: float | None = Field(None, description="Of the breaker then")
    breaker_gfci: bool | None = None
    configuration: str | None = Field(None, description="Of the receptacle then; null: hard-wired")
    takeoff: tuple[TakeoffLine, ...] | None = Field(None, description="What the day asks to buy")
    why: str | None = Field(None, description="Why nothing can be prepared, where nothing can")

    @property
    def share(self) -> float:
        """The part of a cost of the day that counts today."""
        return (self.likelihood or 0.0) if self.counted is None else self.counted

    @property
    def counted_usd(self) -> float:
        """What its day counts today."""
        return self.share * sum(line.cost_usd for line in self.takeoff or ())

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `counted` where nothing is discounted."""
        left_out = ("counted", None)
        return {key: value for key, value in write(self).items() if (key, value) != left_out}
