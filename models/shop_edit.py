"""One change to a shop by a path in words: `supply.panels[P].spaces`, `machines[saw].plugs_into`.

A name in brackets picks a thing of a list by its id; a new name adds one, and `[+]` one without a
name: `use.never_together[+]`. None takes a key away.
"""

import re
from collections.abc import Iterable
from copy import deepcopy
from typing import Any

from pydantic import ValidationError

from models.shop import Shop

Change = tuple[str, Any]
_STEP = re.compile(r"(?P<key>[a-z0-9_]+)(?:\[(?P<id>[A-Za-z0-9_-]+|\+)\])?")
_ADDED = "+"


class ChangeError(ValueError):
    """A change that does not make a shop."""


def changed(shop: Shop, changes: Iterable[Change]) -> Shop:
    """The shop after some changes, in canonical order."""
    data = deepcopy(shop.canonical())
    for path, value in changes:
        _set(data, path, value)
    try:
        first = Shop.model_validate(data)
        return Shop.model_validate(first.canonical())
    except ValidationError as error:
        says = error.errors()[0]["msg"]
        raise ChangeError(f"after {[path for path, _ in changes]}: {says}") from None


def _set(data: dict[str, Any], path: str, value: Any) -> None:
    """Set, add or remove one value in place."""
    steps = [_STEP.fullmatch(step) for step in path.split(".")]
    at: Any = data
    for number, step in enumerate(steps):
        if step is None:
            raise ChangeError(f"{path!r}: write a path like `supply.panels[P].spaces`")
        last = number == len(steps) - 1
        if step["id"] is not None:
            things = at.setdefault(step["key"], [])
            if step["id"] == _ADDED:
                things.append(value)
                return
            found = next((thing for thing in things if thing["id"] == step["id"]), None)
            if last:
                if found is not None:
                    things.remove(found)
                if value is not None:
                    things.append({**value, "id": step["id"]})
                return
            if found is None:
                raise ChangeError(f"{path!r}: there is no {step['key']} {step['id']!r}")
            at = found
        elif not last:
            at = at.setdefault(step["key"], {})
        elif value is None:
            at.pop(step["key"], None)
        else:
            at[step["key"]] = value
