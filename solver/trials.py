"""Trials: does a changed shop have a plan, at little effort? What was found is used again.

What is in the way of any plan is looked for first, and then nothing is searched. Else the circuits
of plans found before are made for the changed shop and checked; only when they do not do is a large
shop searched, for a short while. A tiny shop is planned as always.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from itertools import product
from typing import Final

from models.plan import Plan
from models.price_book import PriceBook
from models.shop import Shop
from models.shop_checks import check_shop
from solver.candidate import MONEY, Candidate
from solver.catalogue import Catalogue
from solver.causes import Cause
from solver.circuit import Circuits
from solver.enclosures import box_choices, fixed_cost, raceway_cost
from solver.finding_causes import finding_causes
from solver.large import first_large_pool, impossible_items
from solver.panel import main_spaces
from solver.pool import MOST_ENUMERATED_ITEMS, QUICK_MOVES, Pool, Search
from solver.refusal import Refusal
from solver.remedies import Trial
from solver.routes import Ways
from solver.sketch import Sketcher
from solver.solve import Control
from solver.sparse import is_large
from solver.supply_causes import supply_causes

MOST_KEPT: Final = 2  # choices of circuits that are tried again
STARTS: Final = 1
SHARE: Final = 5  # of the effort, a trial has one part

Choice = tuple[frozenset[str], ...]  # the items of each circuit, by name
Choose = Callable[[Circuits, Pool, Control], tuple[Plan | None, bool]]
Short = Callable[[Circuits, Pool, Control], list[Cause]]
Whole = Callable[[Shop, PriceBook, Control], Trial]


def least_handles(circuits: Circuits) -> int:
    """Breakers with a handle of their own that any plan has at least.

    One for each item that shares a circuit with no other; of 120 V two may have a common handle.
    """
    sketch = Sketcher(circuits)
    lonely = [item for n, item in enumerate(circuits.points.items) if sketch.lonely(n)]
    doubles = sum(any(point.volts == 240 for point in item.points) for item in lonely)
    return doubles + (len(lonely) - doubles + 1) // 2


def what_circuits_see(shop: Shop) -> str:
    """All of a shop that says which single items can be circuits.

    What the supply is rated does not, nor how many spaces a panel has that nobody names.
    """
    data = shop.canonical()
    named = shop.pins.circuits or shop.existing
    unseen = ["bus", "disconnect", "feeder", "main", *([] if named else ["spaces"])]
    data["supply"].pop("service", None)
    data.get("code", {}).pop("noncoincident", None)
    data.get("later", {}).pop("spare_spaces", None)
    for panel, key in product(data["supply"]["panels"], unseen):
        panel.pop(key, None)
    return repr((data, [main_spaces(shop, panel) for panel in shop.supply.panels if named]))


@dataclass
class Trials:
    """Plans of changed shops, each at little effort."""

    shop: Shop
    book: PriceBook
    control: Control
    choose: Choose
    short: Short
    whole: Whole
    choices: list[Choice] = field(default_factory=list)
    impossible: dict[str, list[Cause]] = field(default_factory=dict)

    def foreseen(self, circuits: Circuits) -> list[Cause]:
        """Everything in the way of any plan that shows before one is made."""
        seen = what_circuits_see(circuits.shop)
        if seen not in self.impossible:
            self.impossible[seen] = impossible_items(circuits, self.control.over)
        handles = least_handles(circuits)
        return [*self.impossible[seen], *supply_causes(circuits.shop, handles)]

    def __call__(self, changed: Shop) -> Trial:
        """What comes of planning a changed shop."""
        if problems := _new_problems(self.shop, changed):
            return Trial(None, problems[0])
        book = PriceBook.read() if self.shop.prices.book and not changed.prices.book else self.book
        circuits = Circuits.of(changed, book)
        if causes := self.foreseen(circuits):
            return Trial(None, causes[0].says, tuple(causes))
        with self.control.quietly(max(1, self.control.effort // SHARE)) as control:
            if len(circuits.points.items) <= MOST_ENUMERATED_ITEMS:
                return self.whole(changed, book, control)
            return self._as_before(circuits, control) or self._searched(circuits, control)

    def keep(self, circuits: Circuits, candidates: Sequence[Candidate]) -> None:
        """Remember a choice of circuits, the newest first."""
        items = circuits.points.items
        groups = (frozenset(items[n].id for n in made.items) for made in candidates)
        choice = tuple(dict.fromkeys(groups))
        self.choices = [choice, *(old for old in self.choices if old != choice)][:MOST_KEPT]

    def _as_before(self, circuits: Circuits, control: Control) -> Trial | None:
        """A plan without violations by circuits of before; None when they do not do."""
        at = {item.id: number for number, item in enumerate(circuits.points.items)}
        for choice in self.choices:
            if set(at) != {name for group in choice for name in group}:
                continue
            made = [circuits.candidates(frozenset(at[name] for name in g)) for g in choice]
            if any(isinstance(one, Refusal) for one in made):
                continue
            flat = [one for found in made if not isinstance(found, Refusal) for one in found]
            plan, _ = self.choose(circuits, Pool(flat, False), control)
            if plan is not None and not _violation(plan):
                return Trial(plan.totals.material_cost_usd)
        return None

    def _searched(self, circuits: Circuits, control: Control) -> Trial:
        """A plan from a short search, or what is short."""
        pool = quick_pool(circuits, control)
        if pool.firsts:
            self.keep(circuits, pool.firsts[0])
        plan, infeasible = self.choose(circuits, pool, control)
        if plan is None:
            causes = self.short(circuits, pool, control) if infeasible else []
            says = causes[0].says if causes else "no plan was found in the time there was"
            return Trial(None, says, tuple(causes))
        stuck = _violation(plan)
        causes = finding_causes(circuits.shop, plan.findings) if stuck else []
        return Trial(plan.totals.material_cost_usd, stuck, tuple(causes))


def _new_problems(shop: Shop, changed: Shop) -> list[str]:
    """What does not fit in a changed shop and did before."""
    before = {problem.says for problem in check_shop(shop)}
    return [problem.says for problem in check_shop(changed) if problem.says not in before]


def _violation(plan: Plan) -> str:
    """The first violation of a plan; empty without one."""
    return next((f.says for f in plan.findings if f.severity == "violation"), "")


def quick_pool(circuits: Circuits, control: Control) -> Pool:
    """Circuits of a short search; with multiwire pairs only where none is found without.

    The same for every effort: what a trial found is found again when the shop is planned.
    """
    if is_large(circuits.shop):
        return first_large_pool(circuits, control)
    circuits.pairs_last = True
    search = Search(circuits, control)
    runs = []
    for pairing in (False, True):
        search.sketch.pairing = pairing
        runs = [run for start in range(STARTS) if (run := search.run(QUICK_MOVES, start))]
        if runs or circuits.pairs is None or control.cut_short:
            break
    if not runs:
        return Pool(circuits.pool(), False)
    only = search.only(sorted(runs, key=search.total))
    if control.cut_short:
        return only
    return Pool(search.worth_making(runs), False, search.sketch.first_alike, only.firsts)


def parts_usd(shop: Shop, book: PriceBook) -> float:
    """What raceways, junction boxes, covers and an added main cost, whatever the circuits are."""
    catalogue, ways = Catalogue(shop, book), Ways(shop)
    total = fixed_cost(shop, catalogue)
    total += sum(raceway_cost(catalogue, route) for route in ways.raceways.values())
    junctions = {junction.id for junction in shop.routes.junction_boxes}
    for choice in box_choices(shop, catalogue):
        total += choice.sizes[-1][2] if choice.box in junctions else 0
    return total / MONEY
