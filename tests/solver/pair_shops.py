"""Small invented shops whose circuits may share neutrals."""

from typing import Any

from models.shop import Shop
from tests.solver.conftest import small_shop


def paired(seed: int, boxes: int = 4, **code: Any) -> Shop:
    """A random shop that may use multiwire circuits, least copper wanted."""
    data = small_shop(seed, boxes).canonical()
    data["code"] |= {"multiwire": True, **code}
    data["prices"] = {"minimize": "copper"}
    return Shop.model_validate(data)


def hand_shop(
    *yokes: list[str],
    two_circuits: str | None = None,
    dwelling: bool = False,
    minimize: str = "cost",
    **code: Any,
) -> Shop:
    """A building of 12 by 10 ft, the panel at the west wall, boxes 2 ft apart along the south wall.

    A yoke `blank` is a hard-wired machine of 16 A.
    """
    data = small_shop(0, 0).canonical()
    data["boxes"] = [
        {"id": f"B{n}", "wall": "south", "x": f"{2 * n} ft", "height": "5 ft", "yokes": texts,
         "two_circuits": two_circuits == f"B{n}"}
        for n, texts in enumerate(yokes, 1)
    ]  # fmt: skip
    data["machines"] = [
        {"id": f"M{n}", "volts": "120 V", "marked": "16 A", "hard_wired_at": f"B{n}",
         "always_on": True}
        for n, texts in enumerate(yokes, 1)
        if texts == ["blank"]
    ]  # fmt: skip
    data["building"] |= {"kind": "accessory building", "dwelling": dwelling}
    data["code"] = {"edition": 2020, "multiwire": True, **code}
    data["prices"] = {"minimize": minimize}
    data["supply"]["panels"][0]["spaces"] = 12
    return Shop.model_validate(data)
