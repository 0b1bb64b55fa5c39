"""What meets at switches: the order they are wired in, and which group a conductor belongs to.

Read from the runs of a circuit: they lead away from the panel, to the switches of a group in order
and from the last one to what they switch.
"""

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from models.plan import CircuitPlan, Role, Run
from models.switching import Group, box_of


class Behind:
    """The runs of one circuit, asked for what hangs beyond each."""

    def __init__(self, circuit: CircuitPlan, groups: Iterable[Group]) -> None:
        outlets = {name.partition(".")[0] for name in circuit.outlets}
        self.circuit = circuit
        self.groups = [
            group for group in groups if {*group.luminaires, *_outlets(group)} & {*circuit.outlets}
        ]
        self._boxes = outlets

    @cached_property
    def _from(self) -> Mapping[str, list[str]]:
        found: dict[str, list[str]] = {}
        for run in self.circuit.runs:
            found.setdefault(run.start, []).append(run.end)
        return found

    def beyond(self, run: Run) -> set[str]:
        """Boxes at the end of a run and further out."""
        found, todo = set(), [run.end]
        while todo:
            box = todo.pop()
            if box not in found:
                found.add(box)
                todo += self._from.get(box, [])
        return found

    def group_of(self, run: Run, role: Role) -> Group | None:
        """The group whose switched hot or traveller a run carries: it lies on both sides of it."""
        beyond = self.beyond(run)
        travels = role != "switched"
        for group in self.groups:
            before = group.switch_boxes - beyond
            after = group.switch_boxes & beyond
            if before and (after if travels else not after and group.boxes & beyond):
                return group
        return None


def _outlets(group: Group) -> set[str]:
    return {f"{yoke}{place}" for yoke in group.yokes for place in ("", ".top", ".bottom")}


def wired_order(circuit: CircuitPlan, group: Group) -> Sequence[str]:
    """The switches of a group from the supply outward; by name where it is not known."""
    before = {run.end: run.start for run in circuit.runs}

    def passed(switch: str) -> int:
        at, count = box_of(switch), 0
        while at in before and count <= len(before):
            at, count = before[at], count + 1
        return count

    return sorted(group.switches, key=passed)
