"""Raceway fill: area and count of conductors in each raceway, and what its ledgers say of them.

Square inches, percent of the inside area.
"""

from collections import Counter
from collections.abc import Iterator

from models.formulas.ampacity import bundling_factor
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, fill_percent
from models.plan import Conductor, Finding, Ledger, RacewayPlan
from models.rules.reading import Reading
from models.rules.rule import SAME_PERCENT, RuleText, registry

INSULATION = "THHN"
ROOM_SIZES = ("14", "12", "10", "8", "6")

FILL = RuleText(
    "raceway-fill",
    "Fill of a raceway",
    "Conductors, grounds included, take no more than 53, 31 or 40 % of the inside area for one, "
    "two, or three and more.",
    "NEC chapter 9 Tables 1, 4 and 5",
    "code",
)
LEDGER = RuleText(
    "raceway-ledger",
    "Ledger of a raceway",
    "The ledger lists the runs that lie in the raceway, with their fill, current-carrying count, "
    "adjustment and the room left.",
    "plan file; NEC Table 310.15(C)(1) (2017: 310.15(B)(3)(a))",
    "plan",
)
RULES = registry(FILL, LEDGER)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each raceway too full, not the shop's, or with a wrong ledger."""
    of_shop = {raceway.id: raceway for raceway in reading.shop.routes.raceways}
    for raceway in reading.plan.raceways:
        given = of_shop.get(raceway.id)
        faults = []
        if given is None or (given.kind, given.trade_size, set(given.ends)) != (
            raceway.kind,
            raceway.trade_size,
            {raceway.start, raceway.end},
        ):
            faults.append(f"raceway {raceway.id} is not as the shop gives it")
        inside = [
            c for _, run in reading.runs_in_raceway.get(raceway.id, []) for c in run.conductors
        ]
        faults += [
            fault
            for ledger in raceway.ledgers[:1]
            for fault in _ledger_faults(reading, raceway, ledger, inside)
        ]
        if len({ledger.stage for ledger in raceway.ledgers}) != len(raceway.ledgers):
            faults.append(f"raceway {raceway.id} has two ledgers of one stage")
        if not raceway.ledgers:
            faults.append(f"raceway {raceway.id} has no ledger")
        for says in faults:
            fix = f"write the ledger of {raceway.id} again"
            yield LEDGER.finding(raceway.id, says, edition=reading.edition, detail=says, fix=fix)
        if inside and _percent(raceway, inside) > 100 * fill_limit(len(inside)) + SAME_PERCENT:
            percent, limit = _percent(raceway, inside), 100 * fill_limit(len(inside))
            yield FILL.finding(
                raceway.id,
                f"raceway {raceway.id} ({raceway.kind} {raceway.trade_size}) is {percent:.1f} % "
                f"full with {len(inside)} conductors, {limit:g} % is the most",
                edition=reading.edition,
                found=percent,
                limit=limit,
                unit="%",
                fix=f"a larger trade size for {raceway.id}, or another way for one circuit",
            )


def _percent(raceway: RacewayPlan, conductors: list[Conductor]) -> float:
    """Share of the inside area that conductors take. [%]"""
    areas = [conductor_area_in2(c.awg, INSULATION if c.insulated else "bare") for c in conductors]
    return fill_percent(raceway.kind, raceway.trade_size, areas)


def _limit_percent(count: int) -> float:
    """The fill limit for a count of conductors; of an empty raceway, that for three or more. [%]"""
    return 100 * fill_limit(count or 3)


def _ledger_faults(
    reading: Reading, raceway: RacewayPlan, ledger: Ledger, inside: list[Conductor]
) -> Iterator[str]:
    """Where today's ledger does not agree with the runs."""
    runs = Counter((r.id, c.id) for c, r in reading.runs_in_raceway.get(raceway.id, []))
    if runs != Counter((content.run, content.circuit) for content in ledger.contents):
        yield f"the ledger of {raceway.id} does not list the runs {sorted(r for r, _ in runs)}"
    listed = Counter(map(repr, (c for content in ledger.contents for c in content.conductors)))
    if listed != Counter(map(repr, inside)):
        yield f"the ledger of {raceway.id} does not list the conductors of its runs"
    count = reading.carrying_in(raceway.id)
    for what, found, right, tolerance in (
        ("fill [%]", ledger.fill_percent, _percent(raceway, inside), 0.06),
        ("limit [%]", ledger.limit_percent, _limit_percent(len(inside)), SAME_PERCENT),
        ("current-carrying count", ledger.current_carrying, count, 0),
        ("adjustment", ledger.adjustment, bundling_factor(count), 1e-9),
    ):
        if abs(found - right) > tolerance:
            yield f"{what} of {raceway.id} is {right:g}, its ledger says {found:g}"
    if tuple(room.awg for room in ledger.room_left) != ROOM_SIZES:
        yield f"the ledger of {raceway.id} does not tell the room for {', '.join(ROOM_SIZES)} AWG"
    for room in ledger.room_left:
        right = _room_left(raceway, inside, room.awg)
        if room.count != right:
            yield f"{right} more {room.awg} AWG fit {raceway.id}, its ledger says {room.count}"


def _room_left(raceway: RacewayPlan, inside: list[Conductor], awg: str) -> int:
    """How many more conductors of a size fit; two may be too many where three are not."""
    one, most = Conductor(role="spare", awg=awg), 0
    for count in range(1, 100):
        total = [*inside, *[one] * count]
        if _percent(raceway, total) <= 100 * fill_limit(len(total)) + 1e-9:
            most = count
        elif len(total) > 3:
            break
    return most
