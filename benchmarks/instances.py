"""Reading public instances: capacitated trees, and open vehicle routing as chains.

Trees: NAME, NODES, ROOT (1-based), DEMANDS, COSTS as a full matrix, of which the upper triangle
counts (some files are not symmetric; J. E. Beasley, J. Oper. Res. Soc. 41 (1990) 1069-1072).
Chains: a TSPLIB file with EUC_2D coordinates; distances are not rounded, so they are kept in
millionths. Errors name file and line.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot
from pathlib import Path
from typing import Final

import numpy as np

from solver.kernel.problem import Problem, Whole

MILLION: Final = 1_000_000


class InstanceError(Exception):
    """A file that does not hold what it should."""

    def __init__(self, path: Path, line: int, message: str) -> None:
        super().__init__(f"{path}:{line}: {message}")


@dataclass(frozen=True, eq=False)
class Instance:
    """A name, the distances of all nodes, what they weigh, and which of them is the root."""

    name: str
    root: int  # 0-based
    weights: Whole
    distances: Whole
    scale: int = 1  # distances in 1/scale

    def problem(self, capacity: int, chains: int | None = None) -> Problem:
        """The same for the kernel; in at most so many chains, or in trees."""
        others = np.array(self.others, np.intp)
        return Problem(
            np.ascontiguousarray(self.distances[np.ix_(others, others)]),
            np.ascontiguousarray(self.distances[self.root, others]),
            np.ascontiguousarray(self.weights[others, None]),
            np.array([capacity], np.int64),
            chains is not None,
            chains,
        )

    @property
    def others(self) -> list[int]:
        """All nodes but the root."""
        return [node for node in range(len(self.weights)) if node != self.root]

    def parents(self, of_items: list[int | None]) -> list[int | None]:
        """Node numbers for item numbers; None at the root."""
        others = self.others
        parents: list[int | None] = [None] * len(self.weights)
        for item, parent in enumerate(of_items):
            parents[others[item]] = self.root if parent is None else others[parent]
        return parents


class _Words:
    """A file word by word, each with its line."""

    def __init__(self, path: Path) -> None:
        self.path, self.line = path, 1
        try:
            text = path.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise InstanceError(path, 1, f"cannot be read: {error}") from None
        self.words: Iterator[tuple[int, str]] = (
            (number, word)
            for number, line in enumerate(text.splitlines(), 1)
            for word in line.split()
        )

    def next(self, wanted: str) -> str:
        """The next word."""
        found = next(self.words, None)
        if found is None:
            raise self.error(f"the file ends where {wanted} should come")
        self.line = found[0]
        return found[1]

    def whole(self, wanted: str, least: int = 0) -> int:
        """The next word as a whole number."""
        word = self.next(wanted)
        try:
            number = int(word)
        except ValueError:
            raise self.error(f"{wanted}: {word!r} is no whole number") from None
        if number < least:
            raise self.error(f"{wanted}: {number} is less than {least}")
        return number

    def key(self, key: str) -> None:
        """The next word must be this one."""
        word = self.next(key)
        if word != key:
            raise self.error(f"{key} should come here, not {word!r}")

    def error(self, message: str) -> InstanceError:
        """An error at the present line."""
        return InstanceError(self.path, self.line, message)


def read_tree(path: Path) -> Instance:
    """A capacitated-tree instance."""
    words = _Words(path)
    words.key("NAME")
    name = words.next("a name")
    words.key("NODES")
    count = words.whole("NODES", 2)
    words.key("ROOT")
    root = words.whole("ROOT", 1)
    if root > count:
        raise words.error(f"ROOT {root} is beyond the {count} nodes")
    words.key("DEMANDS")
    weights = [words.whole(f"demand of node {node}") for node in range(1, count + 1)]
    if weights[root - 1]:
        raise words.error(f"the root demands {weights[root - 1]}, which must be 0")
    words.key("COSTS")
    rows = [
        [words.whole(f"cost {i}, {j}") for j in range(1, count + 1)] for i in range(1, count + 1)
    ]
    extra = next(words.words, None)
    if extra is not None:
        words.line = extra[0]
        raise words.error(f"{extra[1]!r} comes after the last cost")
    upper = np.triu(np.array(rows, np.int64), 1)
    return Instance(name, root - 1, np.array(weights, np.int64), upper + upper.T)


def read_chains(path: Path) -> Instance:
    """An open vehicle routing instance; distances in millionths."""
    places: dict[int, tuple[float, float]] = {}
    demands: dict[int, int] = {}
    depot, name, section = 0, path.stem, ""
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise InstanceError(path, 1, f"cannot be read: {error}") from None
    for number, line in enumerate(lines, 1):
        words = line.replace(":", " : ").split()
        if not words or words[0] in ("EOF", "-1"):
            continue
        if words[0].endswith("_SECTION"):
            section = words[0]
        elif words[0] == "NAME":
            name = words[-1]
        elif words[0] == "EDGE_WEIGHT_TYPE" and words[-1] != "EUC_2D":
            raise InstanceError(path, number, f"distances must be EUC_2D, not {words[-1]}")
        elif section:
            try:
                node = int(words[0])
                if section == "NODE_COORD_SECTION":
                    places[node] = (float(words[1]), float(words[2]))
                elif section == "DEMAND_SECTION":
                    demands[node] = int(words[1])
                elif section == "DEPOT_SECTION":
                    depot = depot or node
            except (ValueError, IndexError):
                raise InstanceError(path, number, f"{section}: {line.strip()!r}") from None
    nodes = sorted(places)
    if not nodes or sorted(demands) != nodes or depot not in places:
        raise InstanceError(path, len(lines), "coordinates, demands and depot do not fit together")
    apart = [
        [
            round(MILLION * hypot(places[a][0] - places[b][0], places[a][1] - places[b][1]))
            for b in nodes
        ]
        for a in nodes
    ]
    weights = np.array([demands[node] for node in nodes], np.int64)
    return Instance(name, nodes.index(depot), weights, np.array(apart, np.int64), MILLION)


@dataclass(frozen=True)
class Known:
    """A row of optima.csv."""

    instance: str
    capacity: int
    value: float
    proven: bool
    chains: int | None


def read_known(folder: Path) -> list[Known]:
    """The best known values of a folder's instances."""
    with (folder / "optima.csv").open(encoding="utf-8", newline="") as file:
        return [
            Known(
                row["instance"],
                int(row["capacity"]),
                float(row["best_known"]),
                row["proven_optimal"] == "yes",
                int(row["routes_fixed"]) if "routes_fixed" in row else None,
            )
            for row in csv.DictReader(file)
        ]
