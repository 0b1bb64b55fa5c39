"""A wall as one sees it from inside: how far along it a thing is, and which way it faces. Feet."""

from dataclasses import dataclass
from typing import Final

from branchwright.sheets.display import Xy
from models.shop import Shop, Wall

COMPASS: Final = {
    (1.0, 0.0): "east", (-1.0, 0.0): "west", (0.0, 1.0): "north", (0.0, -1.0): "south",
}  # fmt: skip


@dataclass(frozen=True)
class WallSide:
    """A wall seen from inside: its left end, the direction to its right end, its length. [ft]"""

    wall: Wall
    left: Xy
    way: Xy
    length_ft: float

    @classmethod
    def of(cls, shop: Shop, wall: Wall) -> "WallSide":
        """Walls run with the room at their left hand, so that their start is at one's right."""
        right, left = shop.building.wall_ends(wall.id)
        length = abs(right[0] - left[0]) + abs(right[1] - left[1])
        way = ((right[0] - left[0]) / length, (right[1] - left[1]) / length)
        return cls(wall, left, way, length)

    def along(self, x_ft: float, y_ft: float) -> float:
        """How far from the left end."""
        return (x_ft - self.left[0]) * self.way[0] + (y_ft - self.left[1]) * self.way[1]

    def off(self, x_ft: float, y_ft: float) -> float:
        """How far from the wall's line."""
        return abs((x_ft - self.left[0]) * self.way[1] - (y_ft - self.left[1]) * self.way[0])

    def inside(self, along_ft: float, off_ft: float = 0.1) -> Xy:
        """A point before the wall, towards the one who looks at it."""
        x = self.left[0] + along_ft * self.way[0] + off_ft * self.way[1]
        return x, self.left[1] + along_ft * self.way[1] - off_ft * self.way[0]

    def faces(self, shop: Shop, name: str) -> str:
        """The side of the compass that an enclosure on it, by its id, opens to."""
        place = shop.enclosures.get(name)
        return COMPASS[shop.building.facing(self.wall.id, place.faces if place else None)]

    @property
    def seen_from(self) -> str:
        """The side of the compass where one stands."""
        return COMPASS[(self.way[1], -self.way[0])]
