"""Changeover days: what is off, bought, done, labelled and checked, machine by machine. USD."""

from collections.abc import Iterator, Mapping

from branchwright.changeover_days import changeover_days
from branchwright.measures import counted, sold
from branchwright.papers.paper import Field, Paper, Row, Sum
from branchwright.words import amps, clean, joined, machine_words
from models.changeover_day import Day
from models.changeover_sides import spaces_words
from models.plan import Plan

FIELDS = (
    Field("Machine", 18), Field("No.", 5, 0), Field("What", 14), Field("At", 20),
    Field("Do", 78), Field("Quantity", 9, 2), Field("Cost [USD]", 11, 2), Field("Done", 8),
)  # fmt: skip
COST = [field.name for field in FIELDS].index("Cost [USD]")

Line = tuple[str, str, str, float | None, float | None]


def changeovers(plan: Plan) -> Paper:
    """A part for each machine whose changeover is prepared."""
    names = machine_words(plan)
    rows: list[Row] = []
    sums: list[Sum] = []
    for day in changeover_days(plan):
        first = len(rows)
        for number, (what, at, says, quantity, cost) in enumerate(_lines(day, names), start=1):
            name = clean(day.name)
            rows.append((name, number, what, clean(at), clean(says), quantity, cost, ""))
        if day.parts:
            sums.append(Sum(f"parts for {clean(day.name)}", COST, first, len(rows) - 1))
    note = (
        "Only machines whose changeover this plan has prepared. After the day the shop file says"
        " what its last lines say, and the plan is written again."
    )
    return Paper("changeovers", "Changeovers", FIELDS, tuple(rows), note, tuple(sums))


def _lines(day: Day, names: Mapping[str, str]) -> Iterator[Line]:
    """One day in its order."""
    for off in day.off:
        at = f"{off.panel}, {spaces_words(off.spaces)}"
        yield "off and locked", at, f"{off.circuit}, {amps(off.amps)}: {off.why}", None, None
    for dead in day.dead:
        critical = ", critical" if dead.critical else ""
        says = (
            joined(names.get(one, one) for one in dead.machines) or "whatever is plugged in or lit"
        )
        yield "dead meanwhile", dead.outlet, says + critical, None, None
    for part in day.parts:
        quantity, unit, _ = sold(part.quantity, part.unit, part.unit_price_usd)
        yield (
            "part",
            "" if unit == "each" else unit,
            part.item,
            counted(quantity, unit),
            part.cost_usd,
        )
    for also in day.also_needed:
        yield "needed too", "", also, None, None
    for step in day.steps:
        yield "step", f"{step.at} {step.place}", step.says, None, None
    for label in day.labels:
        says = f"says then: {label.after}; it said: {label.before}"
        yield "label", label.where, says, None, None
    for check in day.checks:
        yield "check", "", check, None, None
    for told in day.shop_file:
        yield "shop file", "", told, None, None
