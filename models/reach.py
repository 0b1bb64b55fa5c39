"""Reach of a cord: the straight line from a machine to a receptacle that its plug fits. Feet.

The cord leaves a machine 3 ft above the place where it stands (assumption): a straight line is the
least length that a cord can have, so a receptacle beyond it is out of reach however the cord lies.
"""

from math import dist
from typing import Final, NamedTuple

from models.crew import used_over
from models.formulas.receptacles import plug_fits
from models.shop import Box, Machine, Point, Shop
from models.sight import wall_between
from models.tables import read_table

CORD_LEAVES_AT_FT: Final = 3.0
ROUNDING_FT: Final = 0.005


class Fitting(NamedTuple):
    """A receptacle that a machine's plug fits, and how far it is."""

    distance_ft: float
    yoke_id: str
    box: Box
    configuration: str


def receptacle_place(shop: Shop, box: Box) -> tuple[float, float, float]:
    """Where a plug goes in: at the box, or at the end of its pendant. [ft]"""
    x, y, z = shop.position(box)
    return x, y, z - box.drop_ft


def reach_ft(shop: Shop, machine: Machine, box: Box) -> float:
    """Straight line from a machine's cord to a receptacle that its own cord must span. [ft]

    For a tool that is carried, from the nearest spot that it is used over; 0 when that is
    anywhere. The cord of a reel comes to meet the machine's.
    """
    spots = stands_at(shop, machine, box)
    place = receptacle_place(shop, box)
    line_ft = min((dist((*spot, CORD_LEAVES_AT_FT), place) for spot in spots), default=0.0)
    return max(0.0, line_ft - (box.reel_ft or 0.0))


def stands_at(shop: Shop, machine: Machine, box: Box) -> list[Point]:
    """Where a machine stands; for a carried one the spots nearest a box, over each of its places.

    Empty for a tool that is used anywhere.
    """
    if machine.at is not None:
        return [machine.at]
    x, y = shop.stands_in(box)
    return [
        (min(max(x, over.low[0]), over.high[0]), min(max(y, over.low[1]), over.high[1]))
        for over in used_over(shop, machine)
    ]


def within_cord(machine: Machine, distance_ft: float) -> bool:
    """Whether a machine's cord is as long as a distance."""
    return distance_ft <= machine.cord_ft + ROUNDING_FT


def known_plugs() -> frozenset[str]:
    """Every plug that the keying table lists."""
    return frozenset(row.text("plug") for row in read_table("plug_fit"))


def known_configurations() -> frozenset[str]:
    """Every receptacle configuration that the table lists."""
    return frozenset(row.text("configuration") for row in read_table("receptacles"))


def fitting_receptacles(shop: Shop, machine: Machine) -> list[Fitting]:
    """Every receptacle that the machine's plug fits, in reach or not, the nearest first."""
    return [found for found in _by_distance(shop, machine) if _may_use(shop, machine, found)]


def _by_distance(shop: Shop, machine: Machine) -> list[Fitting]:
    """Every receptacle that the machine's plug fits, behind a wall or not, the nearest first."""
    if machine.plug is None:
        return []
    found = (
        Fitting(reach_ft(shop, machine, box), yoke_id, box, configuration)
        for box, yoke_id, _, configuration in shop.receptacles()
        if plug_fits(machine.plug, configuration)
    )
    return sorted(found, key=lambda fitting: fitting[:2])


def _may_use(shop: Shop, machine: Machine, fitting: Fitting) -> bool:
    """Whether a cord may go to a receptacle: not through a wall, and to a reel only when told."""
    box = fitting.box
    spots = stands_at(shop, machine, box)
    if not spots:
        return True
    named = machine.receptacle is not None and machine.receptacle.startswith(fitting.yoke_id)
    if box.reel_ft is not None and not (named or machine.portable):
        return False
    return any(not wall_between(shop, spot, opens_to(shop, box)) for spot in spots)


def opens_to(shop: Shop, box: Box) -> Point:
    """A point of the side that a box opens to: outside the wall for one outdoors. [ft]"""
    inside = shop.stands_in(box)
    if not box.outdoors:
        return inside
    x, y, _ = shop.position(box)
    return 2 * x - inside[0], 2 * y - inside[1]


def receptacles_in_reach(shop: Shop, machine: Machine) -> list[Fitting]:
    """The receptacles that a machine may be plugged into, the nearest first."""
    return [
        fitting
        for fitting in _by_distance(shop, machine)
        if within_cord(machine, fitting.distance_ft) and _may_use(shop, machine, fitting)
    ]


def receptacles_open_to(shop: Shop, machine: Machine) -> list[Fitting]:
    """The receptacles in reach of a machine; of one with a receptacle of its own that alone."""
    named = machine.receptacle
    return [
        fitting
        for fitting in receptacles_in_reach(shop, machine)
        if named is None or named in (fitting.yoke_id, *_positions(fitting.yoke_id))
    ]


def _positions(yoke_id: str) -> tuple[str, str]:
    return f"{yoke_id}.top", f"{yoke_id}.bottom"
