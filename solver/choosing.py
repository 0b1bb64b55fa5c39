"""From a pool of circuits to a plan: selection, placement, assembly, and the checks at the end.

One way back: when the checks find what selection cannot see (a leg or feeder over its limit, a
portable tool with no place), that choice is forbidden and selection solves again. Where no choice
fits, what is short.
"""

from collections.abc import Sequence
from typing import Final

from models.plan import Finding, Plan
from models.rules import check_plan
from solver.assemble import Assembly, number, objective_of
from solver.causes import Cause, Explainer
from solver.circuit import Circuits
from solver.classes import named
from solver.feeder_rows import feeder_rows, limit_amps
from solver.finding_causes import CUT_RULES, PORTABLE
from solver.placing import place_all
from solver.pool import Pool
from solver.selection import Selected, Selection
from solver.shortages import Shortages
from solver.solve import Control
from solver.tool_cut import seen_by_tools

MOST_CUTS: Final = 6
MOST_ROWS: Final = 20
ROW_SHARE: Final = 0.3  # of the effort, each time that a feeder turned out too small


def choose(
    circuits: Circuits,
    pool: Pool,
    control: Control,
    bound: int | None = None,
    most_cuts: int = MOST_CUTS,
) -> tuple[Plan | None, bool]:
    """Select, place and check until nothing is left to cut; the best plan met on the way.

    `bound`: what no plan goes below. Second: whether there is proved to be no choice at all.
    """
    shop, ways, catalogue = circuits.shop, circuits.ways, circuits.catalogue
    later = circuits.later_machines.choices
    selection = Selection(shop, ways, catalogue, pool.candidates, alike=pool.alike, later=later)
    start = _start(circuits, pool, control)
    if start is not None:
        selection.hint(start)
    cuts = 1 if _feeder_too_small(circuits) else most_cuts
    best: Plan | None = None
    for _ in range(cuts):
        selected = _within_feeders(circuits, selection, control)
        selected = selected or (start if best is None else None)
        if selected is None:
            break
        below = bound if bound is not None and bound <= selected.value else None
        made = _assemble(circuits, pool, selected, below, control)
        if made is None:
            selection.forbid(selected.candidates, later=selected.later)
            continue
        if best is None or violations_in(made) < violations_in(best):
            best = made
        if control.cut_short or not (refused := _cut(made.findings)):
            break
        if all(finding.rule == PORTABLE for finding in refused):
            selection.forbid(selected.candidates, seen_by_tools(shop, refused[:1]))
        else:
            selection.forbid(selected.candidates)
    return best, selection.infeasible


def _start(circuits: Circuits, pool: Pool, control: Control) -> Selected | None:
    """What the search found, made into a whole choice; None without one."""
    if not pool.firsts:
        return None
    shop, ways, catalogue = circuits.shop, circuits.ways, circuits.catalogue
    later = circuits.later_machines.choices
    tried = (
        Selection(shop, ways, catalogue, first, later=later).solve(control) for first in pool.firsts
    )
    if found := [one for one in tried if one is not None]:
        return min(found, key=lambda one: one.value)
    elastic = Selection(
        shop, ways, catalogue, pool.candidates, elastic=True, alike=pool.alike, later=later
    )
    return elastic.mended(pool.firsts[0], control)


def _within_feeders(circuits: Circuits, selection: Selection, control: Control) -> Selected | None:
    """The best choice whose panels draw no more than the feeders between them give."""
    selected = selection.solve(control)
    if len(circuits.panels) == 1:
        return selected
    for _ in range(MOST_ROWS):
        rows = list(feeder_rows(circuits, selected.candidates)) if selected else []
        if not rows or selected is None:
            break
        for row in rows:
            selection.limit(row)
        selection.hint(selected)
        tighter = selection.solve(control, ROW_SHARE)
        if tighter is None:
            break
        selected = tighter
    return selected


def _feeder_too_small(circuits: Circuits) -> bool:
    """Whether some state loads the heavier leg over its limit however circuits are placed.

    Half of every 120 V load is the least that the heavier leg can get.
    """
    panel, points = circuits.shop.panel(), circuits.points
    halves = {
        machine.id: points.amps[machine.id] * (1.0 if machine.volts == 240 else 0.5)
        for machine in circuits.shop.machines
        if not machine.portable
    }
    lights = sum(circuits.loads.lights_amps.values()) / 2
    return circuits.loads.worst(halves)[1].load + lights > limit_amps(panel)


def _assemble(
    circuits: Circuits, pool: Pool, selected: Selected, bound: int | None, control: Control
) -> Plan | None:
    """Place the breakers, write the plan, check it; None when they do not go into their panels."""
    shop = circuits.shop
    control.tell(f"placing {len(selected.candidates)} breakers")
    numbered = number(shop, named(circuits, pool.alike, selected.candidates))
    placed = place_all(
        shop, circuits.points, circuits.loads, numbered, control, selected.tandems, selected.later
    )
    if placed is None:
        return None
    objective = objective_of(shop, selected, bound)
    plan = Assembly(circuits, selected, numbered, placed).plan(control, objective)
    control.tell("checking the plan rule by rule")
    began = control.elapsed
    plan = plan.model_copy(update={"findings": check_plan(plan)})
    control.checked(began)
    control.known.met(objective.value, violations_in(plan))
    return plan


def _cut(findings: Sequence[Finding]) -> list[Finding]:
    """Violations that another choice of circuits may avoid."""
    return [f for f in findings if f.severity == "violation" and f.rule in CUT_RULES]


def violations_in(plan: Plan) -> int:
    """How many violations the checks found."""
    return sum(finding.severity == "violation" for finding in plan.findings)


def shortages(circuits: Circuits, pool: Pool, control: Control) -> list[Cause]:
    """What is short when no choice of circuits fits: the least of all, or of what search found.

    Where nothing is, items that are on no circuit alone.
    """
    found = []
    for candidates in filter(None, (*pool.firsts[:1], pool.candidates)):
        elastic = Selection(
            circuits.shop,
            circuits.ways,
            circuits.catalogue,
            candidates,
            elastic=True,
            later=circuits.later_machines.choices,
        )
        found.append(elastic.shortages(control))
    least = min(filter(None, found), key=lambda shortage: shortage.weight, default=None)
    causes = [] if least is None else Shortages(circuits).causes(least.rows)
    return causes or Explainer(circuits).impossible_items(alone_only=True)
