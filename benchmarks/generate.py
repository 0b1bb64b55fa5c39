"""Invented shops for benchmarks: one room, boxes along its walls, machines, panels, raceways.

The same seed and wishes give the same shop. Lengths in feet, heights in inches, currents in A.
"""

import random
from typing import Any, Final

from models.shop import Shop

PITCH_FT: Final = 4
PANEL_SPACES: Final = 42

TWO_GANG: Final = 0.15
SINGLE_240: Final = 0.12
WITH_MACHINE: Final = 0.4


def generated(
    seed: int, boxes: int, *, panels: int = 1, junctions: int = 0, people: int | None = None
) -> Shop:
    """A shop of so many boxes, up to four panels on its walls. Invented."""
    rng = random.Random(seed)
    side = max(16, PITCH_FT * (boxes // 4 + 2))
    width, depth = side + 4, side - 2
    machines: list[dict[str, Any]] = []
    places = _places(rng, boxes, width, depth)
    made = [
        _box(rng, number, place, machines, (width, depth)) for number, place in enumerate(places, 1)
    ]
    return Shop.model_validate(
        {
            "format": "branchwright-shop/1",
            "name": f"Generated shop {seed} of {boxes} boxes",
            "note": "Invented.",
            "building": _building(width, depth),
            "supply": {"panels": _panels(panels, width, depth)},
            "routes": {"junction_boxes": _junctions(junctions, width, depth)},
            "boxes": made,
            "machines": machines,
            "use": {"days": [{"id": "usual", "people": people or rng.choice([1, 2, 3])}]},
            "code": {"edition": 2020},
        }
    )


def _building(width: int, depth: int) -> dict[str, Any]:
    corners = {"south": (0, 0), "east": (width, 0), "north": (width, depth), "west": (0, depth)}
    return {
        "kind": "shop",
        "dwelling": False,
        "walls": [{"id": wall, "from": [f"{x} ft", f"{y} ft"]} for wall, (x, y) in corners.items()],
        "ceiling": "10 ft",
        "ambient": {"room": "30 C", "attic": "40 C"},
    }


def _places(rng: random.Random, boxes: int, width: int, depth: int) -> list[dict[str, str]]:
    """Places on the walls, clear of corners and of each other, in order around the room."""
    free = [("south", "x", at) for at in range(2, width - 1, 2)]
    free += [("east", "y", at) for at in range(2, depth - 1, 2)]
    free += [("north", "x", at) for at in range(width - 2, 1, -2)]
    free += [("west", "y", at) for at in range(depth - 2, 1, -2)]
    clear = [
        (wall, axis, at)
        for wall, axis, at in free
        if all((wall, axis) != place[:2] or abs(at - place[2]) > 2
               for place in _panel_places(width, depth))
    ]  # fmt: skip
    chosen = sorted(rng.sample(range(len(clear)), boxes))
    return [
        {"wall": clear[n][0], clear[n][1]: f"{clear[n][2]} ft",
         "height": f"{rng.choice([18, 44, 60])} in"}
        for n in chosen
    ]  # fmt: skip


def _box(
    rng: random.Random,
    number: int,
    place: dict[str, str],
    machines: list[dict[str, Any]],
    room: tuple[int, int],
) -> dict[str, Any]:
    """A box, and perhaps a machine that plugs into its first yoke."""
    kind, name = rng.random(), f"B{number}"
    yokes, first, volts = ["duplex 5-20R"], name, 120
    two_circuits = False
    if kind < TWO_GANG:
        yokes, first = yokes * 2, f"{name}.left"
        two_circuits = rng.random() < 0.5
    elif kind < TWO_GANG + SINGLE_240:
        yokes, volts = ["single 6-20R"], 240
    at = _beside(place, *room)
    if volts == 240 or rng.random() < WITH_MACHINE:
        machines.append(
            {
                "id": f"M{number}",
                "volts": f"{volts} V",
                "marked": f"{rng.randrange(2, 12)} A",
                "plug": "6-15P" if volts == 240 else "5-15P",
                "plugs_into": first,
                "at": at,
                "cord": "12 ft",
                "always_on": rng.random() < 0.04,
            }
        )
    return {"id": name, **place, "yokes": yokes, "two_circuits": two_circuits}


def _beside(place: dict[str, str], width: int, depth: int) -> list[str]:
    """On the floor, 3 ft in front of a place on a wall."""
    along = place.get("x") or place["y"]
    off = {"south": 3, "west": 3, "east": width - 3, "north": depth - 3}[place["wall"]]
    return [along, f"{off} ft"] if "x" in place else [f"{off} ft", along]


def _panel_places(width: int, depth: int) -> list[tuple[str, str, int]]:
    return [
        ("west", "y", depth // 2),
        ("east", "y", depth // 2),
        ("south", "x", width // 2),
        ("north", "x", width // 2),
    ]


def _panels(count: int, width: int, depth: int) -> list[dict[str, Any]]:
    """The first fed by the service, the others by the first."""
    made: list[dict[str, Any]] = []
    for number, (wall, axis, at) in enumerate(_panel_places(width, depth)[:count]):
        first = number == 0
        made.append(
            {
                "id": f"P{number + 1}",
                "wall": wall,
                axis: f"{at} ft",
                "height": "5 ft",
                "bus": "225 A" if first else "125 A",
                "main": "225 A" if first else "main lug",
                "spaces": 84 if first else PANEL_SPACES,
                "terminals": "75 C",
                "feeder": {
                    "from": "service disconnect" if first else "P1",
                    "breaker": "225 A" if first else "100 A",
                    "length": "40 ft" if first else f"{width + depth} ft",
                    "conductors": (
                        {"hot": "4/0", "neutral": "4/0", "ground": "4"}
                        if first
                        else {"hot": "1", "neutral": "1", "ground": "6"}
                    ),
                },
            }
        )
    return made


def _junctions(count: int, width: int, depth: int) -> list[dict[str, Any]]:
    """Junction boxes in a row on the ceiling."""
    return [
        {
            "id": f"J{n}",
            "ceiling": [f"{width * n // (count + 1)} ft", f"{depth // 2} ft"],
            "box": "4-11/16 x 2-1/8 square",
            "reached_from": "ladder",
        }
        for n in range(1, count + 1)
    ]
