"""The command `compare`: plans side by side; shops, and variants of one, are planned first."""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from branchwright.leaving import (
    INTERRUPTED,
    VIOLATIONS,
    as_json,
    echo_json,
    fail,
    undisturbed,
)

if TYPE_CHECKING:
    from models.compare import Comparison, Named, NoPlan
    from models.price_book import PriceBook
    from models.shop import Shop

SUFFIXES = (".yaml", ".yml")
PAGES = (".html", ".htm")


class Wanted(NamedTuple):
    """A shop to be planned, and what it is called."""

    name: str
    shop: "Shop"
    book: "PriceBook"


@click.command()
@click.argument("what", metavar="SHOP|PLAN…", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--with", "variants", metavar="KEY=VALUE", multiple=True,
    help="One SHOP: also plan it with this changed; several changes are parted by `;`.",
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
    what: tuple[Path, ...], variants: tuple[str, ...], effort: int, page: Path | None, as_json: bool
) -> None:
    """Hold plans side by side: cost, copper, margins, parts line by line, what moved and why.

    Each SHOP (a .yaml file) is planned first, with the same effort; a PLAN is a plan file or its
    folder. The first is A, which the others are held against.

    --with plans variants of one SHOP without writing files, and ranks them by what they change. A
    KEY is a path of the shop file, things by their id in brackets; an empty VALUE takes it away.

    \b
    Examples:  branchwright compare shop.plan other.plan
               branchwright compare shop.yaml shop.plan --page side-by-side.html
               branchwright compare shop.yaml --with code.multiwire=yes --with code.edition=2020
               branchwright compare shop.yaml --with "boxes[N3]=" --with "use.days[helper].people=3"
    """
    if page is not None and page.suffix.lower() not in PAGES:
        raise click.UsageError(f"--page writes a page: name a file that ends in .html, not {page}")
    if variants and (len(what) != 1 or what[0].suffix.lower() not in SUFFIXES):
        raise click.UsageError("--with goes with one SHOP, a .yaml file")
    if len(what) + len(variants) < 2:
        raise click.UsageError("name two plans or shops at least, or one SHOP and --with")

    named, without = _plans(what, variants, effort, as_json)

    from models.compare import compared

    found = compared(named, without)
    ranked = bool(variants) and not any(one.name == _name(what[0]) for one in without)
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


def _plans(
    what: Sequence[Path], variants: Sequence[str], effort: int, as_json: bool
) -> "tuple[list[Named], list[NoPlan]]":
    """Every plan, those of shops made now; all of them are read before any is made."""
    from branchwright.planning import read_to_plan
    from models.compare import Named
    from models.plan_file import PlanFileError, read_plan

    found: list[Named | Wanted] = []
    for path in what:
        if path.suffix.lower() in SUFFIXES:
            found.append(Wanted(_name(path), *read_to_plan(path, as_json)))
            continue
        try:
            found.append(Named(_name(path), str(path), read_plan(path)))
        except PlanFileError as error:
            fail(str(error), as_json)
    for text in variants:
        base = found[0]
        assert isinstance(base, Wanted)
        found.append(Wanted(text, _variant(text, base.shop, as_json), base.book))
    named: list[Named] = []
    without: list[NoPlan] = []
    for one in found:
        made = _planned(one, effort, as_json) if isinstance(one, Wanted) else one
        if isinstance(made, Named):
            named.append(made)
        else:
            without.append(made)
    return named, without


def _name(path: Path) -> str:
    """What a plan or shop is called: its folder's or file's name."""
    from models.plan_file import PLAN_NAME

    named = path.resolve().parent if path.name == PLAN_NAME else path.resolve()
    return named.stem if named.suffix in (*SUFFIXES, ".plan") else named.name


def _variant(text: str, shop: "Shop", as_json: bool) -> "Shop":
    """A shop with some keys changed; whatever is wrong with it is told before work."""
    from branchwright.variants import VariantError, variant_of

    try:
        return variant_of(text, shop)
    except VariantError as error:
        fail(f"--with {text!r}: {error}", as_json)


def _planned(wanted: Wanted, effort: int, as_json: bool) -> "Named | NoPlan":
    """The plan of a shop, or the first cause why there is none; Ctrl-C leaves."""
    from branchwright.solving import CtrlC, solve
    from branchwright.watching import watching
    from models.compare import Named, NoPlan
    from models.price_book import PriceBookError
    from solver.solve import Control

    click.echo(f"planning {wanted.name}", err=True)
    try:
        with watching(None) as watchers:
            control = Control(effort, listen=watchers, remedies=False)
            with CtrlC(control):
                outcome = solve(wanted.shop, wanted.book, control, watchers)
    except PriceBookError as error:
        fail(str(error), as_json)
    if control.stopped:
        click.echo("Interrupted: nothing was compared.", err=True)
        sys.exit(INTERRUPTED)
    if outcome.plan is None:
        says = outcome.causes[0].says if outcome.causes else "none was found in the time there was"
        return NoPlan(name=wanted.name, says=says)
    return Named(wanted.name, None, outcome.plan)


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
