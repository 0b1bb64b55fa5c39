"""Make-up of boxes: which conductors come in, which of them meet, and what the fill comes to.

Conductors that meet are spliced with a pigtail to each device; behind a GFCI device the outgoing
conductors hang on its load side, never on the incoming ones. The two circuits of a multiwire pair
are made up together: what hangs on its neutral is always spliced through (300.13(B)), so a GFCI
device there protects itself alone.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from models.box_sizes import box_volume_in3
from models.changeovers import later_machine_of
from models.formulas.box_fill import box_fill_in3
from models.formulas.pull_boxes import needs_pull_box
from models.formulas.receptacles import receptacle
from models.plan import (
    BoxPlan,
    CircuitPlan,
    Conductor,
    Known,
    LaterMachinePlan,
    Life,
    MakeUp,
    Role,
    Run,
    Splice,
    YokePlan,
)
from models.shop import Box, ExistingCircuit, JunctionBox, Shop
from models.shop.boxes import Yoke
from models.switching import Group as SwitchGroup
from models.switching import configuration_of_switch, switch_groups, switch_kind
from solver.switched_boxes import Behind, wired_order

REACHED_FROM_FLOOR_FT: Final = 6.6  # common practice, no source
LOAD_SIDE: Final = " load"
LINE_TO_LINE: Final = 240


@dataclass(frozen=True)
class Group:
    """Conductors that are one point electrically in a box, and the devices on them.

    `fed_here`: current comes from one of the devices, so there need not be a conductor.
    """

    conductors: tuple[tuple[Run, Role], ...]
    devices: tuple[str, ...]
    fed_here: bool = False

    @property
    def is_there(self) -> bool:
        """Whether anything meets or ends here at all."""
        return bool(self.conductors) or (self.fed_here and len(self.devices) > 1)

    @property
    def spliced(self) -> bool:
        """More than one conductor on one device."""
        return len(self.conductors) > 1 or len(self.devices) > 1


def boxes_of(
    shop: Shop,
    circuits: Sequence[CircuitPlan],
    sizes: dict[str, str],
    later: Iterable[LaterMachinePlan] = (),
) -> tuple[BoxPlan, ...]:
    """Every box and every used junction box with its make-up; what is pulled now for machines that
    may come ends there capped.
    """
    capped = [(later_machine_of(one.machine), one.run) for one in later if one.run is not None]
    old = {box: circuit for circuit in shop.existing for box in circuit.feeds}
    wired = _wired_at(circuits)
    groups = switch_groups(shop)
    made = [
        _box(shop, box, wired.get(box.id, ()), groups, sizes.get(box.id), old.get(box.id), capped)
        for box in shop.boxes
    ]
    passed = {end for c in circuits for run in c.runs for end in (run.start, *run.via, run.end)}
    junctions = shop.routes.junction_boxes
    used = [one for one in junctions if one.id in sizes or one.id in passed]
    made += [
        _box(shop, junction, wired.get(junction.id, ()), groups, junction.box, None)
        for junction in used
    ]
    return tuple(made)


def _box(
    shop: Shop,
    box: Box | JunctionBox,
    circuits: Iterable[tuple[CircuitPlan, ...]],
    switched: Sequence[SwitchGroup],
    size: str | None,
    old: ExistingCircuit | None,
    capped: Iterable[tuple[str, Run]] = (),
) -> BoxPlan:
    """One box with the circuits that come to it, and runs that end in it capped."""
    device = box if isinstance(box, Box) else None
    yokes: dict[str, YokePlan] = {}
    conductors: list[MakeUp] = []
    splices: list[Splice] = []
    for wired in circuits:
        touching = [
            (circuit, run)
            for circuit in wired
            for run in circuit.runs
            if box.id in (run.start, *run.via, run.end)
        ]
        runs = [run for _, run in touching]
        mine = [_yokes(device, circuit, switched) if device else [] for circuit in wired]
        yokes.update({yoke.id: yoke for found in mine for yoke in found})
        if len(mine) > 1:
            groups = _groups_of_pair(box.id, runs, *mine)
        else:
            behind = Behind(wired[0], switched)
            both = _on_both_hots(shop, mine[0]) if wired[0].is_mixed else frozenset()
            groups = _groups(box.id, runs, mine[0], device, behind, both)
        conductors += _ends(box.id, touching, groups)
        splices += [_splice(group) for group in groups if group.spliced]
    if device:
        yokes = {yoke.id: yokes.get(yoke.id) or _yoke(yoke, None) for yoke in device.devices}
    place = shop.position(box)
    conductors += [
        MakeUp(run=run.id, role=wire.role, awg=wire.awg, circuit=circuit, ends="capped")
        for circuit, run in capped
        if box.id in (run.start, run.end)
        for wire in run.conductors
    ]
    existing = old is not None or (isinstance(box, JunctionBox) and box.existing)
    life: Life = "existing" if existing else "new"
    known: Known = old.known if old else "verified"
    return BoxPlan(
        id=box.id,
        kind="junction" if device is None else "luminaire" if device.luminaire_watts else "device",
        place=place,
        wall=box.wall,
        gangs=max(1, len(device.yokes)) if device else 1,
        box=size or "existing",
        volume_in3=box_volume_in3(size) if size else None,
        fill_in3=_fill_in3(conductors, list(yokes.values()), shop.code.edition),
        internal_clamps=False,
        yokes=tuple(yokes.values()),
        conductors=tuple(conductors),
        splices=tuple(splices),
        location="wet" if device and device.outdoors else "dry",
        reachable_from_floor=place[2] <= REACHED_FROM_FLOOR_FT,
        life=life,
        known=known,
    )


def _wired_together(circuits: Sequence[CircuitPlan]) -> Iterator[tuple[CircuitPlan, ...]]:
    """Each circuit, and each multiwire pair once, the circuit with its home run first."""
    by_id = {circuit.id: circuit for circuit in circuits}
    done: set[str] = set()
    for circuit in circuits:
        other = by_id.get(circuit.multiwire_with or "")
        if circuit.id not in done:
            done.update(one.id for one in (circuit, other) if one)
            yield (circuit,) if other is None else (circuit, other)


def _wired_at(
    circuits: Sequence[CircuitPlan],
) -> dict[str, list[tuple[CircuitPlan, ...]]]:
    """Circuits, pairs together, by the enclosures that their runs come to."""
    found: dict[str, list[tuple[CircuitPlan, ...]]] = {}
    for wired in _wired_together(circuits):
        runs = [run for circuit in wired for run in circuit.runs]
        for name in dict.fromkeys(end for r in runs for end in (r.start, *r.via, r.end)):
            found.setdefault(name, []).append(wired)
    return found


def _yoke(yoke: Yoke, circuit: CircuitPlan | None, switch: str | None = None) -> YokePlan:
    """A yoke on a circuit, or on none; `switch`: what it is in its group."""
    return YokePlan.model_validate(
        {
            "id": yoke.id,
            "device": yoke.kind,
            "configuration": yoke.configuration or switch,
            "gfci": circuit is not None and yoke.id in circuit.gfci_at,
            "circuit": circuit.id if circuit else None,
            "largest_awg": circuit.conductor.awg if circuit and yoke.kind != "blank" else None,
        }
    )


def _yokes(box: Box, circuit: CircuitPlan, switched: Sequence[SwitchGroup]) -> list[YokePlan]:
    """Yokes of a box that belong to a circuit; a switch belongs where what it switches is."""
    behind = Behind(circuit, switched)
    outlets = set(circuit.outlets)
    kinds = {
        switch: configuration_of_switch(switch_kind(place, len(group.switches)))
        for group in behind.groups
        for place, switch in enumerate(wired_order(circuit, group))
    }
    return [
        _yoke(yoke, circuit, kinds.get(yoke.id))
        for yoke in box.devices
        if yoke.id in kinds or outlets & {yoke.id, f"{yoke.id}.top"}
    ]


def _groups_of_pair(
    box: str, touching: Sequence[Run], first: Sequence[YokePlan], second: Sequence[YokePlan]
) -> list[Group]:
    """The same for a pair: its halves have hots of their own and share neutral and ground."""
    ending = [run for run in touching if box not in run.via]
    halves: dict[Role, list[str]] = {
        "hot": [yoke.id for yoke in first],
        "hot2": [yoke.id for yoke in second],
    }
    all_yokes = [name for names in halves.values() for name in names]
    made = [_group(ending, "ground", all_yokes)]
    made += [_group(ending, role, names) for role, names in halves.items()]
    made.append(_group(ending, "neutral", all_yokes))
    return [group for group in made if group.is_there]


def _groups(
    box: str,
    touching: Sequence[Run],
    yokes: Sequence[YokePlan],
    device: Box | None,
    behind: Behind,
    on_both_hots: frozenset[str],
) -> list[Group]:
    """The conductors that end in a box, sorted into points that are electrically one."""
    ending = [run for run in touching if box not in run.via]
    arriving = [run for run in ending if run.end == box]
    leaving = [run for run in ending if run.start == box]
    gfci = [yoke.id for yoke in yokes if yoke.gfci]
    fixture = [device.id] if device and device.luminaire_watts else []
    outlets = [yoke.id for yoke in yokes if yoke.device != "switch"] + fixture
    switches = [yoke.id for yoke in yokes if yoke.device == "switch"]
    rows = [(group, wired_order(behind.circuit, group)) for group in behind.groups]
    switched = {name for group, _ in rows for name in (*group.yokes, *group.luminaires)}
    live = [name for name in outlets if name not in switched]
    live += [name for name in switches if name in {row[0] for _, row in rows}]
    made = [_group(ending, "ground", [*outlets, *switches])]
    wired: dict[Role, list[str]] = {"hot": live, "hot2": live, "neutral": outlets}
    if behind.circuit.is_mixed:
        wired["hot2"] = [name for name in live if name in on_both_hots]
        wired["neutral"] = [name for name in outlets if name not in on_both_hots]
    for role, devices in wired.items():
        if gfci and role in ("hot", "neutral"):
            others = [name for name in devices if name not in gfci]
            made.append(_group(arriving, role, gfci))
            load = [f"{name}{LOAD_SIDE}" for name in gfci]
            if leaving or others:
                made.append(_group(leaving, role, [*load, *others], fed_here=True))
        else:
            made.append(_group(ending, role, devices))
    for group, row in rows:
        own = [run for run in ending if behind.group_of(run, "switched") == group]
        members = [name for name in outlets if name in (*group.yokes, *group.luminaires)]
        last = [name for name in switches if name == row[-1]]
        made.append(_group(own, "switched", [*last, *members], fed_here=bool(last)))
    return [group for group in made if group.is_there]


def _on_both_hots(shop: Shop, yokes: Sequence[YokePlan]) -> frozenset[str]:
    """Yokes that take both hots and no neutral: by their receptacle, or the machine wired there."""
    found = set()
    for yoke in yokes:
        if yoke.device in ("duplex", "single") and yoke.configuration:
            given = receptacle(yoke.configuration)
            both = given.hots == 2 and not given.neutral
        else:
            at = (yoke.id, yoke.id.rpartition(".")[0])
            both = any(m.hard_wired_at in at and m.volts == LINE_TO_LINE for m in shop.machines)
        found |= {yoke.id} if both else set()
    return frozenset(found)


def _group(
    runs: Sequence[Run], role: Role, devices: Sequence[str], *, fed_here: bool = False
) -> Group:
    found = tuple((run, role) for run in runs for c in run.conductors if c.role == role)
    return Group(found, tuple(devices), fed_here)


def _splice(group: Group) -> Splice:
    joins = tuple(f"{run.id}.{role}" for run, role in group.conductors)
    return Splice(joins=joins, pigtails=group.devices)


def _ends(
    box: str, touching: Sequence[tuple[CircuitPlan, Run]], groups: Sequence[Group]
) -> list[MakeUp]:
    """Every conductor in a box and how it ends there."""
    spliced = {
        (run.id, role) for group in groups if group.spliced for run, role in group.conductors
    }
    made = []
    for circuit, run in touching:
        for conductor in run.conductors:
            passes = box in run.via
            ends = "spliced" if (run.id, conductor.role) in spliced else "on device"
            if conductor.role == "spare":
                ends = "capped"
            made.append(
                MakeUp.model_validate(
                    {
                        "run": run.id,
                        "role": conductor.role,
                        "awg": conductor.awg,
                        "circuit": circuit.id,
                        "ends": "passes" if passes else ends,
                    }
                )
            )
    return made


def _fill_in3(
    conductors: Sequence[MakeUp | Conductor], yokes: Sequence[YokePlan], edition: int
) -> float:
    """Volume the contents need, 314.16(B); 4 AWG and larger go by 314.28. [in³]"""
    counted = [conductor for conductor in conductors if not needs_pull_box(conductor.awg)]
    fill = box_fill_in3(
        [conductor.awg for conductor in counted if conductor.role != "ground"],
        [(yoke.largest_awg, 1) for yoke in yokes if yoke.largest_awg],
        [conductor.awg for conductor in counted if conductor.role == "ground"],
        internal_clamps=False,
        edition=edition,
    )
    return round(fill, 4)
