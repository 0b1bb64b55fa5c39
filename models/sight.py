"""Whether a wall stands between two places, seen from above. Feet."""

from models.shop import Point, Shop


def wall_between(shop: Shop, place: Point, other: Point) -> bool:
    """Whether a wall stands between two places of the floor; a doorway is no wall."""
    for wall in shop.building.all_walls:
        if _crosses(place, other, *shop.building.wall_ends(wall.id)):
            middle = _crossing(place, other, *shop.building.wall_ends(wall.id))
            gaps = [sorted(o.between) for o in shop.building.openings if o.wall == wall.id]
            if not any(low < middle < high for low, high in gaps):
                return True
    return False


def _crosses(a: Point, b: Point, start: Point, end: Point) -> bool:
    """Whether a line goes through a wall."""
    axis = 0 if start[0] == end[0] else 1
    line = start[axis]
    if (a[axis] - line) * (b[axis] - line) >= 0:
        return False
    low, high = sorted((start[1 - axis], end[1 - axis]))
    return low <= _crossing(a, b, start, end) <= high


def _crossing(a: Point, b: Point, start: Point, end: Point) -> float:
    """Where a line goes through the line of a wall, along the wall's axis."""
    axis = 0 if start[0] == end[0] else 1
    part = (start[axis] - a[axis]) / (b[axis] - a[axis])
    return a[1 - axis] + part * (b[1 - axis] - a[1 - axis])
