"""Use, wishes, prices and code: who runs what, what may come, what is paid, what is adopted."""

from typing import Annotated, Literal

from pydantic import Field

from models.quantities import Share, Usd
from models.shop.facts import CableAwg, Fact, Id, Whole, YesNo
from models.shop.machines import Changeover, FutureMachine

MOST_PEOPLE = 50
Prepare = Literal["least cost", "nothing", "everything"]
People = Annotated[Whole, Field(ge=0, le=MOST_PEOPLE)]


class Day(Fact):
    """A named day: how many people work, and whether the day binds the plan."""

    id: Id
    people: People | dict[Id, People] = Field(
        description="A number, or a number for each area or zone", examples=[2]
    )
    binds: YesNo = True
    note: str = ""

    @property
    def people_count(self) -> int:
        """Everybody who works that day."""
        return self.people if isinstance(self.people, int) else sum(self.people.values())


class Follower(Fact):
    """A machine that runs whenever any of its leaders runs."""

    machine: Id
    follows: tuple[Id, ...] = Field(min_length=1)


class NeverTogether(Fact):
    """Machines of which at most `at_most` run at once, as a promise or by a listed interlock."""

    machines: tuple[Id, ...] = Field(min_length=2)
    at_most: Whole = Field(1, ge=1)
    by: Literal["promise", "interlock"] = "promise"
    device: str = Field("", description="What makes an interlock true")
    price_usd: Usd | None = Field(None, description="What the device costs")


class Use(Fact):
    """Who runs what at the same time."""

    days: tuple[Day, ...] = Field(min_length=1)
    followers: tuple[Follower, ...] = ()
    never_together: tuple[NeverTogether, ...] = ()


class Later(Fact):
    """What may come, and what the owner wants kept free for it."""

    changeovers: tuple[Changeover, ...] = ()
    machines: tuple[FutureMachine, ...] = ()
    spare_spaces: Whole = Field(0, ge=0, description="Spaces the owner wants left free")
    spare_capacity: Share | None = Field(None, description="Part of the feeder to be left")
    discount: Share | None = Field(
        None,
        description="A year: how much less a cost counts for each year it is put off, taken to the"
        " end of its time; unset: a cost later counts as one today",
        examples=["3 %"],
    )
    open_walls: YesNo | None = Field(None, description="Whether walls may be opened later")
    prepare: Prepare = Field(
        "least cost",
        description="For changeovers and machines that may come: what costs least now and later by"
        " likelihood, nothing (decide later), or everything that can be prepared",
    )


class Prices(Fact):
    """Which price book, what labour costs, and what to minimize."""

    book: str | None = Field(None, description="CSV beside the shop file; unset: invented prices")
    labour_per_hour_usd: Usd | None = Field(None, description="Unset: labour is not counted")
    minimize: Literal["cost", "copper"] = "cost"


class Code(Fact):
    """The adopted edition and local answers; what is unset is printed as an assumption."""

    edition: Literal[2017, 2020, 2023]
    gfci_at: Literal["breaker", "device", "either"] = "either"
    lights_apart: YesNo = True
    light_circuits: Whole = Field(1, ge=1, le=20, description="At least so many for lights")
    smallest_receptacle_conductor: CableAwg = "12"
    voltage_drop_percent: float = Field(3.0, gt=0, le=10)
    receptacles_per_circuit: Whole | None = Field(None, ge=1, description="Local limit, in yokes")
    multiwire: YesNo | None = Field(None, description="Multiwire circuits are allowed")
    ties: Literal["handle tie", "common trip"] | None = Field(
        None, description="What joins the two poles of a multiwire circuit"
    )
    tandems: YesNo | None = Field(None, description="Tandem breakers are allowed")
    noncoincident: Literal["interlocked", "attended"] | None = Field(
        None,
        description="What the authority leaves out of the load calculation (220.60, 430.26): what"
        " a listed interlock keeps off, or also what nobody is there to attend; unset: interlocked",
    )
    amendments: tuple[str, ...] = Field((), description="Local amendments, in words")
