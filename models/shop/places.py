"""Where enclosures are, and the ways between them: boxes, raceways, passages, places to avoid."""

from typing import Literal, Self

from pydantic import Field, model_validator

from models.quantities import Coordinate, Feet
from models.shop.building import Rectangle
from models.shop.facts import (
    AlreadyThere,
    Fact,
    Id,
    Point,
    Point3,
    RacewayKind,
    Side,
    TradeSize,
    Whole,
)

STANDARD_HEIGHT_FT = 4.0


class Place(Fact):
    """Where a thing is: on a wall at a height, or on the ceiling."""

    wall: Id | None = None
    x_ft: Coordinate | None = None
    y_ft: Coordinate | None = None
    height_ft: Feet | None = Field(None, description="Centre above the floor")
    faces: Side | None = Field(None, description="On a partition: the side it opens to")
    ceiling: Point | None = Field(None, description="[x, y] of a ceiling place")

    @model_validator(mode="after")
    def _one_way_to_say_it(self) -> Self:
        on_wall = self.wall is not None
        if on_wall == (self.ceiling is not None):
            raise ValueError("say either `wall` with `x` or `y`, or `ceiling: [x, y]`")
        if on_wall and (self.x_ft is None) == (self.y_ft is None):
            raise ValueError("on a wall say one of `x` and `y`: the place along the wall")
        given = (self.x_ft, self.y_ft, self.height_ft, self.faces)
        if not on_wall and given != (None, None, None, None):
            says = "a ceiling place has no `x`, `y`, `height` or `faces`: the ceiling gives them"
            raise ValueError(says)
        return self


class JunctionBox(Place, AlreadyThere):
    """A box for splices only."""

    id: Id
    box: str = Field(
        "4-11/16 x 2-1/8 square",
        description="Size as the box table prints it, or width x height x depth in inches",
        examples=["4-11/16 x 2-1/8 square", "12 x 12 x 4"],
    )
    reached_from: Literal["floor", "ladder", "platform"] = "floor"


class Raceway(AlreadyThere):
    """A conduit or tubing between two enclosures."""

    id: Id
    kind: RacewayKind
    trade_size: TradeSize
    ends: tuple[Id, Id] = Field(description="The two enclosures it joins")
    laid: Literal["surface", "in wall", "attic", "buried"] = Field(
        "surface", description="On walls and ceilings, inside walls, over the ceiling, underground"
    )
    depth_ft: Feet = Field(1.5, description="Cover of a buried raceway")
    by: tuple[Point3, ...] = Field((), description="Points [x, y, z] that it passes, in order")


class Passage(Place):
    """A hole or stud bay where cables bundle; the only way through a masonry partition."""

    id: Id
    takes: Whole = Field(6, ge=1, le=40, description="Most cables side by side")


class Avoid(Rectangle):
    """A block of space that no run goes through: from the floor up, unless heights are given."""

    above_ft: Feet = Field(0.0, description="Begins at this height")
    below_ft: Feet = Field(100.0, description="Ends at this height")
    note: str = ""


class FootCountsAs(Fact):
    """How many feet of easy way one foot of each kind counts as when ways are compared."""

    wall: float = Field(1.0, ge=1, le=10)
    ceiling: float = Field(1.0, ge=1, le=10)
    across_joists: float = Field(1.0, ge=1, le=10, description="On top of `ceiling`")


class Routes(Fact):
    """Where cable may go beyond what the building gives."""

    raceways: tuple[Raceway, ...] = ()
    junction_boxes: tuple[JunctionBox, ...] = ()
    passages: tuple[Passage, ...] = ()
    avoid: tuple[Avoid, ...] = ()
    foot_counts_as: FootCountsAs = FootCountsAs()
