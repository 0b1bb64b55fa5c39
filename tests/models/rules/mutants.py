"""Mutants of a finished plan: every field broken in its way, one at a time.

A number goes up and down, a yes becomes a no, a word or id becomes another one that stands at such
a place, a text changes, a value goes or appears, an element is dropped, doubled, or moved.
"""

import copy
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

Path = tuple[str | int, ...]


class Mutant(NamedTuple):
    """One change: where, what was done, and the value that stands there now."""

    path: Path
    how: str
    value: Any

    @property
    def pattern(self) -> str:
        """The place without numbers: `circuits[].runs[].length_ft`."""
        return pattern_of(self.path)

    def __str__(self) -> str:
        steps = (f"[{step}]" if isinstance(step, int) else f".{step}" for step in self.path)
        return f"{''.join(steps).lstrip('.')}: {self.how}"

    def of(self, plan: Any) -> Any:
        """The plan with this change; only what is on the way is copied."""
        return _changed(plan, self.path, self.value)


def _changed(data: Any, path: Path, value: Any) -> Any:
    if not path:
        return value
    made = copy.copy(data)
    made[path[0]] = _changed(data[path[0]], path[1:], value)
    return made


def pattern_of(path: Path) -> str:
    """A path without the numbers of its elements."""
    return re.sub(r"^\.", "", "".join("[]" if isinstance(s, int) else f".{s}" for s in path))


def mutants(plan: Any, sections: frozenset[str]) -> Iterator[Mutant]:
    """Every mutant of some sections of a plan."""
    words = _words(plan, sections)
    for name in sorted(sections):
        if name in plan:
            yield from _mutants((name,), plan[name], words)


def _words(plan: Any, sections: frozenset[str]) -> dict[str, list[str]]:
    """The texts that stand at each kind of place."""
    found: dict[str, dict[str, None]] = {}

    def look(path: Path, value: Any) -> None:
        if isinstance(value, dict):
            for key, inner in value.items():
                look((*path, key), inner)
        elif isinstance(value, list):
            for number, inner in enumerate(value):
                look((*path, number), inner)
        elif isinstance(value, str):
            found.setdefault(pattern_of(path), {})[value] = None

    for name in sections:
        look((name,), plan.get(name))
    return {pattern: list(texts) for pattern, texts in found.items()}


def _mutants(path: Path, value: Any, words: dict[str, list[str]]) -> Iterator[Mutant]:
    """Every mutant of one value and of what is in it."""
    if isinstance(value, list):
        yield from _lists(path, value)
        for number, inner in enumerate(value):
            yield from _mutants((*path, number), inner, words)
    elif isinstance(value, dict):
        yield Mutant(path, "null", None)
        for key, inner in value.items():
            yield from _mutants((*path, key), inner, words)
    else:
        for new in _others(value, words.get(pattern_of(path), [])):
            yield Mutant(path, f"{value!r} -> {new!r}", new)


def _others(value: Any, words: list[str]) -> list[Any]:
    """What else a plain value might be."""
    if isinstance(value, bool):
        return [not value, None]
    if isinstance(value, int | float):
        return [value + 1, value - 1, *([-value] if value else []), None]
    if isinstance(value, str):
        return [*[text for text in words if text != value][:2], f"{value}x", None]
    return [1.0, "x"]


def _lists(path: Path, value: list[Any]) -> Iterator[Mutant]:
    for number in range(len(value)):
        yield Mutant(path, f"without [{number}]", value[:number] + value[number + 1 :])
    if value:
        yield Mutant(path, "last doubled", [*value, value[-1]])
    if len(value) > 1 and value != value[::-1]:
        yield Mutant(path, "turned around", value[::-1])
