"""What moved between two plans: receptacles, lights and machines, from which circuit to which.

Circuit ids are numbers in a plan and mean nothing across plans: circuits are taken for the same by
what they share, those that share most first.
"""

from collections.abc import Iterable, Mapping

from pydantic import Field

from models.plan import CircuitPlan, Plan
from models.plan.part import Part


class Moved(Part):
    """Things that go from one circuit to another."""

    things: tuple[str, ...]
    before: str
    after: str = Field(description="The circuit in the second plan")
    after_was: str | None = Field(description="The circuit of the first that it is taken for")


class Seat(Part):
    """A machine that is plugged in elsewhere."""

    machine: str
    before: str | None
    after: str | None


class Moves(Part):
    """What is different between two plans, thing by thing."""

    plans: tuple[str, str]
    same_circuits: dict[str, str] = Field(
        description="Circuits of the first that are the second's under another id"
    )
    moved: tuple[Moved, ...]
    only_before: tuple[str, ...] = Field(description="Things the second plan does not have")
    only_after: tuple[str, ...]
    seats: tuple[Seat, ...]
    built_otherwise: tuple[str, ...] = Field(
        description="Circuits that are the same, with another breaker, conductor or protection"
    )


def moves(marks: tuple[str, str], one: Plan, other: Plan) -> Moves:
    """What moved from one plan to another."""
    before, after = _things(one), _things(other)
    same = same_circuits(one, other)
    names = {to: name for name, to in same.items()}
    both = sorted(before.keys() & after.keys())
    gone: dict[tuple[str, str], list[str]] = {}
    for thing in both:
        if same.get(before[thing]) != after[thing]:
            gone.setdefault((before[thing], after[thing]), []).append(thing)
    return Moves(
        plans=marks,
        same_circuits={name: to for name, to in same.items() if name != to},
        moved=tuple(
            Moved(things=tuple(things), before=was, after=now, after_was=names.get(now))
            for (was, now), things in sorted(gone.items(), key=lambda pair: pair[1])
        ),
        only_before=tuple(sorted(before.keys() - after.keys())),
        only_after=tuple(sorted(after.keys() - before.keys())),
        seats=tuple(_seats(one, other)),
        built_otherwise=tuple(_built(one, other, same)),
    )


def _things(plan: Plan) -> dict[str, str]:
    """The circuit of every yoke and luminaire."""
    return {outlet.yoke or outlet.box: outlet.circuit for outlet in plan.outlets}


def same_circuits(one: Plan, other: Plan) -> dict[str, str]:
    """Circuits of one plan with that of the other each is taken for."""
    before, after = _things(one), _things(other)
    shared: dict[tuple[str, str], int] = {}
    for thing in before.keys() & after.keys():
        pair = before[thing], after[thing]
        shared[pair] = shared.get(pair, 0) + 1
    found: dict[str, str] = {}
    for (was, now), _ in sorted(
        shared.items(), key=lambda item: (-item[1], item[0][0] != item[0][1], item[0])
    ):
        if was not in found and now not in found.values():
            found[was] = now
    order = [circuit.id for circuit in one.circuits]
    return {name: found[name] for name in order if name in found}


def _seats(one: Plan, other: Plan) -> Iterable[Seat]:
    """Machines that have another receptacle or box."""
    after = {machine.id: machine.outlet or machine.hard_wired_at for machine in other.machines}
    for machine in one.machines:
        was = machine.outlet or machine.hard_wired_at
        if machine.id in after and after[machine.id] != was:
            yield Seat(machine=machine.id, before=was, after=after[machine.id])


def _built(one: Plan, other: Plan, same: Mapping[str, str]) -> Iterable[str]:
    """In words: what is built otherwise of circuits that are the same."""
    there = {circuit.id: circuit for circuit in other.circuits}
    found: dict[str, list[str]] = {}
    for circuit in one.circuits:
        if circuit.id in same:
            was, now = build_of(circuit), build_of(there[same[circuit.id]])
            changed = [f"{now[key]} for {value}" for key, value in was.items() if now[key] != value]
            if changed:
                found.setdefault(", ".join(changed), []).append(circuit.id)
    for says, names in found.items():
        yield f"{', '.join(names)}: {says}"


def build_of(circuit: CircuitPlan) -> dict[str, str]:
    """How a circuit is built, in the trade's words; `built_otherwise` says them."""
    guards = " and ".join(circuit.gfci_at)
    return {
        "volts": f"{circuit.volts_text} V",
        "breaker": f"a {circuit.breaker.amps:g} A breaker",
        "conductor": f"{circuit.conductor.awg} AWG",
        "guard": f"GFCI at {guards}" if guards else "no GFCI",
        "neutral": "a neutral" + (" shared" if circuit.multiwire_with else " of its own"),
        "panel": f"panel {circuit.panel}",
    }
