"""Ways priced for one size of conductor: the cheapest between two enclosures, and trees of them.

Asked again and again by every circuit of that size, so every answer is kept. Money in 0.0001 USD,
copper in 1e-8 lb; the first objective of the shop decides.
"""

from collections.abc import Callable, Mapping, Sequence

from solver.catalogue import Catalogue, copper_per_cft
from solver.routes import Way
from solver.tree import NO_WAY, Spanning, spanning_edges


class PricedWays:
    """The ways that so many conductors of one size, with their ground, may take.

    `allowed`: raceways and passages they may go through; `refused`: methods and heats [°C] at which
    they would not do.
    """

    def __init__(
        self,
        ways_between: Callable[[str, str], Sequence[Way]],
        catalogue: Catalogue,
        awg: str,
        wires: int,
        ground: Mapping[str, str],
        allowed: frozenset[str],
        refused: frozenset[tuple[str, float]],
        *,
        slack_cft: Callable[[str, str], int],
        copper_first: bool,
    ) -> None:
        self.ways_between, self.catalogue = ways_between, catalogue
        self.slack_cft, self.copper_first = slack_cft, copper_first
        self.awg, self.wires, self.ground = awg, wires, ground
        self.allowed, self.refused = allowed, refused
        self.costs = _Rows(self._cost)
        self._chosen: dict[tuple[str, str], tuple[int, Way] | None] = {}
        self._spanning: dict[tuple[str, ...], Spanning | None] = {}

    def prices(self, way: Way, slack_cft: int) -> tuple[int, int] | None:
        """Money and copper of one run by a way; None when a price is missing."""
        catalogue, length = self.catalogue, way.length_cft + slack_cft
        ground = self.ground[way.method]
        copper = length * (self.wires * copper_per_cft(self.awg) + copper_per_cft(ground))
        if way.method == "cable":
            price = catalogue.cables.get((self.awg, self.wires))
            if price is None:
                return None
            return length * price + 2 * 100 * catalogue.cable_connector, copper
        singles = catalogue.singles
        single, grounding = singles.get((self.awg, way.wet)), singles.get((ground, way.wet))
        if single is None or grounding is None:
            return None
        return length * (self.wires * single + grounding), copper

    def way(self, start: str, end: str) -> Way | None:
        """The cheapest allowed way between two enclosures."""
        chosen = self._choose(start, end)
        return None if chosen is None else chosen[1]

    def _cost(self, start: str, end: str) -> int:
        """What that way counts in the first objective."""
        chosen = self._choose(start, end)
        return NO_WAY if chosen is None else chosen[0]

    def _choose(self, start: str, end: str) -> tuple[int, Way] | None:
        ends = start, end
        if ends not in self._chosen:
            slack, best = self.slack_cft(start, end), None
            for way in self.ways_between(start, end):
                fits = self.allowed.issuperset((*way.raceways, *way.passages)) and (
                    (way.method, way.ambient_c) not in self.refused
                )
                prices = self.prices(way, slack) if fits else None
                if prices and (best is None or prices[self.copper_first] < best[0]):
                    best = prices[self.copper_first], way
            self._chosen[ends] = best
        return self._chosen[ends]

    def spanning(self, nodes: Sequence[str]) -> Spanning | None:
        """The cheapest tree over some enclosures; None when they do not join up."""
        key = tuple(nodes)
        if key not in self._spanning:
            self._spanning[key] = spanning_edges(nodes, self.costs)
        return self._spanning[key]


class _Rows(dict[str, dict[str, int]]):
    """Costs by both ends of a run, each worked out when it is first asked for."""

    def __init__(self, cost: Callable[[str, str], int]) -> None:
        super().__init__()
        self.cost = cost

    def __missing__(self, start: str) -> "_Row":
        row = self[start] = _Row(lambda end: self.cost(start, end))
        return row


class _Row(dict[str, int]):
    """Costs from one enclosure."""

    def __init__(self, cost: Callable[[str], int]) -> None:
        super().__init__()
        self.cost = cost

    def __missing__(self, end: str) -> int:
        cost = self[end] = self.cost(end)
        return cost
