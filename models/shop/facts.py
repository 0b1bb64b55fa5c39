"""What every part of a shop file is made of: frozen facts, names, sizes, yes and no."""

from typing import Annotated, Final, Literal, get_args

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    Strict,
    WithJsonSchema,
)

from models.quantities import Coordinate, Feet

UNIT_SUFFIXES = ("_ft", "_amps", "_volts", "_watts", "_c", "_hp", "_years", "_usd")


def key_of(attribute: str) -> str:
    """The word in the file for an attribute: the same without its unit."""
    for suffix in UNIT_SUFFIXES:
        attribute = attribute.removesuffix(suffix)
    return attribute


class Fact(BaseModel):
    """A frozen part of the shop; unknown keys are refused, attribute names among them."""

    model_config = ConfigDict(  # type: ignore[pydantic-alias]  # the plugin knows no `key_of`
        frozen=True, extra="forbid", alias_generator=key_of, defer_build=True
    )


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


def _as_many(value: object) -> object:
    """One name alone is a list of one."""
    return (value,) if isinstance(value, str) else value


YesNo = Annotated[
    bool,
    BeforeValidator(_yes_no),
    PlainSerializer(lambda v: "yes" if v else "no"),
    WithJsonSchema({"enum": ["yes", "no", True, False]}),
]
Whole = Annotated[int, Strict()]
Id = Annotated[
    str,
    Field(
        pattern=r"^[A-Za-z][A-Za-z0-9_-]{0,31}$",
        description="A letter, then at most 31 letters, digits, `-` or `_`",
    ),
]
Names = Annotated[
    tuple[str, ...],
    BeforeValidator(_as_many),
    PlainSerializer(lambda names: names[0] if len(names) == 1 else list(names)),
    WithJsonSchema(
        {
            "anyOf": [
                {"type": "string"},
                {"type": "array", "items": {"type": "string"}, "minItems": 1},
            ]
        }
    ),
]
Point = tuple[Coordinate, Coordinate]
Point3 = tuple[Coordinate, Coordinate, Feet]
Side = Literal["north", "south", "east", "west"]
Known = Literal["verified", "believed", "unknown"]
AwgName = Literal["14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0"]
TradeSizeName = Literal["1/2", "3/4", "1", "1-1/4", "1-1/2", "2"]
TRADE_SIZES: Final[tuple[TradeSizeName, ...]] = get_args(TradeSizeName)  # smallest first
CableAwgName = Literal["14", "12", "10", "8", "6"]
RacewayKind = Literal["EMT", "PVC-40", "PVC-80", "ENT", "RMC"]
Awg = Annotated[AwgName, BeforeValidator(_size), _size_schema(get_args(AwgName))]
CableAwg = Annotated[CableAwgName, BeforeValidator(_size), _size_schema(get_args(CableAwgName))]
TradeSize = Annotated[TradeSizeName, BeforeValidator(_size), _size_schema(get_args(TradeSizeName))]
RacewayText = Annotated[
    str,
    Field(
        pattern=rf"^({'|'.join(get_args(RacewayKind))}) ({'|'.join(get_args(TradeSizeName))})$",
        examples=["EMT 3/4", "PVC-40 1-1/2"],
    ),
]


class AlreadyThere(Fact):
    """Whether a thing is there already, how surely, and whether it may be moved or taken out."""

    existing: YesNo = False
    known: Known = Field("believed", description="How sure the owner is of an existing thing")
    may_move: YesNo = Field(False, description="An existing thing that need not stay")
