"""Feeders between panels: what the circuits of a panel may draw together, found out as needed.

A choice of circuits is looked at; when the panels behind a feeder would draw more than it gives, in
a working state or by the load calculation, a row says so: of the machines that do it so much at
most, in large shops of the lights and receptacles too. The heavier leg has at least half of what
120 V circuits draw, so a row for a state cuts off no choice that could be placed. A row for the
load calculation leaves the rest of that calculation as it was in the choice: it may cut off what
would be allowed.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import floor
from typing import Final, NamedTuple

from models.formulas.load_calculation import FEEDER_VOLTS, YOKE_VA, feeder_amps
from models.formulas.shop_feeder import ShopFeeder, shop_feeder_lines, total_va
from models.shop import Panel
from solver.candidate import Candidate
from solver.circuit import Circuits
from solver.load import LIGHTING_VOLTS
from solver.load_calculation import shop_feeder
from solver.panel import panels_behind
from solver.sparse import is_large

MILLI: Final = 1_000


class FeederRow(NamedTuple):
    """Circuits of these panels take at most so much: an amount for each machine and luminaire, and
    perhaps for each receptacle yoke.
    """

    panels: frozenset[str]
    amounts: Mapping[str, int]
    most: int
    yokes: Mapping[str, int] = {}

    def takes(self, candidate: Candidate) -> int:
        """What a circuit counts in this row."""
        if candidate.panel not in self.panels:
            return 0
        inside = (*candidate.load.placed, *candidate.load.lights_amps)
        taken = sum(self.amounts.get(name, 0) for name in inside)
        if self.yokes:
            taken += sum(self.yokes.get(point.id, 0) for point in candidate.load.outlets)
        return taken


def feeder_rows(circuits: Circuits, chosen: Sequence[Candidate]) -> Iterator[FeederRow]:
    """A row for every feeder that a choice of circuits overloads and another need not.

    A feeder of everything carries the same whatever is chosen.
    """
    for panel in circuits.shop.supply.panels:
        behind = frozenset(panels_behind(circuits.shop, panel))
        if behind == circuits.panels.keys():
            continue
        here = [candidate for candidate in chosen if candidate.panel in behind]
        yield from _by_state(circuits, panel, behind, here)
        yield from _by_calculation(circuits, panel, behind, chosen)


def limit_amps(panel: Panel) -> float:
    """The least of feeder breaker, main breaker and bus. [A]"""
    limits = [panel.feeder.breaker_amps, panel.bus_amps]
    return min(limits if panel.main == "main lug" else [*limits, float(panel.main)])


def _by_state(
    circuits: Circuits, panel: Panel, behind: frozenset[str], here: Iterable[Candidate]
) -> Iterator[FeederRow]:
    """The state that draws most through a feeder, when that is more than it gives."""
    points, limit = circuits.points, limit_amps(panel)
    halves = {
        name: points.amps[name] * (1.0 if points.machines[name].volts == 240 else 0.5)
        for candidate in here
        for name in candidate.load.placed
    }
    lights = {name: amps / 2 for made in here for name, amps in made.load.lights_amps.items()}
    state = circuits.loads.worst(halves)[1]
    if state.load + sum(lights.values()) > limit + 1e-6:
        every = {
            name: points.amps[name] * (1.0 if points.machines[name].volts == 240 else 0.5)
            for name in state.machines
        }
        lit = {name: amps / 2 for name, amps in circuits.loads.lights_amps.items()}
        amounts = {name: floor(MILLI * amps) for name, amps in (every | lit).items()}
        yield FeederRow(behind, amounts, floor(MILLI * limit))


def _by_calculation(
    circuits: Circuits, panel: Panel, behind: frozenset[str], chosen: Sequence[Candidate]
) -> Iterator[FeederRow]:
    """The load calculation of a feeder, when it comes to more than the feeder gives."""
    here = [candidate for candidate in chosen if candidate.panel in behind]
    seats = {name: at for candidate in here for name, at in candidate.load.placed.items()}
    outlets = {point.id for candidate in here for point in candidate.load.outlets}
    outlets |= {name for candidate in here for name in candidate.load.lights_amps}
    feeder = shop_feeder(circuits.shop, seats, outlets)
    va = total_va(shop_feeder_lines(feeder))
    limit = limit_amps(panel)
    if feeder_amps(va) <= limit:
        return
    counted = feeder.counted_va()
    sets = feeder.sets or (frozenset(counted),)
    heaviest = max(sets, key=lambda on: (sum(counted.get(name, 0) for name in on), sorted(on)))
    whole = shop_feeder(circuits.shop, dict.fromkeys(circuits.points.amps, ""), ()).counted_va()
    amounts = {name: round(whole[name]) for name in heaviest}
    large = is_large(circuits.shop)
    lights, yokes = _general(circuits, feeder, chosen, whole) if large else ({}, {})
    row = FeederRow(behind, amounts | lights, 0, yokes)
    rest = va - sum(map(row.takes, here))
    yield row._replace(most=floor(limit * FEEDER_VOLTS) - rest)


def _general(
    circuits: Circuits,
    feeder: ShopFeeder,
    chosen: Iterable[Candidate],
    counted: Mapping[str, float],
) -> tuple[dict[str, int], dict[str, int]]:
    """What a luminaire and a receptacle yoke more or less make in the calculation of a feeder.

    Nothing in a dwelling, where the floor may count for both. A yoke with a machine of its own
    counts as the machine.
    """
    if feeder.floor == "dwelling unit":
        return {}, {}
    lit = total_va(shop_feeder_lines(feeder._replace(machines=(), sets=(), yokes=0)))
    share = lit / feeder.luminaires_va if feeder.luminaires_va else 0.0
    lamps = circuits.loads.lights_amps.items()
    lights = {name: round(share * LIGHTING_VOLTS * amps) for name, amps in lamps}
    plain = feeder._replace(machines=(), sets=(), luminaires_va=0, area_ft2=0.0)
    more = plain._replace(yokes=plain.yokes + 1)
    each = total_va(shop_feeder_lines(more)) - total_va(shop_feeder_lines(plain))
    busy = Counter[str]()
    for made in chosen:
        for machine, at in made.load.placed.items():
            busy[at] += round(counted.get(machine, 0))
    names = (yoke for _, yoke, _, _ in circuits.shop.receptacles())
    return lights, {name: each for name in names if busy[name] < YOKE_VA}
