"""What comes, wired by itself: its circuit today's way, and what pulling it now or later costs.

For a machine to come whose box is named: the least circuit of its own that carries it in the heat
of its way and within the voltage drop wished. Pulled now, its conductors lie capped and marked
until it comes; left for later, the run is laid on that day, in surface EMT where walls stay closed.
For a changeover: what the plan has chosen between. Each by itself, at its likelihood and the shop's
discount. USD, feet.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from models.changeovers import counted_share
from models.part_keys import breaker_key
from models.plan import ChangeoverPlan
from models.price_book import PriceBook
from models.shop import FutureMachine
from solver.candidate import MONEY, Candidate
from solver.catalogue import RATINGS, Catalogue
from solver.changed_candidate import HUNDREDTHS, Parts
from solver.circuit import Circuits
from solver.futures import Coming, Futures
from solver.points import Points
from solver.refusal import Refusal

PULLED = "its run pulled now, capped and marked"
LEFT = "nothing now"


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
        """The least circuit of a machine to come, from the panel that the source feeds."""
        if machine.hard_wired_at is None:
            why = "no box is named for it: name one, or plan it as a machine of today"
            return ComingRun(machine.id, None, None, (), why)
        then = self.shop.model_copy(update={"machines": (*self.shop.machines, machine)})
        points = Points(then)
        catalogue = Catalogue(self.shop, self.book)
        circuits = Circuits(then, points, self.futures.ways, catalogue)
        fixed = (p for p in points.points if machine.id in points.fixed.get(p.id, ()))
        point = next((p for p in fixed if p.kind == "hard-wired"), None)
        if point is None:
            why = f"{machine.hard_wired_at} has no blank yoke of a new box"
            return ComingRun(machine.id, None, None, (), why)
        load = circuits.loads.of((point,), {machine.id: point.id})
        for amps in RATINGS:
            if isinstance(circuits.rating_unfit(amps, load), Refusal):
                continue
            made = circuits.wired_alone(load, amps, circuits.everything, self.futures.panel.id)
            if made is not None:
                return self._told(machine, made, circuits)
        return ComingRun(
            machine.id, None, None, (), "no conductor carries it on the ways there are"
        )

    def _told(self, machine: FutureMachine, made: Candidate, circuits: Circuits) -> ComingRun:
        """A run in words, with what it costs pulled now or left for the day."""
        feet = sum(edge.way.length_cft for edge in made.edges) / HUNDREDTHS
        methods = " and ".join(sorted({edge.way.method for edge in made.edges}))
        gfci = "GFCI " if made.gfci == "breaker" else ""
        circuit = (
            f"{made.poles}-pole {made.breaker_amps} A {gfci}breaker, {made.awg} AWG in {methods},"
            f" {feet:.0f} ft"
        )
        closed = self.shop.later.open_walls is False
        now = circuits.later.run_parts(made, None, closed=False)
        day = circuits.later.run_parts(made, None, closed=closed)
        if now is None or day is None:
            why = "the price book lacks a part of it"
            return ComingRun(machine.id, circuit, round(made.drop_percent, 2), (), why)
        breaker = breaker_key(made.breaker_amps, made.poles, made.gfci == "breaker")
        put_in = self._usd({breaker: now[breaker]})
        share = counted_share(self.shop.later, machine)
        found = (
            (LEFT, 0.0, self._usd(day)),
            (PULLED, round(self._usd(now) - put_in, 2), put_in),
        )
        choices = sorted(
            (
                Choice(says, early, late, round(early + share * late, 2))
                for says, early, late in found
            ),
            key=lambda choice: choice.expected_usd,
        )
        return ComingRun(machine.id, circuit, round(made.drop_percent, 2), tuple(choices))

    def _usd(self, parts: Parts) -> float:
        return round(sum(count * self.book.cents(key) for key, count in parts.items()) / MONEY, 2)
