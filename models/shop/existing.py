"""What is there already, and the choices the owner has made."""

from pydantic import Field

from models.quantities import Amps, Feet
from models.shop.facts import Awg, Fact, Id, Known, Point3, Whole, YesNo


class ExistingRun(Fact):
    """One run that is there: from enclosure to enclosure, in cable or through raceways."""

    start: Id = Field(alias="from")
    end: Id = Field(alias="to")
    raceways: tuple[Id, ...] = Field((), description="Raceways it goes through; none: cable")
    by: tuple[Point3, ...] = Field((), description="Points [x, y, z] that it passes, in order")
    length_ft: Feet | None = Field(None, description="As measured; unset: along its way")
    known: Known | None = Field(None, description="Unset: as its circuit")


class ExistingCircuit(Fact):
    """A circuit that is there already; it stays as it is unless it may change."""

    id: Id
    panel: Id
    spaces: tuple[Whole, ...] = Field(min_length=1, max_length=2)
    breaker_amps: Amps
    gfci: YesNo = False
    conductor: Awg
    feeds: tuple[Id, ...] = Field(min_length=1, description="Boxes, from the panel outwards")
    runs: tuple[ExistingRun, ...] = Field((), description="Unset: from box to box as in `feeds`")
    known: Known = "believed"
    may_change: YesNo = Field(False, description="It need not stay as it is")
    says: str = Field("", description="What its label says today")


class PinnedCircuit(Fact):
    """A circuit of which the owner has chosen something; its yokes share it."""

    yokes: tuple[str, ...] = Field(min_length=1)
    spaces: tuple[Whole, ...] = Field((), max_length=2)
    breaker_amps: Amps | None = None
    conductor: Awg | None = None


class Pins(Fact):
    """Choices the owner has made."""

    together: tuple[tuple[str, ...], ...] = Field((), description="Yokes sharing one circuit")
    apart: tuple[tuple[str, ...], ...] = Field((), description="Yokes each on another circuit")
    circuits: tuple[PinnedCircuit, ...] = ()
