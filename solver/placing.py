"""Placing: the breakers of all panels, those of a panel that hangs on another one first.

What a panel that is fed from here draws on each leg is then known, and counts here as breakers
that sit already.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from models.shop import Panel, Shop
from solver.candidate import Candidate
from solver.load import Loads
from solver.panel import free_spaces
from solver.placement import Fed, Placed, Placement, fed_existing, fed_later, fed_new
from solver.points import Points
from solver.solve import Control
from solver.tandems import Ratings, joined, paired, parted, tandem_places

Numbered = Sequence[tuple[tuple[str, ...], Candidate]]  # of a pair the ids of both halves


class PanelPlaced(NamedTuple):
    """The breakers of a panel in their spaces, and the model that answers for its legs."""

    placement: Placement
    placed: Placed
    halves: frozenset[str] = frozenset()  # circuits on half a tandem

    def leg(self, leg: str) -> tuple[dict[str, float], float]:
        """Machines on a leg with their current, and its lights. [A]"""
        return self.placement.leg_loads(self.placed.spaces, leg)


def place_all(
    shop: Shop,
    points: Points,
    loads: Loads,
    numbered: Numbered,
    control: Control,
    tandems: Mapping[str, Sequence[Ratings]] | None = None,
    later: Sequence[Candidate] = (),
) -> dict[str, PanelPlaced] | None:
    """Every panel with its breakers; None when the breakers of one do not go in.

    `tandems`: ratings of those that each panel gets. `later`: what is done for machines that may
    come, of which some keep spaces.
    """
    done: dict[str, PanelPlaced] = {}
    wanted = tandems or {}
    spare = _spare(shop, numbered, wanted, later)
    for panel in _furthest_first(shop):
        here = [
            fed
            for names, made in numbered
            if made.panel == panel.id
            for fed in fed_new(names, made)
        ]
        old = [*fed_existing(shop, panel, points, loads), *_feeding(panel, shop, done)]
        mine = [(names, made) for names, made in numbered if made.panel == panel.id]
        pairs = paired(mine, wanted.get(panel.id, ()))
        here = joined(here, pairs, tandem_places(shop, panel)) if pairs else here
        here += [fed_later(made) for made in later if made.panel == panel.id and made.places]
        placement = Placement(shop, panel, loads, here, old)
        placed = placement.solve(control, spare[panel.id])
        if placed is None:
            return None
        halves = frozenset(name for pair in pairs for name in pair)
        done[panel.id] = PanelPlaced(placement, parted(placed, pairs), halves)
    return {panel.id: done[panel.id] for panel in shop.supply.panels}


def _furthest_first(shop: Shop) -> list[Panel]:
    """Panels, each before the one that feeds it."""
    order: list[Panel] = []
    left = list(shop.supply.panels)
    while left:
        sources = {panel.feeder.source for panel in left}
        order += (ends := [panel for panel in left if panel.id not in sources])
        left = [panel for panel in left if panel not in ends]
    return order


def _feeding(panel: Panel, shop: Shop, done: Mapping[str, PanelPlaced]) -> Iterator[Fed]:
    """What the panels fed from here draw, leg by leg."""
    for fed in shop.supply.panels:
        if fed.feeder.source == panel.id:
            for leg in "AB":
                yield Fed(f"{fed.id}.{leg}", 1, *done[fed.id].leg(leg), frozenset(leg))


def _spare(
    shop: Shop,
    numbered: Numbered,
    tandems: Mapping[str, Sequence[Ratings]],
    later: Sequence[Candidate],
) -> dict[str, int]:
    """How many spaces each panel keeps beside those for machines that may come, which are among
    the spare: the roomiest panel first.
    """
    room = {
        panel.id: len(free_spaces(shop, panel)) + len(tandems.get(panel.id, ()))
        for panel in shop.supply.panels
    }
    for _, made in numbered:
        room[made.panel] -= made.places
    for made in later:
        room[made.panel] -= made.places
    wished, spare = max(0, shop.later.spare_spaces - sum(m.places for m in later)), {}
    for name in sorted(room, key=lambda name: -room[name]):
        spare[name] = min(wished, max(0, room[name]))
        wished -= spare[name]
    return spare
