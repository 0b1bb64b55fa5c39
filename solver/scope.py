"""What a shop file can say and this version does not plan with: refused, or told and left out."""

from collections import Counter
from collections.abc import Iterator

from models.changeovers import planned_changeovers
from models.formulas.receptacles import receptacle
from models.naming import called
from models.shop import Shop
from models.shop_problem import ShopProblem
from models.switching import box_of, switch_groups
from solver.staying import changeable


def not_planned(shop: Shop) -> list[ShopProblem]:
    """Everything that keeps a shop from being planned; empty when it can be."""
    return not_written_down(shop)


def is_as_built(shop: Shop) -> bool:
    """Whether every box is on an existing circuit, and a plan of it can be written down."""
    fed = {name for circuit in shop.existing for name in circuit.feeds}
    return fed == {box.id for box in shop.boxes} and not not_written_down(shop)


def not_written_down(shop: Shop) -> list[ShopProblem]:
    """Everything that a plan has no place for so far, even where nothing is to be chosen."""
    return list(_boxes(shop))


def left_out(shop: Shop) -> tuple[str, ...]:
    """What is in the file and changes nothing in the plan, in sentences."""
    told: list[str] = []
    told += _later(shop)
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


def _later(shop: Shop) -> Iterator[str]:
    """What is said of changeovers and later machines, and what is left out of them."""
    planned = planned_changeovers(shop)
    others = sorted({c.machine for c in shop.later.changeovers} - planned.keys())
    if others:
        listed = ", ".join(called(shop.machines)[name] for name in others)
        yield f"Changeovers to another place or receptacle are not planned for: {listed}."
    if planned:
        yield "A changeover on an existing circuit is not planned for."
        yield (
            "A machine draws the same power at its other voltage; what is not prepared is counted"
            " as a run of its own later, and every changeover by itself."
        )
        yield (
            "Where two hots and a neutral then serve a circuit, all three count for its heat"
            " (stricter than 310.15(E))."
        )
        if shop.later.prepare == "nothing":
            yield "Nothing is prepared for changeovers, whatever it would cost: the shop says so."
        if shop.later.prepare == "everything":
            yield (
                "Every changeover that can be is prepared for, whatever it costs, its machine alone"
                " on its circuit where it could not change beside others: the shop says so."
            )
        if shop.later.open_walls is False:
            yield "Walls stay closed later: a run of that day is counted in surface EMT."
    if shop.later.machines:
        yield (
            "A machine that may come is planned for where it is to be hard-wired at a new box of"
            " the file, or can plug in: on a circuit that holds it, or by itself, with spaces among"
            " the spare ones, through raceways of the file where room is kept in them, else in"
            " surface EMT of its own where no cable goes. Its load is in no sum of today, and"
            " portable tools are not looked at again beside it."
        )


def _boxes(shop: Shop) -> Iterator[ShopProblem]:
    """Switches and switch groups of a kind that is not planned."""
    groups = switch_groups(shop)
    texts = {yoke.id: yoke for box in shop.boxes for yoke in box.devices}
    index = {box.id: place for place, box in enumerate(shop.boxes)}
    of_switch = Counter(switch for group in groups for switch in group.switches)
    existing = {name for circuit in shop.existing for name in circuit.feeds}
    for box in shop.boxes:
        for yoke in box.devices:
            if yoke.kind == "switch" and not of_switch[yoke.id] and box.id not in existing:
                place: tuple[str | int, ...] = ("boxes", index[box.id], "yokes")
                yield ShopProblem(place, f"{yoke.id} switches nothing: not planned so far")
    for group in groups:
        volts = {receptacle(texts[yoke].configuration).volts for yoke in group.yokes}
        named = " and ".join(group.switches)
        several = len(group.switches) > 1
        faults = {
            "switches luminaires and receptacles": bool(group.luminaires and group.yokes),
            "switches receptacles of other than 120 V": bool(volts - {120}),
            "are in one box and switch the same": len(group.switch_boxes) < len(group.switches),
            "is in two groups": any(of_switch[switch] > 1 for switch in group.switches),
            "is on an existing circuit and switches receptacles, or with another switch": (
                (several or bool(group.yokes)) and bool(group.switch_boxes & existing)
            ),
        }
        for what, is_so in faults.items():
            if is_so:
                place = ("boxes", index[box_of(group.switches[0])], "yokes")
                yield ShopProblem(place, f"{named} {what}: not planned so far")
