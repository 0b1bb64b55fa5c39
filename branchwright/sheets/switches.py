"""Switches: of which kind each is, what it switches, and the next one on its travellers."""

from branchwright.sheets.table import Table, columns
from branchwright.words import clean, joined
from models.plan import Plan

COLUMNS = columns("Switch", "Box", "Kind", "Circuit", "Switches", "Next of its group")


def switch_table(plan: Plan) -> Table:
    """A row for each switch, group by group from the supply outward."""
    rows = tuple(
        (
            clean(switch.id),
            clean(switch.box),
            switch.kind,
            clean(switch.circuit),
            joined(switch.controls),
            clean(switch.pair_with or ""),
        )
        for switch in plan.switches
    )
    several = any(switch.pair_with for switch in plan.switches)
    note = "Of the last of a group, the next is the first." if several else ""
    return Table("Switches", COLUMNS, rows, note=note)
