"""Load calculation: what the feeder is sized for by article 220, line by line with its section."""

from branchwright.sheets.table import Table, columns
from branchwright.words import clean
from models.formulas.load_calculation import FEEDER_VOLTS
from models.plan import FeederPlan, Plan

COLUMNS = columns("Feeder of", "What counts", ">VA", "Section")


def load_calculation(plan: Plan) -> Table:
    """A row for each line of each feeder, and one with its sum; none in a plan without any."""
    rows: list[tuple[str, ...]] = []
    marks: list[str] = []
    for feeder in plan.feeders:
        lines = feeder.load_calculation or ()
        rows += [
            (clean(feeder.to), clean(line.says), f"{line.va:,}", clean(line.source))
            for line in lines
        ]
        marks += ["" if line.va else "quiet" for line in lines]
        if lines:
            rows.append(_sum(feeder))
            marks.append("")
    note = (
        "The code calculation, which sizes breaker and conductors of the feeder. It takes every"
        " machine at once, whatever the people agree on, unless a line says why one is left out."
        " What runs together is another number, in amperes for each leg: neither takes the place of"
        " the other."
    )
    return Table("Load calculation", COLUMNS, tuple(rows), note=note, marks=tuple(marks))


def _sum(feeder: FeederPlan) -> tuple[str, ...]:
    """The sum of a feeder's lines beside its breaker."""
    breaker = f"{feeder.breaker_amps:g} A"
    says = f"in all {feeder.calculated_amps} A at {FEEDER_VOLTS} V, feeder breaker {breaker}"
    return clean(feeder.to), says, f"{feeder.calculated_va:,}", "NEC 220.5"
