"""Whether a wall stands between two places, seen from above. Feet."""

from bisect import bisect_left, bisect_right

from models.shop import Point, Shop


def wall_between(shop: Shop, place: Point, other: Point) -> bool:
    """Whether a wall stands between two places of the floor; a doorway is no wall."""
    building = shop.building
    for axis, (lines, walls) in enumerate(building.walls_by_line):
        near, far = sorted((place[axis], other[axis]))
        for wall in walls[bisect_right(lines, near) : bisect_left(lines, far)]:
            (start, end), across = building.wall_ends(wall), 1 - axis
            part = (start[axis] - place[axis]) / (other[axis] - place[axis])
            crossing = place[across] + part * (other[across] - place[across])
            if min(start[across], end[across]) <= crossing <= max(start[across], end[across]):
                gaps = [sorted(o.between) for o in building.openings if o.wall == wall]
                if not any(low < crossing < high for low, high in gaps):
                    return True
    return False
