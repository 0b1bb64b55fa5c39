"""Legs: the state of each day that loads each leg of the panel most, beside the feeder."""

from branchwright.sheets.table import Table, columns
from branchwright.words import amps, clean, fed_by_words, load_amps, machine_words, state_words
from models.plan import Plan

COLUMNS = columns("Panel", "Day", "Heaviest for", "On together", ">Leg A", ">Leg B")


def leg_loads(plan: Plan) -> Table:
    """Two rows a day: the state worst for leg A, then for leg B."""
    names = machine_words(plan)
    rows = tuple(
        (
            clean(row.panel),
            clean(row.day),
            f"leg {'AB'[number % 2]}",
            state_words(row.state, names),
            load_amps(row.a_amps),
            load_amps(row.b_amps),
        )
        for number, row in enumerate(plan.legs)
    )
    feeds = "; ".join(
        f"of panel {clean(one.to)}, from {fed_by_words(plan, one)}: {amps(one.breaker_amps)}"
        for one in plan.feeders
    )
    note = (
        f"What runs at once, in plain amperes; feeder breaker {feeds}. The load calculation of NEC"
        " article 220 is another number and stands by itself."
    )
    return Table("Load of the legs", COLUMNS, rows, note=note)
