"""The make-up of a box in full: every conductor, where it comes from, and what it meets.

The plan lists conductors and joints; on which device a conductor ends that is in no joint follows
from its role, from the switch group it serves, and from the side of a GFCI device it is on.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from models.plan import BoxPlan, Conductor, MakeUp, Role, Run, YokePlan
from models.rules.reading import Reading
from models.rules.switching import groups_on, in_row, switched_for
from models.switching import box_of

LOAD_SIDE = " load"
SEVERAL = 2  # switches that need travellers between them


@dataclass(frozen=True)
class End:
    """A conductor in a box. `joint` counts from 1; `on` are the terminals it may end at.

    `on` names one device, where the plan leaves no choice: a yoke, `yoke load`, or the box itself.
    """

    run: Run
    role: Role
    wire: Conductor
    circuit: str
    ends: Literal["spliced", "on device", "passes", "capped"]
    joint: int | None
    on: tuple[str, ...]

    def far(self, box: str) -> str:
        """Where its run leads from a box: to its other end, or both where it only passes."""
        if self.ends == "passes":
            return f"{self.run.start} to {self.run.end}"
        return f"to {self.run.end}" if self.run.start == box else f"from {self.run.start}"


@dataclass(frozen=True)
class Joint:
    """Conductors under one connector, with pigtails to terminals; numbered from 1."""

    number: int
    role: Role
    ends: tuple[End, ...]
    pigtails: tuple[str, ...]

    @property
    def wires(self) -> int:
        """How many wires meet."""
        return len(self.ends) + len(self.pigtails)


@dataclass(frozen=True)
class Joints:
    """All of a box."""

    box: BoxPlan
    ends: tuple[End, ...]
    joints: tuple[Joint, ...]


def joints_of(reading: Reading, box: BoxPlan) -> Joints:
    """Every conductor of a box and every joint, in the plan's order."""
    runs = {run.id: run for run in reading.plan.later_runs}
    runs |= {run.id: run for circuit in reading.plan.circuits for run in circuit.runs}
    number_of = {
        name: number for number, one in enumerate(box.splices, start=1) for name in one.joins
    }
    alike: Counter[tuple[str, Role]] = Counter()
    ends: list[End] = []
    for made in box.conductors:
        if made.run in runs:
            joint = number_of.get(f"{made.run}.{made.role}")
            ends.append(_end(reading, box, runs[made.run], made, joint, alike[made.run, made.role]))
            alike[made.run, made.role] += 1
    joints = []
    for number, splice in enumerate(box.splices, start=1):
        inside = tuple(end for end in ends if end.joint == number)
        role: Role = inside[0].role if inside else _role_of_pigtails(splice.pigtails)
        joints.append(Joint(number, role, inside, splice.pigtails))
    return Joints(box, tuple(ends), tuple(joints))


def _role_of_pigtails(pigtails: tuple[str, ...]) -> Role:
    """What meets where no conductor of a run does: behind a GFCI a hot, else a switched hot."""
    return "hot" if any(name.endswith(LOAD_SIDE) for name in pigtails) else "switched"


def _end(
    reading: Reading, box: BoxPlan, run: Run, made: MakeUp, joint: int | None, before: int
) -> End:
    """A conductor in a box; so many `before` it are of the same run and role."""
    wires = [one for one in run.conductors if one.role == made.role][before:]
    wire = wires[0] if wires else Conductor(role=made.role, awg=made.awg)
    on = tuple(_devices(reading, box, run, made)) if made.ends == "on device" else ()
    return End(run, made.role, wire, made.circuit, made.ends, joint, on)


def _devices(reading: Reading, box: BoxPlan, run: Run, made: MakeUp) -> Iterator[str]:
    """Terminals that a conductor in no joint may end at."""
    circuit = reading.circuits[made.circuit]
    pair = {one.id for one in reading.pair(circuit)}
    served = {
        name
        for splice in box.splices
        if any(joined.endswith(f".{made.role}") for joined in splice.joins)
        for name in splice.pigtails
    }
    yokes = [yoke for yoke in box.yokes if yoke.circuit in pair and yoke.id not in served]
    gfci = [yoke for yoke in yokes if yoke.gfci]
    if gfci and made.role in ("hot", "neutral") and len(pair) == 1:
        yield from (yoke.id + LOAD_SIDE * (run.start == box.id) for yoke in gfci)
        return
    fixture = [box.id] if box.kind == "luminaire" else []
    groups = [g for one in reading.pair(circuit) for g in groups_on(reading, one)]
    behind = {name for group in groups for name in (*group.luminaires, *group.yokes)}
    match made.role:
        case "ground":
            yield from (*(yoke.id for yoke in yokes), *fixture)
        case "neutral":
            yield from (*(yoke.id for yoke in yokes if yoke.device != "switch"), *fixture)
        case "switched":
            group = switched_for(reading, circuit, run)
            members = (*group.luminaires, *group.yokes) if group else ()
            last = in_row(reading, circuit, group)[-1:] if group else []
            here = [name for name in last if box_of(name) == box.id]
            yield from here or (name for name in members if box_of(name) == box.id)
        case "traveller" | "traveller2":
            several = (g for g in groups if len(g.switches) >= SEVERAL)
            yield from (s for g in several for s in g.switches if box_of(s) == box.id)
        case _:
            first = {in_row(reading, circuit, group)[0] for group in groups}
            live = (*(yoke.id for yoke in yokes if _takes_hot(yoke, first)), *fixture)
            yield from (name for name in live if name not in behind)


def _takes_hot(yoke: YokePlan, first: set[str]) -> bool:
    """Whether a hot comes to a yoke: of switches to the first of a row."""
    return yoke.device != "switch" or yoke.id in first
