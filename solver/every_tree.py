"""Every tree of a circuit in a tiny shop, so that what boxes and raceways hold is weighed exactly.

Elsewhere a circuit has its cheapest tree. Another one may leave a smaller box, room in a raceway,
or less voltage drop: where boxes are few all trees and all ways of their runs are tried, and the
cheapest is kept for each amount that is put into boxes, raceways and passages.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cache
from itertools import chain, combinations, product

from models.plan import Role
from solver.candidate import BRACKETS, BoxShare, Candidate, Edge, WayShare
from solver.pair_wiring import Halves, PairWiring
from solver.routes import Way
from solver.switched import SWITCHED, live_boxes, rows_of
from solver.wiring import Wiring

Run = tuple[str, str]
Roles = Mapping[Run, tuple[Role, ...]]
Edges = tuple[Edge, ...]
Holds = Mapping[tuple[str, ...], int]  # what is put where: kind, place (and what it survives there)


def every_tree(wiring: Wiring) -> Iterator[Roles]:
    """Every tree of a circuit, with what its runs carry."""
    rows = rows_of(wiring.load.outlets)
    live = live_boxes(wiring.load.outlets) | {row.chain[0] for row in rows}
    behind = [list(trees(row.chain[0], sorted(row.fed | {row.chain[0]}))) for row in rows]
    for tree in home_trees(wiring.panel, sorted(live), wiring.site.junctions):
        for lit in product(*behind):
            switched = dict.fromkeys(chain.from_iterable(lit), SWITCHED)
            yield dict.fromkeys(tree, wiring.roles) | switched


def every_pair_tree(wiring: PairWiring, halves: Halves) -> Iterator[Roles]:
    """The same of a multiwire pair."""
    for tree in home_trees(wiring.panel, wiring.boxes, wiring.site.junctions):
        yield wiring.roles_along(tree, halves)


class Layouts:
    """Of every tree and all ways of its runs the cheapest for each amount put anywhere.

    `keeps`: whether runs keep the voltage; `extra`: what a home run to a box costs on top.
    """

    def __init__(
        self,
        wiring: Wiring,
        laid: Iterable[Roles],
        keeps: Callable[[Edges], bool],
        extra: Callable[[str], int] = lambda _: 0,
    ) -> None:
        self.wiring, self.keeps, self.extra = wiring, keeps, cache(extra)
        self.all_do = True  # no way and no tree was refused
        self._best: dict[frozenset[tuple[tuple[str, ...], int]], tuple[int, Edges]] = {}
        self._ways: dict[tuple[Run, int], list[tuple[int, Way, Holds]]] = {}
        for roles in laid:
            self._add(roles)

    @property
    def edges(self) -> list[Edges]:
        """What is worth making a circuit of: nothing cheaper puts no more anywhere."""
        kept: list[tuple[int, Holds, Edges]] = []
        for holds, (cost, edges) in sorted(self._best.items(), key=lambda best: best[1][0]):
            taken = dict(holds)
            if not any(
                _within(less, taken) or (self._too_dear(cost - least) and _fewer(other, edges))
                for least, less, other in kept
            ):
                kept.append((cost, taken, edges))
        return [edges for _, _, edges in kept]

    def _too_dear(self, more: int) -> bool:
        gap = self.wiring.site.gap
        return gap is not None and more > gap

    def _add(self, roles: Roles) -> None:
        """One tree, by all ways of its runs."""
        for chosen in product(*(self._ways_of(run, roles[run]) for run in roles)):
            taken: Counter[tuple[str, ...]] = Counter()
            for _, _, holds in chosen:
                taken.update(holds)
            edges = tuple(
                Edge(start, end, way, roles[start, end])
                for (start, end), (_, way, _) in zip(roles, chosen, strict=True)
            )
            cost = sum(cost for cost, _, _ in chosen) + self.extra(edges[0].end)
            key = frozenset(taken.items())
            if key in self._best and self._best[key][0] <= cost:
                continue
            if self.keeps(edges):
                self._best[key] = cost, edges
            else:
                self.all_do = False

    def _ways_of(self, run: Run, roles: tuple[Role, ...]) -> list[tuple[int, Way, Holds]]:
        """The ways that a run may take: cost in the first objective, and what it puts where."""
        if (run, len(roles)) not in self._ways:
            self._ways[run, len(roles)] = list(self._priced(run, roles))
        return self._ways[run, len(roles)]

    def _priced(self, run: Run, roles: tuple[Role, ...]) -> Iterator[tuple[int, Way, Holds]]:
        wiring, site = self.wiring, self.wiring.site
        slack = site.slack_cft(*run)
        for way in site.ways_between(*run):
            prices = wiring.priced_for(len(roles)).prices(way, slack)
            if prices is not None and wiring.may_take(way):
                yield prices[site.copper_first], way, self._holds(Edge(*run, way, roles))
            else:
                self.all_do = False

    def _holds(self, edge: Edge) -> Holds:
        """What one run puts into boxes, raceways and passages."""
        way = edge.way
        holds: Counter[tuple[str, ...]] = Counter()
        for box in (edge.start, edge.end, *way.via):
            if box != self.wiring.panel:
                holds["wires", box] += edge.wires
                holds["grounds", box, way.method] += 1
        survives = str(self.wiring.most_counted(way)) if way.raceways or way.passages else ""
        for name in (*way.raceways, *way.passages):
            holds["wires", name] += edge.wires
            holds["carrying", name, survives] += edge.carrying
        return holds


def _fewer(one: Edges, other: Edges) -> bool:
    """Whether runs use no raceway that others do not."""
    used, may = ({name for edge in edges for name in edge.way.raceways} for edges in (one, other))
    return used <= may


def _within(one: Holds, other: Holds) -> bool:
    return all(amount <= other.get(thing, 0) for thing, amount in one.items())


def no_larger(made: Iterable[Candidate], most: Mapping[str, int]) -> bool:
    """Whether larger conductors gain nothing: these survive as many as there can ever be."""
    shares = (share for one in made for share in _hot_places(one).items())
    return all(share.survives >= most.get(name, BRACKETS[-1]) for name, share in shares)


def _hot_places(one: Candidate) -> dict[str, WayShare]:
    """Raceways and passages that a circuit goes through."""
    return {**one.raceways, **one.passages}


def worth_keeping(
    made: Iterable[Candidate],
    rank: Callable[[Candidate], tuple[int, ...]],
    serves_less: Callable[[Candidate, Candidate], bool],
) -> list[Candidate]:
    """Cheapest first, without those that another, no dearer, does all for in no more room."""
    kept: list[Candidate] = []
    for one in sorted(made, key=rank):
        if not any(_no_worse(other, one) and not serves_less(other, one) for other in kept):
            kept.append(one)
    return kept


def _no_worse(one: Candidate, other: Candidate) -> bool:
    """Whether one takes no more of anything than another."""
    return (
        (one.panel, one.poles, one.spaces) == (other.panel, other.poles, other.spaces)
        and one.choices == other.choices
        and all(_less(share, other.boxes.get(box)) for box, share in one.boxes.items())
        and all(_cooler(share, _hot_places(other).get(r)) for r, share in _hot_places(one).items())
    )


def _less(one: BoxShare, other: BoxShare | None) -> bool:
    return other is not None and (
        one.volume <= other.volume
        and one.grounds <= other.grounds
        and one.ground_volume <= other.ground_volume
        and one.least_side_in <= other.least_side_in
    )


def _cooler(one: WayShare, other: WayShare | None) -> bool:
    return other is not None and (
        one.room <= other.room
        and one.current_carrying <= other.current_carrying
        and one.later <= other.later
        and one.survives >= other.survives
    )


# -- trees


def home_trees(root: str, boxes: Sequence[str], optional: Sequence[str]) -> Iterator[list[Run]]:
    """Every tree with one home run from a root; optional boxes only where something hangs on."""
    for size in range(len(optional) + 1):
        for used in combinations(optional, size):
            nodes = sorted({*boxes, *used})
            for home in nodes:
                for tree in trees(home, nodes):
                    if set(used) <= {start for start, _ in tree}:
                        yield [(root, home), *tree]


def trees(root: str, nodes: Sequence[str]) -> Iterator[list[Run]]:
    """Every tree over some nodes, as runs away from one of them."""
    for tree in _trees_by_number(len(nodes), nodes.index(root)):
        yield [(nodes[start], nodes[end]) for start, end in tree]


@cache
def _trees_by_number(count: int, root: int) -> list[list[tuple[int, int]]]:
    """Every tree over numbered nodes: each node's neighbour on the way to the root is chosen."""
    others = [node for node in range(count) if node != root]
    found = []
    for chosen in product(range(count), repeat=len(others)):
        towards = dict(zip(others, chosen, strict=True))
        reached, runs = [root], []
        for at in reached:
            ends = [node for node in others if towards[node] == at and node != at]
            runs += [(at, node) for node in ends]
            reached += ends
        if len(reached) == count:
            found.append(runs)
    return found
