"""The plans that `compare` holds side by side: read, or made now, all with the same effort.

A variant is planned from the circuits of the shop it was made from, so that what differs is the
change and not the luck of a search. Where a shop allows every plan of another one that came out
cheaper, it is planned again from that one's circuits.
"""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from branchwright.leaving import INTERRUPTED, fail

if TYPE_CHECKING:
    from models.compare import Named, NoPlan
    from models.plan import Plan
    from models.price_book import PriceBook
    from models.shop import Row, Shop
    from solver.older import Older

SUFFIXES = (".yaml", ".yml")


class Wanted(NamedTuple):
    """A shop to be planned, and what it is called."""

    name: str
    shop: "Shop"
    book: "PriceBook"
    rows: "tuple[Row, ...] | None" = None  # of the shop file; None: of a plan, which knows none


def is_shop(path: Path) -> bool:
    """Whether a path names a shop file, by its suffix."""
    return path.suffix.lower() in SUFFIXES


def name_of(path: Path) -> str:
    """What a plan or shop is called: its folder's or file's name."""
    from models.plan_file import PLAN_NAME

    named = path.resolve().parent if path.name == PLAN_NAME else path.resolve()
    return named.stem if named.suffix in (*SUFFIXES, ".plan") else named.name


def plans_of(
    what: Sequence[Path],
    variants: Sequence[str],
    prices: Path | None,
    effort: int,
    as_json: bool,
) -> "tuple[list[Named], list[NoPlan]]":
    """Every plan, those of shops made now; all of them are read before any is made."""
    from models.compare import Named

    read = [_read(path, as_json) for path in what]
    wanted = _wanted(variants, read[0], prices, as_json) if variants else []
    planner = Planner(effort, as_json)
    found = [one if isinstance(one, Named) else planner.made(one) for one in read]
    if wanted:
        start = _plan(found[0])
        found += [planner.made(one, start) for one in wanted[1:]]
        planner.again(found, wanted, held=isinstance(read[0], Named))
    named = [one for one in found if isinstance(one, Named)]
    return named, [one for one in found if not isinstance(one, Named)]


def _read(path: Path, as_json: bool) -> "Named | Wanted":
    """A plan, or a shop that is still to be planned."""
    from branchwright.planning import read_to_plan
    from branchwright.sound_plan import read_sound_plan
    from models.compare import Named
    from models.plan_file import PlanFileError
    from models.shop_file import read_rows

    if is_shop(path):
        return Wanted(name_of(path), *read_to_plan(path, as_json), read_rows(path))
    try:
        return Named(name_of(path), str(path), read_sound_plan(path))
    except PlanFileError as error:
        fail(str(error), as_json)


def _wanted(
    variants: Sequence[str], base: "Named | Wanted", prices: Path | None, as_json: bool
) -> list[Wanted]:
    """A shop, or that of a plan, and its variants; what is wrong with one is told before work."""
    from branchwright.variants import VariantError, named, variant_of
    from models.shop import Shop

    if isinstance(base, Wanted):
        first = base
    else:
        shop = Shop.model_validate(base.plan.source.shop)
        first = Wanted(base.name, shop, _book_of(base, prices, as_json))
    found = [first]
    for text in variants:
        name, changes = named(text)
        try:
            variant = variant_of(changes, first.shop, first.rows)
        except VariantError as error:
            fail(f"--with {text!r}: {error}", as_json)
        for says in variant.told:
            click.echo(f"{name}: {says}", err=True)
        found.append(Wanted(name, variant.shop, first.book))
    return found


def _book_of(base: "Named", prices: Path | None, as_json: bool) -> "PriceBook":
    """The prices that a plan was made with; leaves where they are not at hand."""
    from branchwright.plan_prices import prices_of
    from models.price_book import PriceBookError

    try:
        return prices_of(base.file, base.plan, prices)
    except PriceBookError as error:
        fail(str(error), as_json)


class Planner:
    """Plans shops one after the other."""

    def __init__(self, effort: int, as_json: bool) -> None:
        self.effort, self.as_json = effort, as_json

    def made(self, wanted: Wanted, start: "Plan | None" = None) -> "Named | NoPlan":
        """The plan of a shop, or the first cause why there is none; Ctrl-C leaves.

        `start`: a plan whose circuits are the first to be tried.
        """
        from branchwright.solving import CtrlC, solve
        from branchwright.watching import watching
        from models.compare import Named, NoPlan
        from models.price_book import PriceBookError
        from solver.solve import Control

        click.echo(f"planning {wanted.name}", err=True)
        older = None if start is None else _older(start)
        try:
            with watching(None) as watchers:
                control = Control(self.effort, listen=watchers, older=older, remedies=False)
                with CtrlC(control):
                    outcome = solve(wanted.shop, wanted.book, control, watchers)
        except PriceBookError as error:
            fail(str(error), self.as_json)
        if control.stopped:
            click.echo("Interrupted: nothing was compared.", err=True)
            sys.exit(INTERRUPTED)
        if outcome.plan is None:
            causes = outcome.causes
            says = causes[0].says if causes else "none was found in the time there was"
            return NoPlan(name=wanted.name, says=says)
        return Named(wanted.name, None, outcome.plan)

    def again(self, found: "list[Named | NoPlan]", wanted: "Sequence[Wanted]", held: bool) -> None:
        """Plan again, in place, what a cheaper plan of a narrower shop shows to be too dear.

        `held`: the first is a plan that was read; it stays, and that it is too dear is told.
        """
        from models.shop_wider import allows_every_plan_of

        inside = [
            [n for n, other in enumerate(wanted) if allows_every_plan_of(one.shop, other.shop)]
            for one in wanted
        ]
        for number in sorted(range(len(wanted)), key=lambda n: len(inside[n])):
            best = min((found[n] for n in inside[number]), key=_rank, default=found[number])
            if _rank(best) >= _rank(found[number]):
                continue
            one = wanted[number].name
            says = f"every plan of {best.name} is one for the shop of {one}, and costs less here"
            if held and number == 0:
                click.echo(f"{says}: plan that shop again with more effort", err=True)
                continue
            click.echo(f"{says}: starting from its circuits", err=True)
            more = self.made(wanted[number], _plan(best))
            if _rank(more) < _rank(found[number]):
                found[number] = more


def _plan(one: "Named | NoPlan") -> "Plan | None":
    from models.compare import Named

    return one.plan if isinstance(one, Named) else None


def _older(plan: "Plan") -> "Older":
    """The circuits of a plan, to start from."""
    from models.plan_file import plan_text, sha256_text
    from solver.older import Older

    return Older.of(plan, sha256_text(plan_text(plan)))


def _rank(one: "Named | NoPlan") -> tuple[bool, int, float]:
    """No plan last, then by violations and by what was minimized, whole cents."""
    from models.compare import Named

    if not isinstance(one, Named):
        return True, 0, 0.0
    violations = sum(finding.severity == "violation" for finding in one.plan.findings)
    return False, violations, round(one.plan.objective.value, 2)
