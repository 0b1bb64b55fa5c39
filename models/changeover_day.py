"""The day a machine changes over: what is switched off, opened, bought, done, labelled and checked.

Told from two plans, the one in force and the one after the day, which differ by this machine only.
Amperes, volts, percent, USD. `branchwright schema changeover` is made from these models.
"""

from collections.abc import Iterator, Sequence
from typing import Final, Literal

from pydantic import Field

from models.changeover_sides import Sides
from models.changeover_steps import Step, day_checks, day_steps, extra_parts
from models.plan import CircuitPlan, Plan, TakeoffLine
from models.plan.part import Part
from models.shop import Shop

DAY_FORMAT: Final = "branchwright-changeover/1"


class BreakerOff(Part):
    """A breaker that is off while the work is done, and why."""

    circuit: str
    panel: str
    spaces: tuple[int, ...]
    amps: float
    why: str


class DeadLoad(Part):
    """Something else that is dead while its circuit is off."""

    outlet: str
    box: str
    machines: tuple[str, ...]
    critical: bool = Field(description="The shop calls one of the machines critical")


class Label(Part):
    """What is printed again: where it hangs, and what it says before and after."""

    where: str
    before: str
    after: str


class Numbers(Part):
    """The circuit of the machine in numbers."""

    volts: str
    breaker_amps: float
    poles: int
    gfci: bool
    worst_amps: float | None
    limit_amps: float | None
    voltage_drop_percent: float | None


class Day(Part):
    """The day itself, in the order in which it is worked."""

    machine: str
    name: str
    volts_before: int
    volts: int
    circuit: str
    off: tuple[BreakerOff, ...]
    dead: tuple[DeadLoad, ...]
    parts: tuple[TakeoffLine, ...]
    parts_usd: float
    also_needed: tuple[str, ...] = Field(description="What no price book counts")
    left_over: tuple[str, ...] = Field(description="Keys of parts that come out")
    steps: tuple[Step, ...]
    labels: tuple[Label, ...]
    checks: tuple[str, ...]
    shop_file: tuple[str, ...] = Field(description="What the shop file says otherwise from then on")
    before: Numbers
    after: Numbers
    told_anew: tuple[str, ...] = Field(description="What the checks say of the new plan only")


class WayOut(Part):
    """Something that would allow it, with its parts and costs where they are known. USD."""

    says: str
    parts: tuple[TakeoffLine, ...]
    now_usd: float | None = Field(description="Before the circuit is built; null: not known")
    usd: float | None = Field(description="On the day; null: not known")


class Refusal(Part):
    """Why the plan does not allow it, and what would."""

    says: str
    would: str
    ways: tuple[WayOut, ...]


class ChangeoverDocument(Part):
    """The answer of `branchwright changeover --json`."""

    format: Literal["branchwright-changeover/1"] = DAY_FORMAT
    plan: str
    status: Literal["ready", "refused"]
    refused: Refusal | None = None
    day: Day | None = None
    new_plan: str | None = Field(None, description="The folder it was written into")
    page: str | None = None


def changeover_day(old: Plan, new: Plan, machine: str) -> Day:
    """The day that leads from one plan to the other."""
    sides = Sides.of(old, new, machine)
    draft = next(one for one in old.changeovers or () if one.machine == machine)
    known = {finding.key for finding in old.findings}
    return Day(
        machine=machine,
        name=sides.name,
        volts_before=sides.machine_before.volts,
        volts=sides.machine_after.volts,
        circuit=sides.before.id,
        off=tuple(_off(sides)),
        dead=tuple(_dead(sides)),
        parts=draft.takeoff or (),
        parts_usd=round(sum(line.cost_usd for line in draft.takeoff or ()), 2),
        also_needed=tuple(extra_parts(sides)),
        left_over=tuple(_left_over(old, new, draft.takeoff or ())),
        steps=tuple(day_steps(sides)),
        labels=tuple(_labels(sides)),
        checks=tuple(day_checks(sides)),
        shop_file=tuple(sides.shop_changes),
        before=_numbers(sides.before),
        after=_numbers(sides.after),
        told_anew=tuple(f.says for f in new.findings if f.key not in known),
    )


def _off(sides: Sides) -> Iterator[BreakerOff]:
    """The circuit's own breaker, and those of whatever else is in a box that is opened."""
    yield _breaker(sides.before, f"it feeds {sides.name}")
    for circuit, boxes in sides.beside.items():
        yield _breaker(sides.circuits[circuit], f"it is in {' and '.join(boxes)} too")


def _breaker(circuit: CircuitPlan, why: str) -> BreakerOff:
    return BreakerOff(
        circuit=circuit.id,
        panel=circuit.panel,
        spaces=circuit.breaker.spaces,
        amps=circuit.breaker.amps,
        why=why,
    )


def _dead(sides: Sides) -> Iterator[DeadLoad]:
    """Every other outlet of the circuits that are off, with what takes its current there."""
    critical = {m.id for m in Shop.model_validate(sides.old.source.shop).machines if m.critical}
    off = {sides.before.id, *sides.beside}
    at: dict[str, list[str]] = {}
    for machine in sides.old.machines:
        at.setdefault(machine.outlet or machine.hard_wired_at or "", []).append(machine.id)
    for outlet in sides.old.outlets:
        wired = at.get(outlet.box, []) if outlet.kind == "hard-wired" else []
        on = [*at.get(outlet.id, []), *wired]
        if outlet.circuit in off and (outlet.yoke or outlet.box) != sides.seat:
            yield DeadLoad(
                outlet=outlet.id,
                box=outlet.box,
                machines=tuple(on),
                critical=bool(critical & set(on)),
            )


def _left_over(old: Plan, new: Plan, bought: Sequence[TakeoffLine]) -> Iterator[str]:
    """Parts that are no longer in the plan, by key."""
    then = {line.key: line.quantity for line in new.takeoff}
    extra = {line.key: line.quantity for line in bought}
    for line in old.takeoff:
        gone = line.quantity + extra.get(line.key, 0.0) - then.get(line.key, 0.0)
        yield from [line.key] * round(gone)


def _labels(sides: Sides) -> Iterator[Label]:
    """Directory lines, plates and the mark on a spare that say something else now."""
    for space in sorted({*sides.before.breaker.spaces, *sides.after.breaker.spaces}):
        was, now = sides.directory(sides.old, space), sides.directory(sides.new, space)
        if was != now:
            yield Label(
                where=f"circuit directory of {sides.before.panel}, space {space}",
                before=was,
                after=now,
            )
    for outlet in sides.old.outlets:
        then = sides.outlet_after(outlet)
        if outlet.circuit == sides.before.id and then is not None:
            was, now = sides.plate(sides.old, outlet), sides.plate(sides.new, then)
            if was != now:
                yield Label(where=f"plate at {outlet.yoke or outlet.box}", before=was, after=now)
    for run in sides.capped:
        yield Label(where=f"both ends of {run}", before="in use", after="spare")


def _numbers(circuit: CircuitPlan) -> Numbers:
    worst = circuit.worst
    return Numbers(
        volts=circuit.volts_text,
        breaker_amps=circuit.breaker.amps,
        poles=circuit.breaker.poles,
        gfci=circuit.breaker.gfci,
        worst_amps=worst.amps if worst else None,
        limit_amps=worst.limit_amps if worst else None,
        voltage_drop_percent=circuit.voltage_drop_percent,
    )
