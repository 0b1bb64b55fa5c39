"""From a shop to a plan: routes, pool, a choice of circuits made into a plan, its bound.

Where there is no plan, or only one with violations, why, and what would help.
"""

from collections.abc import Collection, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

from models.plan import Plan
from models.price_book import PriceBook
from models.shop import Shop
from solver.assemble import with_bound
from solver.bound.beside import Beside
from solver.bound.certificate import Certificate
from solver.bound.least import least
from solver.candidate import COPPER, MONEY
from solver.catalogue import Catalogue
from solver.causes import Cause
from solver.choosing import MOST_CUTS, choose, shortages, violations_in
from solver.circuit import Circuits
from solver.finding_causes import CUT_RULES, finding_causes
from solver.large import impossible_items, make_large_pool
from solver.points import Points
from solver.pool import FEW_ITEMS, Pool, make_pool
from solver.purchase import purchase
from solver.remedies import MOST_TRIALS, LeastChanges, Trial, try_remedies
from solver.routes import Ways
from solver.selection import Selection
from solver.site import is_tiny
from solver.solve import DEFAULT_EFFORT, Control
from solver.sparse import is_large
from solver.supply_causes import DISCONNECT, FEEDER_LOAD, SERVICE_ROOM, supply_causes
from solver.tool_places import pool_with_places, without_place
from solver.trials import Trials, least_handles, parts_usd, quick_pool

ROUNDED: Final = 0.005  # a plan's objective has two decimals
WHATEVER_THE_TREES: Final = CUT_RULES | {FEEDER_LOAD, SERVICE_ROOM, DISCONNECT}


@dataclass(frozen=True)
class Outcome:
    """A plan, or the causes why there is none; both when only a plan with violations was found."""

    plan: Plan | None
    causes: tuple[Cause, ...] = ()
    least: LeastChanges | None = None


def plan_shop(shop: Shop, book: PriceBook, control: Control, *, explain: bool = True) -> Outcome:
    """The least-cost plan of a shop that the effort finds, checked; or why there is none.

    Of a tiny shop every tree is tried where the cheapest ones are not proved to be best. What to
    buy is added at the end, unless this is a trial (`explain` is False).
    """
    outcome = _planned_at_best(shop, book, control, explain=explain)
    if outcome.plan is None or not explain:
        return outcome
    control.tell("dealing the pieces to rolls and sticks")
    control.ending = 0.0  # that is done
    bought = purchase(outcome.plan, book, control.late)
    plan = outcome.plan.model_copy(update={"purchase": bought})
    return replace(outcome, plan=_stopped(plan) if control.cut_short else plan)


def _planned_at_best(shop: Shop, book: PriceBook, control: Control, *, explain: bool) -> Outcome:
    """The plan of a shop without what to buy, or why there is none."""
    if shop.prices.minimize == "copper":
        control.known.unit, control.known.per_unit = "lb", COPPER
    control.tell("measuring the ways a cable can take")
    points, ways, catalogue = Points(shop), Ways(shop), Catalogue(shop, book)
    cheapest = Circuits(shop, points, ways, catalogue)
    if not is_tiny(shop):
        return _planned(cheapest, control, explain=explain)
    first = _planned(cheapest, control, explain=False)
    if control.cut_short or _is_best(first) or is_near(cheapest, first.plan, control):
        return first
    if first.plan is not None and _whatever_the_trees(first.plan):
        return _with_causes(shop, book, control, first.plan, explain)
    control.tell("trying every tree of the few boxes there are")
    gap = _gap(cheapest, first.plan)
    every = Circuits(shop, points, ways, catalogue, every_tree=True, gap=gap)
    last = _planned(every, control, explain=explain, beat=first.plan)
    if _rank(first.plan) < _rank(last.plan):
        return first
    return last if last.plan or last.causes else _planned(cheapest, control, explain=explain)


def _rank(plan: Plan | None) -> tuple[bool, int, float]:
    """No plan last, then by violations and by what was minimized."""
    return (True, 0, 0.0) if plan is None else (False, violations_in(plan), plan.objective.value)


def _is_best(outcome: Outcome) -> bool:
    """Whether a plan without violations is proved to cost the least."""
    plan = outcome.plan
    return plan is not None and plan.objective.proved == "global" and not violations_in(plan)


def _whatever_the_trees(plan: Plan) -> bool:
    """Whether a plan has violations, and none that other runs of its circuits might avoid."""
    rules = {finding.rule for finding in plan.findings if finding.severity == "violation"}
    return bool(rules) and rules <= WHATEVER_THE_TREES


def _planned(
    circuits: Circuits, control: Control, *, explain: bool, beat: Plan | None = None
) -> Outcome:
    """The best plan by circuits of one kind, or why there is none.

    `beat`: a plan that is there, so that only what may lead to a better one is looked at.
    """
    shop, book = circuits.shop, circuits.catalogue.book
    alone = not explain or len(circuits.points.items) <= FEW_ITEMS
    with nullcontext() if alone else Beside(shop, book, control.effort) as beside:
        causes = impossible_items(circuits, control.over)
        if not causes:
            control.tell("trying out circuits")
            return _searched(circuits, control, beside, explain=explain, beat=beat)
    causes += supply_causes(shop, least_handles(circuits))
    return _explained(shop, book, control, causes, explain)


def _searched(
    circuits: Circuits,
    control: Control,
    beside: Beside | None,
    *,
    explain: bool,
    beat: Plan | None = None,
) -> Outcome:
    """The best plan of what a search finds, or why there is none; `beside` knows the bound."""
    shop, book = circuits.shop, circuits.catalogue.book
    first = _First(circuits, control, beside)
    pool_of = make_large_pool if is_large(shop) else make_pool
    pool = pool_of(circuits, control, first.met if explain else None)
    if first.near or first.is_all_of(pool):
        return Outcome(_bounded_late(first.or_better(None), control, beside))
    if beat is not None and not violations_in(beat):
        pool = _leading_below(circuits, pool, beat, control)
    control.tell(f"choosing among {len(pool.candidates)} circuits")
    searched = not pool.complete
    bound = control.known.least_bound
    if pool.complete or (explain and bound is None):
        bound = control.known.bounded(_bound(circuits, pool, control, beside))
    plan, infeasible = choose(circuits, pool, control, bound)
    if plan is None and searched and not control.cut_short:
        control.tell("these circuits do not go together: trying out others")
        quick = quick_pool(circuits, control)
        both = [*pool.candidates, *quick.candidates]
        pool = Pool(both, False, pool.alike, [*quick.firsts, *pool.firsts])
        plan, infeasible = choose(circuits, pool, control, bound)
    if plan is None and explain and searched and not control.cut_short:
        with control.quietly(max(DEFAULT_EFFORT, control.effort), control.seed + 1) as more:
            pool = pool_of(circuits, more)
            plan, infeasible = choose(circuits, pool, more, bound)
    plan = _bounded_late(first.or_better(plan), control, beside)
    if plan and explain and searched and not control.cut_short and (tools := without_place(plan)):
        plan = _holding(circuits, tools, plan, bound, control)
    if plan is not None:
        return _with_causes(shop, book, control, plan, explain)
    if control.cut_short or not infeasible:
        return Outcome(None)
    return _explained(shop, book, control, shortages(circuits, pool, control), explain)


def _bounded_late(plan: Plan | None, control: Control, beside: Beside | None) -> Plan | None:
    """A plan with its bound, where time was up before it was known and some is left for it."""
    late = control.cut_short and control.known.least_bound is None
    if plan is None or beside is None or not late:
        return plan
    control.ending = 0.0  # that is done
    control.tell("looking for what no plan goes below")
    bound = control.known.bounded(beside.found(control))
    if bound is None:
        return plan
    return plan.model_copy(update={"objective": with_bound(plan.objective, bound)})


def _holding(
    circuits: Circuits,
    tools: Collection[str],
    plan: Plan,
    bound: int | None,
    control: Control,
) -> Plan:
    """A plan in which portable tools that find no place have one; the same where none is found."""
    control.tell(f"looking for a place for {' and '.join(sorted(tools))}")
    pool = pool_with_places(circuits, tools, control)
    if pool is None:
        return plan
    made, _ = choose(circuits, pool, control, bound)
    return plan if made is None or _rank(plan) <= _rank(made) else made


class _First:
    """A first whole plan, of the first circuits that go together, before better ones are looked
    for; how long that took is kept in mind. And later ones, where they may be near enough.
    """

    def __init__(self, circuits: Circuits, control: Control, beside: Beside | None) -> None:
        self.circuits, self.control, self.beside = circuits, control, beside
        self.plan: Plan | None = None
        self._pool: Pool | None = None

    def met(self, pool: Pool) -> bool:
        """Make it; whether it is as near the bound as asked for."""
        control, earlier = self.control, self._pool is not None
        bound = control.known.least_bound
        if bound is None and control.gap is not None and not earlier:
            bound = control.known.bounded(_bound(self.circuits, pool, control, self.beside))
        began = control.elapsed
        cuts = MOST_CUTS if control.older else 1  # no worse than the older plan was
        plan, _ = choose(self.circuits, pool, control, bound, cuts)
        if not earlier or _rank(plan) < _rank(self.plan):
            self.plan, self._pool = plan, pool
        control.ending = control.elapsed - began
        if plan is not None:
            control.tell(f"{'another' if earlier else 'a first'} plan is made; looking for better")
        return self.near

    @property
    def near(self) -> bool:
        """Whether it is as near the bound as asked for."""
        return is_near(self.circuits, self.plan, self.control)

    def is_all_of(self, pool: Pool) -> bool:
        """Whether time was up before anything better was found."""
        same = self._pool is not None and pool.candidates == self._pool.candidates
        return same and self.plan is not None and self.control.cut_short

    def or_better(self, plan: Plan | None) -> Plan | None:
        """The better of it and another; it says so when the search was stopped after it."""
        if self.plan is None or _rank(plan) <= _rank(self.plan):
            return plan
        return _stopped(self.plan) if self.control.cut_short else self.plan


def _bound(
    circuits: Circuits, pool: Pool, control: Control, beside: Beside | None = None
) -> int | Certificate | None:
    """A true lower bound: by a relaxation over runs, or by the pool itself where that holds the
    cheapest circuit of every set there can be.

    Each candidate is the cheapest for its items and the raceways it may use. Leaving out what the
    boxes and raceways hold, where another tree might do better, gives a cost that no plan on these
    routes, boxes and builds can go below.
    """
    if not pool.complete:
        control.tell("looking for what no plan goes below")
        return beside.found(control) if beside else least(circuits, control)
    relaxed = Selection(
        circuits.shop,
        circuits.ways,
        circuits.catalogue,
        pool.candidates,
        contents=False,
        later=circuits.later_machines.choices,
    )
    found = relaxed.solve(control)
    return None if found is None else found.bound


def _leading_below(circuits: Circuits, pool: Pool, beat: Plan, control: Control) -> Pool:
    """The pool without circuits that are in no plan better than one that is there.

    Of the same items another one is cheaper by more than that plan is above the bound.
    """
    gap = circuits.gap
    if gap is None:
        found = _bound(circuits, pool, control)
        bound = found.bound if isinstance(found, Certificate) else found
        gap = None if bound is None else _least(circuits, beat.objective.value + ROUNDED) - bound
    return pool if gap is None else replace(pool, candidates=circuits.within(gap, pool.candidates))


def _gap(circuits: Circuits, plan: Plan | None) -> int | None:
    """How far a plan without violations may be from the best, where that is known."""
    if plan is None or plan.objective.lower_bound is None or violations_in(plan):
        return None
    return _least(circuits, plan.objective.value - plan.objective.lower_bound + 2 * ROUNDED)


def is_near(circuits: Circuits, plan: Plan | None, control: Control) -> bool:
    """Whether a plan without violations is as near the bound as asked for."""
    if plan is None or violations_in(plan):
        return False
    return control.close_enough(_least(circuits, plan.objective.value))


def _least(circuits: Circuits, value: float) -> int:
    """A value of a plan's objective in the least units."""
    return round(value * (COPPER if circuits.copper_first else MONEY))


def _stopped(plan: Plan) -> Plan:
    """A plan that says that the work was cut short."""
    mark = plan.made_by.model_copy(update={"status": "stopped", "repeatable": False})
    return plan.model_copy(update={"made_by": mark})


def _with_causes(
    shop: Shop, book: PriceBook, control: Control, plan: Plan, explain: bool
) -> Outcome:
    """A plan; one with a violation that no other choice avoids also says what would help."""
    causes = finding_causes(shop, plan.findings)
    if not causes:
        return Outcome(plan)
    return replace(_explained(shop, book, control, causes, explain), plan=plan)


def _explained(
    shop: Shop, book: PriceBook, control: Control, causes: Sequence[Cause], explain: bool
) -> Outcome:
    """Causes with their remedies tried, unless this is itself a trial."""
    if not (explain and control.remedies):
        return Outcome(None, tuple(causes))
    trials = Trials(shop, book, control, choose, shortages, _whole_trial)

    def plans(changed: Shop) -> Trial:
        control.tell(f"no plan yet: trying what would help ({next(count)})")
        return trials(changed)

    count = iter(range(1, MOST_TRIALS + 1))
    prices = partial(parts_usd, book=book)
    return Outcome(None, *try_remedies(shop, causes, plans, over=control.over, prices=prices))


def _whole_trial(shop: Shop, book: PriceBook, control: Control) -> Trial:
    """What comes of planning a tiny shop as always."""
    outcome = plan_shop(shop, book, control, explain=False)
    if outcome.causes:
        return Trial(None, outcome.causes[0].says, outcome.causes)
    if outcome.plan is None:
        return Trial(None, "no plan was found in the time there was")
    stuck = (f.says for f in outcome.plan.findings if f.severity == "violation")
    return Trial(outcome.plan.totals.material_cost_usd, next(stuck, ""))
