"""What binds each circuit, and which machine more would be too much."""

from branchwright.kept import kept
from branchwright.readings import reading_of
from branchwright.sheets.table import Table, columns
from branchwright.why_words import binding_words, breaks_words, least_words, thing_names
from branchwright.words import clean
from models.answers.binding import Binding, Bindings
from models.answers.fewer import Least, least_circuits
from models.plan import Plan

COLUMNS = columns("Circuit", "Bound by", "Would be too much")


@kept
def answers(plan: Plan) -> tuple[tuple[Binding, ...], tuple[Least, ...]]:
    """What binds each circuit, and how many circuits of each kind there must be at least."""
    reading = reading_of(plan)
    bindings = Bindings(reading)
    return tuple(map(bindings.of, plan.circuits)), least_circuits(reading)


def binding_table(plan: Plan) -> Table:
    """A row for each circuit; the note says how many circuits there must be at least."""
    (bindings, fewest), names = answers(plan), thing_names(plan)
    rows, shares = [], []
    for found in bindings:
        rows.append(
            (
                clean(found.circuit),
                binding_words(found.nearest, names),
                breaks_words(found.breaks, names),
            )
        )
        shares.append(found.nearest.share if found.nearest else None)
    return Table(
        "What binds each circuit",
        COLUMNS,
        tuple(rows),
        note=" ".join(least_words(least, plan, names) for least in fewest if least.needed > 1),
        shares=tuple(shares),
    )
