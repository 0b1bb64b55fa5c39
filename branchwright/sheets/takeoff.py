"""The takeoff: what to buy, at the prices of the book."""

from branchwright.measures import sold, sold_by
from branchwright.sheets.table import Table, columns
from branchwright.words import clean, dollars, plain
from models.plan import Plan, TakeoffLine

COLUMNS = columns("Item", ">Quantity", "Unit", ">Price", ">Cost")


def takeoff(plan: Plan) -> Table:
    """A row for each material, and their sum."""
    book = plan.made_by.price_book
    invented = " These prices are invented: put in your own." if book.invented else ""
    rows = tuple(map(_row, plan.takeoff))
    return Table(
        "Takeoff",
        COLUMNS,
        rows,
        note=f"Prices: {clean(book.name)}, {clean(book.dated)}, per {sold_by()} or piece, no tax."
        f"{invented} Luminaires themselves are not counted.",
        foot=("Material", "", "", "", dollars(plan.totals.material_cost_usd)),
    )


def _row(line: TakeoffLine) -> tuple[str, ...]:
    """One material."""
    quantity, unit, price_usd = sold(line.quantity, line.unit, line.unit_price_usd)
    cost = dollars(line.cost_usd)
    return clean(line.item), plain(quantity), clean(unit), dollars(price_usd), cost
