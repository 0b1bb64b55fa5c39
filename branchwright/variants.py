"""A variant of a shop from what a person types: `code.multiwire=yes; boxes[N3]=`."""

from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from models.shop import Shop
from models.shop_checks import check_shop
from models.shop_edit import Change, ChangeError, changed
from models.shop_paths import PathError, check_path
from solver.scope import not_planned

PARTED_BY = ";"


class VariantError(ValueError):
    """What was typed makes no shop that can be planned."""


def changes_of(text: str) -> list[Change]:
    """The changes of a text; a value is read as in a shop file, an empty one takes the key away.

    >>> changes_of("code.multiwire=yes; boxes[N3]=")
    [('code.multiwire', 'yes'), ('boxes[N3]', None)]
    """
    found: list[Change] = []
    for part in text.split(PARTED_BY):
        path, equals, value = part.strip().partition("=")
        if not equals or not path:
            raise VariantError(f"{part.strip()!r} is no KEY=VALUE: write `code.multiwire=yes`")
        found.append((path.strip(), _value(value.strip())))
    return found


def _value(text: str) -> Any:
    try:
        return YAML(typ="safe", pure=True).load(text) if text else None
    except YAMLError:
        raise VariantError(f"{text!r} is no value of a shop file: put quotes around it") from None


def variant_of(text: str, shop: Shop) -> Shop:
    """A shop with these changes, if it is one that can be planned."""
    changes = changes_of(text)
    try:
        for path, value in changes:
            check_path(shop, path, adds=isinstance(value, dict))
        made = changed(shop, changes)
    except (PathError, ChangeError) as error:
        raise VariantError(str(error).replace("Value error, ", "")) from None
    if made == shop:
        raise VariantError("this changes nothing: the shop says so already")
    for problem in (*check_shop(made), *not_planned(made)):
        raise VariantError(f"then {problem.says}")
    return made
