"""A row of boxes laid again at another spacing, and what names a box of it that is gone. Feet.

A box that stays where it was keeps its id, and with it whatever names it; every other place gets a
number after the largest that the row ever had, so that no name comes to mean another place. The
raceways from box to box are laid anew; what else names a box that is gone has to be told anew.
"""

import re
from collections.abc import Collection, Iterator, Sequence
from typing import Any, Final

from models.quantities import feet_inches
from models.shop import Row, Shop
from models.shop_problem import closest
from models.shop_rows import SAME_FT, RowError, row_boxes, row_places, row_raceways

CLOSEST_FT: Final = 0.5  # as in the shop file
_NAMES_ITSELF = frozenset({"id", "note", "name", "says"})


class SpacingError(ValueError):
    """A row that cannot be laid so, or a name that is left without its box."""


def spaced(shop: Shop, rows: Sequence[Row], name: str, every_ft: float) -> tuple[Shop, set[str]]:
    """A shop without rows, one of them laid at another spacing; and the boxes that are gone."""
    row = next((one for one in rows if one.id == name), None)
    if row is None:
        known = [one.id for one in rows]
        told = closest(name, known) if known else "the shop file has none"
        raise SpacingError(f"no row of boxes is called {name!r}: {told}")
    if every_ft < CLOSEST_FT:
        raise SpacingError(f"boxes of a row stand {feet_inches(CLOSEST_FT)} apart at least")
    if abs(row.every_ft - every_ft) < SAME_FT:
        raise SpacingError(f"row {name} has a box every {feet_inches(every_ft)} already")
    try:
        before = row_places(shop, row)
        bare = row_places(shop, row.model_copy(update={"every_ft": every_ft, "ids": {}}))
        ids = _named_anew(row.id, before, list(bare.values()))
        now = row.model_copy(update={"every_ft": every_ft, "ids": ids})
        old, made = list(row_boxes(shop, row)), list(row_boxes(shop, now))
    except RowError as error:
        raise SpacingError(f"row {name} every {feet_inches(every_ft)}: {error.says}") from None
    was = {box.id for box in old}
    laid = {raceway.id for raceway in row_raceways(row, old)}
    raceways = [one for one in shop.routes.raceways if one.id not in laid]
    raceways += row_raceways(now, made)
    changed = shop.model_copy(
        update={
            "boxes": (*(box for box in shop.boxes if box.id not in was), *made),
            "routes": shop.routes.model_copy(update={"raceways": tuple(raceways)}),
        }
    )
    return Shop.model_validate(changed.canonical()), was - ids.keys()


def _named_anew(row: str, before: dict[str, float], places: list[float]) -> dict[str, float]:
    """Each place with its id: that of the box that stands there, else a new number."""
    numbers = [int(m[1]) for n in before if (m := re.fullmatch(rf"{re.escape(row)}(\d+)", n))]
    following, found = max(numbers, default=0), {}
    for place in places:
        same = next((n for n, at in before.items() if abs(at - place) < SAME_FT), None)
        if same is None:
            following += 1
            same = f"{row}{following}"
        found[same] = place
    return found


def names_gone(shop: Shop, gone: Collection[str]) -> Iterator[str]:
    """What in a shop still names a box that is gone, in sentences."""
    for path, name in _texts(shop.canonical(), ""):
        if name.partition(".")[0] in gone:
            yield f"{path} is {name}"


def _texts(data: Any, path: str, key: str = "") -> Iterator[tuple[str, str]]:
    """Every text of a shop that may be a name, with its path."""
    if isinstance(data, dict):
        for inner, value in data.items():
            yield from _texts(value, f"{path}.{inner}" if path else inner, inner)
    elif isinstance(data, list):
        for value in data:
            named = value.get("id") if isinstance(value, dict) else None
            yield from _texts(value, path if named is None else f"{path}[{named}]", key)
    elif isinstance(data, str) and key not in _NAMES_ITSELF:
        yield path, data
