"""Portable tools: whoever carries one finds a receptacle whose circuit holds it beside the rest.

For every set of tools that the people of a binding day may carry, and every state that the others
and the machines without people may make, the tools must find circuits. Amperes.
"""

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from models.plan import CircuitPlan, Finding
from models.rules.cord_and_plug import cord_limit_amps, fits
from models.rules.reading import CONTINUOUS, Reading, amps_text, machine_amps, names
from models.rules.rule import RuleText, registry
from models.shop import Day, Machine

TOOLS = RuleText(
    "portable-tools",
    "Places for portable tools",
    "For every set of portable tools that the people of a day may use at once, and whatever else"
    " runs then, there are receptacles that fit and whose circuits hold the tools.",
    "NEC 210.23",
    "code",
)
RULES = registry(TOOLS)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for the first set of tools of a day that may find no place."""
    tools = sorted((m for m in reading.shop.machines if m.portable), key=lambda m: m.id)
    for day in reading.days:
        sets = (
            chosen
            for size in range(1, min(day.people, len(tools)) + 1)
            for chosen in combinations(tools, size)
        )
        for chosen in sets:
            state = _bad_state(reading, day, chosen)
            if state is None:
                continue
            ids = [tool.id for tool in chosen]
            beside = f" while {names(state)} run" if state else ""
            draws = names([amps_text(machine_amps(tool)) for tool in chosen])
            yield TOOLS.finding(
                names(ids),
                f"{names(ids)} ({draws}) may find no receptacle that holds it on day"
                f" {day.id}{beside}",
                edition=reading.edition,
                detail=day.id,
                fix="add a receptacle on another circuit, or let fewer machines run beside it",
            )
            break


def _bad_state(reading: Reading, day: Day, tools: Sequence[Machine]) -> tuple[str, ...] | None:
    """A state of the others in which the tools find no place; None when there is none.

    It is enough to look at the states that load one set of circuits most: for each way to leave
    out circuits, what the others may put on them.
    """
    places = {tool.id: _places(reading, tool) for tool in tools}
    if not all(places.values()):
        return ()
    weights = _weights(reading)
    for state in _states(reading, day.people - len(tools), weights):
        loads = {
            circuit: sum(amps for machine, amps in machines.items() if machine in state)
            for circuit, machines in weights.items()
        }
        if not _seated(reading, list(tools), places, loads):
            return tuple(sorted(state))
    return None


def _weights(reading: Reading) -> dict[str, dict[str, float]]:
    """Machines of each circuit, continuous ones at 125 %. [A]"""
    return {
        circuit.id: {
            machine.id: machine_amps(machine) * (CONTINUOUS if machine.continuous else 1)
            for machine in reading.machines_on(circuit)
        }
        for circuit in reading.plan.circuits
    }


def _states(
    reading: Reading, people: int, weights: Mapping[str, Mapping[str, float]]
) -> Iterator[frozenset[str]]:
    """Every state that the remaining people may make, by choice of the machines they attend.

    Machines without people run as far as the groups allow, which only adds load; where a group
    holds them back, each choice of the group is tried.
    """
    fixed = sorted({machine for machines in weights.values() for machine in machines})
    attended = [machine for machine in fixed if machine in reading.rules.attended]
    others = [
        machine
        for machine in fixed
        if machine not in reading.rules.attended and machine not in reading.rules.leaders
    ]
    held = [machine for machine in others if any(machine in g for g, _ in reading.rules.groups)]
    free = [machine for machine in others if machine not in held]
    for size in range(min(people, len(attended)) + 1):
        for chosen in combinations(attended, size):
            for count in range(len(held) + 1):
                for some in combinations(held, count):
                    running = reading.rules.running((*chosen, *some, *free))
                    if reading.rules.allows(running):
                        yield running


def _places(reading: Reading, tool: Machine) -> list[CircuitPlan]:
    """Circuits with a receptacle that fits the tool and may hold it alone."""
    found = []
    for circuit in reading.plan.circuits:
        fitting = [
            outlet.configuration
            for outlet in reading.receptacles_on(circuit)
            if outlet.configuration and fits(tool, outlet.configuration)
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
    amps = machine_amps(tool) * (CONTINUOUS if tool.continuous else 1)
    for circuit in places[tool.id]:
        load = loads[circuit.id] + amps
        limit = reading.limit_amps(circuit) - CONTINUOUS * reading.luminaire_amps(circuit)
        if load <= limit + 1e-9 and _seated(reading, rest, places, {**loads, circuit.id: load}):
            return True
    return False
