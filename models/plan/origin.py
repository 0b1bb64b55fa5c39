"""How a plan came about, for which shop, and what was minimized."""

from typing import Any, Literal

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from models.plan.part import Part


class PriceBookMark(Part):
    """Which prices were used."""

    name: str
    dated: str
    sha256: str
    invented: bool


class ChangedOver(Part):
    """A changeover that is done: the machine takes its other voltage since."""

    machine: str
    volts_before: int = Field(gt=0)
    volts: int = Field(gt=0)
    capped_runs: tuple[str, ...] = Field(
        (), description="Runs with a conductor that the day left without use, capped and marked"
    )


class MadeBy(Part):
    """How the plan came about: enough to make it again."""

    tool: str
    versions: dict[str, str]
    tables_sha256: str
    price_book: PriceBookMark
    edition: Literal[2017, 2020, 2023]
    local_answers: dict[str, str]
    assumptions: tuple[str, ...]
    seed: int
    effort: int
    repeatable: bool
    status: Literal["complete", "stopped"]
    gap_asked: float | None = Field(
        None,
        ge=0,
        lt=1,
        description="A plan within this gap was enough; left out where none was asked for",
    )
    started_from: str | None = Field(
        None,
        pattern="^[0-9a-f]{64}$",
        description="SHA-256 of the plan file whose circuits were the first to be tried",
    )

    changed: tuple[ChangedOver, ...] | None = Field(
        None, description="Changeovers that are done, in their order; left out where none is"
    )

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without what was not asked for, as in plans older than it."""
        left_out = ("gap_asked", None), ("started_from", None), ("changed", None)
        return {key: value for key, value in write(self).items() if (key, value) not in left_out}


class Source(Part):
    """The shop the plan is for, in canonical order, and its hash."""

    shop: dict[str, Any]
    sha256: str


class Objective(Part):
    """What was minimized. `global` covers every plan on these routes, boxes and builds."""

    minimize: Literal["cost", "copper"]
    unit: str
    value: float
    lower_bound: float | None
    gap: float | None = Field(description="(value - lower_bound) / value; null without a bound")
    proved: Literal["none", "pool", "global"]
    expected_later: float | None = Field(
        None,
        description="What the value holds of changeovers, each as much as it counts today",
    )

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `expected_later` where no changeover is counted."""
        left_out = ("expected_later", None)
        return {key: value for key, value in write(self).items() if (key, value) != left_out}


class Stage(Part):
    """A moment the plan describes: now, and after each changeover."""

    id: str
    after: str | None = None


class PinPlan(Part):
    """A choice the owner made, and whether the plan keeps it."""

    kind: Literal["together", "apart", "circuit"]
    members: tuple[str, ...]
