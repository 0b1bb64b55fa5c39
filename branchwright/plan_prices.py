"""The price book that a plan was made with: costs are told from it, never from another."""

from pathlib import Path

from models.plan import Plan
from models.price_book import PriceBook, PriceBookError
from models.shop import Shop


class OtherBookError(PriceBookError):
    """The book at hand is not the one that the plan was made with."""


def prices_of(file: object, plan: Plan, named: Path | None) -> PriceBook:
    """The prices of the plan in a file: of the book named, else of the one that comes along.

    PriceBookError where a book cannot be read, OtherBookError where it is not the plan's.
    """
    own = Shop.model_validate(plan.source.shop).prices.book
    if named is None and own is not None:
        raise OtherBookError(f"{file}: was made with {own}: name it with `--prices FILE`")
    book = PriceBook.read(named)
    if book.sha256 != plan.made_by.price_book.sha256:
        raise OtherBookError(
            f"{file}: was made with other prices than {book.file} has now: plan it again, or"
            " name the book it was made with, `--prices FILE`"
        )
    return book
