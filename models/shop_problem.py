"""A fact of the shop that does not fit another, and the words for naming what would have fitted."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Final

Path = tuple[str | int, ...]
MOST_NAMES: Final = 12


@dataclass(frozen=True)
class ShopProblem:
    """What is wrong, and the keys and list positions (from 0) that lead to it in the shop file."""

    path: Path
    says: str


Problems = Iterator[ShopProblem]


def closest(name: str, known: Iterable[str]) -> str:
    """The close matches of a name, or else what there is.

    >>> closest("nort", ["north", "south"])
    "closest: 'north'"
    >>> closest("roof", ["north", "south"]), closest("roof", [])
    ("there are: 'north', 'south'", 'there are none')
    """
    names = sorted(set(known))
    if near := get_close_matches(name, names, n=2):
        return f"closest: {', '.join(map(repr, near))}"
    if not names:
        return "there are none"
    rest = ", …" if len(names) > MOST_NAMES else ""
    return f"there are: {', '.join(map(repr, names[:MOST_NAMES]))}{rest}"


def unknown(path: Path, kind: str, name: str, known: Iterable[str]) -> Problems:
    """A problem when `name` is not one of the known things of its kind."""
    names = set(known)
    if name not in names:
        yield ShopProblem(path, f"no {kind} is called {name!r}; {closest(name, names)}")


def repeated(
    named: Iterable[tuple[Path, str, str]],
) -> Problems:
    """A problem for every id that an earlier thing has: `named` holds path, kind and id."""
    first: dict[str, str] = {}
    for path, kind, name in named:
        if name in first:
            yield ShopProblem(
                path, f"{name!r} is already the id of a {first[name]}: give this {kind} another id"
            )
        first.setdefault(name, kind)
