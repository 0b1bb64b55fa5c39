"""The command `futures`: every combination of what may come, and what gives way first in each."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from branchwright.leaving import as_json, echo_json, fail, undisturbed

if TYPE_CHECKING:
    from models.plan import Plan
    from models.price_book import PriceBook

PAGES = (".html", ".htm")


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--prices", metavar="FILE", type=click.Path(path_type=Path),
    help="The price book PLAN was made with [the one that comes along].",
)  # fmt: skip
@click.option(
    "--page", metavar="FILE", type=click.Path(path_type=Path), help="The answer as an HTML page."
)
@as_json
def futures(plan: Path, prices: Path | None, page: Path | None, as_json: bool) -> None:
    """Say for every combination of changeovers and machines to come what PLAN still holds, what to
    pull now for each, and what would help where something gives way.

    For each combination: how likely it is, the load calculation, the heavier leg in its worst
    state, panel spaces, raceways, and what gives way first. What may come is `later` in the shop
    file; of more than six the likeliest are combined.

    \b
    Examples:  branchwright futures shop.plan
               branchwright futures shop.plan --page later.html
    """
    from branchwright.sound_plan import read_sound_plan
    from models.plan_file import PlanFileError

    if page is not None and page.suffix.lower() not in PAGES:
        raise click.UsageError(f"--page writes a page: name a file that ends in .html, not {page}")
    try:
        read = read_sound_plan(plan)
    except PlanFileError as error:
        fail(str(error), as_json)

    from branchwright.futures_report import futures_page, futures_report
    from models.plan_file import write_whole
    from solver.futures_answer import answered

    book = _book(plan, read, prices, as_json)
    told = answered(read, book)
    if page is not None:
        try:
            with undisturbed():
                write_whole(page, futures_page(read, told))
        except OSError as error:
            why = error.strerror or type(error).__name__
            fail(f"{page}: cannot be written ({why}): name another file", as_json)
    if as_json:
        from branchwright.futures_document import futures_document

        echo_json(futures_document(plan, told))
    else:
        from branchwright.terminal import console

        futures_report(console(), read, told, None if page is None else str(page))
    sys.exit(0)


def _book(file: Path, plan: "Plan", prices: Path | None, as_json: bool) -> "PriceBook | None":
    """The prices of a plan; None, and told, where none was named and they are not at hand."""
    from branchwright.plan_prices import OtherBookError, prices_of
    from models.price_book import PriceBookError

    try:
        return prices_of(file, plan, prices)
    except PriceBookError as error:
        if prices is not None or not isinstance(error, OtherBookError):
            fail(str(error), as_json)
        click.echo(f"{error}; no costs without", err=True)
        return None
