"""The purchase in whole rolls and sticks, and the cutting plan: which piece is cut of which."""

from branchwright.measures import cut_length, length_words, sold_length
from branchwright.sheets.cut_rolls import INCHES, Roll, rolls
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, dollars
from models.plan import CutPiece, Plan, PurchaseLine

BUYING = columns("Item", "Colour", ">Buy", "Length", ">Price", ">Cost", "Left over")
CUTTING = columns("Item", "Colour", "Of", "Cut in this order", ">Left over")
USEFUL_IN = 36  # a shorter rest is not counted as left over


def purchase(plan: Plan) -> Table:
    """A row for each length that is bought, and their sum."""
    lines = plan.purchase or ()
    cut = list(rolls(plan))
    return Table(
        "Purchase",
        BUYING,
        tuple(_bought(line, [roll for roll in cut if roll.line is line]) for line in lines),
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
                clean(roll.line.item),
                clean(roll.line.colour or ""),
                f"{roll.place} of {roll.line.packages}, {_package(roll.line)}",
                ", ".join(map(_piece, roll.pieces)),
                length_words(roll.left_in / INCHES),
            )
            for roll in rolls(plan)
        ),
        note="Cut the longest piece first, and mark its ends before the next. Of a raceway whole"
        " sticks are joined; what is bought by the foot is cut as the pull list says.",
    )


def _package(line: PurchaseLine) -> str:
    """How a line is sold."""
    return sold_length(clean(line.package), line.package_ft)


def _piece(piece: CutPiece) -> str:
    return f"{clean(piece.of)} {cut_length(piece.length_in / INCHES)}"


def _bought(line: PurchaseLine, cut: list[Roll]) -> tuple[str, ...]:
    """One line of the purchase, with its rolls or sticks."""
    feet = sum(piece.length_in for piece in line.pieces) / INCHES
    left = sorted((roll.left_in for roll in cut), reverse=True)
    price = "" if line.price_usd is None else dollars(line.price_usd)
    return (
        clean(line.item),
        clean(line.colour or ""),
        str(line.packages) if line.package_ft is not None else cut_length(feet),
        _package(line),
        price,
        dollars(line.cost_usd),
        ", ".join(length_words(rest / INCHES) for rest in left if rest >= USEFUL_IN),
    )
