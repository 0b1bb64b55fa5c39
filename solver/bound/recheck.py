"""A bound rechecked from its certificate, with none of the code that found it.

The rows that the certificate names are taken from the relaxation that `solver.bound.runs` builds
anew from the shop in the plan, and cuts are written out here once more: which circuits enter a set
of boxes, and how many have to. Then for prices λ ≥ 0 of rows Σ a·x ≥ b over 0 ≤ x ≤ u no plan costs
less than the constant + Σ λ·b + Σ min(0, c − Σ λ·a)·u, all in whole numbers, whatever the prices
are: a wrong price can only lower what is shown.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from models.plan import Plan
from models.plan_file import canonical_json, sha256_text
from models.price_book import PriceBook
from models.shop import Shop
from solver.bound.certificate import CERTIFICATE_FORMAT
from solver.bound.large_runs import LargeRuns, runs_of
from solver.bound.recheck_afar import TooLargeError, taken_off
from solver.bound.runs import Arc, Runs
from solver.candidate import COPPER, MONEY
from solver.circuit import Circuits

MILLIONTHS: Final = 10**6
LARGEST_BYTES: Final = 64 * 1024 * 1024
KEYS: Final = {
    "format": str,
    "tool": str,
    "shop_sha256": str,
    "price_book_sha256": str,
    "tables_sha256": str,
    "bound": int,
    "prices": list,
}
ROUNDED: Final = 0.005  # a plan's bound has two decimals


class CertificateError(Exception):
    """A certificate that cannot be used, with what to do about it."""


@dataclass(frozen=True)
class Rechecked:
    """What a plan claims no plan goes below, and what its certificate shows."""

    claimed: float
    found: float
    unit: str
    rows: int

    @property
    def shown(self) -> bool:
        """Whether it shows what is claimed."""
        return self.found >= self.claimed - ROUNDED


def recheck(plan: Plan, file: Path, book: PriceBook) -> Rechecked:
    """What the certificate of a plan shows; CertificateError where it is none of this plan."""
    found = _read(file)
    _same_origin(plan, found, file, book)
    claimed = plan.objective.lower_bound
    if claimed is None:
        raise CertificateError(f"{file}: the plan beside it claims no bound: plan the shop again")
    prices = [_priced(row, number, file) for number, row in enumerate(found["prices"], 1)]
    if len(dict(prices)) < len(prices):
        raise CertificateError(f"{file}: a row is named twice: plan the shop again")
    shop = Shop.model_validate(plan.source.shop)
    runs = runs_of(Circuits.of(shop, book))
    shown = _worth(_Relaxation(runs, file), prices)
    if found["bound"] > shown:
        raise CertificateError(
            f"{file}: says {found['bound']} and shows {shown}, in the least units of the objective:"
            " some number in it was changed; plan the shop again"
        )
    unit = COPPER if plan.objective.minimize == "copper" else MONEY
    return Rechecked(claimed, shown / unit, plan.objective.unit, len(prices))


def _read(file: Path) -> dict[str, Any]:
    """The certificate in a file, each part of its kind."""
    try:
        if file.stat().st_size > LARGEST_BYTES:
            raise CertificateError(f"{file}: larger than {LARGEST_BYTES} bytes: is it one?")
        data = json.loads(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise CertificateError(f"{file}: cannot be read ({error.strerror})") from None
    except (ValueError, RecursionError) as error:
        says = f"{file}: not JSON ({error}): plan the shop again"
        raise CertificateError(says) from None
    form = data.get("format") if isinstance(data, dict) else None
    if form != CERTIFICATE_FORMAT:
        raise CertificateError(
            f"{file}: format is {form!r}, this version reads {CERTIFICATE_FORMAT!r}: use the"
            " version of branchwright that wrote it, or plan the shop again"
        )
    wrong = [key for key, kind in KEYS.items() if type(data.get(key)) is not kind]
    wrong += sorted(data.keys() - KEYS.keys())
    if wrong:
        raise CertificateError(f"{file}: {', '.join(wrong)}: not as it should be; plan again")
    return dict(data)


def _same_origin(plan: Plan, found: dict[str, Any], file: Path, book: PriceBook) -> None:
    """Refuse a certificate of another shop, price book, tables or version."""
    made = plan.made_by
    if sha256_text(canonical_json(plan.source.shop)) != plan.source.sha256:
        raise CertificateError(
            f"{file}: the shop inside the plan beside it was changed after planning: plan it again"
        )
    pairs = {
        "shop": (found["shop_sha256"], plan.source.sha256),
        "price book": (found["price_book_sha256"], made.price_book.sha256),
        "tables": (found["tables_sha256"], made.tables_sha256),
        "version": (found["tool"], made.tool),
    }
    others = [what for what, (here, there) in pairs.items() if here != there]
    if others:
        raise CertificateError(f"{file}: of another {' and '.join(others)} than the plan beside it")
    if book.sha256 != made.price_book.sha256:
        raise CertificateError(
            f"{file}: the plan's prices are those of {made.price_book.name!r}, and {book.file} is"
            " another price book: name the one it was planned with, `--prices FILE`"
        )


def _priced(row: object, number: int, file: Path) -> tuple[tuple[Any, ...], int]:
    """A row's name and its price."""
    if isinstance(row, list) and len(row) == 2 and isinstance(row[0], list):
        name, price = row
        if type(price) is int and price > 0 and all(map(_is_name, name)):
            return tuple(map(_named, name)), price
    raise CertificateError(f"{file}: row {number} has no name and whole price above 0: plan again")


def _is_name(part: object) -> bool:
    """Whether it may be a part of a row's name: a word or number, none, a list of places."""
    places = part if isinstance(part, list) else []
    words = [word for place in places for word in (place if isinstance(place, list) else [place])]
    kinds = str | int | None
    return isinstance(part, kinds | list) and all(isinstance(word, kinds) for word in words)


def _named(part: object) -> object:
    """A part of a row's name as it was: words, or a set of places."""
    if not isinstance(part, list):
        return part
    return frozenset(tuple(place) if isinstance(place, list) else place for place in part)


class _Relaxation:
    """Rows by name: those of the relaxation, and cuts made from their names."""

    def __init__(self, runs: Runs, file: Path) -> None:
        self.runs, self.file = runs, file
        rows = runs.program.rows
        self.known = {row.says: row for row in rows}
        self.arcs: dict[int, list[Arc]] = {number: [] for number in range(len(runs.parts))}
        for arc in runs.arcs:
            self.arcs[arc.part].append(arc)
        assert len(self.known) == len(rows), "every row has a name of its own"

    def row(self, key: tuple[Any, ...]) -> tuple[dict[int, int], int]:
        """Σ a·x ≥ b: the factors by variable, and b."""
        if key in self.known:
            return self.known[key].terms, self.known[key].least
        match key:
            case ("enter", int(part), frozenset() as side, gate) if self._are_places(part, side):
                return self._entered(part, side, gate)
            case ("sized", int(part), frozenset() as side, awg) if self._are_places(part, side):
                return self._sized(part, side, awg)
            case ("onward", int(part), str(awg), str(start), str(end)):
                return self._onward(part, awg, start, end)
            case ("groups enter", int(part), str(awg), frozenset() as side) if (
                part in self.runs.dealt and self._are_places(part, side)
            ):
                return self._groups_entered(part, awg, side), 0
        raise CertificateError(
            f"{self.file}: no row {list(key)} in this shop's relaxation: use the version of"
            " branchwright that wrote it, or plan the shop again"
        )

    def _are_places(self, part: int, side: frozenset[Any]) -> bool:
        """Whether a part is there with its runs, and a set is of boxes as conductors come to them:
        no panel.
        """
        there = 0 <= part < len(self.runs.parts) and part not in self.runs.without_runs
        return there and all(
            isinstance(place, tuple) and len(place) == 3 and place[0] in self.runs.boxes
            for place in side
        )

    def _entered(
        self, part: int, side: frozenset[tuple[str, str, int]], gate: str | None
    ) -> tuple[dict[int, int], int]:
        """A set of places is come into by as many circuits as have to come to boxes inside.

        A box is inside where it is so as every conductor comes to it, however far. A circuit of
        what is there comes in from outside, where the panels are, unless an item stays alone. Of
        those that come in through a raceway or junction box that may be bought there are none
        where it is not, and where it is they need not be counted.
        """
        mine = self.arcs[part]
        inside = self._inside(part, side)
        least = self.runs.parts[part].needed(inside)
        terms: dict[int, int] = {}
        for arc in mine:
            coming_in = tuple(arc.come) not in side and tuple(arc.to) in side
            if coming_in and (gate is None or gate not in arc.gates):
                terms[arc.number] = 1
        for item in inside:
            terms.update(dict.fromkeys(self.runs.staying[part].get(item, ()), 1))
        if gate is not None:
            if gate not in self.runs.gates:
                raise CertificateError(f"{self.file}: no {gate!r} that is bought: plan again")
            terms[self.runs.gates[gate]] = least
        return terms, least

    def _inside(self, part: int, side: frozenset[tuple[str, str, int]]) -> frozenset[int]:
        """Items whose circuits all come to places of a set."""
        outside = {arc.end for arc in self.arcs[part] if tuple(arc.to) not in side}
        boxes = frozenset(box for box, _, _ in side if box not in outside)
        return self.runs.parts[part].inside(boxes)

    def _groups_entered(
        self, part: int, awg: str, side: frozenset[tuple[str, str, int]]
    ) -> dict[int, int]:
        """Runs of a size into a set of places, less those that circuits of groups need there.

        Such a circuit has to come to each of its machines, which is inside where every box that it
        may be at is inside as conductors of this size come to it.
        """
        mine = [arc for arc in self.runs.arcs if arc.part == part and arc.awg == awg]
        outside = {arc.end for arc in mine if tuple(arc.to) not in side}
        among = {box for box, _, _ in side}
        terms = {
            arc.number: 1 for arc in mine if tuple(arc.come) not in side and tuple(arc.to) in side
        }
        dealt, taken = self.runs.dealt[part]
        whole, first = frozenset(among - outside), dealt.first_ft(among)
        for number, (group, size) in taken.items():
            if size == awg:
                terms[number] = -dealt.entering(group, awg, whole, first)
        return terms

    def _sized(
        self, part: int, side: frozenset[tuple[str, str, int]], awg: object
    ) -> tuple[dict[int, int], int]:
        """Into a set of places come circuits with room for those items inside of which conductors
        of a size or smaller ones take one each, and others two.
        """
        one = self.runs.parts[part]
        if not isinstance(awg, str) or awg not in one.sized:
            raise CertificateError(f"{self.file}: no size {awg!r} of part {part}: plan again")
        terms: dict[int, int] = {}
        for arc in self.arcs[part]:
            if tuple(arc.come) not in side and tuple(arc.to) in side:
                terms[arc.number] = 2 if one.sizes.index(arc.awg) > one.sizes.index(awg) else 1
        sized = [item for item in self._inside(part, side) if one.sized[awg] >> item & 1]
        for item in sized:
            terms.update(dict.fromkeys(self.runs.staying[part].get(item, ()), 1))
        return terms, len(sized)

    def _onward(self, part: int, awg: str, start: str, end: str) -> tuple[dict[int, int], int]:
        """From a box to another leads no more than comes to it, but from there."""
        mine = self.arcs[part] if 0 <= part < len(self.runs.parts) else []
        out = [arc.number for arc in mine if (arc.awg, arc.start, arc.end) == (awg, start, end)]
        if not isinstance(self.runs, LargeRuns) or start not in self.runs.boxes or not out:
            raise CertificateError(f"{self.file}: no runs from {start!r} to {end!r}: plan again")
        come = [arc for arc in mine if arc.awg == awg and arc.end == start and arc.start != end]
        return {arc.number: 1 for arc in come} | dict.fromkeys(out, -1), 0


def _worth(relaxation: _Relaxation, prices: Sequence[tuple[tuple[Any, ...], int]]) -> int:
    """What the prices show, rounded up: whatever a plan costs is a whole number too."""
    program = relaxation.runs.program
    left = {number: MILLIONTHS * cost for number, cost in enumerate(program.costs)}
    shown = MILLIONTHS * relaxation.runs.constant
    for key, price in prices:
        terms, least = relaxation.row(key)
        shown += price * least
        for number, factor in terms.items():
            left[number] -= price * factor
    for number, rest in left.items():
        if rest < 0:
            shown += rest * program.most[number]
    if isinstance(relaxation.runs, LargeRuns):
        try:
            shown += taken_off(relaxation.runs, dict(prices))
        except TooLargeError:
            says = f"{relaxation.file}: prices beyond all reason: plan the shop again"
            raise CertificateError(says) from None
    return -(-shown // MILLIONTHS)
