"""Portable tools: whoever carries one finds a receptacle whose circuit holds it beside the rest.

For every set of tools that the people of a binding day may carry, and every state that the others
and the machines without people may make, the tools must find circuits. Amperes.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from itertools import combinations

from models.crew import Crew
from models.naming import on_day
from models.plan import CircuitPlan, Finding
from models.reach import receptacles_in_reach
from models.rules.cord_and_plug import cord_limit_amps, fits
from models.rules.reading import CONTINUOUS, Reading, amps_text, machine_amps
from models.rules.rule import RuleText, registry
from models.shop import Machine

TOOLS = RuleText(
    "portable-tools",
    "Places for portable tools",
    "For every set of portable tools that the people of a day may use at once, and whatever else"
    " runs then, receptacles in reach of their use fit them, on circuits that hold them.",
    "NEC 210.23",
    "code",
)
RULES = registry(TOOLS)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for the first set of tools of a day that may find no place."""
    for day in reading.days:
        crew = reading.crews[day.id]
        for chosen in _tool_sets(reading, crew):
            state = _bad_state(reading, crew, chosen)
            if state is None:
                continue
            ids = [tool.id for tool in chosen]
            beside = f" while {reading.names(state)} run" if state else ""
            draws = " + ".join(amps_text(machine_amps(tool)) for tool in chosen)
            yield TOOLS.finding(
                " + ".join(ids),
                f"{reading.names(ids)} ({draws}) may find no receptacle that holds it"
                f" {on_day(day.id)}{beside}",
                edition=reading.edition,
                detail=day.id,
                fix="add a receptacle on another circuit, or let fewer machines run beside it",
            )
            break


def _tool_sets(reading: Reading, crew: Crew) -> Iterator[tuple[Machine, ...]]:
    """Every set of portable tools that the people of a day may use, the smallest first."""
    tools = sorted((m for m in reading.shop.machines if m.portable), key=lambda m: m.id)
    left = len([tool for tool in tools if tool.id not in reading.rules.attended])
    for size in range(1, min(len(tools), crew.size + left) + 1):
        for chosen in combinations(tools, size):
            if crew.attends(_attended(reading, chosen)):
                yield chosen


def _attended(reading: Reading, machines: Iterable[Machine]) -> list[str]:
    """Those of some machines that keep a person busy."""
    return [machine.id for machine in machines if machine.id in reading.rules.attended]


def _bad_state(reading: Reading, crew: Crew, tools: Sequence[Machine]) -> tuple[str, ...] | None:
    """A state of the others in which the tools find no place; None when there is none."""
    places = {tool.id: circuits_for(reading, tool) for tool in tools}
    if not all(places.values()):
        return ()
    usable = {circuit.id for circuits in places.values() for circuit in circuits}
    weights = {name: amps for name, amps in _weights(reading).items() if name in usable}
    carried = {tool.id for tool in tools}
    for state in _states(reading, crew, weights, carried):
        loads = {
            circuit: sum(amps for machine, amps in machines.items() if machine in state)
            for circuit, machines in weights.items()
        }
        if not _seated(reading, list(tools), places, loads):
            return tuple(sorted(state - carried))
    return None


def _weights(reading: Reading) -> dict[str, dict[str, float]]:
    """Machines of each circuit, continuous ones at 125 %. [A]"""
    return {
        circuit.id: {
            machine.id: machine_amps(machine) * (CONTINUOUS if machine.lasting else 1)
            for machine in reading.machines_on(circuit)
        }
        for circuit in reading.plan.circuits
    }


def _states(
    reading: Reading,
    crew: Crew,
    weights: Mapping[str, Mapping[str, float]],
    carried: Set[str],
) -> Iterator[frozenset[str]]:
    """Every state with just these tools that can load the circuits where they may go.

    The remaining people choose the machines they attend. Machines without people run too, which
    only adds load; where a group may hold one or its followers back, it is tried on and off.
    """
    rules = reading.rules
    loading = {machine for machines in weights.values() for machine in machines}
    matter = [
        machine
        for machine in sorted(reading.machines_of_shop.keys() - rules.leaders.keys())
        if not reading.machines_of_shop[machine].portable and rules.running((machine,)) & loading
    ]
    attended = [machine for machine in matter if machine in rules.attended]
    others = [machine for machine in matter if machine not in rules.attended]
    held = [m for m in others if any(rules.running((m,)) & group for group, _ in rules.groups)]
    free = [machine for machine in others if machine not in held]
    busy = sorted(carried & rules.attended)
    for chosen in _choices(attended, crew.size - len(busy)):
        if not crew.attends((*busy, *chosen)):
            continue
        for some in _choices(held, len(held)):
            running = rules.running((*carried, *chosen, *some, *free))
            if rules.allows(running) and _only(reading, running, carried):
                yield running


def _choices(machines: Sequence[str], most: int) -> Iterator[tuple[str, ...]]:
    """Every choice of at most so many machines."""
    for size in range(min(most, len(machines)) + 1):
        yield from combinations(machines, size)


def _only(reading: Reading, running: frozenset[str], carried: Set[str]) -> bool:
    """Whether these are the only tools that run, and each that follows has a leader that runs."""
    leaders = reading.rules.leaders
    tools = {machine for machine in running if reading.machines_of_shop[machine].portable}
    return tools == carried and all(leaders[tool] & running for tool in tools & leaders.keys())


def circuits_for(reading: Reading, tool: Machine) -> list[CircuitPlan]:
    """Circuits with a receptacle that fits, is in reach of its use, and may hold it alone."""
    reached = {fitting.yoke_id for fitting in receptacles_in_reach(reading.shop, tool)}
    found = []
    for circuit in reading.plan.circuits:
        fitting = [
            outlet.configuration
            for outlet in reading.receptacles_on(circuit)
            if outlet.configuration and outlet.yoke in reached and fits(tool, outlet.configuration)
        ]
        limits = [cord_limit_amps(reading, circuit, configuration) for configuration in fitting]
        if limits and machine_amps(tool) <= max(limits) + 1e-9:
            found.append(circuit)
    return found


def _seated(
    reading: Reading,
    tools: list[Machine],
    places: Mapping[str, Sequence[CircuitPlan]],
    loads: Mapping[str, float],
) -> bool:
    """Whether every tool finds a circuit that holds it beside the loads there."""
    if not tools:
        return True
    tool, rest = tools[0], tools[1:]
    amps = machine_amps(tool) * (CONTINUOUS if tool.lasting else 1)
    for circuit in places[tool.id]:
        load = loads[circuit.id] + amps
        limit = reading.limit_amps(circuit) - CONTINUOUS * reading.luminaire_amps(circuit)
        if load <= limit + 1e-9 and _seated(reading, rest, places, {**loads, circuit.id: load}):
            return True
    return False
