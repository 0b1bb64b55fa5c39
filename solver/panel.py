"""The panel as the solver sees it: free spaces, neighbours, legs."""

from collections.abc import Iterable

from models.shop import Shop


def leg_of(space: int) -> str:
    """Leg behind a panel space: a row shares one leg, and rows alternate.

    >>> "".join(leg_of(space) for space in range(1, 9))
    'AABBAABB'
    """
    return "AB"[(space - 1) // 2 % 2]


def free_spaces(shop: Shop) -> list[int]:
    """Spaces of the panel that no existing breaker takes."""
    panel = shop.panel()
    taken = {space for circuit in shop.existing for space in circuit.spaces}
    return [space for space in range(1, panel.spaces + 1) if space not in taken]


def free_pairs(free: Iterable[int]) -> int:
    """How many two-pole breakers the free spaces can hold at once (neighbours in a column).

    >>> free_pairs([1, 2, 3, 5, 7, 8])
    2
    """
    left, pairs = set(free), 0
    for space in sorted(left):
        if {space, space + 2} <= left:
            left -= {space, space + 2}
            pairs += 1
    return pairs
