"""A shop with the things set aside whose values could not be read, so that the rest is checked.

Only things in lists that a shop can do without are set aside. What is found then is told when it
cannot come from a thing that is missing.
"""

import re
from collections.abc import Iterable
from copy import deepcopy
from typing import Any, Final

from pydantic import ValidationError

from models.shop import Shop
from models.shop_problem import Path, ShopProblem

LISTS: Final[tuple[Path, ...]] = (
    ("boxes",),
    ("rows",),
    ("machines",),
    ("existing",),
    ("building", "openings"),
    ("building", "zones"),
    ("routes", "raceways"),
    ("routes", "junction_boxes"),
    ("routes", "passages"),
    ("routes", "avoid"),
    ("later", "changeovers"),
    ("later", "machines"),
)
_ID: Final = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,31}")
UNSURE: Final = ("fits no receptacle", "no box is there", "there are none", "skips every place")


class SetAside:
    """The data of a shop file, with some things taken out."""

    def __init__(self, data: Any) -> None:
        self.data = data
        self.left: dict[Path, list[int]] = {}
        self.ids: set[str] = set()
        self.nameless = False

    def rest(self, broken: Iterable[Path]) -> Shop | None:
        """The shop without the things at some paths; None when it is none without them."""
        out: dict[Path, set[int]] = {}
        for path in broken:
            for at in LISTS:
                if path[: len(at)] == at and len(path) > len(at):
                    out.setdefault(at, set()).add(int(path[len(at)]))
                    break
            else:
                return None
        data = deepcopy(self.data)
        for at, indices in out.items():
            holder = data
            for step in at[:-1]:
                holder = holder[step]
            things = holder[at[-1]]
            for name in (_name(things[n]) for n in indices):
                self.nameless |= name is None
                self.ids.update([name] if name is not None else [])
            self.left[at] = [n for n in range(len(things)) if n not in indices]
            holder[at[-1]] = [things[n] for n in self.left[at]]
        try:
            return Shop.model_validate(data)
        except ValidationError:
            return None

    def in_file(self, problem: ShopProblem) -> ShopProblem:
        """A problem of the rest at its place in the whole file."""
        for at, indices in self.left.items():
            path = problem.path
            if path[: len(at)] == at and len(path) > len(at):
                index = indices[int(path[len(at)])]
                return ShopProblem((*at, index, *path[len(at) + 1 :]), problem.says)
        return problem

    def is_sure(self, problem: ShopProblem) -> bool:
        """Whether a problem would also be there with the things that were set aside."""
        if not self.left:
            return True
        says = problem.says
        named = any(f"'{name}" in says for name in self.ids)
        unsure = (*UNSURE, "is called") if self.nameless else UNSURE
        return not named and not any(words in says for words in unsure)


def _name(thing: Any) -> str | None:
    """The id of a thing, when it has one that can be."""
    name = thing.get("id") if isinstance(thing, dict) else None
    return name if isinstance(name, str) and _ID.fullmatch(name) else None
