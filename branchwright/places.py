"""Places: what a person can walk to or point at, and the findings that belong there.

A finding names a circuit, run, box, yoke, outlet, switch, machine, raceway, passage, panel, feeder
or a part of the plan. Runs belong to their circuit; so does a box that only one circuit comes to,
with all that is in it. A feeder belongs to its panel. What is no thing of the shop belongs to the
plan as a whole.
"""

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any, Final, NamedTuple

from branchwright.words import clean, joined, machine_words, plain
from models.naming import natural
from models.plan import (
    BoxPlan,
    CircuitPlan,
    Finding,
    MachinePlan,
    PanelPlan,
    PassagePlan,
    Plan,
    RacewayPlan,
)
from models.rules import RANK

KINDS: Final = ("panel", "circuit", "box", "raceway", "passage", "machine", "plan")
BASES: Final = ("code", "maker", "habit", "plan")


class Place(NamedTuple):
    """A place, and how a list of findings is headed there."""

    kind: str
    id: str
    heading: str


THE_PLAN: Final = Place("plan", "plan", "shop and plan as a whole")


class Places:
    """The places of one plan, found by what findings call them."""

    def __init__(self, plan: Plan) -> None:
        self._names = machine_words(plan)
        circuits = {circuit.id: _circuit_place(circuit) for circuit in plan.circuits}
        coming: dict[str, set[str]] = {}
        found = {panel.id: _panel_place(panel) for panel in plan.panels}
        found |= {feeder.id: found.get(feeder.to, THE_PLAN) for feeder in plan.feeders} | found
        found |= {raceway.id: _raceway_place(raceway) for raceway in plan.raceways}
        found |= {passage.id: _passage_place(passage) for passage in plan.passages or ()}
        found |= {m.id: _machine_place(m, self._names[m.id]) for m in plan.machines}
        for name, enclosures, circuit in _on_circuits(plan):
            if circuit in circuits:
                found[name] = circuits[circuit]
                for enclosure in enclosures:
                    coming.setdefault(enclosure, set()).add(circuit)
        for box in plan.boxes:
            here = sorted(coming.get(box.id, ()), key=natural)
            found[box.id] = circuits[here[0]] if len(here) == 1 else _box_place(box, here)
        self._places = found

    def of(self, where: str) -> Place:
        """The place that a finding's `where` belongs to; the whole plan when it names no thing."""
        if where in self._places:
            return self._places[where]
        parts = where.split(" + ")
        if all(part in self._names for part in parts):
            names = joined((self._names[part] for part in parts), " + ")
            return Place("machine", where, f"machines {names}")
        return self._places.get(where.partition(" space ")[0], THE_PLAN)

    def called(self, where: str) -> str:
        """A finding's `where` in words: machines by name, panels as such, what else by its id."""
        place = self.of(where)
        if place.kind == "panel" and place.id == where:
            return f"panel {clean(where)}"
        if place.kind != "machine":
            return clean(where)
        return joined((self._names[name] for name in where.split(" + ")), " + ")

    def grouped(self, findings: Iterable[Finding]) -> list[tuple[Place, list[Finding]]]:
        """Findings by place: the place with the worst one first, the worst first in each."""
        groups: dict[Place, list[Finding]] = {}
        for finding in sorted(findings, key=weight):
            groups.setdefault(self.of(finding.where), []).append(finding)
        return sorted(
            groups.items(),
            key=lambda group: (
                weight(group[1][0]),
                KINDS.index(group[0].kind),
                natural(group[0].id),
            ),
        )

    def document(self, findings: Iterable[Finding]) -> list[dict[str, Any]]:
        """The same as JSON; findings by their keys."""
        return [
            {**place._asdict(), "findings": [finding.key for finding in here]}
            for place, here in self.grouped(findings)
        ]


def weight(finding: Finding) -> tuple[int, int]:
    """A key that sorts the worst first: by severity, then law before habit and claims."""
    return RANK[finding.severity], BASES.index(finding.basis)


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """The worst first, those of a rule one after the other by names as people count."""
    rules = groupby(sorted(findings, key=weight), key=lambda one: (one.severity, one.rule))
    return [one for _, found in rules for one in sorted(found, key=lambda one: natural(one.where))]


def _on_circuits(plan: Plan) -> Iterator[tuple[str, tuple[str, ...], str | None]]:
    """Each thing that is on a circuit, the enclosures it is in or comes to, and the circuit."""
    for outlet in plan.outlets:
        yield outlet.id, (outlet.box,), outlet.circuit
    for switch in plan.switches:
        yield switch.id, (switch.box,), switch.circuit
    for box in plan.boxes:
        for yoke in box.yokes:
            yield yoke.id, (box.id,), yoke.circuit
    for circuit in plan.circuits:
        yield circuit.id, (), circuit.id
        for run in circuit.runs:
            yield run.id, (run.start, *run.via, run.end), circuit.id


def _panel_place(panel: PanelPlan) -> Place:
    return Place("panel", panel.id, f"panel {clean(panel.id)}, {plain(panel.bus_amps)} A bus")


def _circuit_place(circuit: CircuitPlan) -> Place:
    return Place("circuit", circuit.id, f"circuit {clean(circuit.id)}: {clean(circuit.says)}")


def _box_place(box: BoxPlan, circuits: list[str]) -> Place:
    kind = "box" if box.kind == "device" else f"{box.kind} box"
    wall = f" on wall {clean(box.wall)}" if box.wall else ""
    fed = f", circuits {joined(circuits)}" if circuits else ", on no circuit"
    return Place("box", box.id, f"{kind} {clean(box.id)}{wall}{fed}")


def _raceway_place(raceway: RacewayPlan) -> Place:
    kind = f"{clean(raceway.kind)} {clean(raceway.trade_size)}"
    ends = f"{clean(raceway.start)} to {clean(raceway.end)}"
    return Place("raceway", raceway.id, f"raceway {clean(raceway.id)}, {kind} from {ends}")


def _passage_place(passage: PassagePlan) -> Place:
    return Place("passage", passage.id, f"passage {clean(passage.id)}")


def _machine_place(machine: MachinePlan, name: str) -> Place:
    at = machine.outlet or machine.hard_wired_at
    return Place("machine", machine.id, f"machine {name}" + (f", at {clean(at)}" if at else ""))
