"""Sheds along one wall: an invented shop building of 10 ft, as long as a test needs it."""

from typing import Any

from models.shop import Shop


def shed(
    length_ft: float, boxes: list[Any], *, terminals: str, spaces: int = 6, **more: Any
) -> Shop:
    """No dwelling, joists along it, a panel of 60 A in the middle of the west wall; one person."""
    east, north = f"{length_ft:g} ft", "10 ft"
    walls = {
        "south": ["0 ft", "0 ft"], "east": [east, "0 ft"], "north": [east, north],
        "west": ["0 ft", north],
    }  # fmt: skip
    panel = {
        "id": "P", "wall": "west", "y": "5 ft", "height": "5 ft", "bus": "100 A",
        "spaces": spaces, "terminals": terminals,
        "feeder": {"from": "house", "breaker": "60 A", "length": "30 ft",
                   "conductors": {"hot": "6", "neutral": "6", "ground": "10"}},
    }  # fmt: skip
    return Shop.model_validate(
        {
            "format": "branchwright-shop/1",
            "name": "Shed",
            "building": {
                "kind": "shop",
                "dwelling": False,
                "walls": [{"id": wall, "from": corner} for wall, corner in walls.items()],
                "ceiling": "8 ft",
                "ceiling_runs": "joists",
                "ambient": {"room": "30 C", "attic": "40 C"},
            },
            "supply": {"panels": [panel]},
            "boxes": boxes,
            "use": {"days": [{"id": "usual", "people": 1}]},
            **more,
        }
    )
