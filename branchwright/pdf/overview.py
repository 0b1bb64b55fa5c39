"""A floor plan so small that its letters would not be read: the names that have room in larger
letters, in the order of their weight, others left out with the lines that lead to them. Points.

Of what belongs to other circuits than the sheet's own, which is faint there, no name is shown.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from branchwright.sheets.display import (
    Bounds,
    Drawing,
    Group,
    Line,
    Polyline,
    Rect,
    Shape,
    Text,
    Xy,
    covered,
)
from branchwright.sheets.label_places import Places
from branchwright.sheets.styles import FAINT, WORKING_SPACE
from branchwright.sheets.text_size import ASCENT_EM, DESCENT_EM

NEAR: Final = 1.0


def overview(drawing: Drawing, least: float) -> Drawing:
    """The drawing with no letters below this size."""
    layers = [shape for shape in drawing.root.shapes if isinstance(shape, Group)]
    named = {layer.name: layer for layer in layers}
    labels, gone = _labels(named.get("labels", Group("labels")), least, _taken(drawing, named))
    drawn: list[Shape] = []
    for layer in layers:
        if layer.name == "labels":
            drawn.append(labels)
        elif layer.name == "leaders":
            left = [one for one in layer.shapes if not _leads_to(one, gone)]
            drawn.append(replace(layer, shapes=left))
        else:
            drawn.append(_in_place(layer, least))
    return replace(drawing, root=Group(drawing.root.name, drawn))


def _taken(drawing: Drawing, named: Mapping[str, Group]) -> Places:
    """What names keep off: symbols, runs, and the lines of walls and machines."""
    places = Places(drawing.bounds)
    for name in ("building", "machines"):
        if layer := named.get(name):
            for edge in _edges(layer):
                places.add_line(edge)
    if symbols := named.get("symbols"):
        places.add_solid(covered(one) for one in symbols.shapes)
    if runs := named.get("runs"):
        for edge in _edges(runs):
            places.add_run(edge)
    return places


def _edges(shape: Shape) -> Iterator[Sequence[Xy]]:
    """Every line, and the outline of every shape with corners."""
    match shape:
        case Group():
            for inner in shape.shapes:
                yield from _edges(inner)
        case Line():
            yield shape.start, shape.end
        case Polyline() if shape.style != WORKING_SPACE:  # which a panel's name may lie on
            yield (*shape.points, shape.points[0]) if shape.closed else shape.points
        case Rect():
            yield shape.bounds.outline


def _labels(labels: Group, least: float, places: Places) -> tuple[Group, list[Bounds]]:
    """The labels that are shown, and where those stood that are not."""
    shown: dict[int, Group] = {}
    gone: list[Bounds] = []
    groups = [one for one in labels.shapes if isinstance(one, Group) and any(one.texts())]
    for one in sorted(groups, key=lambda label: not label.of):
        label = _label(one, least, places)
        if label is None:
            gone.append(covered(one))
        else:
            shown[id(one)] = label
    kept = [shown.get(id(one), one) for one in labels.shapes if id(one) in shown]
    return replace(labels, shapes=kept), gone


def _label(label: Group, least: float, places: Places) -> Group | None:
    """A label, or its first line alone in larger letters, if it has the room."""
    texts = list(label.texts())
    around = covered(Group("", list(texts)))
    if any(text.lettering.fill == FAINT for text in texts):
        return None
    if min(text.lettering.size for text in texts) < least:
        first = _larger(texts[0], least, around)
        others = [shape for shape in label.shapes if not isinstance(shape, Text)]
        on_paper = any(isinstance(shape, Rect) for shape in others)  # of its own, over lines
        if not places.free(first.bounds, lines=on_paper):
            return None
        places.add_label(first.bounds)
        label = replace(label, shapes=[*others, first])
    places.add_label(around)
    return label


def _larger(text: Text, size: float, around: Bounds) -> Text:
    """A text in letters of this size, in the middle of what it stood in."""
    x, _ = text.at
    y = (around.top + around.bottom) / 2 + (ASCENT_EM - DESCENT_EM) / 2 * size
    return replace(text, at=(x, y), lettering=replace(text.lettering, size=size))


def _leads_to(shape: Shape, places: Iterable[Bounds]) -> bool:
    """Whether a line ends at one of these."""
    if isinstance(shape, Group):
        return any(_leads_to(inner, places) for inner in shape.shapes)
    if not isinstance(shape, Line):
        return False
    x, y = shape.end
    return any(Bounds(x, y, x, y).overlaps(place, NEAR) for place in places)


def _in_place(shape: Shape, least: float) -> Shape:
    """The same with its letters larger where they stand; none on another of its group."""
    if not isinstance(shape, Group) or all(t.lettering.size >= least for t in shape.texts()):
        return shape
    drawn: list[Shape] = []
    taken: list[Bounds] = []
    for one in shape.shapes:
        if isinstance(one, Text) and one.lettering.size < least:
            larger = _larger(one, least, one.bounds)
            if any(larger.bounds.overlaps(other) for other in taken):
                continue
            taken.append(larger.bounds)
            drawn.append(larger)
        else:
            drawn.append(_in_place(one, least))
    return replace(shape, shapes=drawn)
