"""The changeover day as tables: what is off, parts, steps, labels."""

from collections.abc import Iterable

from branchwright.measures import sold
from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, dollars, joined, spaces_text
from models.changeover_day import Day, WayOut
from models.plan import TakeoffLine

OFF = columns("Off", "Panel", "Space", ">Breaker", "Why")
DEAD = columns("Dead meanwhile", "At")
PARTS = columns("Part", ">Number", ">Each", ">Cost")
STEPS = columns(">Step", "At", "Do")
LABELS = columns("Label", "Says now", "Will say")
NUMBERS = columns("The circuit", ">Now", ">Then")


def off_table(day: Day) -> Table:
    """Breakers that are off and locked."""
    rows = tuple(
        (clean(x.circuit), clean(x.panel), spaces_text(x.spaces), amps(x.amps), clean(x.why))
        for x in day.off
    )
    return Table("Off and locked", OFF, rows)


def dead_table(day: Day) -> Table:
    """What else is dead while the work is done."""
    named = [x for x in day.dead if x.machines]
    rows = [
        (joined(x.machines) + (", critical" if x.critical else ""), clean(x.outlet)) for x in named
    ]
    marks = ["warning" if x.critical else "" for x in named]
    if plain := dict.fromkeys(x.box for x in day.dead if not x.machines):
        rows.append(("whatever is plugged in or lit", joined(plain)))
        marks.append("")
    note = "While the feeder is off, everything else behind the panel is dead with it."
    return Table("Dead meanwhile", DEAD, tuple(rows), note=note, marks=tuple(marks))


def _part_rows(parts: Iterable[TakeoffLine]) -> tuple[tuple[str, ...], ...]:
    rows = []
    for x in parts:
        quantity, unit, price_usd = sold(x.quantity, x.unit, x.unit_price_usd)
        many = f"{quantity:g} {'' if unit == 'each' else unit}".strip()
        rows.append((clean(x.item), many, dollars(price_usd), dollars(x.cost_usd)))
    return tuple(rows)


def way_table(way: WayOut) -> Table:
    """What to buy for something that would allow a changeover."""
    return Table("Its parts", PARTS, _part_rows(way.parts))


def parts_table(day: Day) -> Table:
    """What to buy for the day."""
    rows = _part_rows(day.parts)
    note = f"And {joined(day.also_needed)}."
    note += f" Taken out: {joined(day.left_over)}." if day.left_over else ""
    return Table("Parts", PARTS, rows, note=note, foot=("Together", "", "", dollars(day.parts_usd)))


def steps_table(day: Day) -> Table:
    """Every step with its place."""
    rows = tuple(
        (str(number), f"{step.at} {clean(step.place)}", clean(step.says))
        for number, step in enumerate(day.steps, 1)
    )
    return Table("Steps", STEPS, rows)


def label_table(day: Day) -> Table:
    """What is printed again."""
    rows = tuple((clean(x.where), clean(x.before), clean(x.after)) for x in day.labels)
    return Table("Labels", LABELS, rows)


def numbers_table(day: Day) -> Table:
    """The circuit before and after."""
    was, now = day.before, day.after
    poles = {1: "1 pole", 2: "2 poles"}
    rows = [
        ("volts", f"{was.volts} V", f"{now.volts} V"),
        (
            "breaker",
            *(
                f"{amps(x.breaker_amps)}{' GFCI' if x.gfci else ''}, {poles[x.poles]}"
                for x in (was, now)
            ),
        ),
        ("worst state", *(f"{amps(x.worst_amps)} of {amps(x.limit_amps)}" for x in (was, now))),
        (
            "voltage drop",
            *(
                "" if x.voltage_drop_percent is None else f"{x.voltage_drop_percent:.2f} %"
                for x in (was, now)
            ),
        ),
    ]
    return Table("Before and after", NUMBERS, tuple(rows))
