"""Trees: the cheapest way to join the boxes of a circuit to the panel by one home run.

The root has exactly one branch, so the best tree is a minimum spanning tree of the boxes plus the
cheapest home run (exact). Optional junction boxes are tried in every combination and dropped
again when nothing hangs on them; where there are more than a few, the best is added one after
another (Kahng & Robins 1992), then one is dropped or put in another's place, while that costs less.
Costs are whole numbers of any unit.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain, combinations
from typing import Final

MOST_OPTIONAL: Final = 4  # 16 combinations; above that, one box more, less or another at a time

NO_WAY: Final = 10**15  # what a run costs where there is none
Costs = Mapping[str, Mapping[str, int]]  # of a run, by its two ends
Spanning = tuple[int, list[tuple[str, str]]]  # cost and edges of a tree without a home run


@dataclass(frozen=True)
class Tree:
    """Edges from the panel outwards, each (from, to); `cost` includes what the home run asks."""

    cost: int
    edges: tuple[tuple[str, str], ...]

    @property
    def home(self) -> str:
        """The box at the end of the home run."""
        return self.edges[0][1]


def spanning_edges(nodes: Sequence[str], costs: Costs) -> Spanning | None:
    """Prim's minimum spanning tree from the first node; None when the nodes do not join up.

    Of steps that cost the same the first node in the given order is taken.
    """
    total, edges, at = 0, [], nodes[0]
    step_to = dict.fromkeys(nodes[1:], NO_WAY)
    parent = dict.fromkeys(nodes[1:], at)
    while step_to:
        row, least, nearest = costs[at], NO_WAY, ""
        for node, known in step_to.items():
            step = row[node]
            if step < known:
                step_to[node], parent[node] = step, at
            else:
                step = known
            if step < least:
                least, nearest = step, node
        if least == NO_WAY:
            return None
        total += least
        edges.append((parent[nearest], nearest))
        del step_to[nearest]
        at = nearest
    return total, edges


def attached(trunk: Iterable[str], nodes: Iterable[str], costs: Costs) -> Spanning | None:
    """The cheapest runs that join nodes to a trunk that is there; edges away from the trunk."""
    total, edges = 0, []
    step_to = {node: min((costs[at][node], at) for at in trunk) for node in nodes}
    while step_to:
        nearest = min(step_to, key=lambda node: (step_to[node][0], node))
        step, at = step_to.pop(nearest)
        if step == NO_WAY:
            return None
        total += step
        edges.append((at, nearest))
        for node, known in step_to.items():
            step_to[node] = min(known, (costs[nearest][node], nearest))
    return total, edges


def rooted(root: str, edges: Iterable[tuple[str, str]]) -> list[tuple[str, str]]:
    """The same edges directed away from the root, in breadth-first order."""
    neighbours: dict[str, list[str]] = {}
    for a, b in edges:
        neighbours.setdefault(a, []).append(b)
        neighbours.setdefault(b, []).append(a)
    found, queue, seen = [], [root], {root}
    for at in queue:
        for node in sorted(neighbours.get(at, ())):
            if node not in seen:
                seen.add(node)
                queue.append(node)
                found.append((at, node))
    return found


def best_tree(
    panel: str,
    boxes: Sequence[str],
    optional: Sequence[str],
    costs: Costs,
    spanning_of: Callable[[Sequence[str]], Spanning | None],
    extra: Callable[[str], int],
) -> Tree | None:
    """The cheapest tree from the panel; `extra` is what a home run to a box costs on top."""
    extra = cache(extra)

    @cache
    def with_boxes(chosen: tuple[str, ...]) -> Tree | None:
        return _tree_with(panel, boxes, chosen, costs, spanning_of, extra)

    def cheapest(sets: Iterable[tuple[str, ...]], best: Tree | None) -> Tree | None:
        for chosen in sets:
            tree = with_boxes(chosen)
            if tree is not None and (best is None or tree.cost < best.cost):
                best = tree
        return best

    if len(optional) <= MOST_OPTIONAL:
        sizes = range(len(optional) + 1)
        return cheapest(chain.from_iterable(combinations(optional, n) for n in sizes), None)
    best = cheapest(((), *((one,) for one in optional)), None)
    while best is not None:
        joined = {end for edge in best.edges for end in edge}
        used = tuple(one for one in optional if one in joined)
        others = [one for one in optional if one not in joined]
        fewer = [tuple(one for one in used if one != less) for less in used]
        better = cheapest([(*used, more) for more in others], best)
        if better is best:
            better = cheapest([*fewer, *((*some, more) for some in fewer for more in others)], best)
        if better is best:
            break
        best = better
    return best


def _tree_with(
    panel: str,
    boxes: Sequence[str],
    chosen: Sequence[str],
    costs: Costs,
    spanning_of: Callable[[Sequence[str]], Spanning | None],
    extra: Callable[[str], int],
) -> Tree | None:
    """The cheapest tree over the boxes and these optional ones; None where one is of no use."""
    nodes = sorted({*boxes, *chosen})
    spanning = spanning_of(nodes)
    if spanning is None or not _all_used(spanning[1], chosen, nodes):
        return None
    best: tuple[int, str] | None = None
    for home in nodes:
        step = costs[panel][home]
        if step == NO_WAY or (home in chosen and len(nodes) == 1):
            continue
        total = spanning[0] + step + extra(home)
        if best is None or total < best[0]:
            best = total, home
    if best is None:
        return None
    return Tree(best[0], ((panel, best[1]), *rooted(best[1], spanning[1])))


def _all_used(
    edges: Sequence[tuple[str, str]], optional: Iterable[str], nodes: Sequence[str]
) -> bool:
    """Whether every optional node could be needed: two edges, or the home run and one."""
    degree = dict.fromkeys(nodes, 0)
    for a, b in edges:
        degree[a] += 1
        degree[b] += 1
    lonely = [node for node in optional if degree[node] < 2]
    return len(lonely) <= 1
