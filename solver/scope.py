"""What a shop file can say and this version does not plan with: refused, or told and left out."""

from collections.abc import Callable, Iterator

from models.shop import Box, Shop
from models.shop_problem import ShopProblem
from solver.staying import changeable

MOST_GANGS = 2


def not_planned(shop: Shop) -> list[ShopProblem]:
    """Everything that keeps a shop from being planned; empty when it can be."""
    return not_written_down(shop)


def is_as_built(shop: Shop) -> bool:
    """Whether every box is on an existing circuit, and a plan of it can be written down."""
    fed = {name for circuit in shop.existing for name in circuit.feeds}
    return fed == {box.id for box in shop.boxes} and not not_written_down(shop)


def not_written_down(shop: Shop) -> list[ShopProblem]:
    """Everything that a plan has no place for so far, even where nothing is to be chosen."""
    return [
        *_supply(shop),
        *_boxes(shop),
    ]


def left_out(shop: Shop) -> tuple[str, ...]:
    """What is in the file and changes nothing in the plan, in sentences."""
    told = []
    if shop.later.changeovers or shop.later.machines:
        told.append("Later changeovers and machines are in the file and not planned for.")
    if shop.later.spare_capacity is not None:
        told.append("The wished spare capacity of the feeder is not kept free.")
    if shop.code.amendments:
        told.append("Local amendments are words to this plan; none of them is checked.")
    if shop.prices.labour_per_hour_usd is not None:
        told.append("Labour is not counted.")
    held = [c.id for c in shop.existing if c.may_change and c not in changeable(shop)]
    if held:
        told.append(f"Halves of tandems and circuits with nothing on them stay: {', '.join(held)}.")
    if any(box.may_move for box in shop.boxes):
        told.append("Boxes that may move stay where they are.")
    return tuple(told)


def _supply(shop: Shop) -> Iterator[ShopProblem]:
    if len(shop.supply.panels) > 1:
        says = f"{len(shop.supply.panels)} panels: so far circuits are planned for one only"
        yield ShopProblem(("supply", "panels", 1), says)


def _boxes(shop: Shop) -> Iterator[ShopProblem]:
    """Boxes of a kind that is not planned, each kind once with all its boxes."""
    kinds: tuple[tuple[str, str, Callable[[Box], bool]], ...] = (
        ("yokes", "more than two gangs", lambda box: len(box.yokes) > MOST_GANGS),
        ("switched_by", "switched from two places or more", lambda box: len(box.switched_by) > 1),
        ("yokes", "several switches in a box", lambda box: _count(box, "switch") > 1),
        ("yokes", "switched receptacles", lambda box: any(y.switched_by for y in box.devices)),
    )
    for key, what, is_one in kinds:
        found = [index for index, box in enumerate(shop.boxes) if is_one(box)]
        if found:
            names = ", ".join(shop.boxes[index].id for index in found)
            says = f"{what} ({names}): not planned so far"
            yield ShopProblem(("boxes", found[0], key), says)


def _count(box: Box, kind: str) -> int:
    """How many devices of a kind a box holds."""
    return sum(yoke.kind == kind for yoke in box.devices)
