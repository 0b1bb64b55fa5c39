"""Pull and junction boxes with conductors of 4 AWG and larger: least distances inside. Inches.

Source: NFPA 70 (2017, 2020, 2023) 314.28(A). Smaller conductors go by box fill (314.16). Where a
raceway enters opposite a removable cover another distance may be taken (Table 312.6(A)), which is
not held here.
"""

from collections.abc import Collection, Sequence
from fractions import Fraction

from models.formulas.conductors import circular_mils
from models.formulas.raceway_fill import fill_limit, raceway_area_in2
from models.quantities import QuantityError, parse
from models.tables import NotInTableError, lookup, read_table

SMALLEST_AWG = "4"


def needs_pull_box(awg: str) -> bool:
    """Whether a conductor is so large that 314.28(A) sizes the box.

    >>> needs_pull_box("6"), needs_pull_box("4"), needs_pull_box("1/0")
    (False, True, True)
    """
    return circular_mils(awg) >= circular_mils(SMALLEST_AWG)


def trade_size_in(trade_size: str) -> float:
    """A trade size as the number that the distances are multiples of. [in]

    >>> trade_size_in("2-1/2"), trade_size_in("3/4")
    (2.5, 0.75)
    """
    try:
        return float(parse(f"{trade_size} in", {"in": Fraction(1)}, "2-1/2 in"))
    except QuantityError as error:
        raise NotInTableError(f"no trade size {trade_size!r}: {error}") from None


def straight_pull_in(trade_sizes: Collection[str]) -> float:
    """Least length of a box between the walls of a straight pull: 8 times the largest. [in]

    >>> straight_pull_in(["2-1/2", "2", "1-1/2"])  # trade magazine, one wall with three raceways
    20.0
    """
    largest = lookup("pull_boxes", pull="straight").number("largest_factor")
    return largest * max(map(trade_size_in, trade_sizes))


def angle_pull_in(rows: Sequence[Collection[str]]) -> float:
    """Least distance from a wall with these entries to the opposite one: angle, U or splice. [in]

    Six times the largest of a row and the sum of the others in it; the row that gives most counts.
    `rows`: the trade sizes in each row of that wall.
    >>> angle_pull_in([["3", "2"]]), angle_pull_in([["2"], ["1-1/2", "1-1/2", "1-1/2"]])
    (20.0, 12.0)
    """
    factors = lookup("pull_boxes", pull="angle, U or splice")
    largest, others = factors.number("largest_factor"), factors.number("others_factor")

    def of_row(row: Collection[str]) -> float:
        sizes = sorted(map(trade_size_in, row))
        return largest * sizes[-1] + others * sum(sizes[:-1])

    return max(map(of_row, rows))


def entries_apart_in(trade_size: str, other: str) -> float:
    """Least distance between two entries of the same conductor: 6 times the larger raceway. [in]

    >>> entries_apart_in("3", "3")
    18.0
    """
    factor = lookup("pull_boxes", pull="between entries of the same conductor")
    return factor.number("largest_factor") * max(map(trade_size_in, (trade_size, other)))


def trade_size_for_cable(kind: str, areas_in2: Collection[float]) -> str:
    """Trade size that a cable counts as: the least raceway for the conductors in it.

    >>> trade_size_for_cable("EMT", [0.0824, 0.0824, 0.0824, 0.0211])  # 4-3 with a 10 AWG ground
    '1'
    """
    area_in2, limit = sum(areas_in2), fill_limit(len(areas_in2))
    for row in read_table("raceways"):
        size = row.text("trade_size")
        if row.text("kind") == kind and area_in2 <= limit * raceway_area_in2(kind, size):
            return size
    raise NotInTableError(f"{area_in2:.3f} in² of conductors fit no {kind} of Table 4 as held")
