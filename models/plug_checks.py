"""Whether every machine finds current: its plug, its receptacle, its cord, its box.

Source: NEMA WD 6 for which plug fits, through `models.tables`; the reach of a cord is geometry.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from models.formulas.receptacles import plug_fits, receptacle
from models.reach import (
    fitting_receptacles,
    known_configurations,
    known_plugs,
    opens_to,
    reach_ft,
    receptacles_in_reach,
    within_cord,
)
from models.shop import Box, Machine, Shop
from models.shop_problem import Path, Problems, ShopProblem, closest, unknown
from models.sight import wall_between
from models.tables import read_table

LARGEST_DUPLEX_AMPS: Final = 20  # from memory: NEMA WD 6 has duplex devices of 15 and 20 A


def check_receptacles(shop: Shop) -> Problems:
    """Receptacle configurations that the table lists."""
    fed = {name for circuit in shop.existing for name in circuit.feeds}
    for index, box in enumerate(shop.boxes):
        for place, (_, kind, configuration, _) in enumerate(box.devices):
            path: Path = ("boxes", index, "yokes", place)
            if not configuration:
                continue
            if configuration not in known_configurations():
                yield from unknown(path, "receptacle", configuration, known_configurations())
            elif kind == "duplex" and receptacle(configuration).amps > LARGEST_DUPLEX_AMPS:
                amps = receptacle(configuration).amps
                says = f"a duplex is made for {LARGEST_DUPLEX_AMPS} A at most, {configuration} is"
                yield ShopProblem(path, f"{says} for {amps} A: write `single {configuration}`")
            elif box.id not in fed and not receptacle(configuration).for_new_circuits:
                says = f"{configuration} has no ground and is not for new circuits: name another"
                yield ShopProblem(path, f"{says} receptacle, or the existing circuit that feeds it")


def check_machines(shop: Shop) -> Problems:
    """Every machine at a receptacle that its plug fits within its cord, or hard-wired."""
    if any(configuration not in known_configurations() for *_, configuration in shop.receptacles()):
        return
    receptacles = _receptacles_by_name(shop)
    for index, machine in enumerate(shop.machines):
        path: Path = ("machines", index)
        if machine.plug is None:
            yield from _check_hard_wired(shop, path, machine)
        elif problems := list(_check_plug(path, machine)):
            yield from problems
        elif machine.receptacle is not None:
            yield from _check_plugged(shop, path, machine, receptacles)
        else:
            yield from _check_something_in_reach(shop, path, machine)


def check_later_plugs(shop: Shop) -> Problems:
    """Machines that may come: a plug of their voltage, and a receptacle that is there."""
    receptacles = _receptacles_by_name(shop)
    for index, machine in enumerate(shop.later.machines):
        path: Path = ("later", "machines", index)
        if machine.plug is None:
            continue
        yield from _check_plug(path, machine)
        name = machine.receptacle
        if name is not None and name not in receptacles:
            yield ShopProblem((*path, "plugs_into"), _no_receptacle(shop, name, receptacles))


def _check_plug(path: Path, machine: Machine) -> Problems:
    """A plug that is known, and of the machine's voltage."""
    plug = machine.plug or ""
    if plug not in known_plugs():
        yield from unknown((*path, "plug"), "plug", plug, known_plugs())
    elif (volts := _plug_volts(plug)) != machine.volts:
        says = f"{machine.id!r} is for {machine.volts} V, its plug {plug} for {volts} V"
        yield ShopProblem((*path, "plug"), f"{says}: read the nameplate again")


def _receptacles_by_name(shop: Shop) -> Mapping[str, tuple[Box, str]]:
    """Box and configuration by every name that a machine may be plugged into."""
    names: dict[str, tuple[Box, str]] = {}
    for box, yoke_id, kind, configuration in shop.receptacles():
        names[yoke_id] = box, configuration
        if kind == "duplex":
            names[f"{yoke_id}.top"] = names[f"{yoke_id}.bottom"] = box, configuration
    return names


def _plug_volts(plug: str) -> int:
    """Nominal voltage of a plug, that of the receptacle it goes into."""
    rows = read_table("plug_fit")
    fits = next(row.text("receptacle") for row in rows if row.text("plug") == plug)
    return receptacle(fits).volts


def _check_hard_wired(shop: Shop, path: Path, machine: Machine) -> Problems:
    """A hard-wired machine alone at a box with one yoke, a blank one."""
    boxes = {box.id: box for box in shop.boxes}
    if machine.plugs_into is not None:
        says = f"{machine.id!r} is hard-wired: take out `plugs_into`, or give it a plug"
        yield ShopProblem((*path, "plugs_into"), says)
    if machine.hard_wired_at is None:
        return
    yield from unknown((*path, "hard_wired_at"), "box", machine.hard_wired_at, boxes)
    box = boxes.get(machine.hard_wired_at)
    if box is not None and "blank" not in box.yokes:
        says = f"{machine.id!r} is hard-wired at {box.id!r}, which has no `blank` yoke: add"
        yield ShopProblem((*path, "hard_wired_at"), f"{says} `blank` to its yokes")
    elif box is not None and len(box.yokes) > 1:
        says = f"{machine.id!r} is hard-wired at {box.id!r}, a box of {len(box.yokes)} gangs: give"
        yield ShopProblem((*path, "hard_wired_at"), f"{says} it a box with `yokes: [blank]`")
    first = next(one for one in shop.machines if one.hard_wired_at == machine.hard_wired_at)
    if first.id != machine.id:
        says = f"{first.id!r} is hard-wired at {machine.hard_wired_at!r} already: give"
        yield ShopProblem((*path, "hard_wired_at"), f"{says} {machine.id!r} a box of its own")


def _check_plugged(
    shop: Shop, path: Path, machine: Machine, receptacles: Mapping[str, tuple[Box, str]]
) -> Problems:
    """A machine at the receptacle that the file names."""
    here, name = (*path, "plugs_into"), str(machine.receptacle)
    if name not in receptacles:
        yield ShopProblem(here, _no_receptacle(shop, name, receptacles))
        return
    box, configuration = receptacles[name]
    if not plug_fits(str(machine.plug), configuration):
        says = f"plug {machine.plug} of {machine.id!r} does not fit {configuration} at {name!r}"
        yield ShopProblem(here, f"{says}: {_fits(str(machine.plug))}")
    elif machine.at is not None and wall_between(shop, machine.at, opens_to(shop, box)):
        says = f"a wall stands between {machine.id!r} and {name!r}: a cord does not go through it,"
        yield ShopProblem(here, f"{says} name a receptacle on its side")
    elif not within_cord(machine, distance := reach_ft(shop, machine, box)):
        says = f"{machine.id!r} has a cord of {machine.cord_ft:g} ft, {name!r} is {distance:.1f} ft"
        says += " away in a straight line: move one of them, or name a nearer receptacle"
        yield ShopProblem(here, says)


def _no_receptacle(shop: Shop, name: str, receptacles: Mapping[str, tuple[Box, str]]) -> str:
    """What a name that is no receptacle may have meant."""
    box = shop.enclosures.get(name)
    yokes = [one for one in box.yoke_ids if one in receptacles] if isinstance(box, Box) else []
    if yokes:
        return f"{name!r} has several yokes: write {' or '.join(map(repr, yokes))}"
    if box is not None:
        return f"{name!r} holds no receptacle; {closest(name, receptacles)}"
    return f"no receptacle is called {name!r}; {closest(name, receptacles)}"


def _fits(plug: str) -> str:
    """The receptacles that a plug goes into, as a next step."""
    rows = read_table("plug_fit")
    names = [row.text("receptacle") for row in rows if row.text("plug") == plug]
    return f"use a receptacle {' or '.join(names)}"


def _check_something_in_reach(shop: Shop, path: Path, machine: Machine) -> Problems:
    """A machine whose place the planner picks: at least one receptacle that it may use."""
    if not receptacles_in_reach(shop, machine):
        yield ShopProblem((*path, "plug"), " ".join(_out_of_reach(shop, machine)))


def _out_of_reach(shop: Shop, machine: Machine) -> Iterator[str]:
    """What is nearest, and what to do."""
    fitting = fitting_receptacles(shop, machine)
    yield f"plug {machine.plug} of {machine.id!r} fits no receptacle within its"
    yield f"{machine.cord_ft:g} ft cord:"
    if not fitting:
        yield f"none of the shop fits; {_fits(str(machine.plug))} near it"
        return
    nearest = fitting[0]
    yield f"the nearest that fits is {nearest.yoke_id!r} ({nearest.configuration}),"
    yield f"{nearest.distance_ft:.1f} ft away: move one of them, or add a box"
