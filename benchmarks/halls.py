"""Invented shops of any size for benchmarks: bays along an aisle, from 50 to 1,000 receptacles.

A hall has two blocks of bays, 24 ft wide and 36 ft deep, with an aisle between them. Partitions
part the bays and end at the aisle; boxes stand on both their sides and on the outer walls, drops
hang over the machines. Every bay has lights with a switch; some have a dust collector that follows
its machines, or a machine that is hard-wired. Up to four panels, each fed by the service.

The same seed and wishes give the same shop. Lengths in feet, heights in inches, currents in A.
"""

import random
from collections.abc import Iterator
from math import ceil
from typing import Any, Final, NamedTuple

from models.shop import Shop

BAY_WIDTH_FT: Final = 24
BAY_DEPTH_FT: Final = 36
AISLE_FT: Final = 10
PARTITION_FT: Final = 32  # it ends this far from the outer wall
PITCH_FT: Final = 3
YOKES_OF_BAY: Final = 28
BAYS_OF_AREA: Final = 4  # in each block
PANEL_YOKES: Final = (100, 250, 500)  # a shop of more has one panel more
CLEAR_FT: Final = 3  # of a panel

TWO_GANG: Final = 0.25
TWO_CIRCUITS: Final = 0.3
WALL_240: Final = 0.06
WITH_MACHINE: Final = 0.25
CHOSEN: Final = 0.2  # of these, the planner picks the receptacle
MARKED_240: Final = ("8 A", "10 A", "12 A")
MOTORS_240: Final = ("1 hp", "1-1/2 hp", "2 hp")
MOTORS_120: Final = ("1/3 hp", "1/2 hp", "3/4 hp")

Fact = dict[str, Any]


class Bay(NamedTuple):
    """A bay by its column and block; the southern block is 0."""

    column: int
    block: int

    @property
    def name(self) -> str:
        """Its id, and the first part of the ids of what is in it."""
        return f"{'SN'[self.block]}{self.column + 1}"

    @property
    def west_ft(self) -> int:
        """Where it begins."""
        return self.column * BAY_WIDTH_FT

    def y_ft(self, off_ft: float) -> float:
        """How far north a point is that lies so far from the outer wall."""
        return off_ft if self.block == 0 else 2 * BAY_DEPTH_FT + AISLE_FT - off_ft


def hall(seed: int, yokes: int, *, panels: int | None = None, multiwire: bool = False) -> Shop:
    """A shop of so many receptacle yokes; as many panels as they want unless said. Invented."""
    count = panels or 1 + sum(yokes > most for most in PANEL_YOKES)
    made = _Hall(random.Random(seed), yokes, count)
    columns, width = made.columns, made.columns * BAY_WIDTH_FT
    depth = 2 * BAY_DEPTH_FT + AISLE_FT
    return Shop.model_validate(
        {
            "format": "branchwright-shop/1",
            "name": f"Hall {seed} of {yokes} receptacles",
            "note": "Invented.",
            "building": {
                "kind": "shop",
                "dwelling": False,
                "walls": [
                    {"id": "south", "from": _feet(0, 0)},
                    {"id": "east", "from": _feet(width, 0)},
                    {"id": "north", "from": _feet(width, depth)},
                    {"id": "west", "from": _feet(0, depth)},
                ],
                "partitions": [_partition(bay) for bay in made.bays if bay.column + 1 < columns],
                "ceiling": "12 ft",
                "ambient": {"room": "30 C", "attic": "40 C"},
                "areas": made.areas(),
            },
            "supply": {"panels": made.panels},
            "routes": {"junction_boxes": made.junctions(), "raceways": made.raceways()},
            "boxes": made.boxes,
            "machines": made.machines,
            "use": {"days": made.days(), "followers": made.followers},
            "code": {
                "edition": 2020,
                "noncoincident": "attended",
                "voltage_drop_percent": 5,
                "light_circuits": count,
                "multiwire": multiwire,
            },
        }
    )


class _Hall:
    """What stands in a hall."""

    def __init__(self, rng: random.Random, yokes: int, panels: int) -> None:
        self.rng, self.left = rng, yokes
        self.columns = ceil(yokes / YOKES_OF_BAY / 2)
        self.bays = [Bay(n, block) for n in range(self.columns) for block in (0, 1)]
        self.panels = [_panel(n, panels, self.columns * BAY_WIDTH_FT) for n in range(panels)]
        self.boxes: list[Fact] = []
        self.machines: list[Fact] = []
        self.followers: list[Fact] = []
        for number, bay in enumerate(self.bays):
            share = ceil(self.left / (len(self.bays) - number))
            self._fill(bay, share)

    def _fill(self, bay: Bay, share: int) -> None:
        """The boxes, machines and lights of a bay, with so many yokes."""
        first, until = len(self.machines), self.left - share
        drops = self.rng.randrange(2, 4)
        for n in range(drops):
            at: tuple[float, float] = bay.west_ft + BAY_WIDTH_FT / 2, bay.y_ft(8 + 8 * n)
            name = f"{bay.name}D{n + 1}"
            self.boxes.append(
                {"id": name, "ceiling": _feet(*at), "drop": "8 ft", "yokes": ["single 6-20R"]}
            )
            self._machine_240(name, at)
        self.left -= drops
        places = list(self._places(bay))
        self.rng.shuffle(places)
        for place, at in places:
            if self.left <= until:
                break
            self._box(f"{bay.name}W{len(self.boxes) + 1}", place, at, self.left - until)
        assert self.left == until, bay
        if self.rng.random() < 0.4:
            self._collector(bay, [one["id"] for one in self.machines[first : first + drops]])
        self._lights(bay)

    def _places(self, bay: Bay) -> Iterator[tuple[Fact, tuple[float, float]]]:
        """Places on the walls of a bay, each with the floor in front of it."""
        wall = ("south", "north")[bay.block]
        taken = [panel["x"] for panel in self.panels if panel["wall"] == wall]
        for off in range(2, BAY_WIDTH_FT, PITCH_FT):
            x = bay.west_ft + off
            if all(abs(x - int(at.removesuffix(" ft"))) >= CLEAR_FT for at in taken):
                yield {"wall": wall, "x": f"{x} ft"}, (x, bay.y_ft(3))
        for off in range(3, PARTITION_FT - 2, PITCH_FT):
            y = f"{bay.y_ft(off)} ft"
            first, last = bay.column == 0, bay.column + 1 == self.columns
            west = {"wall": "west"} if first else {"wall": _wall_of(bay, -1), "faces": "east"}
            east = {"wall": "east"} if last else {"wall": _wall_of(bay, 0), "faces": "west"}
            yield {**west, "y": y}, (bay.west_ft + 3, bay.y_ft(off))
            yield {**east, "y": y}, (bay.west_ft + BAY_WIDTH_FT - 3, bay.y_ft(off))

    def _box(self, name: str, place: Fact, at: tuple[float, float], most: int) -> None:
        """A box, and perhaps a machine that plugs into its first yoke or into one in reach."""
        rng = self.rng
        if rng.random() < WALL_240:
            self.boxes.append({"id": name, **place, "height": "44 in", "yokes": ["single 6-20R"]})
            self._machine_240(name, at)
            self.left -= 1
            return
        gangs = 2 if most > 1 and rng.random() < TWO_GANG else 1
        self.boxes.append(
            {
                "id": name,
                **place,
                "height": f"{rng.choice([18, 44])} in",
                "yokes": ["duplex 5-20R"] * gangs,
                "two_circuits": gangs == 2 and rng.random() < TWO_CIRCUITS,
            }
        )
        self.left -= gangs
        if rng.random() < WITH_MACHINE:
            motor = rng.random() < 0.5
            first = f"{name}.left" if gangs == 2 else name
            self.machines.append(
                {
                    "id": f"{name}M",
                    "volts": "120 V",
                    **(
                        {"motor": rng.choice(MOTORS_120)}
                        if motor
                        else {"marked": f"{rng.randrange(2, 12)} A"}
                    ),
                    "plug": "5-15P",
                    "plugs_into": "choose" if rng.random() < CHOSEN else first,
                    "at": _feet(*at),
                    "cord": "6 ft",
                    "always_on": not motor and rng.random() < 0.05,
                }
            )

    def _machine_240(self, box: str, at: tuple[float, float]) -> None:
        motor = self.rng.random() < 0.6
        plate = (
            {"motor": self.rng.choice(MOTORS_240), "starter": "magnetic"}
            if motor
            else {"marked": self.rng.choice(MARKED_240)}
        )
        self.machines.append(
            {
                "id": f"{box}M",
                "volts": "240 V",
                **plate,
                "plug": "6-20P",
                "plugs_into": box,
                "at": _feet(*at),
                "cord": "10 ft",
            }
        )

    def _collector(self, bay: Bay, leaders: list[str]) -> None:
        """A dust collector on the floor before the aisle, hard-wired from the ceiling."""
        at = bay.west_ft + BAY_WIDTH_FT // 2, bay.y_ft(30)
        box, name = f"{bay.name}C", f"{bay.name}-collector"
        self.boxes.append({"id": box, "ceiling": _feet(*at), "drop": "8 ft", "yokes": ["blank"]})
        self.machines.append(
            {
                "id": name,
                "volts": "240 V",
                "motor": "2 hp",
                "hard_wired_at": box,
                "at": _feet(*at),
                "starter": "magnetic",
                "disconnect": "in sight",
            }
        )
        self.followers.append({"machine": name, "follows": leaders})

    def _lights(self, bay: Bay) -> None:
        """Two rows of two luminaires with a switch near the aisle."""
        switch = f"{bay.name}X"
        last = bay.column + 1 == self.columns
        wall = {"wall": "east"} if last else {"wall": _wall_of(bay, 0), "faces": "west"}
        y = f"{bay.y_ft(PARTITION_FT - 1)} ft"
        self.boxes.append({"id": switch, **wall, "y": y, "height": "46 in", "yokes": ["switch"]})
        for n, (across, off) in enumerate(((6, 9), (18, 9), (6, 27), (18, 27)), 1):
            self.boxes.append(
                {
                    "id": f"{bay.name}L{n}",
                    "ceiling": _feet(bay.west_ft + across, bay.y_ft(off)),
                    "luminaire": "80 W",
                    "switched_by": switch,
                }
            )

    def areas(self) -> list[Fact]:
        """Departments: some bays of both blocks, with the aisle between them."""
        found = []
        for number, column in enumerate(range(0, self.columns, BAYS_OF_AREA), 1):
            end = min(column + BAYS_OF_AREA, self.columns) * BAY_WIDTH_FT
            corners = _feet(column * BAY_WIDTH_FT, 0), _feet(end, 2 * BAY_DEPTH_FT + AISLE_FT)
            found.append({"id": f"area{number}", "from": corners[0], "to": corners[1]})
        return found

    def days(self) -> list[Fact]:
        """A usual day with somebody in every area, a class in one of two, an open evening."""
        names = [area["id"] for area in self.areas()]
        return [
            {"id": "usual", "people": dict.fromkeys(names, 1)},
            {"id": "class", "people": dict.fromkeys(names[::2], 2)},
            {"id": "evening", "people": 3},
        ]

    def junctions(self) -> list[Fact]:
        """A junction box over the aisle at every second partition, and by each panel."""
        y = BAY_DEPTH_FT + AISLE_FT / 2
        return [
            {
                "id": f"J{number}",
                "ceiling": _feet(column * BAY_WIDTH_FT + BAY_WIDTH_FT // 2, y),
                "box": "12 x 12 x 4",
                "reached_from": "ladder",
            }
            for number, column in enumerate(range(0, self.columns, 2), 1)
        ]

    def raceways(self) -> list[Fact]:
        """Tubing from each panel to the junction box nearest to it."""
        found = []
        for panel in self.panels:
            at = int(panel["x"].removesuffix(" ft"))
            number = min(
                range(0, self.columns, 2),
                key=lambda column: abs(column * BAY_WIDTH_FT + BAY_WIDTH_FT // 2 - at),
            )
            found.append(
                {
                    "id": f"RW{panel['id']}",
                    "kind": "EMT",
                    "trade_size": "1-1/4",
                    "ends": [panel["id"], f"J{number // 2 + 1}"],
                }
            )
        return found


def _feet(x: float, y: float) -> list[str]:
    return [f"{x:g} ft", f"{y:g} ft"]


def _wall_of(bay: Bay, side: int) -> str:
    """The partition at the east of a bay; with -1 that at its west."""
    return f"part-{Bay(bay.column + side, bay.block).name}"


def _partition(bay: Bay) -> Fact:
    x = bay.west_ft + BAY_WIDTH_FT
    return {
        "id": _wall_of(bay, 0),
        "from": _feet(x, bay.y_ft(0)),
        "to": _feet(x, bay.y_ft(PARTITION_FT)),
    }


def _panel(number: int, count: int, width: int) -> Fact:
    """A panel on the southern or the northern wall, each in the middle of its part."""
    along = ceil(count / 2)
    at = round(width * (2 * (number // 2) + 1) / (2 * along) / BAY_WIDTH_FT + 0.5) - 0.5
    return {
        "id": f"P{number + 1}",
        "wall": ("south", "north")[number % 2],
        "x": f"{round(at * BAY_WIDTH_FT)} ft",
        "height": "5 ft",
        "bus": "225 A",
        "main": "225 A",
        "spaces": 84,
        "terminals": "75 C",
        "feeder": {
            "from": "service disconnect",
            "breaker": "225 A",
            "length": "60 ft",
            "conductors": {"hot": "4/0", "neutral": "4/0", "ground": "4"},
        },
    }
