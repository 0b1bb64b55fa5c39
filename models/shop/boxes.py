"""Boxes with devices or luminaires, one by one or in rows. Feet, watts."""

from functools import cached_property
from typing import Annotated, NamedTuple, Self

from pydantic import Field, model_validator

from models.quantities import Coordinate, Feet, Watts
from models.shop.facts import AlreadyThere, Fact, Id, Names, Point, RacewayText, Side, YesNo
from models.shop.places import Place

GANGS = {
    2: ("left", "right"),
    3: ("left", "middle", "right"),
    4: ("left", "middle-left", "middle-right", "right"),
}
YokeText = Annotated[
    str,
    Field(
        pattern=r"^((duplex|single) \S+( switched by \S+)?|switch|blank)$",
        examples=["duplex 5-20R", "single 6-20R", "duplex 5-15R switched by S1", "switch"],
    ),
]


class Yoke(NamedTuple):
    """One device: `duplex`, `single`, `switch` or `blank`, and what a receptacle is."""

    id: str
    kind: str
    configuration: str
    switched_by: str | None


class Box(Place, AlreadyThere):
    """A box with devices, or with a luminaire."""

    id: Id
    yokes: tuple[YokeText, ...] = Field((), description="Devices from left to right")
    luminaire_watts: Watts | None = None
    switched_by: Names = Field(
        (), description="Box or yoke with the switch of this luminaire; two or more: 3-way, 4-way"
    )
    battery_backup: YesNo = Field(False, description="This luminaire stays on when power fails")
    outdoors: YesNo = Field(False, description="Outer side of the wall, a wet place")
    drop_ft: Feet = Field(0.0, description="A pendant hangs so far below the ceiling")
    reel_ft: Feet | None = Field(None, description="A cord reel with so much cord")
    two_circuits: YesNo = Field(False, description="Its two yokes are on different circuits")
    not_with: Names = Field((), description="Boxes that share no circuit with this one")
    note: str = ""

    @model_validator(mode="after")
    def _something_in_it(self) -> Self:
        if bool(self.yokes) == (self.luminaire_watts is not None):
            raise ValueError("say either `yokes` or `luminaire`")
        if len(self.yokes) > max(GANGS):
            raise ValueError(f"{len(self.yokes)} yokes: a box has {max(GANGS)} at most, use two")
        if self.two_circuits and len(self.yokes) != 2:
            raise ValueError("`two_circuits` needs two yokes")
        for key, given in (("drop", self.drop_ft), ("reel", self.reel_ft)):
            if given and self.ceiling is None:
                raise ValueError(f"`{key}` hangs from the ceiling: give a `ceiling` place")
        return self

    @cached_property
    def yoke_ids(self) -> tuple[str, ...]:
        """`W1` for a single gang, `W1.left` and `W1.right` for two."""
        places = GANGS.get(len(self.yokes))
        return (
            tuple(f"{self.id}.{place}" for place in places)
            if places
            else (self.id,) * len(self.yokes)
        )

    @cached_property
    def devices(self) -> tuple[Yoke, ...]:
        """What the yokes are."""
        found = []
        for yoke_id, text in zip(self.yoke_ids, self.yokes, strict=True):
            words = text.split(" ")
            found.append(
                Yoke(
                    yoke_id,
                    words[0],
                    words[1] if len(words) > 1 else "",
                    words[4] if len(words) > 4 else None,
                )
            )
        return tuple(found)

    @property
    def switch_box(self) -> str | None:
        """The box with the first switch of this luminaire."""
        return self.switched_by[0].partition(".")[0] if self.switched_by else None


class Row(Fact):
    """Boxes alike in a row along a wall or under the ceiling; it stands for single boxes.

    `ids` are written once, by `branchwright ids`, and never renumbered.
    """

    id: Id
    wall: Id | None = None
    start: Coordinate | Point = Field(
        alias="from", description="The first box, along the wall's axis"
    )
    end: Coordinate | Point = Field(alias="to", description="No box stands beyond")
    every_ft: Feet = Field(ge=0.5)
    skip: tuple[Id, ...] = Field((), description="Panels and openings whose width is left out")
    ids: dict[Id, Coordinate] = Field({}, description="Where each box stands, by its id")
    raceway: RacewayText | None = Field(None, description="Laid from each box to the next")
    height_ft: Feet | None = None
    faces: Side | None = None
    yokes: tuple[YokeText, ...] = ()
    luminaire_watts: Watts | None = None
    switched_by: Names = ()
    two_circuits: YesNo = False
    not_with: Names = ()
    outdoors: YesNo = False
    drop_ft: Feet = 0.0
    note: str = ""
