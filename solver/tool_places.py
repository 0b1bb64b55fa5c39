"""Circuits among which portable tools find a place, where the cheapest choices leave them none.

The search knows nothing of tools that are carried about. Where no choice of what it found passes
their check, it is asked again with each of these tools as a machine that has one receptacle, of
those in its reach, to itself: more than the rule wants, and what is found holds them.
"""

from collections.abc import Collection

from models.plan import Finding, Plan
from solver.circuit import Circuits
from solver.finding_causes import PORTABLE
from solver.kernel.asked import STARTS
from solver.older import Older
from solver.points import Points, machine_point
from solver.pool import MOVES_PER_EFFORT, QUICK_MOVES, Pool, Search
from solver.solve import Control


def without_place(plan: Plan) -> frozenset[str]:
    """Portable tools that find no place; empty where something else is wrong as well."""
    wrong = [finding for finding in plan.findings if finding.severity == "violation"]
    if any(finding.rule != PORTABLE for finding in wrong):
        return frozenset()
    return frozenset(name for finding in wrong for name in _tools(finding))


def _tools(finding: Finding) -> list[str]:
    return finding.where.split(" + ")


def pool_with_places(circuits: Circuits, tools: Collection[str], control: Control) -> Pool | None:
    """The circuits of some groupings that hold the tools; None where none is found."""
    points = Points(circuits.shop, held=tools)
    held = Circuits(circuits.shop, points, circuits.ways, circuits.catalogue)
    search = Search(held, control)
    moves = max(QUICK_MOVES, MOVES_PER_EFFORT * control.effort // STARTS)
    runs = [groups for groups in [search.run(moves)] if groups]
    if not runs or control.over():
        return None
    carried = {machine_point(tool) for tool in tools}
    better = search.bettered(runs, moves)
    plain, kept = Search(circuits, control), control.older
    found = []
    for groups in better:
        names = ({p.id for item in group for p in points.items[item].points} for group in groups)
        control.older = Older(tuple(frozenset(name - carried) for name in names), "")
        found.append(plain.as_before())
    control.older = kept
    return plain.only(whole) if (whole := [groups for groups in found if groups]) else None
