"""References: every name a plan uses belongs to one thing, so the other checks can read on."""

from collections import Counter
from collections.abc import Iterator, Set
from functools import cache

from models.plan import Finding, Plan
from models.rules.reading import Reading
from models.rules.rule import RuleText, registry

REFERENCES = RuleText(
    "references",
    "Names in the plan",
    "Each circuit, run, box, outlet, machine, raceway and stage has an id of its own, and every id "
    "that the plan names exists. While one is missing, nothing else is checked.",
    "plan file",
    "plan",
)
RULES = registry(REFERENCES)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each id that is there twice and each name that leads nowhere."""
    plan = reading.plan
    for kind, ids in _defined(plan).items():
        for name, count in Counter(ids).items():
            if count > 1:
                yield _finding(reading, name, f"{count} {kind}s are called {name}")
    known = cache(lambda kind: _known(reading, kind))
    for kind, name, where in _used(reading):
        if name not in known(kind):
            yield _finding(reading, where, f"{where} names {kind} {name}, which is not in the plan")


def _finding(reading: Reading, where: str, says: str) -> Finding:
    fix = "plan the shop again, or mend the plan file"
    return REFERENCES.finding(where, says, edition=reading.edition, detail=says, fix=fix)


def _defined(plan: Plan) -> dict[str, list[str]]:
    """The ids that a plan gives, by kind of thing."""
    return {
        "panel": [panel.id for panel in plan.panels],
        "feeder": [feeder.id for feeder in plan.feeders],
        "box": [box.id for box in plan.boxes],
        "yoke": [yoke.id for box in plan.boxes for yoke in box.yokes],
        "outlet": [outlet.id for outlet in plan.outlets],
        "machine": [machine.id for machine in plan.machines],
        "switch": [switch.id for switch in plan.switches],
        "circuit": [circuit.id for circuit in plan.circuits],
        "run": [run.id for circuit in plan.circuits for run in circuit.runs],
        "raceway": [raceway.id for raceway in plan.raceways],
        "stage": [stage.id for stage in plan.stages],
    }


def _known(reading: Reading, kind: str) -> Set[str]:
    """Names that may be used for a kind of thing."""
    defined = _defined(reading.plan)
    if kind == "enclosure":
        return {*defined["panel"], *defined["box"]}
    if kind == "protection":
        return {*defined["yoke"], "breaker"}
    if kind == "box of the shop":
        return reading.boxes_of_shop.keys()
    if kind == "machine of the shop":
        return reading.machines_of_shop.keys()
    if kind == "place of hard wiring":
        return {*defined["box"], *defined["outlet"]}
    return {*defined[kind]}


def _used(reading: Reading) -> Iterator[tuple[str, str, str]]:
    """Each name used, as (kind, name, where)."""
    yield from _used_by_circuits(reading.plan)
    yield from _used_by_what_hangs_on_them(reading.plan)
    yield from _used_by_enclosures(reading.plan)


def _used_by_circuits(plan: Plan) -> Iterator[tuple[str, str, str]]:
    """Names in circuits, their runs and those that room is kept for."""
    for circuit in plan.circuits:
        yield "panel", circuit.panel, circuit.id
        yield from (("outlet", outlet, circuit.id) for outlet in circuit.outlets)
        yield from (("machine", machine, circuit.id) for machine in circuit.machines)
        yield from (("protection", place, circuit.id) for place in circuit.gfci_at)
        if circuit.multiwire_with is not None:
            yield "circuit", circuit.multiwire_with, circuit.id
    for run in (*(run for circuit in plan.circuits for run in circuit.runs), *plan.rooms):
        ends = (run.start, *run.via, run.end)
        yield from (("enclosure", end, run.id) for end in ends)
        yield from (("raceway", raceway, run.id) for raceway in run.raceways)
        yield "stage", run.stage, run.id
    for one in plan.later_machines or ():
        yield from (("raceway", laid.raceway, one.machine) for laid in one.laid)


def _used_by_what_hangs_on_them(plan: Plan) -> Iterator[tuple[str, str, str]]:
    """Names in outlets, machines and switches."""
    for outlet in plan.outlets:
        yield "box", outlet.box, outlet.id
        yield "box of the shop", outlet.box, outlet.id
        yield "circuit", outlet.circuit, outlet.id
        for kind, name in (("switch", outlet.switched_by), ("protection", outlet.protected_by)):
            if name is not None:
                yield kind, name, outlet.id
    for machine in plan.machines:
        yield "machine of the shop", machine.id, machine.id
        optional = (
            ("outlet", machine.outlet),
            ("place of hard wiring", machine.hard_wired_at),
            ("circuit", machine.circuit),
        )
        yield from ((kind, name, machine.id) for kind, name in optional if name is not None)
    for switch in plan.switches:
        yield "box", switch.box, switch.id
        yield "circuit", switch.circuit, switch.id
        if switch.pair_with is not None:
            yield "switch", switch.pair_with, switch.id
        yield from (("outlet", outlet, switch.id) for outlet in switch.controls)


def _used_by_enclosures(plan: Plan) -> Iterator[tuple[str, str, str]]:
    """Names in boxes, panels, raceways and stages."""
    yield from (("machine", s.after, s.id) for s in plan.stages if s.after is not None)
    for box in plan.boxes:
        yield from (("circuit", y.circuit, y.id) for y in box.yokes if y.circuit is not None)
    for draft in plan.changeovers or ():
        yield "machine", draft.machine, f"changeover of {draft.machine}"
        yield from (("run", run, f"changeover of {draft.machine}") for run in draft.spare_runs)
        if draft.circuit is not None:
            yield "circuit", draft.circuit, f"changeover of {draft.machine}"
    for panel in plan.panels:
        for space in panel.spaces:
            if space.circuit is not None:
                yield "circuit", space.circuit, f"{panel.id} space {space.space}"
    for raceway in plan.raceways:
        yield from (("stage", ledger.stage, raceway.id) for ledger in raceway.ledgers)
        yield from (("enclosure", end, raceway.id) for end in (raceway.start, raceway.end))
