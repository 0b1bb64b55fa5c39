"""Plans beside each other as tables: figures, margins, takeoff lines that differ, what mattered."""

from branchwright.compare_words import KIND_WORDS, margin_words, more
from branchwright.sheets.table import Column, Table, columns
from branchwright.words import clean, dollars, joined, plain
from models.compare import AgainstFirst, Comparison
from models.compare.figures import Figures
from models.compare.margins import KINDS

FIGURES = columns(
    "", "Plan", ">Material", ">Against A", ">Copper", ">Against A", ">Conductors", ">Circuits",
    ">Spaces", ">Violations", ">Warnings", ">Labour",
)  # fmt: skip
LATER = columns("", ">Today", ">Days to come", ">Together", ">Against A", "Done now")
FIGURES_NARROW = (0, 1, 2, 3, 4, 7, 9)
FEW_TAKEOFFS = 3  # plans whose quantities find room beside what they cost
FIGURES_LEAST = (0, 1, 2, 4, 9)


def figures_table(found: Comparison) -> Table:
    """A row for each plan; shops without one at the end."""
    more_of = {one.plan: one for one in found.against_first}
    rows: list[tuple[str, ...]] = []
    marks = []
    for one in found.plans:
        against = more_of.get(one.mark)
        rows.append(
            (
                one.mark,
                clean(one.name),
                dollars(one.material_usd),
                more(against.more_usd) if against else "",
                f"{plain(one.copper_lb)} lb",
                more(against.more_copper_lb, "lb") if against else "",
                f"{plain(one.conductor_ft, 0)} ft",
                _circuits(one),
                f"{one.spaces_used} of {one.spaces}",
                str(one.findings.violations),
                str(one.findings.warnings),
                dollars(one.labour_usd),
            )
        )
        marks.append("violation" if one.findings.violations else "")
    for gone in found.without_plan:
        rows.append(("", clean(gone.name), "no plan", *[""] * (len(FIGURES) - 3)))
        marks.append("violation")
    later = any(one.expected_later for one in found.plans)
    note = "Material at the prices of the plans"
    note += ", days to come not counted." if later else "."
    if not found.same_prices:
        note += " The plans use different price books: their costs are no fair comparison."
    labour = any(one.labour_usd is not None for one in found.plans)
    note += "" if labour else " Labour is not counted."
    return Table("Side by side", FIGURES, tuple(rows), note=note, marks=tuple(marks))


def _circuits(one: Figures) -> str:
    old = one.circuits - one.new_circuits
    return f"{one.new_circuits} + {old}" if old else str(one.circuits)


def later_table(found: Comparison) -> Table | None:
    """What each plan costs today and for days to come, and what it does for them now.

    None where no plan counts a changeover.
    """
    if not any(one.days_to_come for one in found.plans):
        return None
    more_of = {one.plan: one for one in found.against_first}
    rows = []
    for one in found.plans:
        against = more_of.get(one.mark)
        rows.append(
            (
                one.mark,
                dollars(one.material_usd),
                dollars(one.days_to_come_usd),
                dollars(round(one.material_usd + one.days_to_come_usd, 2)),
                more(_more(against)) if against else "",
                joined(
                    (f"{found.machines[x.machine]}: {x.chosen}" for x in one.days_to_come), "; "
                ),
            )
        )
    note = "Days to come at what they then cost, each times its likelihood."
    if any(day.share != day.likelihood for one in found.plans for day in one.days_to_come):
        note += " What is paid later is discounted as each shop says."
    return Table("Today and the days to come", LATER, tuple(rows), note=note)


def margins_table(found: Comparison) -> Table:
    """The limit of each kind that each plan comes nearest to."""
    heads = [Column(""), Column("Nearest to a limit")]
    heads += [Column(one.mark, right=False) for one in found.plans]
    rows = []
    for kind in KINDS:
        of = [next((m for m in one.margins if m.kind == kind), None) for one in found.plans]
        if any(of):
            rows.append(("", KIND_WORDS[kind], *map(margin_words, of)))
    note = (
        "Share of the limit that is taken, and where; boxes at the size that the plan gives them."
    )
    return Table("Margins", tuple(heads), tuple(rows), note=note)


def takeoff_table(found: Comparison) -> Table:
    """Parts of which the plans ask for different quantities, with what that costs against A."""
    marks = [one.mark for one in found.plans]
    heads = [Column("Part"), Column("Unit")]
    heads += [Column(mark, right=True) for mark in marks]
    heads += [Column(f"{mark} against A", right=True) for mark in marks[1:]]
    rows = tuple(
        (
            clean(line.item),
            clean(line.unit),
            *(plain(quantity) for quantity in line.quantities),
            *(more(cost - line.costs_usd[0]) for cost in line.costs_usd[1:]),
        )
        for line in found.takeoff
    )
    foot = ("Material", "", *[""] * len(marks), *(more(o.more_usd) for o in found.against_first))
    return Table("Takeoff, where it differs", tuple(heads), rows, foot=foot if rows else ())


def takeoff_in_short(found: Comparison) -> Table:
    """The same where room is short: of many plans only what the differences cost."""
    table, count = takeoff_table(found), len(found.plans)
    if count <= FEW_TAKEOFFS:
        return table
    return table.only((0, *range(2 + count, len(table.columns))))


def mattered_table(found: Comparison) -> Table:
    """Variants by how much they change the cost, days to come included, the most first."""
    plans = {one.mark: one for one in found.plans}
    ranked = sorted(found.against_first, key=lambda one: -abs(_more(one)))
    rows = tuple(
        (
            str(number),
            one.plan,
            clean(plans[one.plan].name),
            more(_more(one)),
            more(one.more_copper_lb, "lb"),
            str(plans[one.plan].findings.violations),
        )
        for number, one in enumerate(ranked, 1)
    )
    later = any(one.days_to_come for one in found.plans)
    note = "Against A, the shop as it is" + (", days to come included." if later else ".")
    return Table(
        "What mattered most", columns(">", "", "Variant", ">Cost", ">Copper", ">Violations"), rows,
        note=note,
    )  # fmt: skip


def _more(one: AgainstFirst) -> float:
    """How much more than A, today and later. [USD]"""
    return round(one.more_usd + one.more_later_usd, 2)
