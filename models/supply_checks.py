"""Whether the panel, its spaces and the circuits that are there already fit each other."""

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Final

from models.formulas.receptacles import receptacle
from models.reach import known_configurations
from models.shop import Box, ExistingCircuit, ExistingRun, Panel, Shop
from models.shop_problem import Path, Problems, ShopProblem, unknown

VOLTS_TO_NEUTRAL: Final = 120
POLES: Final = {1: "one-pole", 2: "two-pole"}


def check_supply(shop: Shop) -> Problems:
    """Panels, what feeds them, and existing circuits."""
    for number, panel in enumerate(shop.supply.panels):
        where: Path = ("supply", "panels", number)
        for index, space in enumerate(panel.tandem_spaces):
            yield from _check_space((*where, "tandem_spaces", index), panel, space)
        if panel.feeder.source == panel.id:
            says = f"panel {panel.id!r} feeds itself: name what it is fed from"
            yield ShopProblem((*where, "feeder", "from"), says)
    yield from _check_feeding(shop)
    for index, circuit in enumerate(shop.existing):
        yield from _check_existing(shop, ("existing", index), circuit)
    yield from _check_spaces_free(shop)
    yield from _check_fed_once(shop)
    yield from _check_lights(shop)


def _check_feeding(shop: Shop) -> Problems:
    """No panel is fed from itself by way of others."""
    feeds = {panel.id: panel.feeder.source for panel in shop.supply.panels}
    for number, panel in enumerate(shop.supply.panels):
        above, at = [panel.id], feeds[panel.id]
        while at in feeds and at not in above:
            above.append(at)
            at = feeds[at]
        if at == panel.id and len(above) > 1:
            says = (
                f"panel {panel.id!r} is fed from itself by way of {', '.join(above[1:])}: correct"
            )
            yield ShopProblem(("supply", "panels", number, "feeder", "from"), f"{says} one `from`")


def _check_space(path: Path, panel: Panel, space: int) -> Problems:
    """A space that the panel has."""
    if not 1 <= space <= panel.spaces:
        says = f"panel {panel.id!r} has spaces 1 to {panel.spaces}, and no space {space}"
        yield ShopProblem(path, f"{says}: correct the number")


def _check_existing(shop: Shop, path: Path, circuit: ExistingCircuit) -> Problems:
    """One existing circuit: its panel, its spaces, its boxes, its runs."""
    panels = {panel.id: panel for panel in shop.supply.panels}
    yield from unknown((*path, "panel"), "panel", circuit.panel, panels)
    for place, space in enumerate(circuit.spaces):
        if circuit.panel in panels:
            yield from _check_space((*path, "spaces", place), panels[circuit.panel], space)
    low, high = min(circuit.spaces), max(circuit.spaces)
    if len(circuit.spaces) == 2 and high != low + 2:
        says = f"{circuit.id!r} is in spaces {low} and {high}: a two-pole breaker is in two spaces"
        says += f" of one column, one below the other, like {low} and {low + 2}"
        yield ShopProblem((*path, "spaces"), says)
    fed = {box.id for box in shop.boxes}
    junctions = {box.id for box in shop.routes.junction_boxes}
    for place, name in enumerate(circuit.feeds):
        if name in junctions:
            says = (
                f"{name!r} is a junction box, where nothing takes current: leave it out here, and"
            )
            yield ShopProblem((*path, "feeds", place), f"{says} name it in `runs`")
            continue
        yield from unknown((*path, "feeds", place), "box", name, fed)
        if name in circuit.feeds[:place]:
            says = f"{circuit.id!r} feeds {name!r} twice: name it once"
            yield ShopProblem((*path, "feeds", place), says)
        box = shop.enclosures.get(name)
        if isinstance(box, Box):
            yield from _check_poles((*path, "feeds", place), shop, circuit, box)
    if circuit.runs:
        yield from _check_runs(shop, (*path, "runs"), circuit)


def _check_runs(shop: Shop, path: Path, circuit: ExistingCircuit) -> Problems:
    """Runs lead from the panel outwards to every box that the circuit feeds, each once."""
    raceways = {raceway.id: raceway.ends for raceway in shop.routes.raceways}
    reached = {circuit.panel}
    for index, run in enumerate(circuit.runs):
        here = (*path, index)
        for key, name in (("from", run.start), ("to", run.end)):
            yield from unknown((*here, key), "box or panel", name, shop.enclosures)
        for place, name in enumerate(run.raceways):
            yield from unknown((*here, "raceways", place), "raceway", name, raceways)
        yield from _check_through((*here, "raceways"), run, raceways)
        if run.start not in reached:
            says = f"no run of {circuit.id!r} has come to {run.start!r} yet: begin at"
            yield ShopProblem((*here, "from"), f"{says} {circuit.panel!r} and go outwards")
        if run.end in reached:
            says = f"a run of {circuit.id!r} comes to {run.end!r} already: each box has one"
            yield ShopProblem((*here, "to"), f"{says} run towards the panel")
        reached.add(run.end)
    for name in circuit.feeds:
        if name not in reached:
            says = f"no run of {circuit.id!r} comes to {name!r}: add one, or take it out of `feeds`"
            yield ShopProblem(path, says)


def _check_through(
    path: Path, run: ExistingRun, raceways: Mapping[str, tuple[str, str]]
) -> Problems:
    """The raceways of a run join its two ends, one after the other."""
    at = run.start
    for name in run.raceways:
        ends = raceways.get(name, (at, at))
        if at not in ends:
            says = (
                f"raceway {name!r} joins {' and '.join(ends)}, the run is at {at!r} there: correct"
            )
            yield ShopProblem(path, f"{says} the raceways, from {run.start!r} to {run.end!r}")
            return
        at = ends[1] if ends[0] == at else ends[0]
    if run.raceways and at != run.end and all(name in raceways for name in run.raceways):
        says = f"these raceways lead from {run.start!r} to {at!r}, the run goes to {run.end!r}:"
        yield ShopProblem(path, f"{says} correct one of them")


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
    for yoke in box.devices:
        if yoke.configuration in known_configurations():
            yield yoke.configuration, receptacle(yoke.configuration).hots
        elif yoke.kind == "switch":
            yield "the switch", 1
    if box.luminaire_watts is not None:
        yield "the luminaire", 1
    for machine in shop.machines:
        if machine.hard_wired_at == box.id:
            yield f"{machine.id!r} ({machine.volts} V)", machine.volts // VOLTS_TO_NEUTRAL


def _check_spaces_free(shop: Shop) -> Problems:
    """No space holds more circuits than it takes, and the wished spare spaces are free."""
    used: Counter[tuple[str, int]] = Counter()
    panels = {panel.id: panel for panel in shop.supply.panels}
    for index, circuit in enumerate(shop.existing):
        panel = panels.get(circuit.panel)
        for place, space in enumerate(circuit.spaces):
            used[circuit.panel, space] += 1
            most = 2 if panel is not None and space in panel.tandem_spaces else 1
            if used[circuit.panel, space] > most:
                says = f"space {space} of panel {circuit.panel!r} takes {most} circuit(s),"
                says += f" {circuit.id!r} is number {used[circuit.panel, space]}: correct it, or"
                says += " list a tandem in `tandem_spaces`"
                yield ShopProblem(("existing", index, "spaces", place), says)
    spaces = sum(panel.spaces for panel in panels.values())
    free = spaces - len(used)
    if shop.later.spare_spaces > free:
        says = f"{shop.later.spare_spaces} spare spaces are wished, {free} of {spaces} are"
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
    """What is switched and its switches are on one existing circuit, or all are new."""
    fed_by = {name: circuit.id for circuit in shop.existing for name in circuit.feeds}
    for index, box in enumerate(shop.boxes):
        fed = [(name, "switched_by") for name in box.switched_by]
        fed += [(yoke.switched_by, "yokes") for yoke in box.devices if yoke.switched_by]
        for name, key in fed:
            at = name.partition(".")[0]
            light, switch = fed_by.get(box.id), fed_by.get(at)
            if at in shop.enclosures and light != switch:
                on = [f"on {n!r}" if n else "on no existing circuit" for n in (light, switch)]
                says = f"{box.id!r} is {on[0]}, its switch in {at!r} {on[1]}: name both"
                says += " boxes in one `feeds`, or neither in any"
                yield ShopProblem(("boxes", index, key), says)
