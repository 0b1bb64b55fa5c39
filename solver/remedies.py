"""Remedies adopted, tried, priced and ranked: the least changes found that lead to a plan.

In rounds: a remedy of each thing in the way is taken, and what is in the way then is next. What was
taken to no avail gives way to the next remedy of its cause. With a full set, every other remedy of
a cause is tried in place of the one taken, and each change is left out once, to see. A cost is that
of the material of the plan a change leads to. US dollars.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import count, starmap
from typing import Final

from models.shop import Shop
from models.shop_edit import Change, ChangeError, changed
from solver.bought import thing_changed
from solver.causes import Cause, Remedy

MOST_TRIALS: Final = 48
MOST_TRIED: Final = 4  # remedies of one cause

MANY_THINGS: Final = 6

Key = tuple[str, str]
Weight = tuple[int, int, int, int]


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
Prices = Callable[[Shop], float]


@dataclass(frozen=True)
class Part:
    """One change of a full set, the cause it is for, and the price of what it adds by itself."""

    says: str
    changes: tuple[Change, ...]
    reason: str
    where: str
    adds_usd: float | None = None
    unpriced: tuple[str, ...] = ()  # what no price book has
    gives_up: bool = False  # something that the owner asked for

    @property
    def things(self) -> frozenset[str]:
        """The things of the shop that it changes."""
        return frozenset(starmap(thing_changed, self.changes))


@dataclass(frozen=True)
class LeastChanges:
    """The least changes found that lead to a plan, in the order in which they are to be made.

    `each_needed`: with any one of them left out no plan was found.
    """

    parts: tuple[Part, ...]
    cost_usd: float | None
    each_needed: bool

    @property
    def says(self) -> tuple[str, ...]:
        """The changes in words."""
        return tuple(part.says for part in self.parts)

    @property
    def changes(self) -> tuple[Change, ...]:
        """All changes to the shop file."""
        return tuple(change for part in self.parts for change in part.changes)

    @property
    def priced(self) -> bool:
        """Whether all of it is in a price book."""
        return not any(part.unpriced for part in self.parts)


@dataclass(frozen=True)
class Step:
    """A remedy taken for a cause, in a round."""

    cause: Cause
    remedy: Remedy
    round: int = 0


def _key(cause: Cause) -> Key:
    return cause.reason, cause.where


def _instead(steps: Sequence[Step], at: int, remedy: Remedy) -> list[Step]:
    """Steps with another remedy at one place; those of its cause that change the same give way."""
    new = replace(steps[at], remedy=remedy)
    after = [
        step
        for step in steps[at + 1 :]
        if _key(step.cause) != _key(new.cause) or not step.remedy.things & remedy.things
    ]
    return [*steps[:at], new, *after]


def _weight(steps: Sequence[Step]) -> Weight:
    """The least bought without a price; the fewest changes, wishes given up, things changed."""
    given_up = sum(step.remedy.gives_up for step in steps)
    things = sum(len(step.remedy.things) for step in steps)
    return len(_unpriced(steps)), len(steps), given_up, things


def _unpriced(steps: Iterable[Step]) -> frozenset[str]:
    """All that these steps buy and no price book has."""
    return frozenset(thing for step in steps for thing in step.remedy.unpriced)


@dataclass
class _Trials:
    """Trials of changes to a shop, each made once, no more than there may be."""

    shop: Shop
    plans: Plans
    over: Callable[[], bool]
    made: dict[str, Trial] = field(default_factory=dict)

    def of(self, steps: Sequence[Step]) -> Trial | None:
        """What some remedies together lead to; None when no more trials may be made."""
        changes = [change for step in steps for change in step.remedy.changes]
        key = repr(sorted(map(repr, changes)))
        if key not in self.made:
            if len(self.made) >= MOST_TRIALS or self.over():
                return None
            try:
                trial = self.plans(changed(self.shop, changes))
            except ChangeError as error:
                trial = Trial(None, str(error))
            if self.over():
                return None  # it was cut short: nothing can be said of it
            self.made[key] = trial
        return self.made[key]


@dataclass
class _Search:
    """The search for a full set, with what was learnt of each remedy on the way."""

    trials: _Trials
    causes: dict[Key, list[Cause]] = field(default_factory=dict)  # as they were met
    learnt: dict[tuple[Key, str], Trial] = field(default_factory=dict)
    refused: set[tuple[Key, str]] = field(default_factory=set)

    def meet(self, causes: Iterable[Cause], *, later: bool = True) -> None:
        """Remember causes; one that is met again may say less and offer others."""
        for cause in (replace(cause, later=later) for cause in causes):
            known = self.causes.setdefault(_key(cause), [])
            if all(one.says != cause.says for one in known):
                known.append(cause)

    def learn(self, steps: Iterable[Step], trial: Trial) -> None:
        """What a trial says of the remedies in it, unless they are known to work."""
        for step in steps:
            name = _key(step.cause), step.remedy.says
            if trial.works or name not in self.learnt or not self.learnt[name].works:
                self.learnt[name] = trial

    # -- rounds

    def full_set(self, causes: Sequence[Cause]) -> list[Step] | None:
        """Remedies that together lead to a plan; None when none were found."""
        taken: list[Step] = []
        standing = list(causes)
        for number in count():
            nexts = ((cause, self.next_of(cause)) for cause in standing)
            picks = [Step(cause, remedy, number) for cause, remedy in nexts if remedy]
            if len(picks) < len(standing) or not picks:
                standing = self.taken_back(taken)
                if not standing:
                    return None
                continue
            trial = self.trials.of([*taken, *picks])
            if trial is None:
                return None
            self.learn(picks, trial)
            if trial.works:
                return [*taken, *picks]
            self.meet(trial.causes)
            if not trial.causes:
                self.refuse_one(picks)
                continue
            helped = [pick for pick in picks if self.helps(pick, trial)]
            self.refused |= {(_key(p.cause), p.remedy.says) for p in picks if p not in helped}
            taken += helped
            standing = list(trial.causes)
        return None

    def next_of(self, cause: Cause) -> Remedy | None:
        """The next remedy of a cause that was not taken to no avail."""
        left = (r for r in cause.remedies if (_key(cause), r.says) not in self.refused)
        return next(left, None)

    def helps(self, step: Step, trial: Trial) -> bool:
        """Whether a cause is gone with its remedy, or is less than it was."""
        now = next((c for c in trial.causes if _key(c) == _key(step.cause)), None)
        offered = {remedy.says for remedy in now.remedies} if now else set()
        return now is None or (now.says != step.cause.says and step.remedy.says not in offered)

    def refuse_one(self, picks: Sequence[Step]) -> None:
        """Nothing is known of what is in the way: another remedy of the first cause with more."""
        several = (p for p in picks if self._others(p))
        pick = next(several, picks[0])
        self.refused.add((_key(pick.cause), pick.remedy.says))

    def taken_back(self, taken: list[Step]) -> list[Cause]:
        """Give up the last step whose cause has another remedy; the causes that stood then."""
        last = next((step for step in reversed(taken) if self._others(step)), None)
        if last is None:
            return []
        self.refused.add((_key(last.cause), last.remedy.says))
        standing = [step.cause for step in taken if step.round == last.round]
        taken[:] = [step for step in taken if step.round < last.round]
        return standing

    def _others(self, step: Step) -> bool:
        """Whether a cause has a remedy left besides the one taken."""
        refused = {*self.refused, (_key(step.cause), step.remedy.says)}
        return any((_key(step.cause), r.says) not in refused for r in step.cause.remedies)

    # -- better and fewer

    def bettered(self, steps: list[Step]) -> list[Step]:
        """The same with each remedy the best that works in its place."""
        for cause in [step.cause for step in steps]:
            for remedy in cause.remedies[:MOST_TRIED]:
                at = next((n for n, step in enumerate(steps) if step.cause is cause), None)
                if at is None or any(step.remedy.says == remedy.says for step in steps):
                    continue
                steps = self._better(steps, at, remedy)
        return steps

    def _better(self, steps: list[Step], at: int, remedy: Remedy) -> list[Step]:
        """Steps with another remedy at one place, if that is better.

        First without what came to light in later rounds, if that would be less: it may not come
        now. What changes many things and would be more is not tried.
        """
        other = _instead(steps, at, remedy)
        soon = [step for step in other if step.round <= steps[at].round]
        more = _weight(soon) > _weight(steps)
        if more and len(remedy.things) > MANY_THINGS:
            return steps
        for tried in (other,) if more else (soon, other):
            trial = self.trials.of(tried)
            if trial is None:
                break
            self.learn([other[at]], trial)
            if trial.works:
                return tried if self._rank(tried) < self._rank(steps) else steps
            cause = steps[at].cause
            if any((_key(c), c.says) == (_key(cause), cause.says) for c in trial.causes):
                break  # it is no help at all
        return steps

    def _rank(self, steps: Sequence[Step]) -> tuple[Weight, float]:
        """What a full set asks for, then what its plan costs."""
        trial = self.trials.of(steps)
        return _weight(steps), 0.0 if trial is None or trial.cost_usd is None else trial.cost_usd

    def without_needless(self, steps: list[Step]) -> tuple[list[Step], bool]:
        """Each left out once, the last first; whether each that is left was found to be needed."""
        number, sure = len(steps) - 1, True
        while number >= 0 and len(steps) > 1:
            trial = self.trials.of(steps[:number] + steps[number + 1 :])
            sure &= trial is not None
            if trial is not None and trial.works:
                del steps[number]
                number, sure = len(steps), True
            number -= 1
        return steps, sure

    # -- what is told

    def told(self, steps: Sequence[Step] | None) -> list[Cause]:
        """Every cause with its remedies as they were tried: those taken first, then by rank."""
        chosen = {(_key(step.cause), step.remedy.says) for step in steps or ()}
        keys = list(self.causes)
        if steps is not None:
            needed = {_key(step.cause) for step in steps}
            keys = [key for key in keys if key in needed]
        causes = []
        for key in keys:
            met = self.causes[key]
            offered = {remedy.says: remedy for cause in met for remedy in cause.remedies}
            tried = [self._as_tried(key, remedy) for remedy in offered.values()]
            tried.sort(key=lambda r: ((key, r.says) not in chosen, *_order(r)))
            causes.append(replace(met[0], remedies=tuple(tried)))
        return causes

    def _as_tried(self, key: Key, remedy: Remedy) -> Remedy:
        trial = self.learnt.get((key, remedy.says))
        if trial is None:
            return remedy
        return replace(remedy, works=trial.works, leaves=trial.in_the_way, cost_usd=trial.cost_usd)


def _order(remedy: Remedy) -> tuple[bool, int, bool, int, float]:
    """What works before what does not; then as a search ranks them."""
    works, cost = remedy.works or False, remedy.cost_usd or 0.0
    return not works, len(remedy.unpriced), remedy.gives_up, len(remedy.things), cost


def try_remedies(
    shop: Shop,
    causes: Sequence[Cause],
    plans: Plans,
    *,
    over: Callable[[], bool] = lambda: False,
    prices: Prices | None = None,
) -> tuple[tuple[Cause, ...], LeastChanges | None]:
    """Causes with their remedies tried, the least change first; and the least changes in all.

    A cause without whose remedy a plan was found as well is left out. `prices` says what raceways,
    junction boxes and the like of a shop cost, whatever its circuits are.
    """
    search = _Search(_Trials(shop, plans, over))
    search.meet(causes, later=False)
    steps = search.full_set(causes)
    if steps is None:
        return _priced(search.told(None)), None
    steps, _ = search.without_needless(steps)
    steps, sure = search.without_needless(search.bettered(steps))
    trial = search.trials.of(steps)
    cost = None if trial is None else trial.cost_usd
    for step in steps:
        search.learn([step], Trial(cost))
    return _priced(search.told(steps)), LeastChanges(_parts(shop, steps, prices), cost, sure)


def _parts(shop: Shop, steps: Sequence[Step], prices: Prices | None) -> tuple[Part, ...]:
    """The steps of a full set, each with the price of what it adds."""
    parts, changes = [], list[Change]()
    bought = frozenset[str]()
    before = prices(shop) if prices else 0.0
    for step in steps:
        remedy = step.remedy
        changes += remedy.changes
        after = prices(changed(shop, changes)) if prices else 0.0
        more = tuple(thing for thing in remedy.unpriced if thing not in bought)
        adds = round(after - before, 2) if prices else None
        named = remedy.says, remedy.changes, *_key(step.cause)
        parts.append(Part(*named, adds, more, remedy.gives_up))
        bought, before = bought.union(more), after
    return tuple(parts)


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
