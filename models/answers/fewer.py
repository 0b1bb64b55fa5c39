"""Why not one circuit less: the least number of new circuits of each kind that any plan needs.

Three reasons are looked for and the strongest is told: things of which no two may share a circuit
(the largest such group found), what runs at once in one working state against the largest
breaker, and dealing all things out in every way where that is quickly done. What is not settled
lowers the number, never raises it: it is a bound. Circuits, amperes.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain, combinations
from math import ceil, dist, inf
from typing import Final, Literal

from models.answers.binding import weighted_amps
from models.answers.sharing import LIGHTS, Clash, Hanging, Sharing
from models.answers.things import things_of_shop, things_on
from models.plan import CircuitPlan
from models.rules.reading import Reading
from models.rules.rule import SAME_AMPS

MOST_STEPS: Final = 20_000
MOST_DEALT: Final = 500  # things; to deal more would take too many steps
Reason = Literal["one", "apart", "at once", "all tried", "receptacles", "wished"]


@dataclass(frozen=True)
class Least:
    """The least number of new circuits of a kind, why, and how many the plan has.

    `members` are the things that make it so: for `apart` no two of them share, and `clashes` say
    why pair by pair; for `at once` machines that run together on `day`.
    """

    volts: int
    lights: bool
    needed: int
    planned: int
    reason: Reason
    members: tuple[str, ...]
    clashes: tuple[Clash, ...] = ()
    day: str = ""
    amps: float = 0.0
    limit_amps: float = 0.0


@dataclass(frozen=True)
class Neighbour:
    """The circuit of the same kind whose boxes stand nearest, and why the two do not join.

    `clash` is None when no limit looked at here breaks: then it is a matter of ways and cost.
    """

    circuit: str
    distance_ft: float
    clash: Clash | None


def least_circuits(reading: Reading) -> tuple[Least, ...]:
    """For each kind of new circuit of a plan, the least number that any plan of its shop needs."""
    sharing = Sharing(reading)
    things = list(things_of_shop(reading.shop))
    planned: dict[tuple[int, str], int] = {}
    for circuit in reading.new_circuits:
        kind = _kind_of(reading, circuit)
        planned[kind] = planned.get(kind, 0) + 1
    found = []
    for kind in sorted(planned):
        mine = [thing for thing in things if sharing.kind_of(thing) == kind]
        if mine:
            found.append(_least(sharing, kind, mine, planned[kind]))
    return tuple(found)


def neighbours(reading: Reading) -> dict[str, Neighbour]:
    """For each new circuit that has one, the nearest new circuit of its kind."""
    sharing, found = Sharing(reading), {}
    for circuit in reading.new_circuits:
        others = [
            (_distance_ft(reading, circuit, other), other.id)
            for other in reading.new_circuits
            if other.id != circuit.id and _kind_of(reading, other) == _kind_of(reading, circuit)
        ]
        if others:
            distance_ft, name = min(others)
            pair = [circuit, reading.circuits[name]]
            things = [thing for one in pair for thing in things_on(reading, one)]
            found[circuit.id] = Neighbour(name, distance_ft, sharing.clash(things))
    return found


# The bound


def _least(
    sharing: Sharing, kind: tuple[int, str], things: Sequence[Hanging], planned: int
) -> Least:
    """The strongest of the reasons for things of one kind, less what existing circuits may take."""
    clashes = sharing.clashes(things)
    members = _largest_group(things, clashes)
    apart = tuple(clashes[frozenset(pair)] for pair in combinations(members, 2))
    bounds = [Least(*_told(kind), len(members), planned, "apart", members, apart)]
    if len(members) < 2:
        bounds = [Least(*_told(kind), 1, planned, "one", (things[0].id,))]
    bounds += _other_bounds(sharing, kind, things, planned)
    best = max(bounds, key=lambda bound: bound.needed)
    dealt = _dealt(sharing, things, clashes, members)
    if dealt > best.needed:
        clashing = _clashing(clashes)
        names = tuple(thing.id for thing in things if thing.machines or clashing[thing.id])
        best = Least(*_told(kind), dealt, planned, "all tried", names)
    taken = _taking(sharing.reading, kind)
    return best if not taken else _less(best, taken)


def _told(kind: tuple[int, str]) -> tuple[int, bool]:
    return kind[0], kind[1] == LIGHTS


def _less(bound: Least, taken: int) -> Least:
    """A bound after what existing circuits may take over."""
    needed = max(0, bound.needed - taken)
    return Least(**{**vars(bound), "needed": needed})


def _taking(reading: Reading, kind: tuple[int, str]) -> int:
    """Existing circuits of a voltage that new outlets may join, or have joined."""
    joined = {o.circuit for o in reading.plan.outlets if o.life == "new"}
    may = {circuit.id for circuit in reading.shop.existing if circuit.may_change}
    return sum(
        circuit.volts == kind[0] and circuit.id in joined | may
        for circuit in reading.plan.circuits
        if circuit.life == "existing"
    )


def _other_bounds(
    sharing: Sharing, kind: tuple[int, str], things: Sequence[Hanging], planned: int
) -> Iterator[Least]:
    """What runs at once, the local limit of receptacles, the wished lighting circuits."""
    reading, code = sharing.reading, sharing.shop.code
    tops = {thing.id: sharing.top_amps([thing]) for thing in things}
    largest = max((top for top in tops.values() if top < inf), default=0.0)
    machines = reading.machines_of_shop
    loads = {
        name: weighted_amps(machines[name])
        for thing in things
        if tops[thing.id] < inf
        for name in thing.machines
    }
    if loads and (worst := reading.worst(loads)):
        count = ceil((worst.amps - SAME_AMPS) / largest)
        on = tuple(name for name in worst.state if name in loads)
        yield Least(*_told(kind), count, planned, "at once", on, (), worst.day, worst.amps, largest)
    yokes = tuple(t.id for t in things if t.kind == "receptacle" and t.seated)
    if code.receptacles_per_circuit and yokes:
        count = ceil(len(yokes) / code.receptacles_per_circuit)
        limit = code.receptacles_per_circuit
        yield Least(*_told(kind), count, planned, "receptacles", yokes, limit_amps=limit)
    lights = tuple(thing.id for thing in things if thing.kind == LIGHTS)
    if lights and not any(_lit(reading, circuit) for circuit in reading.plan.circuits):
        yield Least(*_told(kind), code.light_circuits, planned, "wished", lights)


def _lit(reading: Reading, circuit: CircuitPlan) -> bool:
    """An existing circuit that counts among the lighting circuits wished for."""
    kinds = {outlet.kind for outlet in reading.outlets_on(circuit)}
    return circuit.life == "existing" and "luminaire" in kinds


def _largest_group(
    things: Sequence[Hanging], clashes: Mapping[frozenset[str], Clash]
) -> tuple[str, ...]:
    """The largest group found of which no two may share: branch and bound, bounded by colours."""
    beside: dict[str, set[str]] = {thing.id: set() for thing in things}
    for first, second in clashes:
        beside[first].add(second)
        beside[second].add(first)
    best: tuple[str, ...] = ()
    steps = 0

    def grow(group: tuple[str, ...], names: list[str]) -> None:
        nonlocal best, steps
        if len(group) > len(best):
            best = group
        coloured = _coloured(names, beside)
        while coloured and steps < MOST_STEPS:
            colour, name = coloured.pop()
            if len(group) + colour <= len(best):
                return
            steps += 1
            grow((*group, name), [other for _, other in coloured if other in beside[name]])

    grow((), sorted(beside, key=lambda name: (-len(beside[name]), name)))
    return tuple(sorted(best))


def _coloured(names: Sequence[str], beside: Mapping[str, set[str]]) -> list[tuple[int, str]]:
    """Names with a colour from 1 on, unlike that of any they clash with; by colour."""
    classes: list[list[str]] = []
    for name in names:
        fits = (one for one in classes if not beside[name].intersection(one))
        found = next(fits, None)
        if found is None:
            classes.append(found := [])
        found.append(name)
    return [(colour, name) for colour, one in enumerate(classes, 1) for name in one]


def _clashing(clashes: Mapping[frozenset[str], Clash]) -> Counter[str]:
    """With how many others each thing clashes."""
    return Counter(chain.from_iterable(clashes))


def _dealt(
    sharing: Sharing,
    things: Sequence[Hanging],
    clashes: Mapping[frozenset[str], Clash],
    first: Sequence[str],
) -> int:
    """The fewest circuits that hold all things, every way tried; 0 where that takes too long."""
    weight = _clashing(clashes)
    matter = [thing for thing in things if thing.machines or weight[thing.id]]
    if len(matter) > MOST_DEALT:
        return 0
    order = sorted(matter, key=lambda t: (t.id not in first, -weight[t.id], t.id))
    best, steps = len(order) + 1, 0

    def deal(index: int, circuits: list[list[Hanging]]) -> None:
        nonlocal best, steps
        if len(circuits) >= best or steps > MOST_STEPS or best <= len(first):
            return
        if index == len(order):
            best = len(circuits)
            return
        thing = order[index]
        for circuit in circuits:
            if any(frozenset((thing.id, other.id)) in clashes for other in circuit):
                continue
            steps += 1
            if sharing.clash((*circuit, thing)) is None:
                circuit.append(thing)
                deal(index + 1, circuits)
                circuit.pop()
        deal(index + 1, [*circuits, [thing]])

    deal(0, [])
    return best if order and steps <= MOST_STEPS else 0


def _kind_of(reading: Reading, circuit: CircuitPlan) -> tuple[int, str]:
    """Voltage of a circuit, and whether it feeds the lights that keep circuits of their own."""
    kinds = {outlet.kind for outlet in reading.outlets_on(circuit)}
    lights = reading.shop.code.lights_apart and kinds == {"luminaire"}
    return circuit.volts, LIGHTS if lights else ""


def _distance_ft(reading: Reading, one: CircuitPlan, other: CircuitPlan) -> float:
    """Straight line between the nearest boxes of two circuits. [ft]"""
    boxes = [{outlet.box for outlet in reading.outlets_on(circuit)} for circuit in (one, other)]
    return min(
        (dist(reading.boxes[a].place, reading.boxes[b].place) for a in boxes[0] for b in boxes[1]),
        default=inf,
    )
