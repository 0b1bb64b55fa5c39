"""How near enclosures are to a panel by ways of new conductors, by way of each other. [ft]"""

from collections.abc import Iterable
from heapq import heappop, heappush

from solver.circuit import Circuits


class Near:
    """Least lengths to some enclosures from each panel, and from the nearest of all.

    Runs lead from the panel, or from one of these enclosures, to another of them.
    """

    def __init__(self, circuits: Circuits, among: Iterable[str]) -> None:
        self.circuits = circuits
        self.names = sorted(set(among) - circuits.panels.keys())
        self._found: dict[frozenset[str], dict[str, float]] = {}
        self._runs: dict[tuple[str, str], float] = {}

    def from_panel(self, panel: str) -> dict[str, float]:
        """Least lengths from one panel to what can be reached. [ft]"""
        return self._from([panel])

    def from_any(self) -> dict[str, float]:
        """Least lengths from any panel to what can be reached. [ft]"""
        return self._from(self.circuits.panels)

    def _from(self, panels: Iterable[str]) -> dict[str, float]:
        begun = frozenset(panels)
        if begun not in self._found:
            self._found[begun] = self._search(begun)
        return self._found[begun]

    def _search(self, panels: frozenset[str]) -> dict[str, float]:
        """Shortest paths."""
        near = dict.fromkeys(panels, 0.0)
        todo, done = [(0.0, panel) for panel in sorted(panels)], set[str]()
        while todo:
            far, start = heappop(todo)
            if start in done:
                continue
            done.add(start)
            for end in self.names:
                if end != start and far + self.run_ft(start, end) < near.get(end, float("inf")):
                    near[end] = far + self.run_ft(start, end)
                    heappush(todo, (near[end], end))
        return near

    def run_ft(self, start: str, end: str) -> float:
        """Length of the shortest run. [ft]"""
        if (start, end) not in self._runs:
            ways = self.circuits.ways_between(start, end)
            self._runs[start, end] = min(
                (way.length_cft / 100 for way in ways), default=float("inf")
            )
        return self._runs[start, end]
