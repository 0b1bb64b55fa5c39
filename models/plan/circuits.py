"""Branch circuits: breaker, conductors, runs and the worst state."""

from typing import Any, Literal

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from models.plan.part import NOW, Awg, Known, Life, Part, Role, Xyz


class Conductor(Part):
    """One conductor of a run; `colour` as pulled, `marked` when it is re-marked at its ends."""

    role: Role
    awg: Awg
    insulated: bool = True
    colour: str | None = None
    marked: str | None = None


class BreakerPlan(Part):
    """A breaker in its spaces; a handle tie opens both poles together but does not trip them."""

    amps: float
    poles: Literal[1, 2]
    spaces: tuple[int, ...] = Field(min_length=1)
    kind: Literal["plain", "gfci", "tandem"]
    gfci: bool
    handle_tie: bool = False
    exchanged: bool = Field(False, description="Bought for an existing circuit that is extended")


class CircuitConductor(Part):
    """Size and count of a circuit's conductors."""

    awg: Awg
    material: Literal["copper", "aluminum"]
    insulation: str
    count: int
    ground_awg: Awg
    spares: int


class Run(Part):
    """One cable, or one set of conductors, from enclosure to enclosure."""

    id: str
    start: str
    end: str
    via: tuple[str, ...] = Field((), description="Boxes where the conductors only pass")
    raceways: tuple[str, ...] = ()
    path: tuple[Xyz, ...]
    length_ft: float
    allowance_ft: float = Field(description="Slack at both ends, in the cut length")
    make: str
    method: Literal["cable", "raceway", "unknown"]
    conductors: tuple[Conductor, ...]
    ambient_c: float
    current_carrying: int
    wet: bool = False
    stage: str = NOW
    life: Life = "new"
    known: Known = "verified"


class Worst(Part):
    """The allowed working state that loads the circuit most."""

    day: str
    state: tuple[str, ...]
    amps: float = Field(description="Continuous loads at 125 %")
    limit_amps: float
    limited_by: Literal["breaker", "ampacity"]


class CircuitPlan(Part):
    """A branch circuit: a rooted tree of runs from one breaker."""

    id: str
    says: str = Field(description="What the circuit directory prints")
    panel: str
    volts: int = Field(gt=0)
    breaker: BreakerPlan
    multiwire_with: str | None = Field(None, description="The circuit that shares its neutral")
    pole: Literal[1, 2] | None = Field(
        None, description="Of a breaker that a multiwire pair shares: the pole that feeds this one"
    )
    hot_space: int | None = Field(
        None,
        description="Of a circuit with outlets of both voltages: the space of the hot that its"
        " 120 V outlets share with the others; left out for every other circuit",
    )
    conductor: CircuitConductor
    outlets: tuple[str, ...]
    machines: tuple[str, ...]
    runs: tuple[Run, ...]
    gfci_at: tuple[str, ...] = Field(description="`breaker` or the yokes that hold a GFCI")
    worst: Worst | None
    voltage_drop_percent: float | None
    life: Life
    known: Known
    pinned: bool = False

    @model_serializer(mode="wrap")
    def _written(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        """Without `pole` and `hot_space` where nothing asks for them, as in older plans."""
        left_out = ("pole", None), ("hot_space", None)
        return {key: value for key, value in write(self).items() if (key, value) not in left_out}

    @property
    def fed_from(self) -> tuple[int, ...]:
        """The spaces whose poles feed this circuit: one of two where a pair shares the breaker."""
        spaces = self.breaker.spaces
        return spaces if self.pole is None else spaces[self.pole - 1 : self.pole]

    @property
    def is_mixed(self) -> bool:
        """Whether two hots and a neutral serve outlets of both voltages: 210.4(C), exception 2."""
        return self.hot_space is not None

    @property
    def volts_text(self) -> str:
        """Its voltage as people say it; both where two hots and a neutral serve both."""
        return f"{self.volts // 2}/{self.volts}" if self.is_mixed else str(self.volts)

    def fed_at(self, volts: int) -> tuple[int, ...]:
        """The spaces that feed an outlet of a voltage."""
        if self.hot_space is not None and volts != self.volts:
            return (self.hot_space,)
        return self.fed_from
