"""The legend of a shop's drawing: only what this shop has."""

from collections.abc import Iterator

from branchwright.sheets import styles
from branchwright.sheets.display import Circle, Line, Polyline, Rect, Shape, Xy
from branchwright.sheets.floor_frame import around
from branchwright.sheets.floor_legend import (
    Icon,
    machine_icon,
    panel_icon,
    working_space_icon,
    yoke_icon,
)
from branchwright.sheets.floor_symbols import R, draw_letter, draw_luminaire
from branchwright.sheets.shop_rooms import hatch
from models.shop import Shop
from models.wall_reach import bare_stretches
from solver.survey import Survey


def shop_legend(shop: Shop, found: Survey) -> Iterator[tuple[str, list[tuple[str, Icon]]]]:
    """The symbols, walls and ways that this shop has."""
    symbols: dict[str, Icon] = {"panel": panel_icon}
    symbols["working space, 30 in × 36 in"] = working_space_icon
    for box in shop.boxes:
        for yoke in box.devices:
            says, icon = yoke_icon(yoke.kind, yoke.configuration or None)
            symbols.setdefault(says, icon)
    if any(box.luminaire_watts is not None for box in shop.boxes):
        symbols["luminaire"] = draw_luminaire
    if shop.routes.junction_boxes:
        symbols["junction box"] = lambda middle: draw_letter(middle, "J")
    if shop.routes.passages:
        symbols["passage"] = lambda middle: [diamond(middle)]
    if any(machine.at is not None for machine in shop.machines):
        symbols["machine and its cord"] = machine_icon
    yield "SYMBOLS", list(symbols.items())
    yield "WALLS", list(_wall_rows(shop, found))
    lies = sorted({kind for one in found.reached for kind, _ in one.lies})
    rows: list[tuple[str, Icon]] = [(kind, _way_icon(kind)) for kind in lies]
    if found.ways.raceways:
        rows.append(("raceway", _tube_icon))
    yield "SHORTEST WAYS TO A PANEL", rows


def _wall_rows(shop: Shop, found: Survey) -> Iterator[tuple[str, Icon]]:
    walls = shop.building.all_walls
    if any(wall.construction != "masonry" for wall in walls):
        yield "stud wall", lambda at: [Rect(around(at, 15, 4), styles.PARTITION)]
    if any(wall.construction == "masonry" for wall in walls):
        yield (
            "masonry: raceway on the surface only",
            lambda at: [
                Rect(around(at, 15, 4), styles.PARTITION),
                *hatch(around(at, 15, 4)),
            ],
        )
    if shop.building.areas:
        yield "area", lambda at: [Rect(around(at, 15, 6), styles.AREA_EDGE)]
    if shop.building.zones:
        yield "zone", lambda at: [Rect(around(at, 15, 6), styles.ZONE)]
    if shop.routes.avoid:
        yield "no run goes here", _keep_out_icon
    if bare_stretches(shop):
        yield "nothing in reach of a 6 ft cord", _bare_icon
    if any(one.way is None for one in found.reached):
        yield "no way leads here", lambda at: [Circle(at, 8, styles.NO_WAY)]


def diamond(middle: Xy) -> Shape:
    """A passage."""
    x, y = middle
    points = ((x, y - R), (x + R, y), (x, y + R), (x - R, y))
    return Polyline(points, styles.SYMBOL, True)


def _way_icon(kind: str) -> Icon:
    return lambda at: [Line((at[0] - 16, at[1]), (at[0] + 16, at[1]), styles.LIES[kind])]


def _tube_icon(at: Xy) -> list[Shape]:
    ends = ((at[0] - 16, at[1]), (at[0] + 16, at[1]))
    return [Polyline(ends, styles.CASING_EDGE), Polyline(ends, styles.CASING_BODY)]


def _bare_icon(at: Xy) -> list[Shape]:
    return [Line((at[0] - 15, at[1]), (at[0] + 15, at[1]), styles.BARE_WALL)]


def _keep_out_icon(at: Xy) -> list[Shape]:
    box = around(at, 12, 6)
    return [
        Rect(box, styles.KEEP_OUT),
        Line((box.left, box.top), (box.right, box.bottom), styles.KEEP_OUT),
        Line((box.left, box.bottom), (box.right, box.top), styles.KEEP_OUT),
    ]
