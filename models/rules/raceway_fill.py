"""Raceway fill: area and count of conductors in each raceway, and what its ledgers say of them.

Square inches, percent of the inside area.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from models.changeovers import later_machine_of
from models.formulas.ampacity import bundling_factor
from models.formulas.raceway_fill import conductor_area_in2, fill_limit, fill_percent
from models.plan import NOW, THEN, Conductor, Finding, Ledger, RacewayPlan
from models.rules.after_changeovers import reading_after
from models.rules.reading import Reading
from models.rules.rule import SAME_PERCENT, RuleText, registry
from models.shop import Raceway
from models.shop.facts import TRADE_SIZES

INSULATION = "THHN"
ROOM_SIZES = ("14", "12", "10", "8", "6")

FILL = RuleText(
    "raceway-fill",
    "Fill of a raceway",
    "Conductors, grounds included, take no more than 53, 31 or 40 % of the inside area for one, "
    "two, or three and more; where room is kept, with what it is kept for.",
    "NEC chapter 9 Tables 1, 4 and 5",
    "code",
)
LEDGER = RuleText(
    "raceway-ledger",
    "Ledger of a raceway",
    "The ledger lists the runs that lie in the raceway, with their fill, current-carrying count, "
    "adjustment and the room left; where room is kept, a second one tells the same with what it is "
    "kept for, and the room left is beside that.",
    "plan file; NEC Table 310.15(C)(1) (2017: 310.15(B)(3)(a))",
    "plan",
)
RULES = registry(FILL, LEDGER)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each raceway too full, not the shop's, or with a wrong ledger."""
    of_shop = {raceway.id: raceway for raceway in reading.shop.routes.raceways}
    for raceway in reading.plan.raceways:
        faults = (
            []
            if _is_as_given(reading, raceway, of_shop.get(raceway.id))
            else [f"raceway {raceway.id} is not as the shop gives it"]
        )
        stages = _inside(reading, raceway)
        for ledger, inside in zip(raceway.ledgers, stages, strict=False):
            faults += _ledger_faults(raceway, ledger, inside)
        if len(stages) > len(raceway.ledgers) > 0:
            faults.append(f"raceway {raceway.id} has no ledger of what room is kept for")
        if len({ledger.stage for ledger in raceway.ledgers}) != len(raceway.ledgers):
            faults.append(f"raceway {raceway.id} has two ledgers of one stage")
        if not raceway.ledgers:
            faults.append(f"raceway {raceway.id} has no ledger")
        for says in faults:
            fix = f"write the ledger of {raceway.id} again"
            yield LEDGER.finding(raceway.id, says, edition=reading.edition, detail=says, fix=fix)
        yield from _too_full(reading, raceway, stages)


@dataclass(frozen=True)
class _Inside:
    """What lies in a raceway at a stage, and how many of its conductors carry current; `most`: with
    all that room is kept for.
    """

    stage: str
    runs: Counter[tuple[str, str]]
    conductors: list[Conductor]
    carrying: int
    most: list[Conductor]


def _inside(reading: Reading, raceway: RacewayPlan) -> list[_Inside]:
    """What lies in a raceway today; where room is kept in it, also what does with that."""
    placed = reading.runs_in_raceway.get(raceway.id, [])
    kept = [
        (later_machine_of(one.machine), one.room)
        for one in reading.plan.later_machines or ()
        if one.room is not None and raceway.id in one.room.raceways
    ]
    runs = Counter((run.id, circuit.id) for circuit, run in placed)
    today = [wire for _, run in placed for wire in run.conductors]
    most = [*today, *(wire for _, run in kept for wire in run.conductors)]
    found = [_Inside(NOW, runs, today, reading.carrying_in(raceway.id), most)]
    if kept:
        then = runs + Counter((run.id, name) for name, run in kept)
        carrying = reading_after(reading).carrying_in(raceway.id)
        found.append(_Inside(THEN, then, most, carrying, most))
    return found


def _is_as_given(reading: Reading, raceway: RacewayPlan, given: Raceway | None) -> bool:
    """Whether a raceway is the shop's; one that is laid may be larger where room is kept in it."""
    if given is None or (given.kind, set(given.ends)) != (
        raceway.kind,
        {raceway.start, raceway.end},
    ):
        return False
    may_be_larger = raceway.life == "new" and raceway.id in reading.rooms_in_raceway
    larger = TRADE_SIZES[TRADE_SIZES.index(given.trade_size) :]
    return raceway.trade_size in (larger if may_be_larger else larger[:1])


def _too_full(
    reading: Reading, raceway: RacewayPlan, stages: Iterable[_Inside]
) -> Iterator[Finding]:
    """A raceway with too much in it, today or on the day that room is kept for."""
    for stage in stages:
        inside = stage.conductors
        if not inside or _percent(raceway, inside) <= 100 * fill_limit(len(inside)) + SAME_PERCENT:
            continue
        percent, limit = _percent(raceway, inside), 100 * fill_limit(len(inside))
        yield FILL.finding(
            raceway.id,
            f"raceway {raceway.id} ({raceway.kind} {raceway.trade_size}) is {percent:.1f} % "
            f"full with {len(inside)} conductors"
            f"{'' if stage.stage == NOW else ' when what room is kept for is drawn in'}, "
            f"{limit:g} % is the most",
            edition=reading.edition,
            detail="" if stage.stage == NOW else stage.stage,
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


def _ledger_faults(raceway: RacewayPlan, ledger: Ledger, inside: _Inside) -> Iterator[str]:
    """Where a ledger does not agree with the runs of its stage."""
    if inside.stage == THEN != ledger.stage:
        yield f"the second ledger of {raceway.id} is not of {THEN}"
    listed_runs = Counter((content.run, content.circuit) for content in ledger.contents)
    if inside.runs != listed_runs:
        names = sorted(run for run, _ in inside.runs)
        yield f"the ledger of {raceway.id} does not list the runs {names}"
    listed = Counter(map(repr, (c for content in ledger.contents for c in content.conductors)))
    if listed != Counter(map(repr, inside.conductors)):
        yield f"the ledger of {raceway.id} does not list the conductors of its runs"
    count, percent = inside.carrying, _percent(raceway, inside.conductors)
    limit = _limit_percent(len(inside.conductors))
    for what, found, right, tolerance in (
        ("fill [%]", ledger.fill_percent, percent, 0.06),
        ("limit [%]", ledger.limit_percent, limit, SAME_PERCENT),
        ("current-carrying count", ledger.current_carrying, count, 0),
        ("adjustment", ledger.adjustment, bundling_factor(count), 1e-9),
    ):
        if abs(found - right) > tolerance:
            yield f"{what} of {raceway.id} is {right:g}, its ledger says {found:g}"
    if tuple(room.awg for room in ledger.room_left) != ROOM_SIZES:
        yield f"the ledger of {raceway.id} does not tell the room for {', '.join(ROOM_SIZES)} AWG"
    for room in ledger.room_left:
        right = _room_left(raceway, inside.most, room.awg)
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
