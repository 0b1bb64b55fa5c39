"""The takeoff: what to buy, at the prices of the book."""

from branchwright.sheets.table import Table, columns
from branchwright.words import clean, dollars, plain
from models.plan import Plan

COLUMNS = columns("Item", ">Quantity", "Unit", ">Price", ">Cost")


def takeoff(plan: Plan) -> Table:
    """A row for each material, and their sum."""
    book = plan.made_by.price_book
    invented = " These prices are invented: put in your own." if book.invented else ""
    rows = tuple(
        (
            clean(line.item),
            plain(line.quantity),
            clean(line.unit),
            dollars(line.unit_price_usd),
            dollars(line.cost_usd),
        )
        for line in plan.takeoff
    )
    return Table(
        "Takeoff",
        COLUMNS,
        rows,
        note=f"Prices: {clean(book.name)}, {clean(book.dated)}, per foot or piece, no tax."
        f"{invented} Luminaires themselves are not counted.",
        foot=("Material", "", "", "", dollars(plan.totals.material_cost_usd)),
    )
