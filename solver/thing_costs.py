"""What things cost as circuits fill them: boxes by their sizes, raceways by what lies in them.

A thing is a box, the area of a raceway or the heat in it; its costs are steps, each (up to this
amount, this cost), in the units of `solver.candidate`, costs in the first objective.
"""

from collections.abc import Sequence
from typing import Final

from models.formulas.raceway_fill import fill_limit, raceway_area_in2
from solver.candidate import AREA, BRACKETS, HEAT, Candidate, area_of, heat_of
from solver.circuit import Circuits
from solver.enclosures import box_choices, raceway_cost

USUAL_SURVIVE: Final = 9  # conductors in a raceway, 12 AWG on 20 A


def thing_costs(circuits: Circuits) -> dict[str, list[tuple[int, int]]]:
    """What an amount of each box and raceway costs: the cheapest size that holds it."""
    shop, catalogue = circuits.shop, circuits.catalogue
    money = 0 if circuits.copper_first else 1
    costs: dict[str, list[tuple[int, int]]] = {}
    for choice in box_choices(shop, catalogue):
        sizes = [(volume, cost) for _, volume, cost in choice.sizes if volume]
        if sizes:
            costs[choice.box] = [
                (volume, money * min(cost for larger, cost in sizes if larger >= volume))
                for volume in sorted({volume for volume, _ in sizes})
            ]
    for name, route in circuits.ways.raceways.items():
        raceway = route.raceway
        most = round(AREA * fill_limit(3) * raceway_area_in2(raceway.kind, raceway.trade_size))
        costs[area_of(name)] = [(most, money * raceway_cost(catalogue, route))]
        costs[heat_of(name)] = [(HEAT * USUAL_SURVIVE, 0)]
    return costs


def crowding_costs(
    circuits: Circuits, alone: Sequence[Sequence[Candidate]]
) -> dict[str, list[tuple[int, int]]]:
    """What more conductors in a raceway cost the circuits that must be there, built larger then.

    `alone`: the builds of each circuit that shares with no other, cheapest first.
    """
    dearer: dict[str, dict[int, int]] = {}
    for made in alone:
        least = circuits.rank(made[0])[0]
        for name in made[0].raceways:
            for most in (k for k in BRACKETS if k <= USUAL_SURVIVE):
                holding = (one for one in made if _survives(one, name, most))
                cost = min((circuits.rank(one)[0] for one in holding), default=None)
                known = dearer.setdefault(heat_of(name), dict.fromkeys(BRACKETS[:3], 0))
                if cost is None:
                    known.pop(most, None)
                elif most in known:
                    known[most] += cost - least
    return {
        thing: [(HEAT * most, cost) for most, cost in sorted(known.items())]
        for thing, known in dearer.items()
        if known
    }


def _survives(made: Candidate, raceway: str, counted: int) -> bool:
    """Whether a circuit is not in a raceway, or survives so many conductors there."""
    share = made.raceways.get(raceway)
    return share is None or share.survives >= counted
