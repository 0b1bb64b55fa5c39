"""The purchase: whole rolls and sticks, or feet, and which piece is cut of which, at least cost.

Pieces are new runs at their cut length: cables, and each conductor of a raceway by its colour. Of a
new raceway whole sticks are joined, the rest of it is a piece. Lengths in whole inches, rounded up
as they are cut; costs in twelfths of a cent.
"""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from math import ceil
from typing import Final, NamedTuple

from models.part_keys import PULL_STRING, by_size, cable_key, raceway_key, single_key
from models.plan import CutPiece, Plan, PurchaseLine, Run
from models.price_book import PriceBook
from solver.kernel.cutting import Stock, cut

INCHES: Final = 12  # in a foot
FEET: Final = "by the foot"


class Piece(NamedTuple):
    """A piece that is wanted. [in]"""

    length: int
    of: str


Kind = tuple[str, str]  # key of the price book, colour


def purchase(
    plan: Plan, book: PriceBook, over: Callable[[], bool] = lambda: False
) -> tuple[PurchaseLine, ...]:
    """What to buy for the new runs and raceways of a plan, those for machines to come with them;
    the least found until it is `over`.
    """
    wanted: dict[Kind, list[Piece]] = defaultdict(list)
    runs = [run for circuit in plan.circuits for run in circuit.runs if run.life == "new"]
    for run in (*runs, *plan.later_runs):
        for kind, piece in _pieces_of(run):
            wanted[kind].append(piece)
    for raceway in plan.raceways:
        if raceway.life == "new" and raceway.id in plan.raceways_in_use:
            key = raceway_key(raceway.kind, raceway.trade_size)
            wanted[key, ""] += _joined(raceway.id, _up(raceway.length_ft), _longest(book, key))
    for one in plan.later_machines or ():
        if one.raceway is not None:
            key = raceway_key(one.raceway.kind, one.raceway.trade_size)
            wanted[key, ""] += _joined(one.machine, _up(one.raceway.length_ft), _longest(book, key))
            if one.raceway.string_ft is not None:
                wanted[PULL_STRING, ""].append(Piece(_up(one.raceway.string_ft), one.machine))
    for run in plan.rooms:
        wanted[PULL_STRING, ""].append(Piece(_up(run.length_ft + run.allowance_ft), run.id))
    return tuple(
        line
        for kind in sorted(wanted, key=_order)
        for line in _lines(kind, wanted[kind], book, over)
    )


def _order(kind: Kind) -> tuple[list[tuple[Fraction, str]], str]:
    """By kind and size, then by colour."""
    key, colour = kind
    return by_size(key), colour


def _pieces_of(run: Run) -> Iterator[tuple[Kind, Piece]]:
    """The cable of a run, or its conductors one by one."""
    piece = Piece(_up(run.length_ft + run.allowance_ft), run.id)
    if run.method == "raceway":
        for wire in run.conductors:
            yield (single_key(wire.awg, wet=run.wet), wire.colour or ""), piece
    else:
        insulated = [wire for wire in run.conductors if wire.insulated]
        yield (cable_key(insulated[0].awg, len(insulated)), ""), piece


def _up(length_ft: float) -> int:
    """A length, which is kept to 0.01 ft, rounded up. [in]"""
    return ceil(round(INCHES * length_ft, 4))


def _longest(book: PriceBook, key: str) -> int | None:
    """The longest stick that is sold; None where it is cut to length."""
    sold = book.sold(key)
    return None if sold.cut_cents is not None else INCHES * sold.lengths[-1][0]


def _joined(of: str, length: int, stick: int | None) -> list[Piece]:
    """A raceway as sticks that are joined, and what is left."""
    if stick is None:
        return [Piece(length, of)]
    sticks, rest = divmod(length, stick)
    return [Piece(stick, of)] * sticks + ([Piece(rest, of)] if rest else [])


def _lines(
    kind: Kind, pieces: Sequence[Piece], book: PriceBook, over: Callable[[], bool]
) -> Iterator[PurchaseLine]:
    """What to buy of one kind: a line for each length, the longest first, the feet last.

    A piece longer than all that is sold is taken to be cut to length, at the price of a foot.
    """
    sold = book.sold(kind[0])
    longest = INCHES * max((feet for feet, _ in sold.lengths), default=0)
    foot = book.cents(kind[0]) if sold.cut_cents is None else sold.cut_cents
    ordered = [piece for piece in pieces if piece.length > longest]
    others = [piece for piece in pieces if piece.length <= longest]
    found = cut(
        [piece.length for piece in others],
        [Stock(INCHES * feet, INCHES * cents) for feet, cents in sold.lengths],
        None if sold.cut_cents is None else foot.__mul__,
        over=over,
    )
    names: dict[int, list[str]] = defaultdict(list)
    for piece in others:
        names[piece.length].append(piece.of)
    lengths: dict[Stock, list[list[Piece]]] = defaultdict(list)
    for used in found.used:
        cuts = [Piece(length, names[length].pop(0)) for length in used.pieces]
        if used.stock is None:
            ordered += cuts
        else:
            lengths[used.stock].append(cuts)
    for stock, packages in lengths.items():
        yield _line(kind, book, packages, stock.cost // INCHES, stock.length)
    if ordered:
        yield _line(kind, book, [[piece] for piece in ordered], foot)


def _line(
    kind: Kind,
    book: PriceBook,
    packages: Sequence[Sequence[Piece]],
    cents: int,
    length: int | None = None,
) -> PurchaseLine:
    """So many of one length, each with what is cut of it; without a length, pieces by the foot."""
    key, colour = kind
    feet = sum(piece.length for cuts in packages for piece in cuts) / INCHES
    return PurchaseLine(
        key=key,
        item=book.price(key).item,
        colour=colour or None,
        packages=len(packages),
        package=FEET if length is None else f"{length // INCHES} ft",
        package_ft=None if length is None else length / INCHES,
        price_usd=cents / 100,
        cost_usd=round(cents * (feet if length is None else len(packages)) / 100, 4),
        pieces=tuple(
            CutPiece(of=piece.of, package=number, length_in=piece.length)
            for number, cuts in enumerate(packages, 1)
            for piece in cuts
        ),
    )
