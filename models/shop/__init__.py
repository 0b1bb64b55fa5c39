"""The shop: everything the owner tells us, as frozen models. What is, never what to choose.

Keys in the file are plain words (`height: 44 in`); attributes name their unit (`height_ft`).
Coordinates: x to the east, y to the north, z up from the floor, all in feet.
The models hold single facts; whether the facts fit each other is asked in `shop_checks`.
"""

from collections.abc import Iterator
from functools import cached_property
from typing import Any, Literal

from pydantic import Field

from models.shop.boxes import Box, Row, Yoke, YokeText
from models.shop.building import (
    Ambient,
    Area,
    Building,
    Climate,
    Hazards,
    Opening,
    Partition,
    Rectangle,
    Wall,
    Zone,
)
from models.shop.existing import ExistingCircuit, ExistingRun, PinnedCircuit, Pins
from models.shop.facts import Fact, Point, RacewayText, Side
from models.shop.machines import Changeover, FutureMachine, Machine
from models.shop.places import (
    STANDARD_HEIGHT_FT,
    Avoid,
    FootCountsAs,
    JunctionBox,
    Passage,
    Place,
    Raceway,
    Routes,
)
from models.shop.supply import Conductors, Feeder, Panel, Service, Supply
from models.shop.use import Code, Day, Follower, Later, NeverTogether, Prices, Use

__all__ = [
    "ROOM",
    "SHOP_FORMAT",
    "STANDARD_HEIGHT_FT",
    "WORKING_SPACE_DEPTH_FT",
    "WORKING_SPACE_WIDTH_FT",
    "Ambient",
    "Area",
    "Avoid",
    "Box",
    "Building",
    "Changeover",
    "Climate",
    "Code",
    "Conductors",
    "Day",
    "ExistingCircuit",
    "ExistingRun",
    "Fact",
    "Feeder",
    "Follower",
    "FootCountsAs",
    "FutureMachine",
    "Hazards",
    "JunctionBox",
    "Later",
    "Machine",
    "NeverTogether",
    "Opening",
    "Panel",
    "Partition",
    "Passage",
    "PinnedCircuit",
    "Pins",
    "Place",
    "Point",
    "Prices",
    "Raceway",
    "RacewayText",
    "Rectangle",
    "Routes",
    "Row",
    "Service",
    "Shop",
    "Side",
    "Supply",
    "Use",
    "Wall",
    "Yoke",
    "YokeText",
    "Zone",
]

SHOP_FORMAT = "branchwright-shop/1"
ROOM = "shop"
WORKING_SPACE_WIDTH_FT, WORKING_SPACE_DEPTH_FT = 2.5, 3.0


class Shop(Fact):
    """A whole shop."""

    format: Literal["branchwright-shop/1"]
    name: str = Field(min_length=1, max_length=200)
    note: str = ""
    building: Building
    supply: Supply
    routes: Routes = Routes()
    boxes: tuple[Box, ...] = Field((), description="Boxes one by one")
    rows: tuple[Row, ...] = Field((), description="Boxes in rows")
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
            return *place.ceiling, self.building.climate_at(*place.ceiling).ceiling_ft
        assert place.wall is not None
        x, y = self.building.on_wall(place.wall, place.x_ft, place.y_ft)
        return x, y, STANDARD_HEIGHT_FT if place.height_ft is None else place.height_ft

    def stands_in(self, place: Place) -> Point:
        """A point of the room that a place is in: a hand's breadth off its wall. [ft]"""
        x, y, _ = self.position(place)
        if place.wall is None:
            return x, y
        dx, dy = self.building.facing(place.wall, place.faces)
        return x + dx / 4, y + dy / 4

    def apart(self) -> Iterator[tuple[str, ...]]:
        """Groups of yokes of which no two may share a circuit."""
        yield from self.pins.apart
        boxes = {box.id: box for box in self.boxes}
        for box in self.boxes:
            if box.two_circuits:
                yield box.yoke_ids
            for other in (boxes[name] for name in box.not_with if name in boxes):
                for mine in box.yoke_ids or (box.id,):
                    yield from ((mine, its) for its in other.yoke_ids or (other.id,))

    def panel(self) -> Panel:
        """The first panel."""
        return self.supply.panels[0]

    def receptacles(self) -> Iterator[tuple[Box, str, str, str]]:
        """Each receptacle yoke as (box, yoke id, `duplex` or `single`, configuration)."""
        for box in self.boxes:
            for yoke in box.devices:
                if yoke.configuration:
                    yield box, yoke.id, yoke.kind, yoke.configuration

    def canonical(self) -> dict[str, Any]:
        """The same shop as plain data in a fixed order: lists of named things sorted by id."""
        data = self.model_dump(mode="json", by_alias=True, exclude_defaults=True)
        return {key: _sorted(value, key) for key, value in sorted(data.items())}


ORDERED = frozenset(
    {
        "walls",
        "feeds",
        "yokes",
        "from",
        "to",
        "at",
        "ceiling",
        "between",
        "by",
        "runs",
        "amendments",
    }
)
_POINTS = frozenset({"by"})


def _sorted(data: Any, key: str = "") -> Any:
    """Sort lists of things and of names; keep the lists whose order is a fact."""
    if isinstance(data, dict):
        turned = "ends" in data and "by" in data and data["ends"] != sorted(data["ends"])
        by = {"by": data["by"][::-1]} if turned else {}  # a raceway's points follow its ends
        return {name: _sorted(value, name) for name, value in sorted({**data, **by}.items())}
    if not isinstance(data, list):
        return data
    items = [_sorted(item, key if key in _POINTS else "") for item in data]
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
