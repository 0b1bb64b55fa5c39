"""Reading a shop that is to be planned, and what is told before any work is done.

Heavy libraries are imported inside the function, so that help is quick.
"""

from pathlib import Path
from typing import TYPE_CHECKING

from branchwright.leaving import fail

if TYPE_CHECKING:
    from models.price_book import PriceBook
    from models.shop import Shop

NOT_YET = (
    "The file can say this, this version does not plan it: take it out to plan the rest, or see"
    " `branchwright inspect {shop}`"
)


def read_to_plan(shop: Path, as_json: bool) -> "tuple[Shop, PriceBook]":
    """A shop that can be planned, with its prices; whatever is in the way is told before work."""
    from models.part_keys import ALWAYS_BOUGHT
    from models.price_book import PriceBook, PriceBookError, book_path
    from models.shop_file import ShopFileError, read_shop, where
    from solver.scope import not_planned

    try:
        read = read_shop(shop)
        book = PriceBook.read(book_path(shop, read.prices.book))
        for key in ALWAYS_BOUGHT:
            book.price(key)
    except ShopFileError as error:
        fail(str(error), as_json, [vars(problem) for problem in error.problems])
    except PriceBookError as error:
        fail(str(error), as_json)
    if unplanned := not_planned(read):
        lines = [f"{shop}: {where(read.canonical(), p.path)}: {p.says}" for p in unplanned]
        fail("\n".join([*lines, NOT_YET.format(shop=shop)]), as_json)
    return read, book
