"""Area of a raceway as rows of the selection: today's conductors, and those that room is kept for.

Areas in 0.0001 in², money in 0.0001 USD.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from models.formulas.raceway_fill import fill_limit, raceway_area_in2
from models.shop.facts import TRADE_SIZES
from solver.candidate import AREA, Candidate
from solver.catalogue import Catalogue
from solver.routes import RacewayRoute

Linear = Any  # linear expressions of CP-SAT, whose stubs mix them with NumPy scalars


@dataclass(frozen=True)
class TradeSize:
    """A trade size that a raceway may have: what it holds of three conductors and more [0.0001 in²]
    and how much more it costs than the size of the shop file [0.0001 USD].
    """

    name: str
    holds: int
    more: int


def trade_sizes(catalogue: Catalogue, route: RacewayRoute) -> tuple[TradeSize, ...]:
    """The size of the shop file, and where it is not laid yet the larger ones that a price book
    has; where one costs less than a smaller one the smaller is left out.
    """
    raceway = route.raceway
    given = catalogue.raceway(raceway.kind, raceway.trade_size)
    found = [TradeSize(raceway.trade_size, holds(raceway.kind, raceway.trade_size), 0)]
    if raceway.existing or given is None:
        return tuple(found)
    for name in TRADE_SIZES[TRADE_SIZES.index(raceway.trade_size) + 1 :]:
        cents = catalogue.raceway(raceway.kind, name)
        if cents is not None and cents >= given:
            more = (cents - given) * route.length_cft
            found = [found[0], *(size for size in found[1:] if size.more < more)]
            found.append(TradeSize(name, holds(raceway.kind, name), more))
    return tuple(found)


def holds(kind: str, trade_size: str) -> int:
    """Area that three conductors and more may take in a raceway. [0.0001 in²]"""
    return int(fill_limit(3) * raceway_area_in2(kind, trade_size) * AREA)


@dataclass(frozen=True)
class AreaRows:
    """The rows of one raceway; `there` is the area that is taken already, `short` their slack."""

    model: cp_model.CpModel
    catalogue: Catalogue
    route: RacewayRoute
    there: int
    short: Linear

    def define(
        self, pool: Sequence[tuple[Candidate, cp_model.IntVar]]
    ) -> dict[tuple[str, TradeSize], cp_model.IntVar]:
        """Conductors of today within the size of the shop file, with those that room is kept for
        within the size that is laid.

        l[r, s]: raceway r is laid larger, in size s: only where room is kept in it, and not where
        conductors of 4 AWG and larger come into a box at its ends (314.28).
        """
        name = self.route.raceway.id
        given, *larger = trade_sizes(self.catalogue, self.route)
        through = [(made, built) for made, built in pool if name in made.raceways]
        room = max(0, given.holds - self.there) + self.short
        today = [(made, built) for made, built in through if made.for_later is None]
        self.model.add(sum(made.raceways[name].room * built for made, built in today) <= room)
        kept = [built for made, built in through if made.for_later is not None]
        if not kept:
            return {}
        inside = sum(made.raceways[name].room * built for made, built in through)
        laid = {size: self.model.new_bool_var(f"l[{name},{size.name}]") for size in larger}
        for smaller, one in zip((given, *larger), laid.values(), strict=False):
            self.model.add(one <= sum(kept))
            self.model.add(inside > smaller.holds).only_enforce_if(one)  # no larger than need be
            for made, built in pool:
                if self._pulls_large(made):
                    self.model.add_at_most_one(built, one)
        self.model.add_at_most_one(laid.values())
        more = sum((size.holds - given.holds) * one for size, one in laid.items())
        self.model.add(inside <= room + more)
        return {(name, size): one for size, one in laid.items()}

    def _pulls_large(self, made: Candidate) -> bool:
        """Whether conductors of 4 AWG and larger come into a box at its ends."""
        shares = (made.boxes.get(end) for end in self.route.raceway.ends)
        return any(share.least_side_in for share in shares if share)
