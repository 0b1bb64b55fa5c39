"""Trees and ways: each circuit is one tree of runs from its panel, each run a way that can be laid.

Lengths in feet. One home run per circuit is a habit of this planner that keeps a circuit traceable.
"""

from collections.abc import Iterator
from itertools import pairwise

from models.plan import CircuitPlan, Finding, RacewayPlan, Run, Xyz
from models.rules.reading import Reading, new_runs
from models.rules.rule import SAME_FT, RuleText, registry

PANEL_SLACK_FT, BOX_SLACK_FT = 4.0, 1.0  # common practice; 300.14 asks 6 in free in a box

TREE = RuleText(
    "tree",
    "Runs of a circuit",
    "One home run leaves the panel, every other run goes on from an enclosure reached before, no "
    "enclosure is reached twice, and every box of the circuit is reached.",
    "one home run per circuit: common practice, no source",
    "plan",
)
WAY = RuleText(
    "run-way",
    "The way of a run",
    "A run begins and ends at the places of its enclosures, goes straight along walls and ceiling "
    "edges, is as long as its way, and has the usual slack at both ends.",
    "plan file; free conductor at a box: NEC 300.14",
    "plan",
)
IN_RACEWAY = RuleText(
    "run-in-raceway",
    "Runs and raceways",
    "A run is wholly cable or wholly conductors in raceways; its raceways join its two ends "
    "through the boxes it passes.",
    "NEC 300.15",
    "code",
)
RULES = registry(TREE, WAY, IN_RACEWAY)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each fault of a new circuit's tree, ways and raceways."""
    for circuit in reading.worked_circuits:
        for where, says in _tree_faults(reading, circuit):
            fix = f"lay the runs of {circuit.id} again as one tree from {circuit.panel}"
            yield TREE.finding(where, says, edition=reading.edition, detail=says, fix=fix)
        for run in new_runs(circuit):
            yield from _way_faults(reading, circuit, run)
            if fault := raceway_fault(reading, run):
                fix = "change the wiring method only in an enclosure"
                yield IN_RACEWAY.finding(run.id, fault, edition=reading.edition, fix=fix)
    for raceway in reading.plan.raceways:
        ends = reading.shop.enclosures
        start, end = (reading.shop.position(ends[e]) for e in (raceway.start, raceway.end))
        yield from _path_faults(reading, raceway.id, raceway, start, end)


def _tree_faults(reading: Reading, circuit: CircuitPlan) -> Iterator[tuple[str, str]]:
    """(where, what) for everything that keeps the runs from being one tree."""
    tree = reading.trees[circuit.id]
    home_runs = [run.id for run in tree.runs_from.get(circuit.panel, [])]
    if len(home_runs) != 1:
        listed = ", ".join(home_runs) or "none"
        yield circuit.id, f"{circuit.id} has {len(home_runs)} home runs ({listed}), not one"
    for run in circuit.runs:
        if run.end == circuit.panel:
            yield run.id, f"run {run.id} of {circuit.id} comes back to panel {circuit.panel}"
        elif tree.run_to[run.end] is not run:
            first = tree.run_to[run.end].id
            yield run.id, f"runs {first} and {run.id} of {circuit.id} both end at {run.end}"
        elif tree.way(run.end)[0].start != circuit.panel:
            yield run.id, f"run {run.id} of {circuit.id} hangs on nothing that comes from a panel"
        if run.method == "unknown" and run.life == "new":
            yield run.id, f"new run {run.id} has no wiring method"
    partner = reading.partner(circuit)
    elsewhere = {run.end: run.id for run in partner.runs} if partner else {}
    for run in circuit.runs:
        if run.end in elsewhere:
            says = f"runs {elsewhere[run.end]} and {run.id} of a multiwire pair both end at"
            yield run.id, f"{says} {run.end}"
    boxes = {outlet.box for outlet in reading.outlets_on(circuit)}
    boxes |= {switch.box for switch in reading.plan.switches if switch.circuit == circuit.id}
    for box in sorted(boxes - tree.run_to.keys()):
        yield box, f"box {box} of circuit {circuit.id} is reached by none of its runs"


def _way_faults(reading: Reading, circuit: CircuitPlan, run: Run) -> Iterator[Finding]:
    """What is wrong with the path, length and slack of a run."""
    ends = reading.shop.enclosures
    start, end = (reading.shop.position(ends[name]) for name in (run.start, run.end))
    yield from _path_faults(reading, run.id, run, start, end)
    slack = sum(
        PANEL_SLACK_FT if e == circuit.panel else BOX_SLACK_FT for e in (run.start, run.end)
    )
    if abs(run.allowance_ft - slack) > SAME_FT:
        yield WAY.finding(
            run.id,
            f"run {run.id} has {run.allowance_ft:g} ft of slack, its two ends take {slack:g} ft",
            edition=reading.edition,
            detail="allowance",
            found=run.allowance_ft,
            limit=slack,
            unit="ft",
            fix="count the cut length again",
        )


def _path_faults(
    reading: Reading, where: str, laid: Run | RacewayPlan, start: Xyz, end: Xyz
) -> Iterator[Finding]:
    """A path that misses its ends, goes aslant, or is not as long as it is said to be."""
    says = []
    if not laid.path or (len(laid.path) < 2 and _apart_ft(start, end) > SAME_FT):
        says.append(("ends", f"{where} has no way: fewer than two points"))
    else:
        if _apart_ft(laid.path[0], start) > SAME_FT or _apart_ft(laid.path[-1], end) > SAME_FT:
            says.append(("ends", f"{where} does not go from {laid.start} to {laid.end}"))
        if any(_directions(*leg) != 1 for leg in pairwise(laid.path)):
            says.append(("aslant", f"{where} has a part that is not straight along one axis"))
    for detail, text in says:
        yield WAY.finding(where, text, edition=reading.edition, detail=detail, fix="lay it again")
    length_ft = sum(_apart_ft(*leg) for leg in pairwise(laid.path))
    if abs(length_ft - laid.length_ft) > SAME_FT:
        yield WAY.finding(
            where,
            f"{where} is given {laid.length_ft:g} ft, its way measures {length_ft:g} ft",
            edition=reading.edition,
            detail="length",
            found=laid.length_ft,
            limit=length_ft,
            unit="ft",
            fix="measure it again along its way",
        )


def raceway_fault(reading: Reading, run: Run) -> str | None:
    """Why method, raceways and boxes passed do not belong together; None when they do."""
    if run.method == "cable":
        return (
            f"cable run {run.id} lies in a raceway or passes a box"
            if (run.raceways or run.via)
            else None
        )
    if not run.raceways:
        return f"run {run.id} has conductors without cable or raceway"
    stops = (run.start, *run.via, run.end)
    if len(stops) != len(run.raceways) + 1:
        return f"run {run.id} passes {len(run.via)} boxes in {len(run.raceways)} raceways"
    joined = {raceway.id: {raceway.start, raceway.end} for raceway in reading.plan.raceways}
    for raceway, pair in zip(run.raceways, pairwise(stops), strict=True):
        if joined[raceway] != set(pair):
            return f"run {run.id}: raceway {raceway} does not join {pair[0]} and {pair[1]}"
    return None


def _apart_ft(a: Xyz, b: Xyz) -> float:
    """Distance along the axes. [ft]"""
    return sum(abs(p - q) for p, q in zip(a, b, strict=True))


def _directions(a: Xyz, b: Xyz) -> int:
    """Along how many axes a part of a path goes."""
    return sum(abs(p - q) > 0.001 for p, q in zip(a, b, strict=True))
