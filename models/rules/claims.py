"""Claims: sums, takeoff and objective of a plan, counted again by a way of its own.

Feet to 0.01, copper to 0.01 lb, money to 0.01 USD (a takeoff line to 0.0001 USD).
"""

from collections.abc import Iterator
from functools import cache
from math import isclose

from models.box_sizes import is_pull_box
from models.building_main import main_parts
from models.formulas.conductors import copper_lb_per_kft
from models.part_keys import (
    HANDLE_TIE,
    PULL_STRING,
    box_key,
    breaker_key,
    cable_key,
    device_key,
    raceway_key,
    single_key,
    tandem_key,
)
from models.plan import BoxPlan, BreakerPlan, CircuitPlan, Finding, Plan, Run
from models.price_book import PriceBook
from models.rules.panel_spaces import leg_of
from models.rules.reading import Reading
from models.rules.rule import SAME_USD, RuleText, registry

TOTALS = RuleText(
    "totals",
    "Totals of the plan",
    "Cable, conductors, copper, cost, circuits and spaces are the sums of the plan's parts.",
    "plan file",
    "plan",
)
TAKEOFF = RuleText(
    "takeoff",
    "The takeoff",
    "Every new part is in the takeoff once, and every line costs its quantity times its price.",
    "plan file",
    "plan",
)
OBJECTIVE = RuleText(
    "objective",
    "What was minimized",
    "The value is the plan's cost or copper, the bound is not above it, and what is called proved"
    " follows from the bound.",
    "plan file",
    "plan",
)
MULTIWIRE = RuleText(
    "multiwire",
    "Multiwire circuits",
    "The circuits of a multiwire pair name each other, sit on opposite legs and open together.",
    "NEC 210.4",
    "code",
)
RULES = registry(TOTALS, TAKEOFF, OBJECTIVE, MULTIWIRE)
SAME_LB = 0.006
SOLD_BY_THE_FOOT = ("NM-B ", "THHN ", "THWN-2 ", "EMT ", "PVC-", "ENT ", "RMC ", PULL_STRING)


def check(reading: Reading) -> Iterator[Finding]:
    """Yield a finding for each sum that is off."""
    edition = reading.edition
    for detail, says in _total_faults(reading.plan):
        yield TOTALS.finding("totals", says, edition=edition, detail=detail)
    for detail, says in (*_takeoff_faults(reading.plan), *_book_faults(reading.plan)):
        yield TAKEOFF.finding("takeoff", says, edition=edition, detail=detail)
    for detail, says in _objective_faults(reading):
        yield OBJECTIVE.finding("objective", says, edition=edition, detail=detail)
    for circuit, says in _multiwire_faults(reading):
        yield MULTIWIRE.finding(circuit, says, edition=edition, detail=says)


def _new_runs(plan: Plan) -> list[Run]:
    on = [run for circuit in plan.circuits for run in circuit.runs if run.life == "new"]
    return [*on, *plan.later_runs]


def _total_faults(plan: Plan) -> Iterator[tuple[str, str]]:
    """Sums that are not those of the parts."""
    runs = _new_runs(plan)
    cut = [run.length_ft + run.allowance_ft for run in runs]
    pairs = list(zip(runs, cut, strict=True))
    sums = {
        "cable_ft": sum(length for run, length in pairs if run.method == "cable"),
        "conductor_ft": sum(length * len(run.conductors) for run, length in pairs),
        "copper_lb": sum(
            length * copper_lb_per_kft(wire.awg) / 1000
            for run, length in pairs
            for wire in run.conductors
        ),
        "material_cost_usd": sum(line.cost_usd for line in plan.takeoff),
        "circuits": len(plan.circuits),
        "spaces_used": len({(p.id, s.space) for p in plan.panels for s in p.spaces if s.circuit}),
    }
    for name, found in sums.items():
        claimed = getattr(plan.totals, name)
        tolerance = 0.5 if isinstance(found, int) else SAME_LB if name == "copper_lb" else 0.006
        if abs(claimed - found) > tolerance:
            yield name, f"{name} is {claimed:g}, its parts add up to {found:.2f}"

    if plan.totals.labour_cost_usd is not None:
        yield "labour", "labour is claimed, and not counted in any part of the plan"


@cache
def _book() -> PriceBook:
    """The price book that comes along."""
    return PriceBook.read()


def _book_faults(plan: Plan) -> Iterator[tuple[str, str]]:
    """Lines that are not as the price book has them, where it is the one that comes along."""
    mark, book = plan.made_by.price_book, _book()
    if mark.sha256 != book.sha256:
        return
    if (mark.name, mark.dated, mark.invented) != (book.name, book.dated, book.invented):
        yield "book", f"the prices are {book.name!r} of {book.dated}"
    for line in plan.takeoff:
        price = book.prices.get(line.key)
        if price is None:
            yield f"{line.key} book", f"{line.key} is not in the price book"
        elif (line.item, line.unit, line.unit_price_usd) != (
            price.item,
            price.unit,
            price.cents / 100,
        ):
            says = f"{line.key} is {price.item}, {price.cents / 100:g} USD for each {price.unit}"
            yield f"{line.key} book", f"{says} in the price book"


def _takeoff_faults(plan: Plan) -> Iterator[tuple[str, str]]:
    """Parts that are missing or too many, and lines that are not quantity times price."""
    wanted: dict[str, float] = {}
    for key, quantity in _parts(plan):
        wanted[key] = wanted.get(key, 0.0) + quantity
    listed = {line.key: line.quantity for line in plan.takeoff}
    if len(listed) != len(plan.takeoff):
        yield "twice", "a part is listed in two lines"
    for key in sorted(wanted.keys() | listed.keys()):
        found, claimed = wanted.get(key, 0.0), listed.get(key, 0.0)
        if abs(found - claimed) > 0.006:
            yield key, f"{key}: {claimed:g} listed, {found:g} in the plan"
    for line in plan.takeoff:
        unit = "ft" if line.key.startswith(SOLD_BY_THE_FOOT) else "each"
        if line.unit != unit:
            yield f"{line.key} unit", f"{line.key} is counted in {unit}, not in {line.unit}"
        if abs(line.cost_usd - line.quantity * line.unit_price_usd) > SAME_USD / 100:
            yield f"{line.key} cost", f"{line.key}: cost is not quantity times price"


def _parts(plan: Plan) -> Iterator[tuple[str, float]]:
    """Every new part, one by one."""
    for run in _new_runs(plan):
        length = run.length_ft + run.allowance_ft
        if run.raceways:
            yield from ((single_key(wire.awg, wet=run.wet), length) for wire in run.conductors)
        else:
            insulated = [wire.awg for wire in run.conductors if wire.role != "ground"]
            yield cable_key(insulated[0] if insulated else "?", len(insulated)), length
            yield "cable connector", 2
    yield from _breaker_parts(plan)
    tied = sum(c.breaker.handle_tie for c in plan.circuits if c.life == "new")
    if tied:
        yield HANDLE_TIE, tied / 2
    for panel in plan.panels:
        if panel.main.kind == "back-fed" and panel.main.amps is not None:
            yield from ((key, 1) for key in main_parts(panel.main.amps))
    for box in plan.boxes:
        if box.life == "new":
            yield from _box_parts(box)
    for one in plan.later_machines or ():
        if one.raceway is not None:
            yield raceway_key(one.raceway.kind, one.raceway.trade_size), one.raceway.length_ft
            yield "raceway connector", 2
            yield PULL_STRING, one.raceway.string_ft or 0.0
    yield from ((PULL_STRING, run.length_ft + run.allowance_ft) for run in plan.rooms)
    used = plan.raceways_in_use
    for raceway in plan.raceways:
        if raceway.life == "new" and raceway.id in used:
            yield raceway_key(raceway.kind, raceway.trade_size), raceway.length_ft
            yield "raceway connector", 2


def _breaker_parts(plan: Plan) -> Iterator[tuple[str, float]]:
    """Every new breaker; one of two poles for a pair, a tandem for its two halves."""
    seen: set[tuple[str, tuple[int, ...]]] = set()
    for circuit in plan.circuits:
        breaker, place = circuit.breaker, (circuit.panel, circuit.breaker.spaces)
        if circuit.life == "new" and breaker.kind == "tandem":
            if place in seen:
                yield tandem_key(*_in_one_space(plan, *place)), 1
            seen.add(place)
            continue
        bought = circuit.life == "new" or breaker.exchanged
        if bought and not (circuit.multiwire_with and place in seen):
            yield breaker_key(breaker.amps, breaker.poles, "breaker" in circuit.gfci_at), 1
        seen.add(place)


def _in_one_space(plan: Plan, panel: str, spaces: tuple[int, ...]) -> list[float]:
    """Ratings of the two halves of a tandem. [A]"""
    ratings = [
        circuit.breaker.amps
        for circuit in plan.circuits
        if (circuit.panel, circuit.breaker.spaces) == (panel, spaces)
    ]
    return ratings[:2]


def _box_parts(box: BoxPlan) -> Iterator[tuple[str, float]]:
    """A box with its devices and what covers it."""
    yield box_key(box.box), 1
    if box.kind == "device" and not is_pull_box(box.box):
        yield ("cover in-use" if box.location == "wet" else f"trim {box.gangs} gang"), 1
    devices = [yoke for yoke in box.yokes if yoke.device != "blank"]
    yield from ((device_key(y.device, y.configuration, y.gfci), 1) for y in devices)


def _objective_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """A value that is not the plan's, a bound above it, more proved than the bound allows."""
    claim, totals = reading.plan.objective, reading.plan.totals
    unit = {"copper": "lb", "cost": "USD"}[claim.minimize]
    if claim.unit != unit:
        yield "unit", f"{claim.minimize} is in {unit}, the plan says {claim.unit}"
    made_by = reading.plan.made_by
    if made_by.repeatable != (made_by.status == "complete"):
        yield "repeatable", "a plan that was stopped is not repeatable, one that was not is"
    value = totals.copper_lb if claim.minimize == "copper" else totals.material_cost_usd
    value += claim.expected_later or 0.0
    if claim.minimize != reading.shop.prices.minimize:
        yield "minimize", f"the shop asks for least {reading.shop.prices.minimize}"
    if abs(claim.value - value) > SAME_USD:
        yield "value", f"value is {claim.value:g} {claim.unit}, the plan's is {value:g}"
    if claim.lower_bound is None:
        if claim.gap is not None or claim.proved == "global":
            yield "bound", "a gap or a global proof is claimed without a bound"
        return
    if claim.lower_bound > claim.value + SAME_USD:
        yield "bound", f"the bound {claim.lower_bound:g} is above the value {claim.value:g}"
    gap = (claim.value - claim.lower_bound) / (claim.value or 1)
    if claim.gap is None or not isclose(claim.gap, gap, abs_tol=2e-4):
        yield "gap", f"the gap is {gap:.4f}, the plan says {claim.gap}"
    if claim.proved == "global" and gap > 1e-4:
        yield "proved", "proved global is claimed with the bound below the value"


def _multiwire_faults(reading: Reading) -> Iterator[tuple[str, str]]:
    """Pairs that do not name each other, share a leg, or do not open together."""
    for circuit in reading.plan.circuits:
        if circuit.multiwire_with is None:
            continue
        other = reading.circuits[circuit.multiwire_with]
        if other.multiwire_with != circuit.id:
            yield circuit.id, f"{circuit.id} and {other.id} do not name each other as a pair"
        legs = [{leg_of(space) for space in c.fed_from} for c in (circuit, other)]
        if legs[0] & legs[1]:
            yield circuit.id, f"{circuit.id} and {other.id} share a neutral on one leg"
        if not (circuit.breaker.handle_tie or circuit.breaker.spaces == other.breaker.spaces):
            yield circuit.id, f"{circuit.id} and {other.id} do not open together"
        stated = [_kind_of(c) for c in (circuit, other)]
        if circuit.life == "new" and stated[0] != stated[1]:
            yield circuit.id, f"{circuit.id} and {other.id} do not have breakers alike"


def _kind_of(circuit: CircuitPlan) -> BreakerPlan:
    """A breaker as both circuits of a pair state it; tied ones have a space each."""
    breaker = circuit.breaker
    return breaker.model_copy(update={"spaces": ()}) if breaker.handle_tie else breaker
