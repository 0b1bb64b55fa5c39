"""Things to hang on circuits: those of a shop, whatever the plan, and those of a planned circuit.

Amperes, watts.
"""

from collections.abc import Iterator

from models.answers.sharing import Hanging, rated
from models.formulas.receptacles import receptacle
from models.plan import CircuitPlan
from models.reach import receptacles_in_reach
from models.rules.reading import LUMINAIRE_VOLTS, Reading
from models.shop import Machine, Shop


def things_of_shop(shop: Shop) -> Iterator[Hanging]:
    """Everything that new circuits must feed in any plan of a shop.

    A machine whose receptacle is not named stands by itself, and is left out when it may use one
    that is there already: then no new circuit need feed it.
    """
    fed = {name for circuit in shop.existing for name in circuit.feeds}
    seats, free = _seats(shop, fed)
    for box in shop.boxes:
        if box.id in fed:
            continue
        for yoke in box.devices:
            if yoke.configuration:
                machines = tuple(seats.get(yoke.id, ()))
                yield _receptacle(yoke.id, yoke.kind, yoke.configuration, machines)
            elif wired := [m for m in shop.machines if m.hard_wired_at == box.id]:
                (machine,) = wired[:1]
                yokes = frozenset([yoke.id])
                yield Hanging(yoke.id, machine.volts, "hard-wired", yokes, (machine.id,))
    yield from free
    yield from _lights_of(shop, fed)


def _receptacle(yoke_id: str, kind: str, configuration: str, machines: tuple[str, ...]) -> Hanging:
    return Hanging(
        yoke_id,
        receptacle(configuration).volts,
        "receptacle",
        frozenset([yoke_id]),
        machines,
        0.0,
        rated(configuration),
        2 if kind == "duplex" else 1,
    )


def _lights_of(shop: Shop, fed: set[str]) -> Iterator[Hanging]:
    """Luminaires by the switch they hang behind."""
    behind: dict[str, list[str]] = {}
    watts = {box.id: box.luminaire_watts or 0.0 for box in shop.boxes}
    for box in shop.boxes:
        switch = box.switched_by[0] if box.switched_by else box.id
        if box.luminaire_watts and not {box.id, box.switch_box} & fed:
            behind.setdefault(switch, []).append(box.id)
    for switch, names in behind.items():
        lit = sum(watts[name] for name in names)
        yokes = frozenset([switch, *names])
        yield Hanging(switch, LUMINAIRE_VOLTS, "lights", yokes, (), lit)


def _seats(shop: Shop, fed: set[str]) -> tuple[dict[str, list[str]], list[Hanging]]:
    """Machines by the yoke they must use, and those that have a choice of new ones."""
    seats: dict[str, list[str]] = {}
    free = []
    yokes = {yoke_id for _, yoke_id, _, _ in shop.receptacles()}
    named = {m.id: _yoke(m.receptacle, yokes) for m in shop.machines if m.receptacle}
    for machine in shop.machines:
        if machine.id in named:
            seats.setdefault(named[machine.id], []).append(machine.id)
        elif machine.plug is not None and not machine.portable:
            found = _choice(shop, machine, fed, set(named.values()))
            if found is not None:
                free.append(found)
    return seats, free


def _yoke(name: str, yokes: set[str]) -> str:
    return name if name in yokes else name.rpartition(".")[0]


def _choice(shop: Shop, machine: Machine, fed: set[str], taken: set[str]) -> Hanging | None:
    """A machine that may use one of several new receptacles; None when an old one may do."""
    singles = {yoke_id for _, yoke_id, kind, _ in shop.receptacles() if kind == "single"}
    reach = receptacles_in_reach(shop, machine)
    old = [f for f in reach if f.box.id in fed and f.yoke_id not in singles & taken]
    new = [f for f in reach if f.box.id not in fed]
    if old or not new:
        return None
    largest = max(rated(fitting.configuration) or 0 for fitting in new)
    return Hanging(
        machine.id, machine.volts, "receptacle", frozenset(), (machine.id,), 0.0, largest, 0, False
    )


def things_on(reading: Reading, circuit: CircuitPlan) -> Iterator[Hanging]:
    """What hangs on a circuit of the plan, machines where the plan has them."""
    at: dict[str, list[str]] = {}
    for placed in reading.plan.machines:
        if outlet := reading.outlet_of(placed):
            at.setdefault(outlet.yoke or outlet.id, []).append(placed.id)
    outlets = reading.outlets_on(circuit)
    for yoke, kind in dict.fromkeys((o.yoke or o.id, o.kind) for o in outlets):
        mine = [outlet for outlet in outlets if (outlet.yoke or outlet.id) == yoke]
        lit = sum(
            reading.box_of_shop(o).luminaire_watts or 0.0 for o in mine if o.kind == "luminaire"
        )
        names = frozenset([yoke, *(o.box for o in mine if o.kind == "luminaire")])
        yield Hanging(
            yoke,
            circuit.volts,
            "lights" if kind == "luminaire" else kind,
            names,
            tuple(at.get(yoke, ())),
            lit,
            rated(mine[0].configuration) if kind == "receptacle" else None,
            len(mine) if kind == "receptacle" else 0,
        )
