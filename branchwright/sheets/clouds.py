"""Clouds round what changed on a drawing, each with the number that the list of changes has.

A drawing says by its groups which thing each shows; whatever is changed gets a scalloped outline
round its shapes, and a triangle with its number where no text is. The outline of several shapes of
one number that come near each other is one.
"""

import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.display import (
    Bounds,
    Circle,
    Drawing,
    Group,
    Line,
    Polyline,
    Rect,
    Shape,
    Stroked,
    Text,
    Thing,
    Xy,
    covered,
)
from branchwright.sheets.label_places import Places, Target
from branchwright.sheets.sheet import SHEET_MARGIN
from branchwright.sheets.text_size import fitted

NOT_MARKED: Final = ("head", "legend", "foot", "list")  # layers about the drawing itself
RUNS: Final = "runs"
CHANGES: Final = "changes"  # the layer of the list below a drawing
BESIDE: Final = ("symbols", "labels")  # layers where a label stands beside its symbol
UNDER: Final = ("leaders", "labels")  # clouds go under these, whose letters have a halo
PAD: Final = (3.5, 3.5)
ROW_PAD: Final = (3.0, 0.4)  # rows stand close
SCALLOP: Final = 6.5  # length of one
DEPTH: Final = 0.32  # of its length
SLEEVE: Final = 40.0  # of a run where many lie beside each other
ARC_STEPS: Final = 4
TAG: Final = (21.0, 18.0)
SMALL: Final = 4  # what is no larger than so many tags is a symbol
TAG_ON: Final = 4  # places tried along an outline
STEP: Final = 13.0
MOST_LISTED: Final = 10


def clouded(
    drawing: Drawing,
    numbers: Mapping[Thing, Sequence[int]],
    since: str,
    said: Mapping[int, str],
    *,
    whole_runs: bool = True,
) -> Drawing:
    """The drawing with a cloud for each number that it shows, and under it what the numbers say.

    Without `whole_runs` only the end of a run is in a cloud, before the box that it leads to.
    """
    shown = _areas(drawing, numbers, math.inf if whole_runs else SLEEVE)
    if not shown:
        return drawing
    clouds = Group("clouds")
    tags = Group("cloud numbers")
    places = _taken(drawing)
    for number, areas in sorted(shown.items()):
        loops = outlines(areas)
        clouds.add(*(Polyline(tuple(scalloped(loop)), styles.CLOUD, True) for loop in loops))
        tags.add(*_tag(number, loops, places))
    layers = list(drawing.root.shapes)
    at = next((i for i, one in enumerate(layers) if getattr(one, "name", "") in UNDER), len(layers))
    root = replace(drawing.root, shapes=[*layers[:at], clouds, *layers[at:], tags])
    return _with_list(replace(drawing, root=root), sorted(shown), since, said)


def shown_on(drawing: Drawing, numbers: Mapping[Thing, Sequence[int]]) -> list[int]:
    """The numbers that a drawing shows, lowest first."""
    return sorted(_areas(drawing, numbers, math.inf))


def _areas(
    drawing: Drawing, numbers: Mapping[Thing, Sequence[int]], most: float
) -> dict[int, list[Bounds]]:
    """For each number the rectangles of what it marks, `most` points of each run."""
    found: dict[int, list[Bounds]] = defaultdict(list)
    for layer in drawing.root.shapes:
        if isinstance(layer, Group) and layer.name not in NOT_MARKED:
            for group in _about(layer):
                for number in numbers.get(group.about, ()) if group.about else ():
                    found[number] += _marked(layer.name, group, found[number], most)
    return {number: areas for number, areas in found.items() if areas}


def _about(group: Group) -> Iterator[Group]:
    """The groups inside that show a thing."""
    if group.about:
        yield group
    for shape in group.shapes:
        if isinstance(shape, Group):
            yield from _about(shape)


def _marked(layer: str, group: Group, before: Sequence[Bounds], most: float) -> Iterator[Bounds]:
    """What is marked of a group: a run along its way, a label where it stands at its symbol."""
    kind = group.about.kind if group.about else ""
    shapes = list(_flat(group))
    if kind == "run":
        ways = [s.points for s in shapes if isinstance(s, Polyline) and not s.closed]
        yield from _sleeve([point for points in ways for point in points], most)
        return
    if layer not in BESIDE:  # a row of a table, a breaker with its words
        yield _padded(covered(group), ROW_PAD)
        return
    tags = [shape for shape in shapes if isinstance(shape, Rect)] if layer == "labels" else []
    whole = _padded(covered(Group("", [*(tags or shapes)])), PAD)
    if layer == "symbols" or tags or kind == "raceway" or any(map(whole.overlaps, before)):
        yield whole


def _sleeve(points: Sequence[Xy], most: float) -> Iterator[Bounds]:
    """Rectangles along a run, from its end back."""
    for end, start in itertools.pairwise(reversed(points)):
        length = math.dist(start, end)
        if length:
            part = min(1.0, most / length)
            back = end[0] + (start[0] - end[0]) * part, end[1] + (start[1] - end[1]) * part
            yield _padded(_bounds((back, end)), PAD)
        most -= length
        if most <= 0:
            return


def _flat(group: Group) -> Iterator[Stroked | Text]:
    for shape in group.shapes:
        if isinstance(shape, Group):
            yield from _flat(shape)
        else:
            yield shape


def _bounds(points: Sequence[Xy]) -> Bounds:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return Bounds(min(xs), min(ys), max(xs), max(ys))


def _padded(area: Bounds, by: Xy) -> Bounds:
    across, down = by
    return Bounds(area.left - across, area.top - down, area.right + across, area.bottom + down)


def outlines(areas: Sequence[Bounds]) -> list[list[Xy]]:
    """The outlines of all that some rectangles cover, clockwise on paper, holes the other way.

    >>> outlines([Bounds(0, 0, 2, 1), Bounds(1, 0, 3, 1)])
    [[(0, 0), (3, 0), (3, 1), (0, 1)]]
    """
    xs = sorted({x for one in areas for x in (one.left, one.right)})
    ys = sorted({y for one in areas for y in (one.top, one.bottom)})
    column, row = ({at: place for place, at in enumerate(line)} for line in (xs, ys))
    covered = {
        (across, down)
        for one in areas
        for across in range(column[one.left], column[one.right])
        for down in range(row[one.top], row[one.bottom])
    }
    ways: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for x, y in sorted(covered):
        sides = (
            ((x, y - 1), (x, y), (x + 1, y)), ((x + 1, y), (x + 1, y), (x + 1, y + 1)),
            ((x, y + 1), (x + 1, y + 1), (x, y + 1)), ((x - 1, y), (x, y + 1), (x, y)),
        )  # fmt: skip
        for beside, start, end in sides:
            if beside not in covered:
                ways[start].append(end)
    loops = []
    while ways:
        start = min(ways)
        loop = [start]
        while (end := ways[loop[-1]].pop()) != start:
            if not ways[loop[-1]]:
                del ways[loop[-1]]
            loop.append(end)
        if not ways[loop[-1]]:
            del ways[loop[-1]]
        loops.append([(xs[x], ys[y]) for x, y in _corners(loop)])
    return loops


def _corners(loop: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """Where a loop turns."""
    kept = []
    for index, (x, y) in enumerate(loop):
        before, after = loop[index - 1], loop[(index + 1) % len(loop)]
        if (x - before[0]) * (after[1] - y) != (y - before[1]) * (after[0] - x):
            kept.append((x, y))
    return kept


def scalloped(loop: Sequence[Xy]) -> Iterator[Xy]:
    """Arcs along an outline, bulging away from what it holds."""
    for start, end in zip(loop, [*loop[1:], loop[0]], strict=True):
        length = math.dist(start, end)
        count = max(1, round(length / SCALLOP))
        way = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
        chord, out = length / count, (way[1], -way[0])
        for step in range(count * ARC_STEPS):
            part = step % ARC_STEPS / ARC_STEPS
            along = chord * step / ARC_STEPS
            off = DEPTH * min(chord, SCALLOP) * 4 * part * (1 - part)
            yield (
                start[0] + way[0] * along + out[0] * off,
                start[1] + way[1] * along + out[1] * off,
            )


def _taken(drawing: Drawing) -> Places:
    """Where a number may not stand: on text, on a tag, on a symbol, on a run."""
    page = drawing.bounds
    inner = Bounds(page.left + 2, page.top + 2, page.right - 2, page.bottom - 2)
    places = Places(inner)
    for layer in drawing.root.shapes:
        if isinstance(layer, Group) and layer.name == RUNS:
            for shape in _flat(layer):
                if isinstance(shape, Polyline) and not shape.closed:
                    places.add_run(shape.points)
    for shape in _flat(drawing.root):
        if isinstance(shape, Text):
            if shape.text.strip():
                places.add_solid([shape.bounds])
        elif isinstance(shape, Circle | Rect) or (isinstance(shape, Polyline) and shape.closed):
            area = covered(shape)
            if max(area.right - area.left, area.bottom - area.top) < SMALL * TAG[0]:
                places.add_solid([area])
        elif isinstance(shape, Polyline):
            places.add_line(shape.points)
        elif isinstance(shape, Line):
            places.add_line((shape.start, shape.end))
    return places


def _tag(number: int, loops: Sequence[Sequence[Xy]], places: Places) -> Iterator[Shape]:
    """A triangle with the number at the longest outline; a thin line when it stands off."""
    corners = max(loops, key=lambda loop: math.dist(loop[0], loop[len(loop) // 2]))
    spots = [corners[len(corners) * part // TAG_ON] for part in range(TAG_ON)]
    targets = [Target(spot, 1.0, 1.0, (0.7, -0.7)) for spot in dict.fromkeys(spots)]
    wide, high = TAG[0] + 7.0 * (len(str(number)) - 1), TAG[1]
    place = places.put(targets, wide, high)
    left, top, right, bottom = (
        place.bounds if place else Bounds(*spots[0], spots[0][0] + wide, spots[0][1] + high)
    )
    if place and place.needs_leader:
        yield Line(place.anchor, ((left + right) / 2, bottom), styles.CLOUD_LEADER)
    middle = (left + right) / 2
    yield Polyline(((left, bottom), (middle, top), (right, bottom)), styles.CLOUD_TAG, True)
    yield Text((middle, bottom - 2.6), str(number), styles.CLOUD_NUMBER, "middle")


def _with_list(
    drawing: Drawing, numbers: Sequence[int], since: str, said: Mapping[int, str]
) -> Drawing:
    """Below the drawing: since when, and what each number on it says."""
    layer = Group(CHANGES)
    y = drawing.height
    layer.add(Text((SHEET_MARGIN, y), f"CHANGED SINCE {since}", styles.HEADING))
    told = [f"{number} · {said[number]}" for number in numbers]
    if len(told) > MOST_LISTED:
        rest = len(told) - MOST_LISTED + 1
        told[MOST_LISTED - 1 :] = [f"and {rest} more: see the list of changes"]
    room = drawing.width - 2 * SHEET_MARGIN
    for order, words in enumerate(told, start=1):
        cut = fitted(words, room, styles.SMALL_INK.size)
        layer.add(Text((SHEET_MARGIN, y + STEP * order), cut, styles.SMALL_INK))
    root = replace(drawing.root, shapes=[*drawing.root.shapes, layer])
    height = y + STEP * len(told) + 22
    return replace(drawing, height=height, root=root)
