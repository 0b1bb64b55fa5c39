"""Trees: the cheapest way to join the boxes of a circuit to the panel by one home run.

The root has exactly one branch, so the best tree is a minimum spanning tree of the boxes plus the
cheapest home run (exact). Optional junction boxes are tried in every combination and dropped
again when nothing hangs on them. Costs are whole numbers of any unit.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import chain, combinations
from typing import Final

MOST_OPTIONAL: Final = 4  # 16 combinations; above that, each optional box alone

Cost = Callable[[str, str], int | None]


@dataclass(frozen=True)
class Tree:
    """Edges from the panel outwards, each (from, to); `cost` includes what the home run asks."""

    cost: int
    edges: tuple[tuple[str, str], ...]

    @property
    def home(self) -> str:
        """The box at the end of the home run."""
        return self.edges[0][1]


def spanning_edges(nodes: Sequence[str], cost: Cost) -> tuple[int, list[tuple[str, str]]] | None:
    """Prim's minimum spanning tree from the first node; None when the nodes do not join up."""
    best: dict[str, tuple[int, str]] = {}
    total, edges, at = 0, [], nodes[0]
    left = dict.fromkeys(nodes[1:])
    while left:
        for node in left:
            step = cost(at, node)
            if step is not None and (node not in best or step < best[node][0]):
                best[node] = (step, at)
        if not best:
            return None
        at = min(best, key=lambda node: (best[node][0], node))
        step, parent = best.pop(at)
        del left[at]
        total += step
        edges.append((parent, at))
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


def _subsets(optional: Sequence[str]) -> Iterable[tuple[str, ...]]:
    """Combinations of optional nodes, none first."""
    most = len(optional) if len(optional) <= MOST_OPTIONAL else 1
    return chain.from_iterable(combinations(optional, size) for size in range(most + 1))


def best_tree(
    panel: str,
    boxes: Sequence[str],
    optional: Sequence[str],
    cost: Cost,
    extra: Callable[[str], int],
) -> Tree | None:
    """The cheapest tree from the panel; `extra` is what a home run to a box costs on top."""
    best: Tree | None = None
    for chosen in _subsets(optional):
        nodes = sorted({*boxes, *chosen})
        spanning = spanning_edges(nodes, cost)
        if spanning is None or not _all_used(spanning[1], chosen, nodes):
            continue
        for home in nodes:
            step = cost(panel, home)
            if step is None or (home in chosen and len(nodes) == 1):
                continue
            total = spanning[0] + step + extra(home)
            if best is None or total < best.cost:
                edges = [(panel, home), *rooted(home, spanning[1])]
                best = Tree(total, tuple(edges))
    return best


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
