"""A variant of a shop from what a person types: `code.multiwire=yes; boxes[N3]=`.

`days=usual+helper` stands for which days bind the plan, all others are only reported. A name may
come first: `no reel: boxes[REEL]=`. `spacing.N=4 ft` lays the row N of the shop file again, before
whatever else is changed.
"""

import re
from collections.abc import Iterator, Sequence
from difflib import get_close_matches
from typing import Any, NamedTuple

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from models.quantities import QuantityError, parse_length_ft
from models.shop import Row, Shop
from models.shop_carried import CarryError, carried
from models.shop_checks import check_shop
from models.shop_edit import Change, ChangeError, changed
from models.shop_file import where
from models.shop_paths import PathError, check_path
from models.shop_spacing import SpacingError, names_gone, spaced
from solver.scope import not_planned

PARTED_BY = ";"
_NAME = re.compile(r"([^=:;]+): ")
DAYS = "days"
SPACING = "spacing."
BOOK = "prices.book"
MOST_TOLD = 5  # problems of a variant


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
    except (YAMLError, RecursionError):
        raise VariantError(f"{text!r} is no value of a shop file: put quotes around it") from None


def named(text: str) -> tuple[str, str]:
    """What a variant is called, and its changes: a name may stand before them, with a colon.

    >>> named("no reel: boxes[REEL]="), named("code.multiwire=yes")
    (('no reel', 'boxes[REEL]='), ('code.multiwire=yes', 'code.multiwire=yes'))
    """
    found = _NAME.match(text)
    return (found[1].strip(), text[found.end() :]) if found else (text, text)


class Variant(NamedTuple):
    """A shop with some changes, and what was carried along with them, in sentences."""

    shop: Shop
    told: tuple[str, ...]


def variant_of(text: str, shop: Shop, rows: Sequence[Row] | None = None) -> Variant:
    """A shop with these changes, if it is one that can be planned; VariantError says why not.

    `rows`: those of the shop file, which in the shop are written out; None: they are not known.
    """
    asked = changes_of(text)
    base, gone = _laid_again([one for one in asked if one[0].startswith(SPACING)], shop, rows)
    others = (one for one in asked if not one[0].startswith(SPACING))
    changes = [one for change in others for one in _spelled_out(change, base)]
    try:
        for path, value in changes:
            if path == BOOK:
                raise VariantError(f"variants share one price book: plan a shop file with `{BOOK}`")
            check_path(base, path, adds=isinstance(value, dict))
        made, told = carried(base, changed(base, changes))
    except (PathError, ChangeError, CarryError) as error:
        raise VariantError(str(error).replace("Value error, ", "")) from None
    if left := list(names_gone(made, gone)):
        more = f"; and {len(left) - MOST_TOLD} more" if len(left) > MOST_TOLD else ""
        raise VariantError(
            f"no box stands there any more: {'; '.join(left[:MOST_TOLD])}{more}: say in the same"
            " variant what they shall be, parted by `;`"
        )
    if made == shop:
        raise VariantError("this changes nothing: the shop says so already")
    wrong = [*check_shop(made), *not_planned(made)]
    problems = list(dict.fromkeys(f"{where(made.canonical(), p.path)}: {p.says}" for p in wrong))
    if problems:
        more = f"; and {len(problems) - MOST_TOLD} more" if len(problems) > MOST_TOLD else ""
        raise VariantError(f"then {'; '.join(problems[:MOST_TOLD])}{more}")
    return Variant(made, tuple(told))


def _laid_again(
    changes: Sequence[Change], shop: Shop, rows: Sequence[Row] | None
) -> tuple[Shop, set[str]]:
    """The shop with its rows at other spacings, and the boxes that are gone."""
    gone: set[str] = set()
    for path, value in changes:
        name = path.removeprefix(SPACING)
        if rows is None:
            raise VariantError(f"a plan knows no rows: name the shop file for `{path}`")
        try:
            shop, more = spaced(shop, rows, name, parse_length_ft(value))
        except QuantityError as error:
            raise VariantError(f"{path}: {error}") from None
        except SpacingError as error:
            raise VariantError(str(error)) from None
        gone |= more
    return shop, gone


def _spelled_out(change: Change, shop: Shop) -> Iterator[Change]:
    """A change with `days` written as what it stands for."""
    path, value = change
    if path != DAYS:
        yield change
        return
    known = [day.id for day in shop.use.days]
    binding = [name.strip() for name in str(value or "").split("+")]
    for name in binding:
        if name not in known:
            near = get_close_matches(name, known, n=3)
            listed = f"closest: {', '.join(near)}" if near else f"there are {', '.join(known)}"
            raise VariantError(
                f"no day is called {name!r}: {listed}; write `{DAYS}={(near or known)[0]}`"
            )
    for day in shop.use.days:
        yield f"use.days[{day.id}].binds", day.id in binding
