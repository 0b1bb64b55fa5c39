"""What goes along when a box is taken out of a shop, or a panel is put elsewhere: its raceways.

A raceway that met another in a box that is gone goes on, by a way of its own, to where the other
came from: the enclosure nearer to a panel. One over which nothing went on goes with the box. The
points over a panel that a raceway passes go with the panel; where they cannot, its way is left to
be found anew. What is there already stays: the owner has to say what becomes of it.
"""

from collections.abc import Sequence

from models.route_checks import check_ways
from models.shop import Raceway, Shop
from models.shop_edit import Change, changed

SAME_FT = 0.01
Point3 = tuple[float, float, float]


class CarryError(ValueError):
    """What hangs on a thing that is gone cannot be carried along: the owner has to say more."""


def carried(before: Shop, after: Shop) -> tuple[Shop, list[str]]:
    """A changed shop with its raceways carried along, and in sentences what became of them.

    Raises CarryError for a raceway that would begin nowhere or that is there already.
    """
    told: dict[str, str] = {}
    gone = [name for name in before.enclosures if name not in after.enclosures]
    while gone:
        meeting = {name: _meeting(after, name) for name in gone}
        at = next((name for name in gone if _feed(after, name, meeting[name])), gone[0])
        gone.remove(at)
        if meeting[at]:
            after = changed(after, _joined(after, at, meeting[at], told))
    for panel in after.supply.panels:
        old = before.enclosures.get(panel.id)
        if old is not None and before.position(old) != after.position(panel):
            after = _beside(after, panel.id, before.position(old), told)
    return after, list(told.values())


def _meeting(shop: Shop, box: str) -> list[Raceway]:
    return [raceway for raceway in shop.routes.raceways if box in raceway.ends]


def _other(raceway: Raceway, end: str) -> str:
    return raceway.ends[1] if raceway.ends[0] == end else raceway.ends[0]


def _feed(shop: Shop, box: str, meeting: Sequence[Raceway]) -> Raceway | None:
    """The raceway of a box that is the fewest raceways from a panel, without passing the box."""
    reached = {panel.id for panel in shop.supply.panels}
    while True:
        if found := [r for r in meeting if _other(r, box) in reached]:
            return found[0]
        ends = [r.ends for r in shop.routes.raceways if box not in r.ends]
        more = {end for pair in ends if reached & {*pair} for end in pair} - reached
        if not more:
            return None
        reached |= more


def _joined(shop: Shop, box: str, meeting: Sequence[Raceway], told: dict[str, str]) -> list[Change]:
    """The changes by which raceways that met in a box go on without it."""
    if there := [raceway.id for raceway in meeting if raceway.existing]:
        raise CarryError(
            f"raceways that are there already end in {box}: {', '.join(there)}: say what becomes"
            f" of each, `routes.raceways[{there[0]}]=` or `routes.raceways[{there[0]}].ends=[…]`"
        )
    feed = _feed(shop, box, meeting)
    names = [raceway.id for raceway in meeting]
    if feed is None and len(meeting) > 1:
        raise CarryError(
            f"cable alone leads to {box}, so that {', '.join(names)} would begin nowhere: take each"
            f" away too, `routes.raceways[{names[0]}]=`, or give it another end,"
            f" `routes.raceways[{names[0]}].ends=[…]`; parts of one variant are parted by `;`"
        )
    lost = feed or meeting[0]
    start = _other(lost, box)
    changes: list[Change] = [(f"routes.raceways[{lost.id}]", None)]
    on = [raceway for raceway in meeting if raceway is not lost and _other(raceway, box) != start]
    for raceway in meeting:
        path = f"routes.raceways[{raceway.id}]"
        if raceway in on:
            changes.append((f"{path}.ends", sorted((start, _other(raceway, box)))))
            changes.append((f"{path}.by", None))
            told[raceway.id] = f"raceway {raceway.id} goes on to {start}, its way found anew"
        else:
            changes += [] if raceway is lost else [(path, None)]
            told[raceway.id] = f"raceway {raceway.id} goes with {box}"
    return changes


def _beside(shop: Shop, panel: str, old: Point3, told: dict[str, str]) -> Shop:
    """The raceways of a panel that was put elsewhere: their points over it moved along."""
    new = shop.position(shop.enclosures[panel])
    shift = [b - a for a, b in zip(old, new, strict=True)]
    for raceway in _meeting(shop, panel):
        if not raceway.by or raceway.existing:
            continue
        points = list(raceway.by if raceway.ends[0] == panel else raceway.by[::-1])
        over = 0
        while over < len(points) and _is_over(points[over], old):
            x, y, z = points[over]
            points[over] = x + shift[0], y + shift[1], z
            over += 1
        by = points if raceway.ends[0] == panel else points[::-1]
        path = f"routes.raceways[{raceway.id}].by"
        moved = changed(shop, [(path, [[f"{value:g} ft" for value in point] for point in by])])
        if over and not _slantwise(moved, raceway.id):
            shop = moved
            told[raceway.id] = f"the points of raceway {raceway.id} over {panel} move with it"
        else:
            shop = changed(shop, [(path, None)])
            told[raceway.id] = f"the way of raceway {raceway.id} to {panel} is found anew"
    return shop


def _is_over(point: Point3, place: Point3) -> bool:
    return all(abs(a - b) < SAME_FT for a, b in zip(point[:2], place[:2], strict=True))


def _slantwise(shop: Shop, raceway: str) -> bool:
    """Whether a raceway's way as given is none."""
    index = next(n for n, one in enumerate(shop.routes.raceways) if one.id == raceway)
    return any(problem.path[:3] == ("routes", "raceways", index) for problem in check_ways(shop))
