"""The supply: panels, what feeds them, and the service behind."""

from typing import Literal

from pydantic import Field

from models.quantities import Amps, Feet
from models.shop.facts import AlreadyThere, Awg, Fact, Id, RacewayText, Whole
from models.shop.places import Place


class Conductors(Fact):
    """The conductors of a feeder."""

    hot: Awg
    neutral: Awg
    ground: Awg
    material: Literal["copper", "aluminum"] = "copper"


class Feeder(Fact):
    """What feeds a panel."""

    source: str = Field(
        alias="from", min_length=1, description="The panel it comes from, by its id or in words"
    )
    breaker_amps: Amps = Field(description="Breaker at the far end")
    length_ft: Feet
    conductors: Conductors
    raceway: RacewayText | None = None


class Panel(Place, AlreadyThere):
    """A panel: its place, ratings, spaces and feeder."""

    id: Id
    bus_amps: Amps
    main: Literal["main lug"] | Amps = "main lug"
    spaces: Whole = Field(ge=2, le=84, multiple_of=2)
    tandem_spaces: tuple[Whole, ...] = Field((), description="Spaces where a tandem is allowed")
    terminals: Literal["60 C", "75 C"] | None = Field(None, description="Marked on the panel")
    disconnect: Literal["main breaker", "back-fed breaker", "separate switch", "none"] | None = (
        Field(None, description="What disconnects the building")
    )
    feeder: Feeder
    enclosure: Literal["metal", "nonmetallic"] = "metal"


class Service(Fact):
    """The service behind the feeder, with what it carries without this shop."""

    rating_amps: Amps
    calculated_load_amps: Amps


class Supply(Fact):
    """Panels, with what is behind them."""

    panels: tuple[Panel, ...] = Field(min_length=1)
    service: Service | None = None
