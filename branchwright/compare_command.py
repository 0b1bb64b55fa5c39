"""The command `compare`: plans side by side; shops, and variants of one, are planned first."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from branchwright.compare_planning import is_shop, name_of, plans_of
from branchwright.leaving import VIOLATIONS, as_json, echo_json, fail, undisturbed

if TYPE_CHECKING:
    from models.compare import Comparison, Named

PAGES = (".html", ".htm")


@click.command()
@click.argument("what", metavar="SHOP|PLAN…", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--with", "variants", metavar="KEY=VALUE", multiple=True,
    help="One SHOP or PLAN: also plan it with this changed; changes are parted by `;`.",
)  # fmt: skip
@click.option(
    "--prices", metavar="FILE", type=click.Path(path_type=Path),
    help="With one PLAN and --with: the price book it was made with.",
)  # fmt: skip
@click.option(
    "--effort", type=click.IntRange(1, 1000), default=1, show_default=True,
    help="Amount of work for each shop that is planned.",
)  # fmt: skip
@click.option(
    "--page", metavar="FILE", type=click.Path(path_type=Path),
    help="The answer as an HTML page, floor plans side by side.",
)  # fmt: skip
@as_json
def compare(
    what: tuple[Path, ...],
    variants: tuple[str, ...],
    prices: Path | None,
    effort: int,
    page: Path | None,
    as_json: bool,
) -> None:
    """Hold plans side by side: cost, copper, margins, parts line by line, what moved and why.

    Each SHOP (a .yaml file) is planned first, with the same effort; a PLAN is a plan file or its
    folder. The first is A, which the others are held against.

    --with plans variants of one SHOP, or of the shop of one PLAN, without writing files, and ranks
    them by what they change. A KEY is a path of the shop file, things by their id in brackets; an
    empty VALUE takes it away, raceways that ended there go on. `days=NAME+NAME` says which days
    bind, `later.prepare=nothing` that all is decided later. A name may come first: "no reel: …".

    \b
    Examples:  branchwright compare shop.plan other.plan
               branchwright compare shop.yaml shop.plan --page side-by-side.html
               branchwright compare shop.yaml --with code.multiwire=yes --with code.edition=2020
               branchwright compare shop.yaml --with "boxes[N3]=" --with "use.days[helper].people=3"
               branchwright compare shop.plan --with days=usual --with later.prepare=nothing
               branchwright compare shop.plan --with "no reel: boxes[REEL]="
    """
    if page is not None and page.suffix.lower() not in PAGES:
        raise click.UsageError(f"--page writes a page: name a file that ends in .html, not {page}")
    if variants and len(what) != 1:
        raise click.UsageError("--with goes with one SHOP or PLAN")
    if prices is not None and (not variants or is_shop(what[0])):
        raise click.UsageError("--prices goes with one PLAN and --with: a SHOP names its book")
    if len(what) + len(variants) < 2:
        raise click.UsageError("name two plans or shops at least, or one of them and --with")

    named, without = plans_of(what, variants, prices, effort, as_json)

    from models.compare import compared

    found = compared(named, without)
    ranked = bool(variants) and not any(one.name == name_of(what[0]) for one in without)
    if page is not None:
        _write_page(page, found, named, as_json, ranked=ranked)
    if as_json:
        echo_json(found.model_dump(mode="json"))
    else:
        from branchwright.compare_report import compare_report
        from branchwright.terminal import console

        where = None if page is None else str(page)
        compare_report(console(), found, where, ranked=ranked)
    broken = any(one.findings.violations for one in found.plans)
    sys.exit(VIOLATIONS if broken or found.without_plan else 0)


def _write_page(
    page: Path, found: "Comparison", named: "Sequence[Named]", as_json: bool, *, ranked: bool
) -> None:
    """The page, whole or not at all."""
    from branchwright.compare_page import compare_page
    from models.plan_file import write_whole

    text = compare_page(found, named, ranked=ranked)
    try:
        with undisturbed():
            write_whole(page, text)
    except OSError as error:
        why = error.strerror or type(error).__name__
        fail(f"{page}: cannot be written ({why}): name another file", as_json)
