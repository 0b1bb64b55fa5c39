"""Machines as their nameplates give them. Amperes, volts, horsepower, watts, feet."""

from typing import Literal, Self

from pydantic import Field, model_validator

from models.quantities import Amps, Feet, Horsepower, Share, Volts, Watts, Years
from models.shop.facts import Fact, Id, Names, Point, YesNo

NAMEPLATES = {
    "motor_hp": "motor",
    "marked_amps": "marked",
    "power_watts": "power",
    "mca_amps": "mca",
    "i1max_amps": "i1max",
}


class Machine(Fact):
    """A machine as its nameplate gives it, where it stands and how it is used."""

    id: Id
    name: str = ""
    kind: Literal["space heat", "cooling", "kiln", "vehicle charger", "compressor"] | None = Field(
        None, description="What the code or the trade treats in a way of its own"
    )
    volts: Volts
    reconnects_to_volts: Volts | None = Field(None, description="The other voltage it can take")
    motor_hp: Horsepower | None = Field(None, description="A motor: table current is used")
    marked_amps: Amps | None = Field(None, description="A listed appliance marked in amperes")
    power_watts: Watts | None = None
    mca_amps: Amps | None = Field(None, description="Minimum circuit ampacity on the nameplate")
    mocp_amps: Amps | None = Field(None, description="Largest overcurrent device it allows")
    i1max_amps: Amps | None = Field(None, description="Welder: rated primary current")
    i1eff_amps: Amps | None = Field(None, description="Welder: effective primary current")
    plug: str | None = None
    hard_wired_at: Id | None = Field(None, description="Box where it is hard-wired")
    plugs_into: str | None = Field(
        None, description="A receptacle; `choose` or unset: the planner picks"
    )
    at: Point | None = None
    outdoors: YesNo = Field(False, description="Stands outside the walls")
    cord_ft: Feet = 6.0
    portable: YesNo = Field(False, description="Carried about; any receptacle in reach may do")
    over: Names = Field((), description="Portable: the zones or areas it is used in")
    mobile: YesNo = Field(False, description="On wheels, but used where it stands")
    continuous: YesNo = Field(False, description="Three hours or more")
    starts_by_itself: YesNo = False
    set_and_leave: YesNo = False
    always_on: YesNo = False
    critical: YesNo = False
    disconnect: Literal["plug", "built in", "in sight"] | None = Field(
        None, description="How it is disconnected; `in sight`: one is to be built"
    )
    starter: Literal["built in", "manual", "magnetic"] | None = None

    @model_validator(mode="after")
    def _one_nameplate(self) -> Self:
        given = [key for name, key in NAMEPLATES.items() if getattr(self, name) is not None]
        if len(given) != 1:
            one_of = ", ".join(f"`{key}`" for key in list(NAMEPLATES.values())[:-1])
            raise ValueError(f"say one of {one_of} and `i1max` (with `i1eff`)")
        for first, second in (("mca", "mocp"), ("i1max", "i1eff")):
            if (given == [first]) != (getattr(self, f"{second}_amps") is not None):
                raise ValueError(f"`{first}` and `{second}` stand on one nameplate: give both")
        if self.volts not in (120, 240):
            raise ValueError(f"{self.volts} V is not served by a 120/240 V panel: 120 V or 240 V")
        return self

    @model_validator(mode="after")
    def _one_place(self) -> Self:
        if (self.plug is None) == (self.hard_wired_at is None):
            raise ValueError("say either `plug` or `hard_wired_at`")
        if self.portable and (self.receptacle or self.hard_wired_at):
            key = "hard_wired_at" if self.hard_wired_at else "plugs_into"
            raise ValueError(f"a portable tool has no place of its own: take out `{key}`")
        if self.over and not self.portable:
            raise ValueError("`over` is for a portable tool: add `portable: yes`, or take it out")
        if not self.portable and self.at is None and self.hard_wired_at is None:
            raise ValueError("say where it stands: `at: [x, y]`")
        return self

    @property
    def receptacle(self) -> str | None:
        """The receptacle that the owner named; None when the planner picks."""
        return None if self.plugs_into == "choose" else self.plugs_into

    @property
    def attended(self) -> bool:
        """Somebody stands at it; the others run beside the people."""
        return not (self.always_on or self.set_and_leave or self.starts_by_itself)

    @property
    def lasting(self) -> bool:
        """Counted at 125 % as a continuous load.

        Heaters, kilns and vehicle chargers always (424.4(B), 625.42; kilns by the stricter
        reading); never what is marked with MCA, which holds its 125 % already (440.4(B)).
        """
        for_hours = self.kind in ("space heat", "kiln", "vehicle charger")
        return (self.continuous or for_hours) and self.mca_amps is None


class FutureMachine(Machine):
    """A machine that may come."""

    likelihood: Share = Field(description="How likely it is to come")
    within_years: Years


class Changeover(Fact):
    """A machine that may change its voltage, current, plug or place."""

    machine: Id
    volts: Volts | None = None
    plug: str | None = None
    plugs_into: str | None = None
    hard_wired_at: Id | None = None
    at: Point | None = None
    likelihood: Share = Field(description="How likely it is")
    within_years: Years
