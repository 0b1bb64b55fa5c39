"""Coverage: the plan holds the shop, all of it and nothing else, and its lists agree."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Any, Final, NamedTuple

from models.formulas.receptacles import receptacle
from models.plan import BoxPlan, CircuitPlan, Finding, MachinePlan, OutletPlan, SwitchPlan
from models.rules.reading import LUMINAIRE_VOLTS, Reading, machine_amps
from models.rules.rule import SAME_AMPS, SAME_FT, RuleText, registry
from models.shop import Box, Machine, Shop
from models.switching import Group, box_of, configuration_of_switch, switch_kind

REACHED_FROM_FLOOR_FT: Final = 6.6  # common practice, no source

COVERAGE = RuleText(
    "coverage",
    "Everything in the shop, once",
    "Every outlet, box, switch and machine of the shop is in the plan once, as the shop describes "
    "it, on one circuit of its voltage; the plan adds none of its own.",
    "plan file against the shop",
    "plan",
)
RULES = registry(COVERAGE)


class Expected(NamedTuple):
    """An outlet as the shop asks for it."""

    box: str
    yoke: str | None
    position: str | None
    kind: str
    configuration: str | None
    volts: int | None
    watts: int | None


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for whatever is missing, added, changed or listed twice."""
    faults = (
        *_outlet_faults(reading),
        *_circuit_faults(reading),
        *_box_faults(reading),
        *_machine_faults(reading),
        *_switch_faults(reading),
    )
    for where, says in dict.fromkeys(faults):
        fix = "plan the shop again; what the shop file says decides"
        yield COVERAGE.finding(where, says, edition=reading.edition, detail=says, fix=fix)


def expected_outlets(shop: Shop) -> tuple[dict[str, Expected], dict[str, Expected]]:
    """Outlets that must be in a plan, and blank yokes that may be, by id."""
    must: dict[str, Expected] = {}
    may: dict[str, Expected] = {}
    wired = {machine.hard_wired_at: machine for machine in shop.machines if machine.hard_wired_at}
    for box in shop.boxes:
        if box.luminaire_watts is not None:
            must[box.id] = Expected(
                box.id, None, None, "luminaire", None, LUMINAIRE_VOLTS, box.luminaire_watts
            )
        for yoke, device, configuration, _ in box.devices:
            if configuration:
                volts = receptacle(configuration).volts
                for position in ("top", "bottom") if device == "duplex" else (None,):
                    name = f"{yoke}.{position}" if position else yoke
                    must[name] = Expected(
                        box.id, yoke, position, "receptacle", configuration, volts, None
                    )
            elif device == "blank":
                user = wired.get(box.id)
                needed = user is not None and not any(
                    o.box == box.id and o.kind == "hard-wired" for o in must.values()
                )
                volts_or_none = user.volts if user else None
                (must if needed else may)[yoke] = Expected(
                    box.id, yoke, None, "hard-wired", None, volts_or_none, None
                )
    return must, may


def _outlet_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """Outlets missing, added or changed."""
    must, may = expected_outlets(reading.shop)
    groups = reading.switch_groups
    first = {name: g.switches[0] for g in groups for name in (*g.luminaires, *g.yokes)}
    for name in must.keys() - reading.outlets.keys():
        yield name, f"outlet {name} of the shop is not in the plan"
    for outlet in reading.plan.outlets:
        wanted = must.get(outlet.id) or may.get(outlet.id)
        if wanted is None:
            yield outlet.id, f"outlet {outlet.id} is not in the shop"
            continue
        for field, value in wanted._asdict().items():
            given = getattr(outlet, field)
            if value != given and not (field == "volts" and value is None):
                says = f"outlet {outlet.id}: {field} is {given}, the shop says {value}"
                yield outlet.id, says
        switch = first.get(wanted.yoke or wanted.box)
        if outlet.switched_by != switch:
            yield (
                outlet.id,
                f"outlet {outlet.id} is switched by {outlet.switched_by}, the shop says {switch}",
            )


def _circuit_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """Lists of a circuit that do not agree with its outlets and machines."""
    fed = {circuit.id: circuit.feeds for circuit in reading.shop.existing}
    listed = Counter(outlet for circuit in reading.plan.circuits for outlet in circuit.outlets)
    for outlet in reading.plan.outlets:
        circuit = reading.circuits[outlet.circuit]
        if listed[outlet.id] != 1 or outlet.id not in circuit.outlets:
            says = f"outlet {outlet.id} names {circuit.id} and is listed {listed[outlet.id]} times"
            yield outlet.id, says
        lower = circuit.is_mixed and outlet.volts < circuit.volts
        if outlet.volts != circuit.volts and not lower:
            says = f"outlet {outlet.id} of {outlet.volts} V is on {circuit.id} of {circuit.volts} V"
            yield outlet.id, says
        if outlet.known != circuit.known:
            says = f"outlet {outlet.id} is {outlet.known}, its circuit {circuit.id} {circuit.known}"
            yield outlet.id, says
        old = outlet.box in fed.get(circuit.id, ())
        if outlet.life != ("existing" if old else "new"):
            says = f"outlet {outlet.id} on {circuit.id} is called {outlet.life}, wrongly"
            yield outlet.id, says
    for circuit in reading.plan.circuits:
        yield from _listing_faults(reading, circuit)


def _listing_faults(reading: Reading, circuit: CircuitPlan) -> Iterator[tuple[str, str]]:
    """What a circuit lists twice or wrongly, and calls new or known that is not."""
    placed = sorted(machine.id for machine in reading.machines_on(circuit))
    if sorted(circuit.machines) != placed:
        says = (
            f"{circuit.id} lists machines {_listed(circuit.machines)},"
            f" placed on it: {_listed(placed)}"
        )
        yield circuit.id, says
    for what, ids in (("outlet", circuit.outlets), ("GFCI place", circuit.gfci_at)):
        if len(set(ids)) != len(ids):
            yield circuit.id, f"{circuit.id} lists a {what} twice"
    if not circuit.outlets:
        yield circuit.id, f"circuit {circuit.id} feeds no outlet"
    volts = sorted({outlet.volts for outlet in reading.outlets_on(circuit)})
    if circuit.is_mixed and len(volts) == 1:
        yield (
            circuit.id,
            f"{circuit.id} is said to feed both voltages, its outlets are {volts[0]} V",
        )
    there = "existing" if circuit.id in reading.existing else "new"
    if circuit.life != there:
        yield circuit.id, f"{circuit.id} is called {circuit.life}, by the shop it is {there}"
    for run in circuit.runs:
        if run.life not in (there, "new"):
            yield run.id, f"{run.id} of {circuit.id} is called {run.life}, it is {there}"
    if there == "new" and {circuit.known, *(run.known for run in circuit.runs)} != {"verified"}:
        yield circuit.id, f"{circuit.id} is to be built: it and its runs are known"


def _listed(names: Iterable[str]) -> str:
    """Names one after the other, or that there are none."""
    return ", ".join(names) or "none"


def _box_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """Boxes missing, added, moved or with other devices."""
    junctions = {box.id for box in reading.shop.routes.junction_boxes}
    fed = {box for circuit in reading.shop.existing for box in circuit.feeds}
    existing = {raceway.id: raceway.existing for raceway in reading.shop.routes.raceways}
    for raceway in reading.plan.raceways:
        if (raceway.life == "existing") != existing.get(raceway.id):
            yield raceway.id, f"raceway {raceway.id} is called {raceway.life}, not as in the shop"
    for name in reading.boxes_of_shop.keys() - reading.boxes.keys():
        yield name, f"box {name} of the shop is not in the plan"
    for box in reading.plan.boxes:
        place = reading.shop.enclosures.get(box.id)
        if place is None or not (box.id in junctions or box.id in reading.boxes_of_shop):
            yield box.id, f"box {box.id} is not in the shop"
            continue
        known = next((c.known for c in reading.shop.existing if box.id in c.feeds), "verified")
        if box.known != known:
            yield box.id, f"box {box.id} is called {box.known}, the shop says {known}"
        old = box.id in fed or getattr(place, "existing", False)
        if (box.life == "existing") != old:
            yield box.id, f"box {box.id} is called {box.life}, the shop says otherwise"
        here = reading.shop.position(place)
        if any(abs(a - b) > SAME_FT for a, b in zip(here, box.place, strict=True)):
            yield box.id, f"box {box.id} is drawn at {box.place}, the shop says {here}"
        if box.wall != place.wall:
            yield box.id, f"box {box.id} is on wall {box.wall}, the shop says {place.wall}"
        location = "wet" if getattr(place, "outdoors", False) else "dry"
        if box.location != location:
            yield box.id, f"box {box.id} is called {box.location}, by the shop it is {location}"
        if box.reachable_from_floor != (here[2] <= REACHED_FROM_FLOOR_FT):
            yield box.id, f"box {box.id} at {here[2]:g} ft: whether it is reached is called wrongly"
        if box.id in reading.boxes_of_shop:
            yield from _yoke_faults(reading, box, reading.boxes_of_shop[box.id])


def _yoke_faults(reading: Reading, box: BoxPlan, wanted: Box) -> Iterator[tuple[str, str]]:
    """Yokes of a box that are not what the shop asks for or not on their outlets' circuit."""
    kinds = {switch.id: switch.kind for switch in reading.plan.switches}
    given = [(y.id, y.device, y.configuration) for y in box.yokes]
    asked = [
        (y.id, y.kind, y.configuration or configuration_of_switch(kinds.get(y.id, "single-pole")))
        for y in wanted.devices
    ]
    if given != asked:
        yield box.id, f"box {box.id} has yokes {given}, the shop says {list(wanted.yokes)}"
    if box.gangs != max(1, len(wanted.yokes)):
        yield box.id, f"box {box.id} has {box.gangs} gangs for {len(wanted.yokes)} yokes"
    for yoke in box.yokes:
        for outlet in reading.plan.outlets:
            if outlet.yoke == yoke.id and outlet.circuit != yoke.circuit:
                says = (
                    f"yoke {yoke.id} is on {yoke.circuit}, outlet {outlet.id} on {outlet.circuit}"
                )
                yield yoke.id, says


def _machine_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """Machines missing, changed, without a place, or two at one outlet."""
    for name in reading.machines_of_shop.keys() - reading.machines.keys():
        yield name, f"machine {name} of the shop is not in the plan"
    taken = Counter(machine.outlet for machine in reading.plan.machines if machine.outlet)
    for outlet, count in taken.items():
        if count > 1:
            yield outlet, f"{count} machines are plugged into {outlet}"
    for machine in reading.plan.machines:
        wanted = reading.machines_of_shop[machine.id]
        for field, given, value in _machine_claims(machine, wanted):
            if given != value:
                yield (
                    machine.id,
                    f"machine {machine.id}: {field} is {given}, the shop gives {value}",
                )
        if says := _place_fault(machine, wanted, reading.outlet_of(machine)):
            yield machine.id, f"machine {machine.id} {says}"


def _machine_claims(machine: MachinePlan, wanted: Machine) -> Iterator[tuple[str, Any, Any]]:
    """(what, plan, shop) for the plain facts of a machine."""
    amps = machine_amps(wanted)
    of_table = wanted.motor_hp is not None
    table, plate = (amps, None) if of_table else (None, amps)
    yield "name", machine.name, wanted.name
    yield "volts", machine.volts, wanted.volts
    yield "portable", machine.portable, wanted.portable
    for what, given, value in (
        ("amps_table", machine.amps_table, table),
        ("amps_nameplate", machine.amps_nameplate, plate),
    ):
        same = given is not None and value is not None and abs(given - value) <= SAME_AMPS
        yield what, value if same else given, value


def _place_fault(machine: MachinePlan, wanted: Machine, outlet: OutletPlan | None) -> str | None:
    """What is wrong with where a machine takes its current; None when nothing is."""
    if wanted.portable:
        placed = machine.outlet or machine.hard_wired_at or machine.circuit
        return f"is portable but bound to {placed}" if placed else None
    if outlet is None:
        return "has no outlet"
    if machine.circuit != outlet.circuit:
        return f"is on {machine.circuit}, its outlet {outlet.id} on {outlet.circuit}"
    if wanted.hard_wired_at is not None:
        right = machine.outlet is None and outlet.box == wanted.hard_wired_at
        return None if right else f"is not hard-wired at {wanted.hard_wired_at}"
    if outlet.kind != "receptacle" or machine.hard_wired_at is not None:
        return "has a plug but no receptacle"
    if wanted.receptacle not in (None, outlet.id, outlet.yoke, outlet.box):
        return f"is plugged into {outlet.id}, the shop says {wanted.receptacle}"
    return None


def _switch_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """Switches missing or added, of another kind or group, or that list other outlets."""
    groups = reading.switch_groups
    group_of = {switch: group for group in groups for switch in group.switches}
    given = {switch.id: switch for switch in reading.plan.switches}
    for name in sorted(group_of.keys() ^ given.keys()):
        yield name, f"switch {name} is not both in the shop and in the plan"
    for switch in reading.plan.switches:
        group = group_of.get(switch.id)
        if group is None:
            continue
        if switch.box != box_of(switch.id):
            yield switch.id, f"switch {switch.id} is not in {switch.box}"
        fed = sorted(
            o.id
            for o in reading.plan.outlets
            if (o.yoke or o.box) in group.luminaires + group.yokes
        )
        if sorted(switch.controls) != fed:
            yield switch.id, f"switch {switch.id} lists {list(switch.controls)}, {fed} hang on it"
        for name in fed:
            if reading.outlets[name].circuit != switch.circuit:
                yield switch.id, f"switch {switch.id} and outlet {name} are on two circuits"
        yield from _row_faults(reading, switch, group)


def _row_faults(reading: Reading, switch: SwitchPlan, group: Group) -> Iterator[tuple[str, str]]:
    """A kind, or a next switch, that is not as the runs lead from switch to switch."""
    tree = reading.trees[switch.circuit]
    row = sorted(group.switches, key=lambda name: len(tree.passed(box_of(name))))
    place = row.index(switch.id)
    following = row[(place + 1) % len(row)] if len(row) > 1 else None
    if switch.pair_with != following:
        yield switch.id, f"after switch {switch.id} comes {following}, not {switch.pair_with}"
    kind = switch_kind(place, len(row))
    if switch.kind != kind:
        yield switch.id, f"switch {switch.id} is called {switch.kind}, in its row it is {kind}"
    yoke = next((y for b in reading.plan.boxes for y in b.yokes if y.id == switch.id), None)
    if yoke is not None and yoke.circuit != switch.circuit:
        yield switch.id, f"switch {switch.id} is on {switch.circuit}, its yoke on {yoke.circuit}"
