"""Running CP-SAT so that the same file and effort give the same plan, and a stop is heeded.

One worker, interleaved search and a limit in deterministic work: repeatable on one core or many.
The wall clock is only a guard; when it or a stop ends a run, the answer says so.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from math import inf
from time import monotonic
from typing import Final

from ortools.sat.python import cp_model

from solver.older import Older
from solver.progress import Known, Listen, nobody
from solver.repeatable import repeatable_solver

WORK_PER_EFFORT: Final = 1.0  # CP-SAT's deterministic time of one solve, per unit of effort
GRACE_SECONDS: Final = 1.0  # for each step that is left when time is up
WRITING_TO_CHECKING: Final = 2.5  # of a hall of 1,000 receptacles 1.8; some to spare
STARTING_SECONDS: Final = 0.5  # what a command takes before its clock runs, and to leave
DEFAULT_EFFORT: Final = 10
DEFAULT_SEED: Final = 1


@dataclass
class Control:
    """How much work, from which seed, until when; `stop` may be called from another thread.

    `gap`: end where a plan is within this part of its value above the bound. `older`: a plan whose
    circuits are the first to be tried. `ending`: what choosing, placing and checking once more are
    known to take, and `writing` what page and files may take: that time is kept for them. [s]
    `remedies`: what would help is tried out where there is no plan.
    """

    effort: int = DEFAULT_EFFORT
    seed: int = DEFAULT_SEED
    seconds: float | None = None
    listen: Listen = nobody
    gap: float | None = None
    older: Older | None = None
    known: Known = field(default_factory=Known)
    began: float = field(default_factory=monotonic)
    stopped: bool = False
    cut_short: bool = False
    ending: float = 0.0
    writing: float = 0.0
    remedies: bool = True
    _solver: cp_model.CpSolver | None = None

    @property
    def elapsed(self) -> float:
        """Wall-clock time since it began. [s]"""
        return monotonic() - self.began

    def tell(self, doing: str) -> None:
        """Say what is done now, with all that is known so far."""
        self.listen(self.known.event(doing, self.elapsed))

    def close_enough(self, least_value: int) -> bool:
        """Whether a plan of this value would be within the gap asked for, above a known bound."""
        bound = self.known.least_bound
        if self.gap is None or bound is None:
            return False
        return least_value - bound <= self.gap * least_value

    def stop(self) -> None:
        """End the work soon and keep the best found."""
        self.stopped = True
        if self._solver is not None:
            self._solver.stop_search()

    def left(self) -> float:
        """What is left of the time allowed, without what is kept for the last steps. [s]"""
        return (
            inf
            if self.seconds is None
            else self.seconds - self.elapsed - self.ending - self.writing
        )

    def late(self) -> bool:
        """Whether what is asked now has to stop; remembers that the plan is then not repeatable."""
        late = self.stopped or self.left() < 0
        self.cut_short |= late
        return late

    def over(self) -> bool:
        """Whether to stop now, or to have stopped before."""
        return self.late() or self.cut_short

    def checked(self, began: float) -> None:
        """A whole plan was checked, since then: writing takes about so many times as long."""
        self.writing = STARTING_SECONDS + WRITING_TO_CHECKING * (self.elapsed - began)

    @contextmanager
    def quietly(self, effort: int, seed: int | None = None) -> Iterator["Control"]:
        """The same control with another effort and for itself: nobody is told, no gap is asked
        for, no plan or bound is known; a stop of it is heeded.
        """
        kept = self.effort, self.seed, self.listen, self.gap, self.older, self.known
        self.effort, self.seed = effort, self.seed if seed is None else seed
        self.listen, self.gap, self.older, self.known = nobody, None, None, Known()
        try:
            yield self
        finally:
            self.effort, self.seed, self.listen, self.gap, self.older, self.known = kept

    def run(self, model: cp_model.CpModel, share: float = 1.0, least: int = 0) -> "Answer":
        """Solve a model with a share of the effort, and of no less than some effort."""
        work = WORK_PER_EFFORT * max(self.effort, least) * share
        solver = repeatable_solver(self.seed, work)
        if self.seconds is not None:
            solver.parameters.max_time_in_seconds = max(GRACE_SECONDS, self.left())
        if self.stopped:
            solver.parameters.max_time_in_seconds = GRACE_SECONDS
        self._solver = solver
        status = solver.solve(model)
        self._solver = None
        decided = status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
        if not decided and solver.response_proto.deterministic_time < work:
            self.cut_short = True
        return Answer(solver, status)


@dataclass(frozen=True)
class Answer:
    """What CP-SAT found."""

    solver: cp_model.CpSolver
    status: cp_model.CpSolverStatus

    @property
    def found(self) -> bool:
        """There is a solution."""
        return self.status in (cp_model.OPTIMAL, cp_model.FEASIBLE)

    @property
    def optimal(self) -> bool:
        """The solution is proved best."""
        return bool(self.status == cp_model.OPTIMAL)

    @property
    def infeasible(self) -> bool:
        """There is proved to be none."""
        return bool(self.status == cp_model.INFEASIBLE)
