"""What portable tools see of a circuit: enough to forbid all choices that leave them no place.

The rule `portable-tools` looks at circuits with a receptacle in reach of a tool: which ones, what
machines hang on them, and their breakers. Whatever else is on them does not matter.
"""

from collections.abc import Callable, Iterable

from models.plan import Finding
from models.reach import receptacles_in_reach
from models.shop import Shop
from solver.candidate import Candidate
from solver.load import Load


def seen_by_tools(shop: Shop, findings: Iterable[Finding]) -> Callable[[Candidate], object]:
    """What a circuit is to the tools that found no place; None where none of them reaches it."""
    told = {name for finding in findings for name in finding.where.split(" + ")}
    tools = [machine for machine in shop.machines if machine.portable and machine.id in told]
    reached = {fitting.yoke_id for tool in tools for fitting in receptacles_in_reach(shop, tool)}

    def seen(made: Candidate) -> object:
        loads = [half.load for half in made.halves] or [made.load]
        if not any(reached.intersection(load.names) for load in loads):
            return None
        return made.breaker_amps, tuple(map(of_half, loads))

    def of_half(load: Load) -> object:
        yokes = tuple(sorted(reached.intersection(load.names)))
        return yokes, tuple(sorted(load.placed)), tuple(sorted(load.lights_amps))

    return seen
