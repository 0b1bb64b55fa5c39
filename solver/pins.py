"""Pinned circuits: what the owner has chosen of a circuit, and where such choices do not fit."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from models.shop import ExistingCircuit, PinnedCircuit, Shop
from solver.panel import free_spaces
from solver.points import Item
from solver.refusal import Refusal
from solver.staying import staying


@dataclass(frozen=True)
class Pinned:
    """What is chosen of one circuit; None or no space where nothing is. [A]"""

    breaker_amps: float | None = None
    conductor: str | None = None
    spaces: tuple[int, ...] = ()


def pins_of(items: Iterable[Item]) -> list[PinnedCircuit]:
    """Pins of circuits that these items have."""
    return [pin for item in items for pin in item.pins]


def pinned(shop: Shop, pins: Sequence[PinnedCircuit], poles: int) -> Pinned | Refusal:
    """What the pins of one circuit ask for together, or why it cannot be."""
    found = Pinned(
        next((pin.breaker_amps for pin in pins if pin.breaker_amps is not None), None),
        next((pin.conductor for pin in pins if pin.conductor is not None), None),
        next((tuple(sorted(pin.spaces)) for pin in pins if pin.spaces), ()),
    )
    why = _opposite(pins, found) or _no_place(shop, found.spaces, poles)
    return Refusal("pin", {"why": why}, final=True) if why else found


def _opposite(pins: Sequence[PinnedCircuit], found: Pinned) -> str | None:
    """What two pins of one circuit ask for differently."""
    for pin in pins:
        for what, asked, given in (
            ("breakers", pin.breaker_amps, found.breaker_amps),
            ("conductors", pin.conductor, found.conductor),
            ("spaces", tuple(sorted(pin.spaces)) or None, found.spaces or None),
        ):
            if asked is not None and asked != given:
                return f"two pins of one circuit ask for different {what}"
    return None


def _no_place(shop: Shop, spaces: tuple[int, ...], poles: int) -> str | None:
    """Why a breaker does not go into its pinned spaces."""
    if not spaces:
        return None
    told = " and ".join(map(str, spaces))
    if len(spaces) != poles:
        return f"its breaker takes {poles} spaces, and {told} is pinned"
    if poles == 2 and spaces[1] != spaces[0] + 2:
        return f"a two-pole breaker takes neighbours in a column, not spaces {told}"
    taken = sorted(set(spaces) - set(free_spaces(shop, shop.panel())))
    if taken:
        return f"space {' and '.join(map(str, taken))} of panel {shop.panel().id} is taken"
    return None


def clashes(items: Sequence[Item]) -> list[tuple[Item, Item, int]]:
    """Items that are to have circuits in one space and are not pinned to one circuit."""
    found = []
    for number, item in enumerate(items):
        mine = {space for pin in item.pins for space in pin.spaces}
        for other in items[number + 1 :]:
            both = sorted(mine & {space for pin in other.pins for space in pin.spaces})
            if both:
                found.append((item, other, both[0]))
    return found


def held(shop: Shop) -> list[tuple[tuple[str, ...], str]]:
    """Pins that ask something of an existing circuit that stays as it is, and its id."""
    circuits = {circuit.id: circuit for circuit in staying(shop)}
    fed = {box: circuit.id for circuit in circuits.values() for box in circuit.feeds}
    of_yoke = {name: fed.get(box.id) for box in shop.boxes for name in box.yoke_ids}
    found = []
    for pin in (*(PinnedCircuit(yokes=group) for group in shop.pins.together), *shop.pins.circuits):
        on = [of_yoke[name] for name in pin.yokes]
        name = next((one for one in on if one is not None), None)
        if name is not None and (set(on) != {name} or is_otherwise(pin, circuits[name])):
            found.append((pin.yokes, name))
    return found


def is_otherwise(pin: PinnedCircuit, circuit: ExistingCircuit) -> bool:
    """Whether a pin asks for something else than an existing circuit has."""
    return (
        pin.breaker_amps not in (None, circuit.breaker_amps)
        or pin.conductor not in (None, circuit.conductor)
        or (bool(pin.spaces) and sorted(pin.spaces) != sorted(circuit.spaces))
    )
