"""What comes, wired by itself: what can be done for it now, and what that costs now and then.

For a changeover and a machine to come: what the plan has chosen between, what it chose first. Of a
plan that says nothing of machines to come (an older one) what could be chosen, the least first.
Each by itself, at its likelihood and the shop's discount. USD, feet.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from models.plan import ChangeoverPlan, LaterMachinePlan
from models.price_book import PriceBook
from models.shop import FutureMachine
from solver.catalogue import Catalogue
from solver.circuit import Circuits
from solver.futures import Coming, Futures
from solver.later_drafts import undecided
from solver.open_places import open_place
from solver.points import Points


@dataclass(frozen=True)
class Choice:
    """Something that can be done now, what it costs now, and what the day then costs."""

    says: str
    now_usd: float
    day_usd: float
    expected_usd: float


@dataclass(frozen=True)
class ComingRun:
    """A thing that may come by itself: its circuit, what can be done now, the least first."""

    id: str
    circuit: str | None
    drop_percent: float | None
    choices: tuple[Choice, ...]
    why: str | None = None


class ComingRuns:
    """The runs of everything that may come to a plan's shop."""

    def __init__(self, futures: Futures, book: PriceBook) -> None:
        self.futures, self.shop, self.book = futures, futures.shop, book

    def all(self) -> Iterator[ComingRun]:
        """Each thing that may come, in the order of the shop."""
        for one in self.futures.coming:
            if one.kind == "changeover":
                yield self._changeover(one, self.futures.drafts.get(one.id))
            else:
                yield self._machine(self.futures.later[one.id])

    def _changeover(self, one: Coming, draft: ChangeoverPlan | None) -> ComingRun:
        """What the plan says of a changeover."""
        if draft is None:
            return ComingRun(one.id, None, None, (), "the plan says nothing of it")
        choices = sorted(
            (
                Choice(a.says, a.cost_now_usd, a.cost_later_usd, a.expected_usd or 0.0)
                for a in draft.alternatives
            ),
            key=lambda choice: (choice.says != draft.chosen, choice.expected_usd),
        )
        return ComingRun(one.id, draft.circuit, None, tuple(choices), draft.why)

    def _machine(self, machine: FutureMachine) -> ComingRun:
        """What the plan has chosen between; of an older plan what could be chosen, for a machine
        with a plug where it could be plugged in as the plan is.
        """
        drafts = {one.machine: one for one in self.futures.plan.later_machines or ()}
        chosen = machine.id in drafts and drafts[machine.id].chosen is not None
        if machine.hard_wired_at is None and not chosen:
            place = open_place(self.futures.plan, self.shop, machine)
            if place is not None:
                as_it_is = (Choice(place.says, 0.0, 0.0, 0.0),)
                return ComingRun(machine.id, place.circuit, None, as_it_is)
        if machine.id not in drafts:
            every = self._circuits.later_machines.all
            one = next(one for one in every if one.machine.id == machine.id)
            return _as_told(undecided(one, self._circuits))
        return _as_told(drafts[machine.id])

    @cached_property
    def _circuits(self) -> Circuits:
        """The circuits of the shop, where every choice is open."""
        points, catalogue = Points(self.shop), Catalogue(self.shop, self.book)
        return Circuits(self.shop, points, self.futures.ways, catalogue).deciding()


def _as_told(told: LaterMachinePlan) -> ComingRun:
    """What a plan says of a machine to come."""
    made, held = told.circuit, told.held
    if held is not None:
        circuit = held.circuit
    elif made is not None:
        gfci = "GFCI " if made.breaker_gfci else ""
        circuit = (
            f"{made.poles}-pole {made.breaker_amps:g} A {gfci}breaker, {made.awg} AWG in"
            f" {made.method}, {made.length_ft:.0f} ft"
        )
    else:
        return ComingRun(told.machine, None, None, (), told.why)
    choices = sorted(
        (
            Choice(a.says, a.cost_now_usd, a.cost_later_usd, a.expected_usd or 0.0)
            for a in told.alternatives
        ),
        key=lambda choice: (choice.says != told.chosen, choice.expected_usd),
    )
    drop = None if made is None else made.drop_percent
    return ComingRun(told.machine, circuit, drop, tuple(choices))
