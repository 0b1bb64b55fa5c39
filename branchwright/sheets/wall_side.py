"""A wall as one sees it from inside: where along it things are. Feet."""

from dataclasses import dataclass

from branchwright.sheets.display import Xy
from models.shop import Shop, Wall


@dataclass(frozen=True)
class Side:
    """A wall seen from inside: its left end, the direction to its right end, its length. [ft]"""

    wall: Wall
    left: Xy
    way: Xy
    length_ft: float

    @classmethod
    def of(cls, shop: Shop, wall: Wall) -> "Side":
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

    @property
    def seen_from(self) -> str:
        """The side of the compass where one stands."""
        names = {(1, 0): "south", (-1, 0): "north", (0, 1): "east", (0, -1): "west"}
        return names[(round(self.way[0]), round(self.way[1]))]
