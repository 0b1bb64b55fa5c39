"""Whether a path of `shop_edit` leads to a key that a shop can have, and what is near it if not.

The keys are those of the shop file (`supply.panels[P].x`); a name in brackets is an id of the shop.
"""

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from types import NoneType, UnionType
from typing import Annotated, Any, Final, Union, get_args, get_origin

from pydantic import BaseModel

from models.shop import Shop

_STEP: Final = re.compile(r"(?P<key>[A-Za-z0-9_-]+)(?:\[(?P<id>[A-Za-z0-9_.-]+|\+)\])?")
_MOST_NEAR: Final = 3


class PathError(ValueError):
    """A path that leads nowhere."""


def check_path(shop: Shop, path: str, *, adds: bool = False) -> None:
    """Refuse a path that no shop, or not this one, has; `adds`: a new thing may be named last."""
    kind: type[BaseModel] = Shop
    here: Any = shop
    steps = path.split(".")
    for number, text in enumerate(steps):
        found = _STEP.fullmatch(text)
        if found is None:
            raise PathError(f"{path!r}: write a path like `supply.panels[P].spaces`")
        if isinstance(here, Mapping):
            if text not in here:
                raise PathError(f"{path!r}: {steps[number - 1]} has no {text!r}{_near(text, here)}")
            here = here[text]
            continue
        fields = {field.alias or name: (name, field) for name, field in kind.model_fields.items()}
        last, where = number == len(steps) - 1, ".".join(steps[:number]) or "a shop"
        if found["key"] not in fields:
            raise PathError(
                f"{path!r}: {where} has no key {found['key']!r}{_near(found['key'], fields)}"
            )
        name, field = fields[found["key"]]
        inner, many = _model_in(field.annotation)
        here = getattr(here, name, None)
        if found["id"] is not None:
            if inner is None or not many:
                raise PathError(
                    f"{path!r}: {found['key']} holds no things with names: `{found['key']}`"
                )
            here = _thing(path, found["key"], found["id"], here or (), last and adds)
        elif many and inner is not None and not last:
            raise PathError(f"{path!r}: say which one, like `{found['key']}[NAME]`")
        if not last and inner is None and not isinstance(here, Mapping):
            raise PathError(f"{path!r}: {found['key']} has no keys of its own")
        kind = inner or kind


def _thing(path: str, key: str, name: str, things: Sequence[Any], adds: bool) -> Any:
    """The thing of a list that has a name; None where it is new."""
    found = next((one for one in things if getattr(one, "id", None) == name), None)
    if found is not None or name == "+" or adds:
        return found
    known = [one.id for one in things if hasattr(one, "id")]
    near = _near(name, known) or f": there are {', '.join(known) or 'none'}"
    raise PathError(f"{path!r}: there is no {key} {name!r}{near}")


def _near(name: str, known: Any) -> str:
    """The closest names, as the end of a sentence."""
    near = get_close_matches(name, list(known), n=_MOST_NEAR, cutoff=0.5)
    return f": closest: {', '.join(near)}" if near else ""


def _model_in(annotation: Any) -> tuple[type[BaseModel] | None, bool]:
    """The model that an annotation holds, and whether it holds many."""
    origin = get_origin(annotation)
    if origin is Annotated:
        return _model_in(get_args(annotation)[0])
    if origin in (Union, UnionType):
        inner = [_model_in(one) for one in get_args(annotation) if one is not NoneType]
        return next((found for found in inner if found[0] is not None), (None, False))
    if origin in (tuple, list):
        return _model_in(get_args(annotation)[0])[0], True
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation, False
    return None, False
