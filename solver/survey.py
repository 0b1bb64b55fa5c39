"""What is understood of a shop before anything is planned: what is odd, missing, taken for granted.

Nothing is chosen here. A remark is a violation when no plan could mend it, a warning when somebody
should look, a note when it is good to know.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, NamedTuple

from models.building_main import back_fed_main_amps
from models.naming import called
from models.plan import Finding
from models.price_book import PriceBook
from models.quantities import feet_inches
from models.reach import receptacles_in_reach
from models.shop import Shop
from models.shop_problem import Path
from models.spaces import Lies
from models.wall_reach import CORD_FT, bare_stretches
from models.working_space import in_working_space
from solver.assumptions import assumptions
from solver.routes import Way, Ways
from solver.scope import is_as_built, not_planned
from solver.staying import staying

Weight = Literal["violation", "warning", "note"]
TIGHT_CORD = 0.95


class Remark(NamedTuple):
    """Something about a shop, and what to do about it."""

    weight: Weight
    where: str
    says: str
    fix: str


class Reached(NamedTuple):
    """The way from a panel to an enclosure: where it lies and how hot it gets. [ft, °C]"""

    panel: str
    enclosure: str
    way: Way | None
    lies: tuple[tuple[Lies, float], ...]


@dataclass(frozen=True)
class Survey:
    """A shop as it was understood."""

    remarks: tuple[Remark, ...]
    reached: tuple[Reached, ...]
    assumptions: tuple[str, ...]
    ways: Ways
    as_built: tuple[Finding, ...] | None = None


def survey(shop: Shop, book: PriceBook) -> Survey:
    """Look at a shop; no solving. Where everything is wired already it is checked like a plan."""
    ways = Ways(shop)
    reached = tuple(_reached(shop, ways))
    remarks = [
        *_hazards(shop),
        *_unreached(shop, ways, reached),
        *_machines(shop),
        *_walls(shop),
        *_idle(shop),
        *_supply(shop),
        *_existing(shop),
        *(_later_version(problem.path, problem.says) for problem in not_planned(shop)),
    ]
    order = {"violation": 0, "warning": 1, "note": 2}
    remarks.sort(key=lambda remark: order[remark.weight])
    as_built = None
    if is_as_built(shop):
        from solver.as_built import as_built_plan  # brings the solver library, seldom needed

        as_built = as_built_plan(shop, book).findings
    return Survey(tuple(remarks), reached, assumptions(shop), ways, as_built)


def _reached(shop: Shop, ways: Ways) -> Iterator[Reached]:
    """For every enclosure the shortest way from a panel, cable before raceway."""
    panels = [panel.id for panel in shop.supply.panels]
    for name in ways.names:
        if name in panels:
            continue
        found = [(panel, way) for panel in panels for way in ways.between(panel, name)[:1]]
        if not found:
            yield Reached(panels[0], name, None, ())
            continue
        panel, way = min(found, key=lambda pair: pair[1].length_cft)
        lies: dict[Lies, float] = {}
        for piece in ways.sections(way):
            lies[piece.lies] = lies.get(piece.lies, 0.0) + piece.length_ft
        yield Reached(panel, name, way, tuple((k, round(v, 2)) for k, v in lies.items()))


def _hazards(shop: Shop) -> Iterator[Remark]:
    for key, answer in shop.building.hazards:
        if answer is None:
            says = f"nobody has said whether there is {key.replace('_', ' ')}"
            fix = f"answer `building.hazards.{key}` with yes or no"
            yield Remark("warning", f"building.hazards.{key}", says, fix)
        elif answer:
            says = f"{key.replace('_', ' ')}: beyond what this planning aid covers"
            fix = "ask an electrician who knows hazardous locations before anything else"
            yield Remark("violation", f"building.hazards.{key}", says, fix)


def _unreached(shop: Shop, ways: Ways, reached: tuple[Reached, ...]) -> Iterator[Remark]:
    """Boxes and raceways to which nothing leads."""
    for raceway in shop.routes.raceways:
        if raceway.id not in ways.raceways:
            says = f"raceway {raceway.id} finds no way from {' to '.join(raceway.ends)}"
            fix = "give its way with `by`, or take away what it is to avoid"
            yield Remark("violation", raceway.id, says, fix)
    wired = {name for circuit in shop.existing for name in circuit.feeds}
    for one in reached:
        if one.way is not None:
            continue
        place = shop.enclosures[one.enclosure]
        masonry = (
            place.wall is not None and shop.building.wall(place.wall).construction == "masonry"
        )
        says = f"nothing leads from a panel to {one.enclosure}"
        says += f": cable does not go in the masonry of wall {place.wall}" if masonry else ""
        fix = f"add a raceway that ends at {one.enclosure}, or a passage, or move the box"
        weight: Weight = "note" if one.enclosure in wired else "violation"
        yield Remark(weight, one.enclosure, says, fix)


def _machines(shop: Shop) -> Iterator[Remark]:
    """Cords at their limit, machines in front of a panel, tools with nothing to plug into."""
    names = called(shop.machines)
    for machine in shop.machines:
        who = names[machine.id]
        for panel in shop.supply.panels:
            if machine.at is not None and in_working_space(shop, panel, *machine.at):
                says = f"{who} stands in the working space of panel {panel.id}"
                says += " (30 in wide, 36 in deep)"
                yield Remark("warning", machine.id, says, f"move {who} clear of the panel")
        if machine.plug is None:
            continue
        fitting = receptacles_in_reach(shop, machine)
        if machine.portable:
            if not fitting:
                place = f"in reach of {', '.join(machine.over)}" if machine.over else "of the shop"
                says = f"plug {machine.plug} of {who} fits no receptacle {place}"
                fix = "add a receptacle that it fits"
                yield Remark("violation", machine.id, says, fix)
            continue
        at = machine.receptacle
        mine = [f for f in fitting if at is None or at.startswith(f.yoke_id)]
        if mine and mine[0].distance_ft > TIGHT_CORD * machine.cord_ft:
            says = f"the {feet_inches(machine.cord_ft)} cord of {who} just reaches"
            says += (
                f" {mine[0].yoke_id}, {feet_inches(mine[0].distance_ft)} away in a straight line"
            )
            yield Remark("warning", machine.id, says, "move it nearer, or name a nearer receptacle")


def _walls(shop: Shop) -> Iterator[Remark]:
    """Stretches of wall with nothing in reach of a cord."""
    sides: dict[tuple[str, str], list[str]] = {}
    for bare in bare_stretches(shop):
        begin, end = feet_inches(bare.begin_ft), feet_inches(bare.end_ft)
        sides.setdefault((bare.wall, bare.faces), []).append(f"{bare.axis} {begin} to {end}")
    for (wall, faces), stretches in sides.items():
        side = f", {faces} side" if shop.building.is_partition(wall) else ""
        says = f"no 120 V receptacle in reach of a {CORD_FT:g} ft cord along wall {wall}{side}:"
        says += f" {', '.join(stretches)}"
        yield Remark("note", wall, says, "add a box there if somebody will work there")


def _idle(shop: Shop) -> Iterator[Remark]:
    """Switches that switch nothing, and junction boxes that no raceway or run needs."""
    used = {name for box in shop.boxes for name in box.switched_by}
    used |= {yoke.switched_by for box in shop.boxes for yoke in box.devices if yoke.switched_by}
    for box in shop.boxes:
        switches = [yoke.id for yoke in box.devices if yoke.kind == "switch"]
        alone = len(switches) == 1 and box.id in used
        for name in switches:
            if not alone and name not in used:
                fix = f"name {name} in the `switched_by` of what it switches"
                yield Remark("warning", name, f"switch {name} switches nothing", fix)
    existing = {name for circuit in staying(shop) for name in circuit.feeds}
    yokes = {yoke: box.id for box in shop.boxes for yoke in box.yoke_ids}
    for group in (*shop.pins.together, *shop.pins.apart):
        for name in group:
            if yokes.get(name) in existing:
                says = f"{name} is pinned, and on an existing circuit that stays as it is"
                yield Remark("warning", name, says, "take it out of the pin")


def _supply(shop: Shop) -> Iterator[Remark]:
    """What nobody has said about the supply."""
    for panel in shop.supply.panels:
        if panel.terminals is None:
            fix = "read the label inside the panel and write `terminals: 75 C` or `60 C`"
            says = f"panel {panel.id}: terminal temperature not given, 60 °C is taken"
            yield Remark("note", panel.id, says, fix)
        detached = not shop.building.attached and panel.feeder.source not in shop.enclosures
        added = back_fed_main_amps(shop, panel)
        if detached and panel.main == "main lug" and panel.disconnect == "none" and added:
            says = f"panel {panel.id} has main lugs and no disconnect: a plan adds a back-fed main"
            fix = "or name one: `disconnect: separate switch`, or a panel with a main breaker"
            yield Remark("note", panel.id, says, fix)
        elif detached and panel.main == "main lug" and panel.disconnect in (None, "none"):
            says = f"panel {panel.id} has main lugs and no disconnect for a detached building"
            fix = "name one: `disconnect: back-fed breaker` takes two spaces (NEC 225.31, 225.33)"
            yield Remark("warning", panel.id, says, fix)
    if shop.supply.service is None:
        says = "the service behind the feeder is not described: nothing is said about its room"
        fix = "add `supply.service` with its rating and its calculated load"
        yield Remark("note", "supply.service", says, fix)


def _existing(shop: Shop) -> Iterator[Remark]:
    """Circuits that somebody should trace."""
    for circuit in shop.existing:
        if circuit.known != "verified":
            fed = ", ".join(circuit.feeds)
            says = f"existing circuit {circuit.id} ({fed}) is {circuit.known}, not verified"
            fix = f"trace {circuit.id} before anybody builds on it, then write `known: verified`"
            yield Remark("note", circuit.id, says, fix)


def _later_version(path: Path, says: str) -> Remark:
    """What the file can say and `plan` does not do yet."""
    where = ".".join(str(step) for step in path if isinstance(step, str))
    return Remark(
        "note", where, says, "it is read, checked and drawn; take it out to plan the rest"
    )
