"""Switch groups of a shop: the switches that act together, and the outlets that they switch.

One switch alone is single-pole. Of two or more in a row the first and the last are 3-way switches
and those between them 4-way; which is first and last is a choice of the plan.
"""

from typing import Final, Literal, NamedTuple

from models.shop import Box, Shop

SwitchKind = Literal["single-pole", "3-way", "4-way"]
FEWEST_IN_ROW: Final = 2


class Group(NamedTuple):
    """Switches by yoke, sorted by name, and what they switch: luminaires or yokes."""

    switches: tuple[str, ...]
    luminaires: tuple[str, ...]
    yokes: tuple[str, ...]

    @property
    def boxes(self) -> frozenset[str]:
        """Boxes of what is switched."""
        return frozenset((*self.luminaires, *map(box_of, self.yokes)))

    @property
    def switch_boxes(self) -> frozenset[str]:
        """Boxes of the switches."""
        return frozenset(map(box_of, self.switches))


def box_of(yoke: str) -> str:
    """The box of a yoke.

    >>> box_of("W1.left"), box_of("W1")
    ('W1', 'W1')
    """
    return yoke.partition(".")[0]


def switch_named(boxes: dict[str, Box], name: str) -> str:
    """The switch that a name means: a yoke, or the only switch of a box."""
    box = boxes[box_of(name)]
    ids = [yoke.id for yoke in box.devices if yoke.kind == "switch"]
    return name if name in ids else ids[0]


def switch_groups(shop: Shop) -> tuple[Group, ...]:
    """Groups with something to switch, in the order of the file."""
    boxes = {box.id: box for box in shop.boxes}
    lit: dict[tuple[str, ...], list[str]] = {}
    fed: dict[tuple[str, ...], list[str]] = {}
    order: dict[tuple[str, ...], None] = {}

    def switches(names: tuple[str, ...]) -> tuple[str, ...]:
        found = tuple(sorted(switch_named(boxes, name) for name in names))
        order.setdefault(found)
        return found

    for box in shop.boxes:
        if box.switched_by:
            lit.setdefault(switches(box.switched_by), []).append(box.id)
        for yoke in box.devices:
            if yoke.switched_by is not None:
                fed.setdefault(switches((yoke.switched_by,)), []).append(yoke.id)
    return tuple(Group(key, tuple(lit.get(key, ())), tuple(fed.get(key, ()))) for key in order)


def switch_kind(place: int, count: int) -> SwitchKind:
    """What the switch at a place in a row of so many is, counted from 0.

    >>> [switch_kind(place, 3) for place in range(3)], switch_kind(0, 1)
    (['3-way', '4-way', '3-way'], 'single-pole')
    """
    if count < FEWEST_IN_ROW:
        return "single-pole"
    return "3-way" if place in (0, count - 1) else "4-way"


def configuration_of_switch(kind: SwitchKind) -> str | None:
    """How a yoke says what switch it is: nothing for a single-pole one."""
    return None if kind == "single-pole" else kind
