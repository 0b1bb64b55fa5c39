"""The purchase in whole rolls and sticks, and the cutting plan: which piece is cut of which."""

from branchwright.measures import cut_length, length_words
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, dollars
from models.plan import CutPiece, Plan, PurchaseLine

BUYING = columns("Item", "Colour", ">Buy", "Length", ">Price", ">Cost", "Left over")
CUTTING = columns("Item", "Colour", "Of", "Cut in this order", ">Left over")
INCHES = 12
USEFUL_IN = 36  # a shorter rest is not counted as left over


def purchase(plan: Plan) -> Table:
    """A row for each length that is bought, and their sum."""
    lines = plan.purchase or ()
    return Table(
        "Purchase",
        BUYING,
        tuple(_bought(line) for line in lines),
        note="Cable, conductors and raceways as they are sold, for the least that was found; the"
        " takeoff counts every foot alike. Nothing is added for mistakes. What is left over counts"
        f" from {length_words(USEFUL_IN / INCHES)}.",
        foot=("All of these", "", "", "", "", dollars(sum(line.cost_usd for line in lines)), ""),
    )


def cutting_plan(plan: Plan) -> Table:
    """A row for each roll or stick: its pieces, the longest first, and what is left of it."""
    return Table(
        "Cutting plan",
        CUTTING,
        tuple(
            (
                clean(line.item),
                clean(line.colour or ""),
                f"{number} of {line.packages}, {clean(line.package)}",
                ", ".join(_piece(piece) for piece in _longest_first(line, number)),
                length_words(_left_in(line, number) / INCHES),
            )
            for line in plan.purchase or ()
            if line.package_ft is not None
            for number in range(1, line.packages + 1)
        ),
        note="Cut the longest piece first, and mark its ends before the next. Of a raceway whole"
        " sticks are joined; what is bought by the foot is cut as the pull list says.",
    )


def _of(line: PurchaseLine, number: int) -> list[CutPiece]:
    return [piece for piece in line.pieces if piece.package == number]


def _longest_first(line: PurchaseLine, number: int) -> list[CutPiece]:
    return sorted(_of(line, number), key=lambda piece: -piece.length_in)


def _left_in(line: PurchaseLine, number: int) -> float:
    """What is left of one roll or stick; nothing of what is bought by the foot. [in]"""
    if line.package_ft is None:
        return 0.0
    return INCHES * line.package_ft - sum(piece.length_in for piece in _of(line, number))


def _piece(piece: CutPiece) -> str:
    return f"{clean(piece.of)} {cut_length(piece.length_in / INCHES)}"


def _bought(line: PurchaseLine) -> tuple[str, ...]:
    """One line of the purchase."""
    feet = sum(piece.length_in for piece in line.pieces) / INCHES
    left = sorted((_left_in(line, n) for n in range(1, line.packages + 1)), reverse=True)
    price = "" if line.price_usd is None else dollars(line.price_usd)
    return (
        clean(line.item),
        clean(line.colour or ""),
        str(line.packages) if line.package_ft is not None else cut_length(feet),
        clean(line.package),
        price,
        dollars(line.cost_usd),
        ", ".join(length_words(rest / INCHES) for rest in left if rest >= USEFUL_IN),
    )
