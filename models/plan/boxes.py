"""Boxes with their make-up, and the outlets, switches and machines at them."""

from typing import Literal

from pydantic import Field

from models.plan.part import Awg, Known, Life, Part, Role, Xyz


class MakeUp(Part):
    """One conductor in a box: from which run, in which role, and how it ends. Of what is pulled now
    for a machine that may come, `circuit` is `later machine ID`.
    """

    run: str
    role: Role
    awg: Awg
    circuit: str
    ends: Literal["spliced", "on device", "passes", "capped"]


class Splice(Part):
    """Conductors joined in a box, as `run.role`; with pigtails to yokes."""

    joins: tuple[str, ...]
    pigtails: tuple[str, ...] = ()


class YokePlan(Part):
    """A strap with its device."""

    id: str
    device: Literal["duplex", "single", "switch", "blank"]
    configuration: str | None = Field(description="Of a switch: null, `3-way` or `4-way`")
    gfci: bool = False
    circuit: str | None
    largest_awg: Awg | None


class BoxPlan(Part):
    """A box with its make-up."""

    id: str
    kind: Literal["device", "luminaire", "junction", "pull"]
    place: Xyz
    wall: str | None
    gangs: int = Field(ge=1)
    box: str
    volume_in3: float | None = Field(description="null: an existing box nobody measured")
    fill_in3: float | None
    internal_clamps: bool
    yokes: tuple[YokePlan, ...]
    conductors: tuple[MakeUp, ...]
    splices: tuple[Splice, ...]
    location: Literal["dry", "damp", "wet"]
    reachable_from_floor: bool
    life: Life
    known: Known


class OutletPlan(Part):
    """A point where current is taken. `protected_by`: `breaker`, or the yoke with the GFCI."""

    id: str
    box: str
    yoke: str | None
    position: Literal["top", "bottom"] | None
    kind: Literal["receptacle", "luminaire", "hard-wired"]
    configuration: str | None
    volts: int = Field(gt=0)
    watts: int | None
    circuit: str
    switched_by: str | None = Field(description="Of several switches, the first by name")
    protected_by: str | None
    life: Life
    known: Known


class MachinePlan(Part):
    """A machine and where it takes its current; a portable tool has no place of its own."""

    id: str
    name: str
    volts: int = Field(gt=0)
    outlet: str | None
    hard_wired_at: str | None
    amps_table: float | None
    amps_nameplate: float | None
    circuit: str | None
    portable: bool
    why_there: str | None = Field(None, description="How the place was chosen")


class SwitchPlan(Part):
    """A switch and what it switches."""

    id: str
    box: str
    kind: Literal["single-pole", "3-way", "4-way"]
    controls: tuple[str, ...]
    circuit: str
    pair_with: str | None = Field(
        None,
        description="The next switch of its group, from the supply outward; of the last, the first",
    )
