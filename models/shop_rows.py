"""Rows of boxes: the single boxes and raceways that a row stands for. Feet.

A box of a row keeps its id for ever once `ids` names it. A place without a name gets the number
after the largest one; without any names boxes are numbered along the row, from 1.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, Final

from pydantic import ValidationError

from models.quantities import feet_inches
from models.shop import WORKING_SPACE_WIDTH_FT, Box, Raceway, Row, Shop
from models.shop.facts import key_of
from models.shop_problem import Path, ShopProblem, closest

SAME_FT: Final = 0.011
MOST_BOXES: Final = 100
_SHARED: Final = (
    "wall", "height_ft", "faces", "yokes", "luminaire_watts", "switched_by", "two_circuits",
    "not_with", "outdoors", "drop_ft", "note",
)  # fmt: skip
_PLACE_KEYS: Final = frozenset({"x", "y", "ceiling", "id"})


class RowError(ValueError):
    """A row that stands for no boxes: `key` is what to correct, if it is one key."""

    def __init__(self, key: str, says: str) -> None:
        super().__init__(says)
        self.key, self.says = key, says


@dataclass
class Expanded:
    """A shop without rows, what is wrong with its rows, and which row each thing comes from."""

    shop: Shop
    problems: list[ShopProblem] = field(default_factory=list)
    _boxes: dict[int, int] = field(default_factory=dict)
    _raceways: dict[int, int] = field(default_factory=dict)

    def in_file(self, path: Path) -> Path:
        """The place in the file for a place in the expanded shop."""
        match path:
            case ("boxes", int(index), *rest) if index in self._boxes:
                row: Path = ("rows", self._boxes[index])
                if not rest:
                    return row
                key = "from" if rest[0] in _PLACE_KEYS else rest[0]
                return (*row, key, *(() if rest[0] in _PLACE_KEYS else rest[1:]))
            case ("routes", "raceways", int(index), *_) if index in self._raceways:
                return "rows", self._raceways[index], "raceway"
        return path


def expand(shop: Shop) -> Expanded:
    """The shop with every row written out."""
    if not shop.rows:
        return Expanded(shop)
    boxes, raceways = list(shop.boxes), list(shop.routes.raceways)
    found = Expanded(shop)
    for index, row in enumerate(shop.rows):
        try:
            made = list(row_boxes(shop, row))
        except RowError as error:
            key = (error.key,) if error.key else ()
            found.problems.append(ShopProblem(("rows", index, *key), error.says))
            continue
        for box in made:
            found._boxes[len(boxes)] = index
            boxes.append(box)
        for raceway in row_raceways(row, made):
            found._raceways[len(raceways)] = index
            raceways.append(raceway)
    routes = shop.routes.model_copy(update={"raceways": tuple(raceways)})
    found.shop = shop.model_copy(update={"boxes": tuple(boxes), "rows": (), "routes": routes})
    return found


def row_boxes(shop: Shop, row: Row) -> Iterator[Box]:
    """The boxes of one row; RowError when it makes none."""
    shared = {name: getattr(row, name) for name in _SHARED}
    for name, along in row_places(shop, row).items():
        values = {**shared, "id": name}
        if row.wall is None:
            assert isinstance(row.start, tuple)
            values["ceiling"] = (along, row.start[1]) if _along_x(row) else (row.start[0], along)
        else:
            (x0, _), (x1, _) = shop.building.wall_ends(row.wall)
            values["y_ft" if x0 == x1 else "x_ft"] = along
        yield _box(row, values)


def row_places(shop: Shop, row: Row) -> dict[str, float]:
    """Where each box of a row stands along its axis, by its id; RowError when it makes none."""
    return _named(row, _places(shop, row))


def _box(row: Row, values: Mapping[str, object]) -> Box:
    """One box, checked as if it had been written by itself."""
    made: Any = Box.model_construct
    raw = made(**values).model_dump(mode="json", by_alias=True, exclude_defaults=True)
    try:
        return Box.model_validate(raw)
    except ValidationError as error:
        detail = error.errors()[0]
        key = key_of(str(detail["loc"][0])) if detail["loc"] else ""
        says = str(detail.get("ctx", {}).get("error", detail["msg"]))
        raise RowError(key, f"row {row.id!r}: {says}") from None


def row_raceways(row: Row, boxes: list[Box]) -> Iterator[Raceway]:
    """A raceway from each box of a row to the next."""
    if row.raceway is None:
        return
    kind, trade_size = row.raceway.split(" ")
    for box, following in pairwise(boxes):
        yield Raceway.model_validate(
            {
                "id": f"{box.id}-{following.id}"[:32],
                "kind": kind,
                "trade_size": trade_size,
                "ends": [box.id, following.id],
            }
        )


def _along_x(row: Row) -> bool:
    """Whether a ceiling row goes along x."""
    assert isinstance(row.start, tuple)
    assert isinstance(row.end, tuple)
    return row.start[1] == row.end[1]


def _ends(row: Row) -> tuple[float, float]:
    """Where a row begins and ends, along its axis."""
    if row.wall is not None:
        if isinstance(row.start, tuple) or isinstance(row.end, tuple):
            raise RowError("from", f"row {row.id!r} is on a wall: write `from: 3 ft`, not a point")
        return row.start, row.end
    if not isinstance(row.start, tuple) or not isinstance(row.end, tuple):
        says = f"row {row.id!r} has no `wall`, so it hangs from the ceiling: write points [x, y]"
        raise RowError("from", says)
    if row.start[0] != row.end[0] and row.start[1] != row.end[1]:
        says = f"row {row.id!r} goes slantwise: give both ends the same x or the same y"
        raise RowError("to", says)
    axis = 0 if _along_x(row) else 1
    return row.start[axis], row.end[axis]


def _places(shop: Shop, row: Row) -> list[float]:
    """Where the boxes of a row stand along its axis, skipped places left out."""
    if row.wall is not None and row.wall not in {w.id for w in shop.building.all_walls}:
        known = [wall.id for wall in shop.building.all_walls]
        raise RowError("wall", f"no wall is called {row.wall!r}; {closest(row.wall, known)}")
    begin, end = _ends(row)
    gaps = [_gap(shop, row, name) for name in row.skip]
    way = 1 if end >= begin else -1
    count = int((abs(end - begin) + SAME_FT) / row.every_ft) + 1
    if count > MOST_BOXES:
        says = f"row {row.id!r} makes {count} boxes, {MOST_BOXES} at most: correct `every`"
        raise RowError("every", says)
    places = [round(begin + way * row.every_ft * n, 2) for n in range(count)]
    kept = [p for p in places if not any(low < p < high for low, high in gaps)]
    if not kept:
        raise RowError("skip", f"row {row.id!r} skips every place it has: skip less")
    return kept


def _gap(shop: Shop, row: Row, name: str) -> tuple[float, float]:
    """What is left out for a panel or an opening, along the row's axis."""
    for opening in shop.building.openings:
        if opening.id == name:
            if opening.wall != row.wall:
                says = f"opening {name!r} is in wall {opening.wall!r}, row {row.id!r} is not"
                raise RowError("skip", f"{says}: take it out of `skip`")
            return min(opening.between), max(opening.between)
    for panel in shop.supply.panels:
        if panel.id == name:
            x, y, _ = shop.position(panel)
            along = y if panel.x_ft is None else x
            if panel.wall != row.wall:
                says = f"panel {name!r} is on wall {panel.wall!r}, row {row.id!r} is not"
                raise RowError("skip", f"{says}: take it out of `skip`")
            return along - WORKING_SPACE_WIDTH_FT / 2, along + WORKING_SPACE_WIDTH_FT / 2
    known = [o.id for o in shop.building.openings] + [p.id for p in shop.supply.panels]
    raise RowError("skip", f"no opening or panel is called {name!r}; {closest(name, known)}")


def _named(row: Row, places: list[float]) -> dict[str, float]:
    """Each place with its id, in the order of the row."""
    left = list(places)
    names: dict[float, str] = {}
    for name, along in row.ids.items():
        place = next((p for p in left if abs(p - along) < SAME_FT), None)
        if place is None:
            says = f"{name!r} of row {row.id!r} stands at {feet_inches(along)}, where the row has"
            says += " no box: correct `from`, `every` and `skip`, or take the id out for good"
            raise RowError("ids", says)
        left.remove(place)
        names[place] = name
    numbers = [int(m[1]) for n in row.ids if (m := re.fullmatch(rf"{re.escape(row.id)}(\d+)", n))]
    following = max(numbers, default=0)
    for place in left:
        following += 1
        names[place] = f"{row.id}{following}"
    return {names[place]: place for place in places}
