"""What would help where futures give way: each by itself, and the fewest of them together.

Tried in this order, from what takes least: load sharing for a vehicle charger, a listed interlock
between what comes and a heavy machine, a larger service or feeder with its panel, more spaces.
Every one is held against all futures again. No price book has their price.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import floor
from typing import Final, NamedTuple

from models.formulas.load_calculation import evse_va
from models.shop import Shop
from models.shop.machines import NAMEPLATES
from models.shop.use import NeverTogether
from models.shop_edit import changed
from solver.feeder_remedies import OTHER, larger_feeder
from solver.futures import Future, Futures, Kind
from solver.load import CONTINUOUS_SHARE
from solver.points import machine_amps
from solver.supply_causes import service_cause

CHARGER: Final = "vehicle charger"
LEAST_CHARGE_AMPS: Final = 6  # the least that a charger tells a vehicle; from memory, no source
MOST_HEAVY: Final = 4
MOST_TOGETHER: Final = 4


Change = tuple[str, Futures]


@dataclass(frozen=True)
class Help:
    """A change, and how much holds with it: futures, and their likelihood together."""

    says: str
    holds: int
    likelihood: float


class _Tried(NamedTuple):
    """A change, the futures with it, and how many limits then give way."""

    says: str
    futures: Futures
    every: tuple[Future, ...]
    gives_way: int

    @property
    def help(self) -> Help:
        holding = [future for future in self.every if future.holds]
        return Help(self.says, len(holding), sum(future.likelihood for future in holding))


def helping(futures: Futures, every: Sequence[Future]) -> tuple[list[Help], list[Help]]:
    """What helps by itself, the most first; and the fewest found that help together, in order."""
    now = at = _Tried("", futures, tuple(every), sum(map(_faults, every)))
    tried = list(_tried(now))
    alone = [one.help for one in tried if one.help.likelihood > now.help.likelihood + 1e-9]
    together: list[Help] = []
    while at.gives_way and tried and len(together) < MOST_TOGETHER:
        # what takes least comes first, where several leave as little that gives way
        best = min(tried, key=lambda one: one.gives_way)
        if best.gives_way >= at.gives_way:
            break
        together.append(best.help)
        at = best
        tried = list(_tried(at))
    return sorted(alone, key=lambda one: -round(one.likelihood, 6)), together


def _faults(future: Future) -> int:
    """How many limits give way."""
    return sum(strain.share > 1 and not strain.advice for strain in future.strains)


def _tried(at: _Tried) -> Iterator[_Tried]:
    """Every change that is thought of, with what it leads to."""
    for says, then in _changes(at.futures, at.every):
        every = then.all()
        yield _Tried(says, then, every, sum(map(_faults, every)))


def _changes(futures: Futures, every: Sequence[Future]) -> Iterator[Change]:
    """Changes for what gives way."""
    worst = {
        kind: max((one.found for future in every for one in future.of(kind)), default=0.0)
        for kind in _kinds(every)
    }
    if not worst:
        return
    if worst.keys() & {"calculation", "conductor", "leg", "service"}:
        yield from _load_sharing(futures, every)
        yield from _interlocks(futures)
    if "service" in worst:
        yield from _service(futures, worst["service"])
    amps = max((worst.get(kind, 0.0) for kind in ("calculation", "conductor", "leg")), default=0.0)
    if amps:
        yield from _feeder(futures, amps)
    if "spaces" in worst:
        yield from _spaces(futures, every)


def _kinds(every: Sequence[Future]) -> set[Kind]:
    """What gives way somewhere."""
    strains = (one for future in every for one in future.strains)
    return {one.kind for one in strains if one.share > 1 and not one.advice}


def _load_sharing(futures: Futures, every: Sequence[Future]) -> Iterator[Change]:
    """A charger that takes what others leave: its load is 125 % of what it is held to, 625.42.

    Whether the least of 220.57 (2023) is asked for all the same is not settled there: it is told.
    """
    least = evse_va(0, futures.shop.code.edition)
    rests = f"625.42; if {least:,.0f} VA are not asked for, 220.57" if least else "625.42"
    for charger in futures.later.values():
        if charger.kind != CHARGER:
            continue
        full = machine_amps(charger)
        over = max(
            (
                one.found - one.limit
                for future in every
                if charger.id in future.comes
                for one in future.of("calculation")
            ),
            default=0.0,  # too unlikely to be combined
        )
        left = floor(full - max(0.0, over) / CONTINUOUS_SHARE)
        held = min(max(left, LEAST_CHARGE_AMPS), floor(full))
        if held < full:
            name = futures.called[charger.id]
            plate = {**dict.fromkeys(NAMEPLATES), "marked_amps": float(held)}
            managed = {**plate, "kind": None, "continuous": True}
            less = charger.model_copy(update=managed)
            yield (
                f"load sharing that holds {name} to {held} A while the rest runs ({rests})",
                futures.instead(later={**futures.later, less.id: less}),
            )


def _interlocks(futures: Futures) -> Iterator[Change]:
    """A listed interlock between a machine to come and another to come, or a heavy one."""
    there = {one.id: one for one in futures.shop.machines if not one.portable}
    heavy = sorted(there, key=lambda name: (-machine_amps(there[name]) * there[name].volts, name))
    coming = list(futures.later)
    for number, one in enumerate(coming):
        for other in (*coming[number + 1 :], *heavy[:MOST_HEAVY]):
            lock = NeverTogether(machines=(one, other), by="interlock")
            yield (
                f"a listed interlock between {futures.called[one]} and {futures.called[other]}",
                futures.instead(shop=_locked(futures.shop, lock)),
            )


def _locked(shop: Shop, lock: NeverTogether) -> Shop:
    use = shop.use.model_copy(update={"never_together": (*shop.use.never_together, lock)})
    return shop.model_copy(update={"use": use})


def _service(futures: Futures, amps: float) -> Iterator[Change]:
    """A larger service."""
    service = futures.shop.supply.service
    without = service.calculated_load_amps if service else 0.0
    for cause in service_cause(futures.shop, amps - without, amps - without):
        for remedy in cause.remedies:
            yield (
                remedy.says,
                futures.instead(shop=changed(futures.shop, remedy.changes)),
            )


def _feeder(futures: Futures, amps: float) -> Iterator[Change]:
    """A larger feeder, with its panel; of the other metal where the tables end."""
    material = futures.panel.feeder.conductors.material
    found = (
        larger_feeder(futures.shop, futures.panel, amps, m) for m in (material, OTHER[material])
    )
    remedy = next(filter(None, found), None)
    if remedy is not None:
        yield (
            remedy.says,
            futures.instead(shop=changed(futures.shop, remedy.changes)),
        )


def _spaces(futures: Futures, every: Sequence[Future]) -> Iterator[Change]:
    """More spaces: as many as lack at most, in pairs, and two more where none lie side by side."""
    lacking = max(one.found - one.limit for future in every for one in future.of("spaces"))
    least = 2 * max(1, -floor(-lacking / 2))
    for more in (least, least + 2):
        says = f"{more} spaces more: a larger panel, or a second one behind it"
        yield says, futures.instead(more_spaces=futures.more_spaces + more)
