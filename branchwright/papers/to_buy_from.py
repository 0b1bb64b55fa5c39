"""Papers to buy from: takeoff, purchase in whole rolls and sticks, cutting plan. USD, inches."""

from collections.abc import Iterator

from branchwright.measures import counted, cut_length, sold, sold_by, sold_length
from branchwright.papers.paper import Field, Paper, Row, whole_sum
from branchwright.sheets.cut_rolls import INCHES, Roll, rolls
from branchwright.words import clean
from models.plan import Plan, PurchaseLine, TakeoffLine

TAKEOFF = (
    Field("Item", 48), Field("Quantity", 10, 2), Field("Unit", 8), Field("Price [USD]", 11, 4),
    Field("Cost [USD]", 11, 2),
)  # fmt: skip
PURCHASE = (
    Field("Item", 40), Field("Colour", 10), Field("Packages", 9, 0), Field("Package", 18),
    Field("Package [ft]", 9, 2), Field("Pieces", 8, 0), Field("Cut in all [in]", 10, 0),
    Field("Price [USD]", 11, 4), Field("Cost [USD]", 11, 2),
)  # fmt: skip
CUTTING = (
    Field("Piece", 8), Field("Item", 40), Field("Colour", 10), Field("Package", 18),
    Field("Number", 8, 0), Field("Cut", 6, 0), Field("For", 14), Field("Length [in]", 10, 0),
    Field("Length", 12), Field("Left then [in]", 10, 0),
)  # fmt: skip


def takeoff(plan: Plan) -> Paper:
    """A row for each material."""
    rows: tuple[Row, ...] = tuple(
        (
            clean(line.item), *_sold(line), line.cost_usd,
        )
        for line in plan.takeoff
    )  # fmt: skip
    note = (
        f"{_prices(plan)} Per {sold_by()} or piece, no tax. Luminaires themselves are not counted."
    )
    return Paper("takeoff", "Takeoff", TAKEOFF, rows, note, whole_sum("Material", 4, rows))


def _sold(line: TakeoffLine) -> Row:
    quantity, unit, price_usd = sold(line.quantity, line.unit, line.unit_price_usd)
    return counted(quantity, unit), clean(unit), price_usd


def _prices(plan: Plan) -> str:
    book = plan.made_by.price_book
    invented = " These prices are invented: put in your own." if book.invented else ""
    return f"Prices: {clean(book.name)}, {clean(book.dated)}.{invented}"


def purchase(plan: Plan) -> Paper:
    """A row for each length that is bought."""
    rows = tuple(map(_bought, plan.purchase or ()))
    note = (
        f"{_prices(plan)} Cable, conductors and raceways as they are sold, for the least that was"
        " found. Nothing is added for mistakes."
    )
    return Paper("purchase", "Purchase", PURCHASE, rows, note, whole_sum("All of these", 8, rows))


def _bought(line: PurchaseLine) -> Row:
    inches = sum(piece.length_in for piece in line.pieces)
    package = sold_length(clean(line.package), line.package_ft)
    return (
        clean(line.item), clean(line.colour or ""), line.packages, package,
        line.package_ft, len(line.pieces), inches, line.price_usd, line.cost_usd,
    )  # fmt: skip


def cutting_plan(plan: Plan) -> Paper:
    """A row for each cut, in the order of cutting: of one roll or stick the longest first."""
    rows = tuple(row for roll in rolls(plan) for row in _cuts(roll))
    note = (
        "Cut the longest piece first, and mark its ends before the next. A piece is called by its"
        " roll or stick and its order, as it is drawn. Of a raceway whole sticks are joined; what"
        " is bought by the foot is cut as the pull list says."
    )
    return Paper("cutting_plan", "Cutting plan", CUTTING, rows, note)


def _cuts(roll: Roll) -> Iterator[Row]:
    line, left_in = roll.line, roll.length_in
    package = sold_length(clean(line.package), line.package_ft)
    for order, piece in enumerate(roll.pieces, start=1):
        left_in -= piece.length_in
        yield (
            roll.mark(order), clean(line.item), clean(line.colour or ""), package,
            roll.place, order, clean(piece.of), piece.length_in,
            cut_length(piece.length_in / INCHES), left_in,
        )  # fmt: skip
