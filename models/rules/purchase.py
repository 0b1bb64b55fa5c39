"""The purchase: every piece cut once of what is bought. Lengths in whole inches; money in USD."""

from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from math import ceil, isclose

from models.part_keys import PULL_STRING, cable_key, raceway_key, single_key
from models.plan import Finding, Plan, PurchaseLine
from models.price_book import PriceBook
from models.rules.reading import Reading
from models.rules.rule import SAME_USD, RuleText, registry

PURCHASE = RuleText(
    "purchase",
    "The purchase",
    "Every new piece is cut once of what is bought, no length gives more than it has, nothing is"
    " bought that nothing is cut of, and every line costs what it names times its price.",
    "plan file",
    "plan",
)
RULES = registry(PURCHASE)
FEET = "by the foot"
INCHES = 12
Wanted = dict[tuple[str, str | None, str], list[int]]  # key, colour, run or raceway -> pieces


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each fault of a purchase; a plan may have none."""
    plan = reading.plan
    for line in plan.purchase or ():
        for detail, says in (*_line_faults(line), *_book_faults(plan, line)):
            where = " ".join(filter(None, (line.key, line.colour, line.package, detail)))
            yield PURCHASE.finding("purchase", says, edition=reading.edition, detail=where)
    if plan.purchase is not None:
        for detail, says in _missing(plan):
            yield PURCHASE.finding("purchase", says, edition=reading.edition, detail=detail)


def _line_faults(line: PurchaseLine) -> Iterator[tuple[str, str]]:
    """One line by itself: what is cut of each length, and what it costs."""
    cut: dict[int, int] = defaultdict(int)
    for piece in line.pieces:
        cut[piece.package] += piece.length_in
    if sorted(cut) != list(range(1, line.packages + 1)):
        yield "count", f"{line.key}: {line.packages} of {line.package}, {len(cut)} are cut"
    feet = line.packages if line.package_ft is not None else sum(cut.values()) / INCHES
    if line.price_usd is None or abs(line.cost_usd - feet * line.price_usd) > SAME_USD:
        yield "cost", f"{line.key}: the cost of {line.package} is not its quantity times its price"
    if line.package_ft is None:
        if line.package != FEET or len(line.pieces) != line.packages:
            yield "name", f"{line.key}: {line.packages} pieces of {line.package} have no length"
        return
    if line.package != f"{line.package_ft:g} ft":
        yield "name", f"{line.key}: {line.package_ft:g} ft are called {line.package}"
    for number, length in sorted(cut.items()):
        if length > INCHES * line.package_ft:
            says = f"{length} in are cut of number {number} of {line.package_ft:g} ft"
            yield f"length {number}", f"{line.key}: {says}"


@cache
def _book() -> PriceBook:
    """The price book that comes along."""
    return PriceBook.read()


def _book_faults(plan: Plan, line: PurchaseLine) -> Iterator[tuple[str, str]]:
    """A line that is not as the price book has it, where it is the one that comes along."""
    book = _book()
    if plan.made_by.price_book.sha256 != book.sha256:
        return
    if line.key not in book.prices or line.item != book.prices[line.key].item:
        yield "book", f"{line.key} is not called {line.item} in the price book"
        return
    sold = book.sold(line.key)
    foot = sold.cut_cents if sold.cut_cents is not None else book.cents(line.key)
    prices = {float(feet): cents for feet, cents in sold.lengths}
    cents = foot if line.package_ft is None else prices.get(line.package_ft)
    if line.price_usd is None or cents is None or not isclose(100 * line.price_usd, cents):
        yield "book price", f"{line.package} of {line.key} is not sold at this price"


def _missing(plan: Plan) -> Iterator[tuple[str, str]]:
    """Pieces that are cut too often, too seldom or at another length."""
    wanted, found = _wanted(plan), _found(plan)
    joined = {raceway.id for raceway in plan.raceways}
    joined |= {one.machine for one in plan.later_machines or () if one.raceway is not None}
    for name in sorted(wanted.keys() | found.keys(), key=str):
        key, colour, of = name
        need, have = sorted(wanted.get(name, [])), sorted(found.get(name, []))
        if of in joined:  # of several sticks
            need, have = [sum(need)], [sum(have)]
        if need != have:
            what = " ".join(filter(None, (key, colour, "for", of)))
            yield what, f"{what}: cut at {_inches(have)}, wanted {_inches(need)}"


def _inches(lengths: list[int]) -> str:
    return " and ".join(f"{length} in" for length in lengths) or "no length"


def _up(length_ft: float) -> int:
    """A length in inches, rounded up, as it is kept to 0.01 ft."""
    return ceil(round(INCHES * length_ft, 4))


def _wanted(plan: Plan) -> Wanted:
    """Lengths of everything new that is pulled or set."""
    wanted: Wanted = defaultdict(list)
    filled: set[str] = set()
    runs = [run for circuit in plan.circuits for run in circuit.runs]
    for run in (*runs, *plan.later_runs):
        filled.update(run.raceways)
        if run.life != "new":
            continue
        length = _up(run.length_ft + run.allowance_ft)
        if run.raceways:
            for wire in run.conductors:
                wanted[single_key(wire.awg, wet=run.wet), wire.colour, run.id].append(length)
        else:
            hot = [wire.awg for wire in run.conductors if wire.role != "ground"]
            wanted[cable_key(hot[0] if hot else "?", len(hot)), None, run.id].append(length)
    for one in plan.later_machines or ():
        if one.raceway is not None:
            key = raceway_key(one.raceway.kind, one.raceway.trade_size)
            wanted[key, None, one.machine].append(_up(one.raceway.length_ft))
            if one.raceway.string_ft is not None:
                wanted[PULL_STRING, None, one.machine].append(_up(one.raceway.string_ft))
    for run in plan.rooms:
        filled.update(run.raceways)
        wanted[PULL_STRING, None, run.id].append(_up(run.length_ft + run.allowance_ft))
    for raceway in plan.raceways:
        if raceway.life == "new" and raceway.id in filled:
            key = raceway_key(raceway.kind, raceway.trade_size)
            wanted[key, None, raceway.id].append(_up(raceway.length_ft))
    return wanted


def _found(plan: Plan) -> Wanted:
    """Lengths that are cut."""
    found: Wanted = defaultdict(list)
    for line in plan.purchase or ():
        for piece in line.pieces:
            found[line.key, line.colour, piece.of].append(piece.length_in)
    return found
