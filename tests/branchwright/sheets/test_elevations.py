"""Elevations: tubes close at their corners, walls have names that can be said."""

from branchwright.sheets import styles
from branchwright.sheets.display import Group, Line
from branchwright.sheets.elevations import elevations
from branchwright.words import wall_words


def lines_of(group):
    """Every straight line of a drawing."""
    for shape in group.shapes:
        if isinstance(shape, Group):
            yield from lines_of(shape)
        elif isinstance(shape, Line):
            yield shape


def test_a_raceway_that_turns_is_closed_at_its_corner(garage):
    """Of two pieces that meet each goes on for half its width: no edge is left open."""
    north = dict(elevations(garage))["north"]
    for style in (styles.CASING_EDGE, styles.CASING_BODY):
        pieces = [
            sorted((line.start, line.end)) for line in lines_of(north.root) if line.style == style
        ]
        across = [ends for ends in pieces if ends[0][1] == ends[1][1]]
        upright = [ends for ends in pieces if ends[0][0] == ends[1][0]]
        half = style.width / 2
        gaps = [
            (abs(abs(x - other[0][0]) - half), abs(abs(y - ends[0][1]) - half))
            for ends in across
            for other in upright
            for x in (ends[0][0], ends[1][0])
            for y in (other[0][1], other[1][1])
        ]
        assert any(max(gap) < 0.01 for gap in gaps)


def test_a_wall_is_not_called_a_wall_twice():
    assert wall_words("dry-wall") == "dry-wall"
    assert wall_words("east") == "east wall"
