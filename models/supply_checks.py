"""Whether the panel, its spaces and the circuits that are there already fit each other."""

from collections import Counter
from collections.abc import Iterator
from typing import Final

from models.formulas.receptacles import receptacle
from models.reach import known_configurations
from models.shop import Box, ExistingCircuit, Panel, Shop
from models.shop_problem import Path, Problems, ShopProblem, unknown

VOLTS_TO_NEUTRAL: Final = 120
POLES: Final = {1: "one-pole", 2: "two-pole"}


def check_supply(shop: Shop) -> Problems:
    """Panels and existing circuits."""
    if len(shop.supply.panels) > 1:
        says = f"{len(shop.supply.panels)} panels: this version plans one panel, so keep the one"
        yield ShopProblem(("supply", "panels", 1), f"{says} whose circuits are to be planned")
        return
    panel = shop.panel()
    for index, space in enumerate(panel.tandem_spaces):
        path: Path = ("supply", "panels", 0, "tandem_spaces", index)
        yield from _check_space(path, panel, space)
    for index, circuit in enumerate(shop.existing):
        yield from _check_existing(shop, ("existing", index), circuit)
    yield from _check_spaces_free(shop, panel)
    yield from _check_fed_once(shop)
    yield from _check_lights(shop)


def _check_space(path: Path, panel: Panel, space: int) -> Problems:
    """A space that the panel has."""
    if not 1 <= space <= panel.spaces:
        says = f"panel {panel.id!r} has spaces 1 to {panel.spaces}, and no space {space}"
        yield ShopProblem(path, f"{says}: correct the number")


def _check_existing(shop: Shop, path: Path, circuit: ExistingCircuit) -> Problems:
    """One existing circuit: its panel, its spaces, its boxes."""
    panel = shop.panel()
    yield from unknown((*path, "panel"), "panel", circuit.panel, [panel.id])
    for place, space in enumerate(circuit.spaces):
        yield from _check_space((*path, "spaces", place), panel, space)
    low, high = min(circuit.spaces), max(circuit.spaces)
    if len(circuit.spaces) == 2 and high != low + 2:
        says = f"{circuit.id!r} is in spaces {low} and {high}: a two-pole breaker is in two spaces"
        says += f" of one column, one below the other, like {low} and {low + 2}"
        yield ShopProblem((*path, "spaces"), says)
    fed = {box.id for box in shop.boxes}
    junctions = {box.id for box in shop.routes.junction_boxes}
    for place, name in enumerate(circuit.feeds):
        if name in junctions:
            says = f"{name!r} is a junction box: leave it out, so far existing circuits are"
            yield ShopProblem((*path, "feeds", place), f"{says} followed box to box only")
            continue
        yield from unknown((*path, "feeds", place), "box", name, fed)
        if name in circuit.feeds[:place]:
            says = f"{circuit.id!r} feeds {name!r} twice: name it once"
            yield ShopProblem((*path, "feeds", place), says)
        box = shop.enclosures.get(name)
        if isinstance(box, Box):
            yield from _check_poles((*path, "feeds", place), shop, circuit, box)


def _check_poles(path: Path, shop: Shop, circuit: ExistingCircuit, box: Box) -> Problems:
    """What is in a box has as many hots as the breaker of its circuit has poles."""
    poles = len(circuit.spaces)
    for what, hots in _hots(shop, box):
        if hots != poles:
            says = f"{what} in {box.id!r} needs a {POLES[hots]} breaker, that of {circuit.id!r} is"
            says += f" {POLES[poles]}: correct its `spaces`, or take {box.id!r} out of `feeds`"
            yield ShopProblem(path, says)


def _hots(shop: Shop, box: Box) -> Iterator[tuple[str, int]]:
    """Each thing in a box that the tables know, in words, and how many hots it takes."""
    for text in box.yokes:
        configuration = text.partition(" ")[2]
        if configuration in known_configurations():
            yield configuration, receptacle(configuration).hots
        elif text == "switch":
            yield "the switch", 1
    if box.luminaire_watts is not None:
        yield "the luminaire", 1
    for machine in shop.machines:
        if machine.hard_wired_at == box.id:
            yield f"{machine.id!r} ({machine.volts} V)", machine.volts // VOLTS_TO_NEUTRAL


def _check_spaces_free(shop: Shop, panel: Panel) -> Problems:
    """No space holds more circuits than it takes, and the wished spare spaces are free."""
    used: Counter[int] = Counter()
    for index, circuit in enumerate(shop.existing):
        for place, space in enumerate(circuit.spaces):
            used[space] += 1
            most = 2 if space in panel.tandem_spaces else 1
            if used[space] > most:
                says = (
                    f"space {space} of panel {panel.id!r} takes {most} circuit(s), {circuit.id!r}"
                )
                says += f" is number {used[space]}: correct it, or list a tandem in `tandem_spaces`"
                yield ShopProblem(("existing", index, "spaces", place), says)
    free = panel.spaces - len(used)
    if shop.later.spare_spaces > free:
        says = f"{shop.later.spare_spaces} spare spaces are wished, {free} of {panel.spaces} are"
        says += " free before anything is planned: wish fewer, or give the panel more spaces"
        yield ShopProblem(("later", "spare_spaces"), says)


def _check_fed_once(shop: Shop) -> Problems:
    """A box is on one existing circuit: `feeds` names boxes, and cannot say which yoke is meant."""
    fed_by: dict[str, str] = {}
    for index, circuit in enumerate(shop.existing):
        for place, name in enumerate(circuit.feeds):
            box, path = shop.enclosures.get(name), ("existing", index, "feeds", place)
            if not isinstance(box, Box) or name in circuit.feeds[:place]:
                continue
            if (first := fed_by.setdefault(name, circuit.id)) != circuit.id:
                says = f"{name!r} is fed by {first!r} already, a box is on one existing circuit:"
                yield ShopProblem(path, f"{says} take it out of one of them")
            elif box.two_circuits:
                says = f"{name!r} has `two_circuits: yes`, and this cannot say which yoke is on"
                says += f" {circuit.id!r}: take `two_circuits` out, or {name!r} out of `feeds`"
                yield ShopProblem(path, says)


def _check_lights(shop: Shop) -> Problems:
    """A luminaire and its switch are on one existing circuit, or both are new."""
    fed_by = {name: circuit.id for circuit in shop.existing for name in circuit.feeds}
    for index, box in enumerate(shop.boxes):
        if box.switched_by is None or box.switched_by not in shop.enclosures:
            continue
        light, switch = (fed_by.get(name) for name in (box.id, box.switched_by))
        if light != switch:
            on = [f"on {name!r}" if name else "on no existing circuit" for name in (light, switch)]
            says = f"{box.id!r} is {on[0]}, its switch in {box.switched_by!r} {on[1]}: name both"
            says += " boxes in one `feeds`, or neither in any"
            yield ShopProblem(("boxes", index, "switched_by"), says)
