"""The panel as the solver sees it: free spaces, neighbours, legs."""

from collections.abc import Iterable
from typing import Final

from models.building_main import back_fed_main_amps
from models.shop import ExistingCircuit, Panel, Shop
from solver.staying import staying

SPARE: Final = "spare"


def leg_of(space: int) -> str:
    """Leg behind a panel space: a row shares one leg, and rows alternate.

    >>> "".join(leg_of(space) for space in range(1, 9))
    'AABBAABB'
    """
    return "AB"[(space - 1) // 2 % 2]


def free_spaces(shop: Shop, panel: Panel) -> list[int]:
    """Spaces of a panel that no breaker that stays and no feeder of another panel takes."""
    taken = set(_held(staying(shop), panel))
    for spaces in feeder_spaces(shop, panel).values():
        taken.update(spaces)
    taken.update(main_spaces(shop, panel))
    return [space for space in range(1, panel.spaces + 1) if space not in taken]


def feeder_spaces(shop: Shop, panel: Panel) -> dict[str, tuple[int, int]]:
    """Where the breakers sit that feed other panels from this one: the first neighbours free."""
    taken = {*_held(shop.existing, panel), *main_spaces(shop, panel)}
    found: dict[str, tuple[int, int]] = {}
    for fed in shop.supply.panels:
        if fed.feeder.source == panel.id:
            pairs = ((space, space + 2) for space in range(1, panel.spaces - 1))
            pair = next(pair for pair in pairs if not taken & set(pair))
            taken.update(pair)
            found[fed.id] = pair
    return found


def main_spaces(shop: Shop, panel: Panel) -> tuple[int, ...]:
    """Where the main sits that is added to a panel without one: the first neighbours free."""
    if back_fed_main_amps(shop, panel) is None:
        return ()
    taken = set(_held(shop.existing, panel))
    pairs = ((space, space + 2) for space in range(1, panel.spaces - 1))
    return next((pair for pair in pairs if not taken & set(pair)), ())


def panels_behind(shop: Shop, panel: Panel) -> set[str]:
    """A panel and those that hang on it."""
    behind = {panel.id}
    while more := {p.id for p in shop.supply.panels if p.feeder.source in behind} - behind:
        behind |= more
    return behind


def _held(circuits: Iterable[ExistingCircuit], panel: Panel) -> Iterable[int]:
    """Spaces of the breakers that are there."""
    return (s for circuit in circuits if circuit.panel == panel.id for s in circuit.spaces)


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
