"""What runs behind switches carry, worked out from the shop and from how the runs lead.

A group that lies on both sides of a run: with a switch beyond it the run has two travellers, with
only outlets beyond it the switched hot. A hot goes on where something beyond wants one.
"""

from collections.abc import Iterator

from models.plan import CircuitPlan, Role, Run
from models.rules.reading import Reading
from models.switching import Group, box_of


def groups_on(reading: Reading, circuit: CircuitPlan) -> list[Group]:
    """Groups with an outlet on a circuit."""
    on = {o.yoke or o.box for o in reading.outlets_on(circuit)}
    return [g for g in reading.switch_groups if on & {*g.luminaires, *g.yokes}]


def switched_for(reading: Reading, circuit: CircuitPlan, run: Run) -> Group | None:
    """The group whose switched hot a run carries in its place."""
    beyond = reading.trees[circuit.id].beyond(run)
    for group in groups_on(reading, circuit):
        if not group.switch_boxes & beyond and group.boxes & beyond:
            return group
    return None


def in_row(reading: Reading, circuit: CircuitPlan, group: Group) -> list[str]:
    """The switches of a group from the supply outward."""
    tree = reading.trees[circuit.id]
    return sorted(group.switches, key=lambda name: len(tree.passed(box_of(name))))


def hots_asked(reading: Reading, circuit: CircuitPlan, run: Run) -> list[Role]:
    """The hot, switched hot and travellers of a 120 V run, by what is beyond it."""
    beyond = reading.trees[circuit.id].beyond(run)
    groups = groups_on(reading, circuit)
    behind = {name for g in groups for name in (*g.luminaires, *g.yokes)}
    wants = {o.box for o in reading.outlets_on(circuit) if (o.yoke or o.box) not in behind}
    wants |= {box_of(in_row(reading, circuit, g)[0]) for g in groups}
    asked: list[Role] = ["hot"] if wants & beyond else []
    for group in groups:
        if group.switch_boxes <= beyond:
            continue
        if group.switch_boxes & beyond:
            asked += ["traveller", "traveller2"]
        elif group.boxes & beyond:
            asked.append("switched")
    return asked or ["hot"]


def misplaced(reading: Reading, circuit: CircuitPlan) -> Iterator[tuple[str, str]]:
    """Switched outlets that do not hang beyond every switch of theirs."""
    tree = reading.trees[circuit.id]
    for group in groups_on(reading, circuit):
        for name in (*group.luminaires, *group.yokes):
            missing = group.switch_boxes - set(tree.passed(box_of(name)))
            if missing:
                yield name, f"{name} is not behind its switch {min(missing)}"
