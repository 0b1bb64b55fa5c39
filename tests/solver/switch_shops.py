"""Small invented shops with switches, by hand and at random."""

import random
from collections.abc import Mapping, Sequence
from typing import Any

from models.shop import Shop
from tests.solver.conftest import small_shop

WALLS = ("south", "east", "north")
HEIGHTS_IN = (18, 44, 60)


def along_wall(*boxes: Mapping[str, Any], **code: Any) -> Shop:
    """A building of 12 by 10 ft, the panel 5 ft up the west wall, 5 ft from its south-west corner.

    The boxes are 2 ft apart along the south wall, all 5 ft up: a run between two is 2 ft for each
    step, the home run to the first is 5 + 2 = 7 ft.
    """
    data = small_shop(0, 0).canonical()
    data["boxes"] = [
        {"wall": "south", "x": f"{2 * n} ft", "height": "5 ft", **box}
        for n, box in enumerate(boxes, 1)
    ]
    data["machines"] = []
    data["building"] |= {"kind": "accessory building", "dwelling": True}
    data["code"] = {"edition": 2020, "light_circuits": 1, **code}
    data["supply"]["panels"][0]["spaces"] = 12
    return Shop.model_validate(data)


def switches(name: str, count: int = 1) -> dict[str, Any]:
    """A box with so many switches."""
    return {"id": name, "yokes": ["switch"] * count}


def light(name: str, *switched_by: str, watts: int = 100) -> dict[str, Any]:
    """A luminaire behind switches."""
    return {"id": name, "luminaire": f"{watts} W", "switched_by": list(switched_by)}


def random_shop(seed: int) -> Shop:
    """A random room with two or three groups of one to four switches each, and receptacles.

    Boxes hold up to four yokes; some receptacles hang behind a switch of their own.
    """
    rng = random.Random(seed)
    spots = [(wall, at) for wall in WALLS for at in range(1, 10)]
    rng.shuffle(spots)
    names: list[str] = [f"G{n}" for n in range(rng.randint(2, 5))]
    yokes: dict[str, list[str]] = {name: [] for name in names}
    groups: list[list[tuple[str, int]]] = []
    for count in rng.choices((1, 2, 3, 4), k=rng.randint(2, 3)):
        free = [name for name in names if len(yokes[name]) < 4]
        group = []
        for name in rng.sample(free, min(count, len(free))):
            group.append((name, len(yokes[name])))
            yokes[name].append("switch")
        groups.append(group)
    outlet = rng.choice([name for name in names if len(yokes[name]) < 4] or [""])
    behind: tuple[str, int] | None = None
    if outlet and rng.random() < 0.7:  # a switch for receptacles, here or in a box of its own
        behind = (outlet, len(yokes[outlet]))
        yokes[outlet].append("switch")
    used = {name: texts for name, texts in yokes.items() if texts}

    def named(switch: tuple[str, int]) -> str:
        return _yoke(switch[0], switch[1], len(used[switch[0]]))

    if behind and len(used[outlet]) < 4 and rng.random() < 0.5:
        used[outlet].append("duplex 5-20R")
        used[outlet][-1] += f" switched by {named(behind)}"
    boxes: list[dict[str, Any]] = [{"id": name, "yokes": texts} for name, texts in used.items()]
    idle = behind is not None and "duplex" not in str(used[outlet])
    for number in range(rng.randint(1, 3)):
        text = "duplex 5-20R"
        if behind and ((idle and number == 0) or rng.random() < 0.5):
            text += f" switched by {named(behind)}"
        boxes.append({"id": f"R{number}", "yokes": [text, *["duplex 5-20R"] * rng.randint(0, 1)]})
    boxes = [
        {**box, "wall": wall, "y" if wall == "east" else "x": f"{at} ft",
         "height": f"{rng.choice(HEIGHTS_IN)} in"}
        for box, (wall, at) in zip(boxes, spots, strict=False)
    ]  # fmt: skip
    above = iter(
        rng.sample([(f"{x} ft", f"{y} ft") for x in range(1, 12) for y in range(1, 10)], 6)
    )
    for number, group in enumerate(groups):
        for one in range(rng.randint(1, 2)):
            lamp = light(f"L{number}{one}", *map(named, group), watts=rng.randrange(20, 200))
            boxes.append({**lamp, "ceiling": list(next(above))})
    data = small_shop(seed, 0).canonical()
    data["boxes"], data["machines"] = boxes, []
    data["code"] = {"edition": rng.choice([2017, 2020, 2023]),
                    "light_circuits": rng.choice([1, 2])}  # fmt: skip
    data["supply"]["panels"][0]["spaces"] = 16
    return Shop.model_validate(data)


def _yoke(box: str, place: int, count: int) -> str:
    """The name of a yoke by its place, counted from 0, among so many."""
    places: Sequence[str] = {
        2: ("left", "right"),
        3: ("left", "middle", "right"),
        4: ("left", "middle-left", "middle-right", "right"),
    }.get(count, ("",))
    return f"{box}.{places[place]}".removesuffix(".")
