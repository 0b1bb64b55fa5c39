"""New tandem breakers: two single poles in one space of a panel that takes them there.

Both are on one leg and neither is a GFCI breaker, so a half is an ordinary 120 V circuit alone;
ratings and prices are those that the price book has. Money in 0.0001 USD.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import combinations_with_replacement
from typing import Final, NamedTuple

from models.part_keys import tandem_key
from models.shop import Panel, Shop
from solver.candidate import Candidate
from solver.catalogue import Catalogue
from solver.devices import BREAKER
from solver.panel import free_spaces
from solver.placement import Fed, Placed

RATINGS: Final = (15, 20, 30)
MONEY_PER_CENT: Final = 100
Ratings = tuple[int, int]


class Kind(NamedTuple):
    """A tandem that can be bought: its ratings [A], and what it costs more than two breakers."""

    ratings: Ratings
    more: int


def kinds(catalogue: Catalogue) -> list[Kind]:
    """The tandems in the price book."""
    found = []
    for ratings in combinations_with_replacement(RATINGS, 2):
        cents = catalogue.cents(tandem_key(*ratings))
        apart = [catalogue.breaker(amps, 1, False) for amps in ratings]
        if cents is not None and None not in apart:
            more = cents - sum(filter(None, apart))
            found.append(Kind(ratings, MONEY_PER_CENT * more))
    return found


def tandem_places(shop: Shop, panel: Panel) -> list[int]:
    """Free spaces where a panel takes a tandem."""
    if not shop.code.tandems:
        return []
    return [space for space in free_spaces(shop, panel) if space in panel.tandem_spaces]


def tandem_room(shop: Shop, catalogue: Catalogue) -> int:
    """How many poles more all panels hold with tandems."""
    if not kinds(catalogue):
        return 0
    return sum(len(tandem_places(shop, panel)) for panel in shop.supply.panels)


def may_be_half(made: Candidate) -> bool:
    """Whether the breaker of a circuit may be half a tandem."""
    bound = (
        made.halves or made.spaces or made.extends or made.keeps_space or made.for_later is not None
    )
    return made.poles == 1 and made.gfci != BREAKER and not bound


def paired(
    numbered: Iterable[tuple[tuple[str, ...], Candidate]], wanted: Sequence[Ratings]
) -> list[tuple[str, str]]:
    """Circuits that share a tandem: of each rating the first that may."""
    able: dict[int, list[str]] = {}
    for (name, *_), made in numbered:
        if may_be_half(made):
            able.setdefault(made.breaker_amps, []).append(name)
    return [(able[one].pop(0), able[other].pop(0)) for one, other in wanted]


def joined(
    fed: Sequence[Fed], pairs: Sequence[tuple[str, str]], places: Sequence[int]
) -> list[Fed]:
    """Breakers with each tandem as one, in a space that takes it."""
    by_id = {one.id: one for one in fed}
    halves = {name for pair in pairs for name in pair}
    both = [
        Fed(
            together(pair),
            1,
            {**by_id[pair[0]].machines, **by_id[pair[1]].machines},
            by_id[pair[0]].lights_amps + by_id[pair[1]].lights_amps,
            among=frozenset(places),
        )
        for pair in pairs
    ]
    return [*(one for one in fed if one.id not in halves), *both]


def parted(placed: Placed, pairs: Sequence[tuple[str, str]]) -> Placed:
    """The spaces of both halves of each tandem beside those of the tandem."""
    spaces: Mapping[str, tuple[int, ...]] = {
        **placed.spaces,
        **{name: placed.spaces[together(pair)] for pair in pairs for name in pair},
    }
    return replace(placed, spaces=spaces)


def together(pair: tuple[str, str]) -> str:
    """A tandem as placement calls it."""
    return " and ".join(pair)
