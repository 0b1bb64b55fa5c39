"""The shop: everything the owner tells us, as frozen models. What is, never what to choose.

Keys in the file are plain words (`height: 44 in`); attributes name their unit (`height_ft`).
Coordinates: x to the east, y to the north, z up from the floor, all in feet.
The models hold single facts; whether the facts fit each other is asked in `shop_checks`.
"""

from collections.abc import Iterator
from functools import cached_property
from typing import Annotated, Any, Literal, Self, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    WithJsonSchema,
    model_validator,
)

from models.quantities import Amps, Celsius, Feet, Horsepower, Volts, Watts

SHOP_FORMAT = "branchwright-shop/1"
UNIT_SUFFIXES = ("_ft", "_amps", "_volts", "_watts", "_c", "_hp")
ROOM = "shop"
WORKING_SPACE_WIDTH_FT, WORKING_SPACE_DEPTH_FT = 2.5, 3.0


def _key(attribute: str) -> str:
    """The word in the file for an attribute: the same without its unit."""
    for suffix in UNIT_SUFFIXES:
        attribute = attribute.removesuffix(suffix)
    return attribute


def _yes_no(value: object) -> bool:
    """YAML 1.2 keeps `yes` and `no` as words; people mean true and false."""
    if isinstance(value, bool):
        return value
    if value in ("yes", "no"):
        return value == "yes"
    raise ValueError(f"{value!r} is neither yes nor no: write one of them")


def _size(value: object) -> object:
    """A size without a fraction (`12`, `1`) is a number to YAML; here it is a name."""
    return str(value) if type(value) is int else value


def _size_schema(names: tuple[str, ...]) -> WithJsonSchema:
    """The schema of a size: its names, and the whole ones as numbers too."""
    return WithJsonSchema({"enum": [*names, *(int(name) for name in names if name.isdigit())]})


YesNo = Annotated[
    bool,
    BeforeValidator(_yes_no),
    PlainSerializer(lambda v: "yes" if v else "no"),
    WithJsonSchema({"enum": ["yes", "no", True, False]}),
]
Id = Annotated[
    str,
    Field(
        pattern=r"^[A-Za-z][A-Za-z0-9_-]{0,31}$",
        description="A letter, then at most 31 letters, digits, `-` or `_`",
    ),
]
Point = tuple[Feet, Feet]
AwgName = Literal["14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
TradeSizeName = Literal["1/2", "3/4", "1", "1-1/4", "1-1/2", "2"]
CableAwgName = Literal["14", "12", "10", "8", "6"]
Awg = Annotated[AwgName, BeforeValidator(_size), _size_schema(get_args(AwgName))]
CableAwg = Annotated[CableAwgName, BeforeValidator(_size), _size_schema(get_args(CableAwgName))]
TradeSize = Annotated[TradeSizeName, BeforeValidator(_size), _size_schema(get_args(TradeSizeName))]


class Fact(BaseModel):
    """A frozen part of the shop; unknown keys are refused, attribute names among them."""

    model_config = ConfigDict(  # type: ignore[pydantic-alias]  # the plugin knows no `_key`
        frozen=True, extra="forbid", alias_generator=_key
    )


class Wall(Fact):
    """One straight wall, from its corner to the next wall's corner."""

    id: Id
    start: Point = Field(alias="from", description="Corner where this wall begins")
    construction: Literal["wood stud", "metal stud", "masonry"] = "wood stud"


class Opening(Fact):
    """A door or window: no wall run crosses it below its head."""

    id: Id
    kind: Literal["door", "overhead door", "cased opening", "window"]
    wall: Id
    between: Point = Field(description="From and to, along the wall's own axis (x or y)")
    head_ft: Feet = Field(7.0, description="Height of its head above the floor")
    travel_ft: Feet = Field(0.0, description="Overhead door: how far it reaches under the ceiling")


class Ambient(Fact):
    """Highest temperatures that cable and conductors see in each space."""

    room_c: Celsius = 30.0
    attic_c: Celsius = 50.0


class Hazards(Fact):
    """Questions that stop a plan when the answer is yes, and are a finding while unanswered."""

    flammable_vapour: YesNo | None = None
    combustible_dust: YesNo | None = None
    wet_process: YesNo | None = None


class Building(Fact):
    """One room with a flat ceiling; walls counter-clockwise, corners square to the axes."""

    kind: Literal["garage", "accessory building", "basement", "shop"]
    dwelling: YesNo = Field(description="Part of a dwelling's premises")
    attached: YesNo = True
    floor: Literal["at or below grade", "above grade"] = "at or below grade"
    walls: tuple[Wall, ...] = Field(min_length=4)
    ceiling_ft: Feet = Field(description="Ceiling height")
    ceiling_runs: Literal["attic", "joists", "surface"] = "attic"
    openings: tuple[Opening, ...] = ()
    ambient: Ambient = Ambient()
    hazards: Hazards = Hazards()

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        """The outline [ft]."""
        return tuple(wall.start for wall in self.walls)

    def wall_ends(self, wall_id: str) -> tuple[Point, Point]:
        """Both corners of a wall [ft]; KeyError for an unknown wall."""
        for index, wall in enumerate(self.walls):
            if wall.id == wall_id:
                return wall.start, self.walls[(index + 1) % len(self.walls)].start
        raise KeyError(wall_id)

    def wall(self, wall_id: str) -> Wall:
        """The wall with this id; KeyError when there is none."""
        return next((wall for wall in self.walls if wall.id == wall_id), None) or _missing(wall_id)

    def on_wall(self, wall_id: str, x_ft: float | None, y_ft: float | None) -> Point:
        """The point of a wall at a given x (wall runs east-west) or y (wall runs north-south)."""
        (x0, y0), (x1, _) = self.wall_ends(wall_id)
        if x0 == x1:
            return x0, y_ft if y_ft is not None else y0
        return x_ft if x_ft is not None else x0, y0


def _missing(key: str) -> Any:
    raise KeyError(key)


class Place(Fact):
    """Where an enclosure is: on a wall at a height, or on the ceiling."""

    wall: Id | None = None
    x_ft: Feet | None = None
    y_ft: Feet | None = None
    height_ft: Feet | None = Field(None, description="Centre above the floor")
    ceiling: Point | None = Field(None, description="[x, y] of a ceiling place")

    @model_validator(mode="after")
    def _one_way_to_say_it(self) -> Self:
        on_wall = self.wall is not None
        if on_wall == (self.ceiling is not None):
            raise ValueError("say either `wall` with `x` or `y`, or `ceiling: [x, y]`")
        if on_wall and (self.x_ft is None) == (self.y_ft is None):
            raise ValueError("on a wall say one of `x` and `y`: the place along the wall")
        if not on_wall and (self.x_ft, self.y_ft, self.height_ft) != (None, None, None):
            raise ValueError("a ceiling place has no `x`, `y` or `height`: the ceiling gives them")
        return self


class Conductors(Fact):
    """The conductors of a feeder."""

    hot: Awg
    neutral: Awg
    ground: Awg
    material: Literal["copper", "aluminum"] = "copper"


class Feeder(Fact):
    """What feeds a panel."""

    source: str = Field(alias="from", min_length=1)
    breaker_amps: Amps = Field(description="Breaker at the far end")
    length_ft: Feet
    conductors: Conductors
    raceway: str | None = None


class Panel(Place):
    """A panel: its place, ratings, spaces and feeder."""

    id: Id
    bus_amps: Amps
    main: Literal["main lug"] | Amps = "main lug"
    spaces: int = Field(ge=2, le=84, multiple_of=2)
    tandem_spaces: tuple[int, ...] = Field((), description="Spaces where a tandem is allowed")
    terminals: Literal["60 C", "75 C"] | None = Field(None, description="Marked on the panel")
    feeder: Feeder
    enclosure: Literal["metal", "nonmetallic"] = "metal"


class Supply(Fact):
    """Panels, with what is behind them."""

    panels: tuple[Panel, ...] = Field(min_length=1)


class Raceway(Fact):
    """A conduit or tubing between two enclosures, laid on the surface."""

    id: Id
    kind: Literal["EMT", "PVC-40", "PVC-80", "ENT", "RMC"]
    trade_size: TradeSize
    ends: tuple[Id, Id] = Field(description="The two enclosures it joins")
    existing: YesNo = False


class JunctionBox(Place):
    """A box for splices only."""

    id: Id
    box: str = Field("4-11/16 x 2-1/8 square", description="Size as the box table prints it")
    existing: YesNo = False


class Routes(Fact):
    """Where cable may go beyond what the building gives."""

    raceways: tuple[Raceway, ...] = ()
    junction_boxes: tuple[JunctionBox, ...] = ()


YokeText = Annotated[
    str,
    Field(
        pattern=r"^(duplex \S+|single \S+|switch|blank)$",
        examples=["duplex 5-20R", "single 6-20R", "switch"],
    ),
]


class Box(Place):
    """A box with devices, or with a luminaire."""

    id: Id
    yokes: tuple[YokeText, ...] = Field((), description="Devices from left to right")
    luminaire_watts: Watts | None = None
    switched_by: Id | None = Field(None, description="Box with the switch for this luminaire")
    outdoors: YesNo = Field(False, description="Outer side of the wall, a wet place")
    two_circuits: YesNo = Field(False, description="Its two yokes are on different circuits")
    note: str = ""

    @model_validator(mode="after")
    def _something_in_it(self) -> Self:
        if bool(self.yokes) == (self.luminaire_watts is not None):
            raise ValueError("say either `yokes` or `luminaire`")
        if len(self.yokes) > 2:
            raise ValueError(f"{len(self.yokes)} yokes: boxes of one or two gangs are planned")
        if self.two_circuits and len(self.yokes) != 2:
            raise ValueError("`two_circuits` needs two yokes")
        return self

    @cached_property
    def yoke_ids(self) -> tuple[str, ...]:
        """`W1` for a single gang, `W1.left` and `W1.right` for two."""
        if len(self.yokes) == 2:
            return f"{self.id}.left", f"{self.id}.right"
        return (self.id,) * len(self.yokes)


class Machine(Fact):
    """A machine as its nameplate gives it, where it stands and how it is used."""

    id: Id
    name: str = ""
    volts: Volts
    motor_hp: Horsepower | None = Field(None, description="A motor: table current is used")
    marked_amps: Amps | None = Field(None, description="A listed appliance marked in amperes")
    power_watts: Watts | None = None
    plug: str | None = None
    hard_wired_at: Id | None = Field(None, description="Box where it is hard-wired")
    plugs_into: str | None = Field(None, description="A receptacle; unset: the planner picks")
    at: Point | None = None
    cord_ft: Feet = 6.0
    portable: YesNo = Field(False, description="Carried about; any receptacle in reach may do")
    continuous: YesNo = Field(False, description="Three hours or more")
    starts_by_itself: YesNo = False
    set_and_leave: YesNo = False
    always_on: YesNo = False
    critical: YesNo = False

    @model_validator(mode="after")
    def _one_nameplate(self) -> Self:
        given = [self.motor_hp, self.marked_amps, self.power_watts]
        if sum(value is not None for value in given) != 1:
            raise ValueError("say one of `motor`, `marked` (amperes) and `power`")
        if (self.plug is None) == (self.hard_wired_at is None):
            raise ValueError("say either `plug` or `hard_wired_at`")
        if self.volts not in (120, 240):
            raise ValueError(f"{self.volts} V is not served by a 120/240 V panel: 120 V or 240 V")
        if self.portable and (self.plugs_into or self.hard_wired_at):
            key = "hard_wired_at" if self.hard_wired_at else "plugs_into"
            raise ValueError(f"a portable tool has no place of its own: take out `{key}`")
        if not self.portable and self.at is None and self.hard_wired_at is None:
            raise ValueError("say where it stands: `at: [x, y]`")
        return self

    @property
    def attended(self) -> bool:
        """Somebody stands at it; the others run beside the people."""
        return not (self.always_on or self.set_and_leave or self.starts_by_itself)


class Day(Fact):
    """A named day: how many people work, and whether the day binds the plan."""

    id: Id
    people: int = Field(ge=0, le=50)
    binds: YesNo = True


class Follower(Fact):
    """A machine that runs whenever any of its leaders runs."""

    machine: Id
    follows: tuple[Id, ...] = Field(min_length=1)


class NeverTogether(Fact):
    """Machines of which at most `at_most` run at once, as a promise or by a listed interlock."""

    machines: tuple[Id, ...] = Field(min_length=2)
    at_most: int = Field(1, ge=1)
    by: Literal["promise", "interlock"] = "promise"


class Use(Fact):
    """Who runs what at the same time."""

    days: tuple[Day, ...] = Field(min_length=1)
    followers: tuple[Follower, ...] = ()
    never_together: tuple[NeverTogether, ...] = ()


class Later(Fact):
    """Wishes for the future."""

    spare_spaces: int = Field(0, ge=0, description="Spaces the owner wants left free")


class Prices(Fact):
    """Which price book, and what to minimize."""

    book: str | None = Field(None, description="CSV beside the shop file; unset: invented prices")
    minimize: Literal["cost", "copper"] = "cost"


class Code(Fact):
    """The adopted edition and local answers; what is unset is printed as an assumption."""

    edition: Literal[2017, 2020, 2023]
    gfci_at: Literal["breaker", "device", "either"] = "either"
    lights_apart: YesNo = True
    smallest_receptacle_conductor: CableAwg = "12"
    voltage_drop_percent: float = Field(3.0, gt=0, le=10)
    receptacles_per_circuit: int | None = Field(None, ge=1, description="Local limit, in yokes")


class ExistingCircuit(Fact):
    """A circuit that is there already and stays as it is."""

    id: Id
    panel: Id
    spaces: tuple[int, ...] = Field(min_length=1, max_length=2)
    breaker_amps: Amps
    gfci: YesNo = False
    conductor: Awg
    feeds: tuple[Id, ...] = Field(min_length=1, description="Boxes, from the panel outwards")
    known: Literal["verified", "believed", "unknown"] = "believed"
    says: str = Field("", description="What its label says today")


class Pins(Fact):
    """Choices the owner has made."""

    together: tuple[tuple[str, ...], ...] = Field((), description="Yokes sharing one circuit")
    apart: tuple[tuple[str, ...], ...] = Field((), description="Yokes each on another circuit")


class Shop(Fact):
    """A whole shop."""

    format: Literal["branchwright-shop/1"]
    name: str = Field(min_length=1, max_length=200)
    note: str = ""
    building: Building
    supply: Supply
    routes: Routes = Routes()
    boxes: tuple[Box, ...] = Field(min_length=1)
    machines: tuple[Machine, ...] = ()
    use: Use
    later: Later = Later()
    prices: Prices = Prices()
    code: Code
    existing: tuple[ExistingCircuit, ...] = ()
    pins: Pins = Pins()

    @cached_property
    def enclosures(self) -> dict[str, Place]:
        """Panels, junction boxes and boxes by id."""
        groups: tuple[tuple[Panel | JunctionBox | Box, ...], ...] = (
            self.supply.panels,
            self.routes.junction_boxes,
            self.boxes,
        )
        return {place.id: place for group in groups for place in group}

    def position(self, place: Place) -> tuple[float, float, float]:
        """Where a place is, [x, y, z] in feet."""
        if place.ceiling is not None:
            return *place.ceiling, self.building.ceiling_ft
        assert place.wall is not None
        x, y = self.building.on_wall(place.wall, place.x_ft, place.y_ft)
        return x, y, place.height_ft if place.height_ft is not None else 4.0

    def panel(self) -> Panel:
        """The one panel."""
        return self.supply.panels[0]

    def receptacles(self) -> Iterator[tuple[Box, str, str, str]]:
        """Each receptacle yoke as (box, yoke id, `duplex` or `single`, configuration)."""
        for box in self.boxes:
            for yoke_id, text in zip(box.yoke_ids, box.yokes, strict=True):
                kind, _, configuration = text.partition(" ")
                if configuration:
                    yield box, yoke_id, kind, configuration

    def canonical(self) -> dict[str, Any]:
        """The same shop as plain data in a fixed order: lists of named things sorted by id."""
        data = self.model_dump(mode="json", by_alias=True, exclude_defaults=True)
        return {key: _sorted(value, key) for key, value in sorted(data.items())}


ORDERED = frozenset({"walls", "feeds", "yokes", "from", "at", "ceiling", "between"})


def _sorted(data: Any, key: str = "") -> Any:
    """Sort lists of things and of names; keep the lists whose order is a fact."""
    if isinstance(data, dict):
        return {name: _sorted(value, name) for name, value in sorted(data.items())}
    if not isinstance(data, list):
        return data
    items = [_sorted(item) for item in data]
    if key in ORDERED:
        return items
    return sorted(
        items,
        key=lambda item: (
            (item.get("id", ""), 0, repr(item))
            if isinstance(item, dict)
            else ("", item if isinstance(item, int) else 0, repr(item))
        ),
    )
