"""The floor plans of single circuits: one's runs, boxes, machines, labels strong, all others faint.

Made from the whole floor plan, so that everything stands where it stands there. What two of them
show alike is one and the same group.
"""

from dataclasses import replace
from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.display import (
    Bounds,
    Drawing,
    Group,
    Shape,
    Stroked,
    Text,
    covered,
)
from branchwright.sheets.sheet import draw_head, shop_name, violation_count
from branchwright.sheets.styles import Lettering, Style
from branchwright.words import clean
from models.plan import CircuitPlan, Plan

STRONGER: Final = 1.7


class FloorCircuits:
    """The sheets of the circuits of a plan; `whole` is its floor plan."""

    def __init__(self, plan: Plan, whole: Drawing) -> None:
        self._plan, self._whole = plan, whole
        self._faint: dict[int, Group] = {}

    def sheet(self, circuit: CircuitPlan) -> Drawing:
        """The sheet of one circuit."""
        head = Group("head")
        title = f"Circuit {clean(circuit.id)}"
        name = f"{shop_name(self._plan)}: {clean(circuit.says)}"
        draw_head(head, name, title, self._whole.width, violation_count(self._plan))
        layers = [shape for shape in self._whole.root.shapes if isinstance(shape, Group)]
        drawn = [self._shown(layer, circuit.id) for layer in layers if layer.name != "head"]
        return replace(
            self._whole,
            says=f"Floor plan of circuit {circuit.id}: {circuit.says}",
            root=Group(self._whole.root.name, [head, *drawn]),
        )

    def _shown(self, group: Group, circuit: str) -> Group:
        """A group as a circuit's sheet shows it; what is of no circuit stays as it is."""
        if group.of:
            return _strong(group) if circuit in group.of else self._fainter(group)
        inner = [one for one in group.shapes if isinstance(one, Group)]
        shown = {id(one): self._shown(one, circuit) for one in inner}
        if all(shown[id(one)] is one for one in inner):
            return group
        on_top = sorted(group.shapes, key=lambda one: isinstance(one, Group) and circuit in one.of)
        shapes = [shown[id(one)] if isinstance(one, Group) else one for one in on_top]
        return replace(group, shapes=shapes)

    def _fainter(self, group: Group) -> Group:
        if id(group) not in self._faint:
            self._faint[id(group)] = _faint(group)
        return self._faint[id(group)]


def circuit_extent(drawing: Drawing, circuit: str) -> Bounds | None:
    """Where a circuit lies on its sheet, from its panel to its last box, labels included."""
    layers = [
        shape
        for shape in drawing.root.shapes
        if isinstance(shape, Group) and shape.name in ("runs", "symbols", "labels")
    ]
    mine = [
        group
        for layer in layers
        for group in layer.shapes
        if isinstance(group, Group) and circuit in group.of
    ]
    return covered(Group("", list(mine))) if mine else None


def _strong(group: Group) -> Group:
    """Runs, which have a colour, become wider; symbols and words stay as they are."""
    return replace(group, shapes=[_wider(shape) for shape in group.shapes])


def _wider(shape: Shape) -> Shape:
    if isinstance(shape, Group):
        return _strong(shape)
    if isinstance(shape, Text):
        return shape
    style = shape.style
    coloured = style.stroke in styles.CIRCUIT_COLOURS and style.fill == "none"
    return _restyled(shape, replace(style, width=STRONGER * style.width)) if coloured else shape


def _faint(group: Group) -> Group:
    return replace(group, shapes=[_fainter(shape) for shape in group.shapes], about=None)


def _fainter(shape: Shape) -> Shape:
    if isinstance(shape, Group):
        return _faint(shape)
    if isinstance(shape, Text):
        return replace(shape, lettering=_faint_letters(shape.lettering))
    return _restyled(shape, _faint_style(shape.style))


def _restyled(shape: Stroked, style: Style) -> Shape:
    return replace(shape, style=style)


def _faint_style(style: Style) -> Style:
    stroke = style.stroke if style.stroke == "none" else styles.HAIR
    fill = style.fill if style.fill in ("none", styles.PAPER) else styles.HAIR
    return replace(style, stroke=stroke, fill=fill, width=min(style.width, 1.0))


def _faint_letters(lettering: Lettering) -> Lettering:
    return replace(lettering, fill=styles.FAINT)
