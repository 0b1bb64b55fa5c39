"""Progress: what the work is doing and what is known so far, as events for whoever watches.

One stream for the terminal, a file and a page. Values are in the whole unit of what is minimized
(USD or lb), or in its least unit (`solver.candidate`) where a name says `least`; times in seconds.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Annotated

from pydantic import Field

from solver.bound.certificate import Certificate
from solver.candidate import MONEY


@dataclass(frozen=True)
class Best:
    """The best whole plan so far: fewest violations first, then the least value."""

    value: Annotated[float, Field(description="What is minimized, of the plan")]
    violations: Annotated[int, Field(description="Findings that forbid building")]


@dataclass(frozen=True)
class Event:
    """One moment of the work."""

    seconds: Annotated[float, Field(description="Since the work began, by the wall clock")]
    doing: Annotated[str, Field(description="What is done now, in words")]
    unit: Annotated[str, Field(description="Of all values: USD or lb")]
    best: Annotated[Best | None, Field(description="The best whole plan so far; null before one")]
    estimate: Annotated[
        float | None,
        Field(
            description="About the value of a plan by the best circuits met in the search, where"
            " that is below `best`; no plan has been made of them yet"
        ),
    ]
    bound: Annotated[
        float | None, Field(description="No plan of this model has a lower value; null: not known")
    ]
    gap: Annotated[
        float | None,
        Field(
            description="(best - bound) / best; null without a bound, or a best without violations"
        ),
    ]


Listen = Callable[[Event], None]


def nobody(_: Event) -> None:
    """Nobody listens."""


@dataclass
class Known:
    """What is known so far about one shop."""

    unit: str = "USD"
    per_unit: int = MONEY
    best: Best | None = None
    least_estimate: int | None = None
    least_bound: int | None = None
    certificate: Certificate | None = None  # of that bound, where there is one

    def met(self, value: float, violations: int) -> None:
        """A whole plan was made; where it is better than the best, estimates before it are over."""
        best = self.best
        if best is None or (violations, value) < (best.violations, best.value):
            self.best, self.least_estimate = Best(value, violations), None

    def estimated(self, least_value: int) -> None:
        """Circuits were met of which a plan would have about this value."""
        known = self.least_estimate
        self.least_estimate = least_value if known is None else min(known, least_value)

    def bounded(self, least_bound: int | Certificate | None) -> int | None:
        """No plan has a lower value than this; the highest such bound so far."""
        shown = least_bound if isinstance(least_bound, Certificate) else None
        found = shown.bound if shown else least_bound
        if isinstance(found, int) and (self.least_bound is None or found > self.least_bound):
            self.least_bound, self.certificate = found, shown
        return self.least_bound

    def certified(self, least_bound: float | None) -> Certificate | None:
        """The certificate of a plan's bound; None where it is another one's."""
        shown = self.certificate
        same = shown is not None and self._whole(shown.bound) == least_bound
        return shown if same else None

    def event(self, doing: str, seconds: float) -> Event:
        """All of it, beside what is done now."""
        best, bound = self.best, self._whole(self.least_bound)
        estimate = self._whole(self.least_estimate)
        if best is not None and estimate is not None and estimate >= best.value:
            estimate = None
        gap = None
        if best is not None and best.value and bound is not None and not best.violations:
            gap = max(0.0, round((best.value - bound) / best.value, 6))
        return Event(round(seconds, 2), doing, self.unit, best, estimate, bound, gap)

    def _whole(self, least: int | None) -> float | None:
        """A value in the whole unit."""
        return None if least is None else round(least / self.per_unit, 2)
