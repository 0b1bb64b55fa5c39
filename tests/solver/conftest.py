"""Small invented shops for the solver's tests, and what the solver makes of them."""

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from models.price_book import PriceBook
from models.shop import Shop
from models.shop_edit import changed
from models.shop_file import read_shop
from solver.circuit import Circuits
from solver.plan import plan_shop
from solver.solve import Control
from tests.demo_shops import SCENARIOS
from tests.violations import violations

SHOPS = Path(__file__).resolve().parents[1] / "shops"
# of three boxes in a row, as in `one_raceway`
TO_TWO_BOXES = (("boxes[N3]", None), ("machines[M5]", None), ("routes.raceways[T3]", None))
TO_ONE_BOX = (
    *TO_TWO_BOXES,
    *(("boxes[N2]", None), ("machines[M3]", None), ("machines[M4]", None)),
    ("routes.raceways[T2]", None),
)
WALLS = {
    "south": [0, 0, 12, 0],
    "east": [12, 0, 12, 10],
    "north": [12, 10, 0, 10],
    "west": [0, 10, 0, 0],
}


def _place(rng: random.Random, taken: set[tuple[str, int]]) -> dict[str, str]:
    """A free place on some wall, clear of the corners and the panel."""
    while True:
        wall = rng.choice(["south", "east", "north"])
        at = rng.randrange(1, 10)
        if (wall, at) not in taken:
            taken.add((wall, at))
            axis = "y" if wall == "east" else "x"
            return {"wall": wall, axis: f"{at} ft", "height": f"{rng.choice([18, 44, 60])} in"}


def small_shop(seed: int, boxes: int = 4) -> Shop:
    """A random room with a panel, a few boxes and machines. Invented."""
    rng = random.Random(seed)
    taken: set[tuple[str, int]] = set()
    made: list[dict[str, object]] = []
    for number in range(boxes):
        kind = rng.random()
        box: dict[str, object] = {"id": f"B{number}", **_place(rng, taken)}
        if kind < 0.25:
            box |= {"yokes": ["duplex 5-20R", "duplex 5-20R"], "two_circuits": True}
        elif kind < 0.4:
            box |= {"yokes": ["single 6-20R"]}
        else:
            box |= {"yokes": ["duplex 5-20R"]}
        made.append(box)
    machines: list[dict[str, object]] = []
    for number, box in enumerate(made):
        text = box["yokes"][0]  # type: ignore[index]
        volts = "240 V" if "6-20R" in text else "120 V"
        yoke = f"B{number}.left" if len(box["yokes"]) == 2 else f"B{number}"  # type: ignore[arg-type]
        if rng.random() < 0.7:
            machines.append(
                {
                    "id": f"M{number}",
                    "volts": volts,
                    "marked": f"{rng.randrange(3, 13)} A",
                    "plug": "6-15P" if volts == "240 V" else "5-15P",
                    "plugs_into": yoke,
                    "at": ["6 ft", "5 ft"],
                    "cord": "12 ft",
                    "always_on": rng.random() < 0.2,
                }
            )
    return Shop.model_validate(
        {
            "format": "branchwright-shop/1",
            "name": f"Small shop {seed}",
            "building": {
                "kind": "garage",
                "dwelling": True,
                "walls": [
                    {"id": wall, "from": [f"{ends[0]} ft", f"{ends[1]} ft"]}
                    for wall, ends in WALLS.items()
                ],
                "ceiling": "8 ft",
                "ambient": {"room": "30 C", "attic": "40 C"},
            },
            "supply": {
                "panels": [
                    {
                        "id": "P",
                        "wall": "west",
                        "y": "5 ft",
                        "height": "5 ft",
                        "bus": "100 A",
                        "spaces": rng.choice([6, 8, 12]),
                        "terminals": "75 C",
                        "feeder": {
                            "from": "house",
                            "breaker": "60 A",
                            "length": "30 ft",
                            "conductors": {"hot": "6", "neutral": "6", "ground": "10"},
                        },
                    }
                ]
            },
            "boxes": made,
            "machines": machines,
            "use": {"days": [{"id": "usual", "people": rng.choice([1, 2])}]},
            "code": {"edition": rng.choice([2017, 2020, 2023])},
        }
    )


def circuits_of(shop: Shop, book: PriceBook | None = None) -> Circuits:
    """The solver's view of a shop."""
    return Circuits.of(shop, book or PriceBook.read())


@pytest.fixture
def make_shop() -> Callable[..., Shop]:
    return small_shop


@pytest.fixture
def make_circuits() -> Callable[..., Circuits]:
    return circuits_of


@pytest.fixture(scope="session")
def garage() -> Shop:
    """The demo shop."""
    return read_shop(SCENARIOS / "one_bay_garage.yaml")


@pytest.fixture(scope="module")
def plan_of():
    """The plan of a shop on file with changes; no rule finds anything wrong with it."""
    book = PriceBook.read()

    def planned(name, *changes):
        shop = changed(read_shop(SHOPS / f"{name}.yaml"), list(changes))
        outcome = plan_shop(shop, book, Control(effort=5), explain=False)
        assert outcome.plan is not None, [cause.says for cause in outcome.causes]
        assert violations(outcome.plan.findings) == []
        return outcome.plan

    return planned
