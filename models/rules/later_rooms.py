"""Room kept in raceways of the shop for a machine that may come: the run that it will hold, the
boxes on its way, and what of the raceways is laid because of it. Feet, cubic inches, °C.

How full and how hot the raceways then are, `raceway_fill` and `after_changeovers` ask.
"""

from collections.abc import Iterator

from models.part_keys import PULL_STRING, RACEWAY_CONNECTOR, raceway_key, single_key
from models.plan import THEN, LaterCircuit, LaterMachinePlan, Run
from models.rules.after_changeovers import reading_after
from models.rules.box_fill import SAME_IN3, fill_in3
from models.rules.reading import Reading
from models.rules.run_makeup import colour_fault, colours_fault
from models.rules.tree import raceway_fault
from models.shop.facts import TRADE_SIZES

LINE_TO_LINE = 240


def parts_now(reading: Reading, one: LaterMachinePlan, room: Run) -> dict[str, float]:
    """What is bought now for room that is kept: its pull string, raceways that are laid for it,
    and larger ones less the ones that they are instead of. [ft, pieces]
    """
    found = {PULL_STRING: room.length_ft + room.allowance_ft}
    raceways = {raceway.id: raceway for raceway in reading.plan.raceways}
    for laid in one.laid:
        raceway = raceways[laid.raceway]
        key = raceway_key(raceway.kind, laid.trade_size)
        found[key] = found.get(key, 0.0) + raceway.length_ft
        if laid.instead_of is None:
            found[RACEWAY_CONNECTOR] = found.get(RACEWAY_CONNECTOR, 0.0) + 2
        else:
            key = raceway_key(raceway.kind, laid.instead_of)
            found[key] = found.get(key, 0.0) - raceway.length_ft
    return found


def carrying_then(reading: Reading, room: Run) -> int:
    """Current-carrying conductors around a run once it is drawn in, with all that is prepared."""
    return max(map(reading_after(reading).carrying_in, room.raceways), default=0)


def faults(reading: Reading, one: LaterMachinePlan, made: LaterCircuit) -> Iterator[str]:
    """What will not do of the room that is kept for a machine."""
    room, name = one.room, one.machine
    if room is None:
        return
    yield from _run_faults(reading, one, made, room)
    if fault := raceway_fault(reading, room):
        yield fault
    then = carrying_then(reading, room)
    if room.current_carrying != then:
        yield f"{then} conductors of {name} and others then carry current, not the number told"
    drawn = reading.plan.rooms
    for enclosure in (*room.via, room.end):
        box = reading.boxes.get(enclosure)
        if box is None or box.volume_in3 is None:
            continue
        needed = fill_in3(reading, box, drawn)
        if needed > box.volume_in3 + SAME_IN3:
            says = f"{box.id} has {box.volume_in3:g} in³, and needs {needed:g} in³"
            yield f"{says} once what room is kept for is drawn in"
    yield from _laid_faults(reading, one, room)


def _run_faults(
    reading: Reading, one: LaterMachinePlan, made: LaterCircuit, room: Run
) -> Iterator[str]:
    """A run that is not that of its circuit, or whose conductors are not what they should be."""
    name = one.machine
    as_told = (
        (room.start, room.end, room.path, room.length_ft, room.allowance_ft, room.method)
        == (one.panel, one.box, made.path, made.length_ft, made.allowance_ft, made.method)
        and (room.life, room.known, room.stage, room.id) == ("new", "verified", THEN, f"{name}.1")
        and room.method == "raceway"
    )
    machine = next((m for m in reading.shop.later.machines if m.id == name), None)
    second = "hot2" if machine is not None and machine.volts == LINE_TO_LINE else "neutral"
    wires = [(wire.role, wire.awg, wire.insulated) for wire in room.conductors]
    wanted = [("hot", made.awg, True), (second, made.awg, True), ("ground", made.ground_awg, True)]
    if not as_told or wires != wanted:
        yield f"the run that room is kept for is not that of the circuit of {name}"
    buried = {raceway.id for raceway in reading.shop.routes.raceways if raceway.laid == "buried"}
    if room.wet == buried.isdisjoint(room.raceways):
        yield f"the raceways of {name} are {'dry' if room.wet else 'wet'} inside"
    if room.make != f"{single_key(made.awg, wet=room.wet)} in {', '.join(room.raceways)}":
        yield f"the run that room is kept for is called {room.make}"
    if abs(reading.ambient_c(room) - made.ambient_c) > 0.05 or room.ambient_c != made.ambient_c:
        yield f"the way of {name} is {reading.ambient_c(room):g} °C hot"
    said = [colours_fault(room), *(colour_fault(room, wire) for wire in room.conductors)]
    yield from filter(None, said)


def _laid_faults(reading: Reading, one: LaterMachinePlan, room: Run) -> Iterator[str]:
    """Raceways that are told to be laid for a machine otherwise than its turn among others asks."""
    raceways = {raceway.id: raceway for raceway in reading.plan.raceways}
    told = [laid.raceway for laid in one.laid]
    if len(set(told)) < len(told) or not set(told) <= set(room.raceways):
        yield f"raceways told to be laid for {one.machine} are not those of its room, each once"
    given = {raceway.id: raceway.trade_size for raceway in reading.shop.routes.raceways}
    for raceway in (raceways[name] for name in room.raceways):
        used = raceway.life == "existing" or raceway.id in reading.runs_in_raceway
        size: str | None = given.get(raceway.id) if used else None
        for other in reading.plan.later_machines or ():
            mine = other.room is not None and raceway.id in other.room.raceways
            for laid in other.laid if mine else ():
                if laid.raceway != raceway.id:
                    continue
                grows = size is None or _place(laid.trade_size) > _place(size)
                if laid.instead_of != size or raceway.life == "existing" or not grows:
                    yield f"{raceway.id} is not {size or 'left out'} without {other.machine}"
                size = laid.trade_size
            if mine and size is None:
                yield f"{raceway.id} is laid for {other.machine}, and it is not told"
        if size != raceway.trade_size:
            yield f"{raceway.id} is laid in {raceway.trade_size} in, and not for a machine to come"


def _place(trade_size: str) -> int:
    """The place of a trade size among all."""
    return TRADE_SIZES.index(trade_size) if trade_size in TRADE_SIZES else -1
