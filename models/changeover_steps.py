"""The steps of a changeover in sentences: at the panel, in the boxes on the way, at the machine.

Off, locked and proved dead comes first, the breaker last. A white that serves as a hot is marked at
every place where it can be seen, in a cable only: NEC 200.7(C)(1).
"""

from collections.abc import Iterator
from typing import Final, Literal

from models.changeover_sides import Sides, spaces_words
from models.plan import Run
from models.plan.part import Part

LINE_TO_LINE: Final = 240
PROVE: Final = "with a tester proved on a live source, then dead, then live again"


class Step(Part):
    """Something to do, and where."""

    at: Literal["panel", "box", "receptacle", "machine"]
    place: str
    says: str


def day_steps(sides: Sides) -> Iterator[Step]:
    """All steps, in order."""
    yield from _off(sides)
    for run, then in sides.way:
        yield from _in_box(sides, run, then)
    yield from _receptacle(sides)
    yield from _machine(sides)
    yield from _breaker(sides)


def _panel(sides: Sides, says: str) -> Step:
    return Step(at="panel", place=sides.before.panel, says=says)


def _off(sides: Sides) -> Iterator[Step]:
    """Everything that has to be dead."""
    circuit = sides.before
    where = spaces_words(circuit.breaker.spaces)
    yield _panel(sides, f"Switch off {circuit.id} ({where}), lock it and hang a tag on it.")
    for other, boxes in sides.beside.items():
        beside = sides.circuits[other]
        there = f"{spaces_words(beside.breaker.spaces)} of {beside.panel}"
        opened = f"it is in {' and '.join(boxes)}, which you open"
        yield _panel(sides, f"Switch off and lock {other} ({there}) as well: {opened}.")
    every = " and ".join((*sides.boxes, f"at the breaker of {circuit.id}"))
    feeder = next(f for f in sides.old.feeders if f.to == circuit.panel)
    critical = sides.critical_behind(circuit.panel)
    waits = f", {' and '.join(critical)} with it" if critical else ""
    yield _panel(
        sides,
        f"Before its cover comes off, switch off what feeds {circuit.panel}, the"
        f" {feeder.breaker_amps:g} A breaker at {feeder.source}, lock it, and prove the lugs dead:"
        f" its own main leaves them live. Everything behind it is dead meanwhile{waits}.",
    )
    yield _panel(sides, f"Prove every conductor dead at {every}, {PROVE}.")
    if any(wire.role == "spare" for run, _ in sides.way for wire in run.conductors):
        runs = ", ".join(
            run.id for run, _ in sides.way if any(w.role == "spare" for w in run.conductors)
        )
        yield _panel(
            sides,
            f"Treat the spare of {runs} as live until it is proved dead at both ends, {PROVE}.",
        )


def _in_box(sides: Sides, run: Run, then: Run) -> Iterator[Step]:
    """What becomes of the conductors of one run, in the box at its end and where it starts."""
    last = run.end == sides.outlet.box
    for wire, later in sides.changed(run, then):
        named = f"the {wire.colour} of {run.id}"
        start = "the panel" if run.start == sides.before.panel else run.start
        ends = f"in {run.end} and in {start}"
        if wire.role == "spare":
            to = "to its terminal" if last else "to the same conductor of the next run"
            serves = "second hot" if later.role == "hot2" else "neutral"
            says = f"Take the caps off {named}, {ends}: it is the {serves} now, {to} in {run.end}."
        elif later.role == "spare":
            says = f"Cap {named} {ends}, and mark it as a spare: it has no use any more."
        elif later.role == "neutral":
            says = f"Take the mark off {named} {ends}: it is the neutral again."
        else:
            says = (
                f"Mark {named} {ends} as a hot, at every place where it can be seen, with tape or"
                " paint of any colour but white, gray and green."
            )
        yield Step(at="box", place=run.end, says=says)
    for yoke in sides.exchanged:
        if yoke in sides.boxes_before[run.end].yokes:
            yield Step(
                at="box",
                place=run.end,
                says=f"Put a {yoke.device} {yoke.configuration} in place of the one with"
                f" ground-fault protection at {yoke.id}: it would carry one hot of {sides.name}"
                " without the other, and trip. The new breaker protects what hung on it.",
            )


def _receptacle(sides: Sides) -> Iterator[Step]:
    """The receptacle itself."""
    outlet = sides.outlet
    if outlet.configuration is None:
        return
    on = "both hots" if outlet.volts == LINE_TO_LINE else "hot and neutral"
    yield Step(
        at="receptacle",
        place=sides.seat,
        says=f"Exchange the receptacle at {sides.seat} for a single {outlet.configuration}: {on}"
        " and the ground on its terminals.",
    )
    goes_on = any(wire.role == "neutral" for wire in sides.way[-1][1].conductors)
    if goes_on and outlet.volts == LINE_TO_LINE:
        yield Step(
            at="receptacle",
            place=sides.seat,
            says="The neutral goes on to the other outlets by its splice and ends on no terminal"
            " here.",
        )


def _machine(sides: Sides) -> Iterator[Step]:
    """The machine is made for its other voltage before it is plugged in."""
    volts = sides.machine_after.volts
    plug = _plug(sides)
    fit = f" and fit a {plug} to its cord" if plug else ""
    yield Step(
        at="machine",
        place=sides.name,
        says=f"Unplugged or disconnected, change {sides.name} to {volts} V by the diagram on its"
        f" nameplate{fit}; ask its maker where the nameplate shows none. Its overload device may"
        " want another setting.",
    )


def _plug(sides: Sides) -> str | None:
    """The plug of the machine then."""
    machines = sides.new.source.shop.get("machines", [])
    return next((m.get("plug") for m in machines if m["id"] == sides.machine_after.id), None)


def _breaker(sides: Sides) -> Iterator[Step]:
    """The new breaker, the last thing before current."""
    old, new = sides.before.breaker, sides.after.breaker
    if old == new:
        yield _panel(sides, f"The breaker of {sides.before.id} stays as it is.")
    else:
        poles = {1: "one-pole", 2: "two-pole"}
        kind = "GFCI breaker" if new.gfci else "breaker"
        kept = sorted(set(new.spaces) - set(old.spaces))
        from_kept = f" (space {kept[0]} was kept for it)" if kept else ""
        yield _panel(
            sides,
            f"Take the {poles[old.poles]} {old.amps:g} A breaker of {sides.before.id} out and put a"
            f" {poles[new.poles]} {new.amps:g} A {kind} of a kind that the panel's label lists into"
            f" {spaces_words(new.spaces)}{from_kept}; set its screws to the torque on its label.",
        )
        freed = sorted(set(old.spaces) - set(new.spaces))
        if freed:
            yield _panel(sides, f"Close the opening at {spaces_words(freed)} with a filler plate.")
    first = sides.way[0][1]
    hots = [wire for wire in first.conductors if wire.role in ("hot", "hot2")]
    mixed = sides.after.hot_space
    told = " and ".join(f"the {_seen(wire.colour, wire.marked)}" for wire in hots)
    neutral = next((w for w in first.conductors if w.role == "neutral"), None)
    onto = f"{told} of {first.id} on {'its poles' if len(hots) > 1 else 'its pole'}"
    if mixed is not None:
        hot = next(wire for wire in hots if wire.role == "hot")
        onto += f" (the {hot.colour} on that of space {mixed}, as now)"
    if neutral is not None:
        onto += f", the {neutral.colour} {_neutral_place(new.gfci)}"
    elif any(w.colour in ("white", "gray") and w.marked for w in hots):
        onto += "; nothing of it stays on the neutral bar"
    yield _panel(sides, f"Connect {onto}.")
    if new.gfci and neutral is None:
        yield _panel(sides, "The breaker's own lead for neutral goes on the neutral bar.")


def _neutral_place(gfci: bool) -> str:
    """Where the neutral of the circuit ends in the panel."""
    return "on the breaker's neutral terminal" if gfci else "on the neutral bar"


def _seen(colour: str | None, marked: str | None) -> str:
    """A conductor as it looks at the panel."""
    return f"{colour}, marked {marked}," if marked else f"{colour}"


def extra_parts(sides: Sides) -> Iterator[str]:
    """What the day needs beside what a price book counts."""
    if plug := _plug(sides):
        yield f"a {plug} for the cord of {sides.name}"
    wires = [pair for run, then in sides.way for pair in sides.changed(run, then)]
    if any(later.marked and later.role != "spare" for _, later in wires):
        yield "tape or paint to mark a white as a hot"
    if any("spare" in (wire.role, later.role) for wire, later in wires):
        yield "wire connectors, caps and marks"
    if set(sides.before.breaker.spaces) - set(sides.after.breaker.spaces):
        yield "a filler plate for the space that is free then"
    yield "a lock and a tag for the breaker, a tester"


def day_checks(sides: Sides) -> Iterator[str]:
    """What is looked at with current on, before the machine runs."""
    seat, volts = sides.seat, sides.outlet.volts
    yield (
        "With the machine unplugged or its disconnect open, the boxes closed and the panel's cover"
        f" on: first the feeder, then {sides.after.id}, then what else was off."
    )
    if volts == LINE_TO_LINE:
        yield f"Measure at {seat}: about 240 V from hot to hot, 120 V from each hot to ground."
    else:
        yield f"Measure at {seat}: about 120 V from hot to neutral and from hot to ground."
    others = sorted(
        {
            o.yoke or o.box
            for o in sides.new.outlets
            if o.circuit == sides.after.id and (o.yoke or o.box) != seat and o.volts != LINE_TO_LINE
        }
    )
    if others:
        yield (
            f"Measure hot to neutral at each of {', '.join(others)} before anything is plugged in:"
            " about 120 V. Anything near 240 V means an open or a wrong neutral: off at once."
        )
    if sides.after.breaker.gfci:
        yield f"Press the test button of the breaker of {sides.after.id}: it trips; reset it."
    yield f"Run {sides.name} without work: it turns the right way and draws no more than its plate."
    yield "Print the labels again, and keep the new plan with the panel."
