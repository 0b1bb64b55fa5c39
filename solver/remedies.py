"""Remedies tried, priced and ranked, and the least changes found that lead to a plan.

Each trial is a plan at small effort, and there are only so many. A cost is that of the material of
the plan a change leads to; a larger panel or feeder is not in it. US dollars.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from models.shop import Shop
from models.shop_edit import Change, ChangeError, changed
from solver.causes import Cause, Remedy

MOST_TRIALS: Final = 16
MOST_TRIED: Final = 4  # remedies of one cause
MOST_HIDDEN: Final = 3  # times that what comes to light is added


@dataclass(frozen=True)
class Trial:
    """What came of planning a changed shop: the material it costs, or what is in the way.

    `causes` are those that then stand in the way.
    """

    cost_usd: float | None
    in_the_way: str = ""
    causes: tuple[Cause, ...] = ()

    @property
    def works(self) -> bool:
        """Whether a plan without violations was found."""
        return not self.in_the_way


Plans = Callable[[Shop], Trial]


@dataclass(frozen=True)
class LeastChanges:
    """The least changes found that lead to a plan: one remedy for each cause that needs one.

    `each_needed`: with any one of them left out no plan was found.
    """

    says: tuple[str, ...]
    changes: tuple[Change, ...]
    cost_usd: float | None
    each_needed: bool
    priced: bool


@dataclass
class _Trials:
    """Trials of changes to a shop, each made once, no more than there may be."""

    shop: Shop
    plans: Plans
    made: dict[str, Trial] = field(default_factory=dict)

    def of(self, remedies: Sequence[Remedy]) -> Trial | None:
        """What some remedies together lead to; None when no more trials may be made."""
        changes = [change for remedy in remedies for change in remedy.changes]
        key = repr(sorted(map(repr, changes)))
        if key not in self.made:
            if len(self.made) >= MOST_TRIALS:
                return None
            try:
                self.made[key] = self.plans(changed(self.shop, changes))
            except ChangeError as error:
                self.made[key] = Trial(None, str(error))
        return self.made[key]


def try_remedies(
    shop: Shop, causes: Sequence[Cause], plans: Plans
) -> tuple[tuple[Cause, ...], LeastChanges | None]:
    """Causes with their remedies tried, the least change first; and the least changes in all.

    Where several things stand in the way, a remedy is tried together with one of each of the
    others. A cause without whose remedy a plan was found as well is left out.
    """
    trials = _Trials(shop, plans)
    tried = _try_all(trials, causes)
    for _ in range(MOST_HIDDEN):
        hidden = [] if any(map(_solved, tried)) else _hidden(trials, tried)
        if not hidden:
            break
        tried = _try_all(trials, [*tried, *hidden])
    needed, least = _least(trials, tried)
    return _priced([cause for cause, kept in zip(tried, needed, strict=True) if kept]), least


def _try_all(trials: _Trials, causes: Sequence[Cause]) -> list[Cause]:
    """Every cause with its remedies tried, the best first."""
    chosen = [cause.remedies[0] if cause.remedies else None for cause in causes]
    tried = []
    for number, cause in enumerate(causes):
        others = [r for n, r in enumerate(chosen) if n != number and r is not None]
        done = [_tried(trials, remedy, others) for remedy in cause.remedies[:MOST_TRIED]]
        lifted = {r.says for r in done if _lifts(trials, cause, [*others, r])}
        ranked = tuple(sorted(done, key=lambda r: (r.says not in lifted, *_rank(r))))
        if ranked and ranked[0].says in lifted:
            chosen[number] = ranked[0]
        tried.append(replace(cause, remedies=ranked))
    return tried


def _lifts(trials: _Trials, cause: Cause, remedies: Sequence[Remedy]) -> bool:
    """Whether a cause is gone with these remedies, whatever else may then be in the way."""
    trial = trials.of(remedies)
    if trial is None or not (trial.works or trial.causes):
        return False
    return all((c.reason, c.where) != (cause.reason, cause.where) for c in trial.causes)


def _solved(cause: Cause) -> bool:
    """Whether some remedy of a cause works."""
    return any(remedy.works for remedy in cause.remedies)


def _hidden(trials: _Trials, causes: Sequence[Cause]) -> list[Cause]:
    """Causes that come to light once the first remedy of each is taken."""
    trial = trials.of([cause.remedies[0] for cause in causes if cause.remedies])
    known = {(cause.reason, cause.where) for cause in causes}
    return [c for c in trial.causes if (c.reason, c.where) not in known] if trial else []


def _tried(trials: _Trials, remedy: Remedy, others: Sequence[Remedy]) -> Remedy:
    """A remedy with what it leads to, together with one for each other cause."""
    trial = trials.of([*others, remedy])
    if trial is None:
        return remedy
    return replace(remedy, works=trial.works, leaves=trial.in_the_way, cost_usd=trial.cost_usd)


def _rank(remedy: Remedy) -> tuple[bool, int, bool, float]:
    """What works before what does not; the fewest changes; what is priced; the least cost."""
    return not remedy.works, len(remedy.changes), not remedy.priced, remedy.cost_usd or 0.0


def _least(trials: _Trials, causes: Sequence[Cause]) -> tuple[list[bool], LeastChanges | None]:
    """Which causes need a remedy, and the least full set: each left out once, to see."""
    needed = [True] * len(causes)
    best = [cause.remedies[0] for cause in causes if cause.remedies]
    if len(best) < len(causes):
        return needed, None
    if (trial := trials.of(best)) is None or not trial.works:
        return needed, None
    sure = True
    for number in range(len(causes)) if len(causes) > 1 else ():
        rest = [r for n, r in enumerate(best) if n != number and needed[n]]
        without = trials.of(rest) if rest else None
        sure &= without is not None or not rest
        if without is not None and without.works:
            needed[number], trial = False, without
    kept = [remedy for remedy, need in zip(best, needed, strict=True) if need]
    changes = tuple(change for remedy in kept for change in remedy.changes)
    says = tuple(remedy.says for remedy in kept)
    priced = all(remedy.priced for remedy in kept)
    return needed, LeastChanges(says, changes, trial.cost_usd, sure, priced)


def _priced(causes: Sequence[Cause]) -> tuple[Cause, ...]:
    """Causes whose remedies say how much more they cost than the cheapest one that works."""
    worked = [r.cost_usd for c in causes for r in c.remedies if r.works and r.cost_usd is not None]
    if not worked:
        return tuple(causes)
    cheapest = min(worked)
    return tuple(
        replace(cause, remedies=tuple(_with_more(remedy, cheapest) for remedy in cause.remedies))
        for cause in causes
    )


def _with_more(remedy: Remedy, cheapest: float) -> Remedy:
    if remedy.cost_usd is None:
        return remedy
    return replace(remedy, more_usd=round(remedy.cost_usd - cheapest, 2))
