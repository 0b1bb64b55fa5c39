"""Room kept in raceways of the shop, as it comes out: trade sizes, and what is laid for whom.

Of several machines with room in one raceway each pays, in the order of their ids, for what it asks
for beside those before it. Money in 0.0001 USD, parts in hundredths by key, area in 0.0001 in².
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from models.part_keys import RACEWAY_CONNECTOR, raceway_key
from models.plan import LaidForLater
from solver.candidate import Candidate, ForLater, WayShare
from solver.changed_candidate import HUNDREDTHS, Parts
from solver.circuit import Circuits
from solver.raceway_rows import TradeSize, trade_sizes
from solver.staying import staying
from solver.there import all_there

NOTHING = WayShare(0, 0, 0)


class Rooms:
    """The raceways of a choice of circuits, and of what is done for machines that may come."""

    def __init__(
        self, circuits: Circuits, chosen: Iterable[Candidate], later: Iterable[Candidate]
    ) -> None:
        self.catalogue, self.routes = circuits.catalogue, circuits.ways.raceways
        self.later = sorted(later, key=lambda made: what(made).machine)
        there = all_there(circuits.ways)
        shares = [made.raceways for made in chosen]
        shares += [there[circuit.id].raceways for circuit in staying(circuits.shop)]
        self.today: dict[str, WayShare] = {}
        for one in shares:
            for name, share in one.items():
                self.today[name] = share.beside(self.today.get(name))

    @property
    def kept(self) -> list[Candidate]:
        """The chosen ones that keep room."""
        return [made for made in self.later if made.raceways]

    def trade_size(self, name: str) -> str:
        """The size that a raceway is laid in."""
        size = self._size(name, self.kept)
        return self.routes[name].raceway.trade_size if size is None else size.name

    def counted_then(self, name: str) -> int:
        """Current-carrying conductors in a raceway once all is done that is prepared."""
        return self._counted(name, self.kept)

    def told(self, made: Candidate) -> tuple[Candidate, tuple[LaidForLater, ...]] | None:
        """A choice with what laying raceways for it costs now, and what is laid; None where the
        raceways would not hold it beside the others.

        A chosen one beside the machines before it, any other beside all but its own.
        """
        mine = what(made).machine
        others = [one for one in self.kept if what(one).machine != mine]
        if any(made is one for one in self.later):
            others = [one for one in others if what(one).machine < mine]
        if not self._holds(made, others):
            return None
        laid = tuple(self._laid(made, others))
        parts = self._parts(laid)
        cost = sum(count * (self.catalogue.cents(key) or 0) for key, count in parts.items())
        now = dict(what(made).now)
        now |= {key: now.get(key, 0) + count for key, count in parts.items()}
        told = replace(
            what(made), now=tuple(sorted(now.items())), now_cost=what(made).now_cost + cost
        )
        return replace(made, cost=made.cost + cost, for_later=told), laid

    def _size(self, name: str, beside: Sequence[Candidate]) -> TradeSize | None:
        """The least size that holds what is in a raceway today with what some choices keep."""
        area = self.today.get(name, NOTHING).room
        area += sum(made.raceways[name].room for made in beside if name in made.raceways)
        sizes = trade_sizes(self.catalogue, self.routes[name])
        return next((size for size in sizes if area <= size.holds), None)

    def _counted(self, name: str, beside: Sequence[Candidate]) -> int:
        shares = [made.raceways[name] for made in beside if name in made.raceways]
        shares.append(self.today.get(name, NOTHING))
        return sum(share.current_carrying + share.later for share in shares)

    def _holds(self, made: Candidate, others: Sequence[Candidate]) -> bool:
        """Whether area and heat allow a choice beside others; conductors of 4 AWG and larger do not
        come through what is laid larger for them.
        """
        large = any(share.least_side_in for share in made.boxes.values())
        for name in made.raceways:
            size = self._size(name, [*others, made])
            if size is None or (large and size.more):
                return False
            inside = [one.raceways[name] for one in (*others, made) if name in one.raceways]
            inside += [self.today[name]] if name in self.today else []
            if self._counted(name, [*others, made]) > min(share.survives for share in inside):
                return False
        return True

    def _laid(self, made: Candidate, before: Sequence[Candidate]) -> Iterable[LaidForLater]:
        """Raceways that are laid, or laid larger, for a choice beside others."""
        for name in made.raceways:
            size = self._size(name, [*before, made])
            if size is None or self.routes[name].raceway.existing:
                continue
            there = name in self.today or any(name in one.raceways for one in before)
            old = self._size(name, before) if there else None
            if old is None or old.name != size.name:
                instead = old.name if old else None
                yield LaidForLater(raceway=name, trade_size=size.name, instead_of=instead)

    def _parts(self, laid: Iterable[LaidForLater]) -> Parts:
        """What is bought for them, less what it is bought instead of."""
        found: Parts = {}

        def add(key: str, count: int) -> None:
            found[key] = found.get(key, 0) + count

        for one in laid:
            route = self.routes[one.raceway]
            add(raceway_key(route.raceway.kind, one.trade_size), route.length_cft)
            if one.instead_of is None:
                add(RACEWAY_CONNECTOR, 2 * HUNDREDTHS)
            else:
                add(raceway_key(route.raceway.kind, one.instead_of), -route.length_cft)
        return found


def what(made: Candidate) -> ForLater:
    """What a choice for a machine that may come does."""
    assert made.for_later is not None
    return made.for_later
