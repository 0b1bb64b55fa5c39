"""The floor plan of one circuit: its runs, boxes, machines and labels strong, all others faint.

Made from the whole floor plan, so that everything stands where it stands there.
"""

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
    Text,
    covered,
)
from branchwright.sheets.sheet import draw_head, shop_name, violation_count
from branchwright.sheets.styles import Lettering, Style
from branchwright.words import clean
from models.plan import CircuitPlan, Plan

STRONGER: Final = 1.7


def floor_circuit(plan: Plan, whole: Drawing, circuit: CircuitPlan) -> Drawing:
    """The sheet of one circuit; `whole` is the floor plan of the same plan."""
    head = Group("head")
    title = f"Circuit {clean(circuit.id)}"
    name = f"{shop_name(plan)}: {clean(circuit.says)}"
    draw_head(head, name, title, whole.width, violation_count(plan))
    layers = [shape for shape in whole.root.shapes if getattr(shape, "name", "") != "head"]
    drawn = [head, *(_shown(shape, circuit.id, None) for shape in layers)]
    return replace(
        whole,
        says=f"Floor plan of circuit {circuit.id}: {circuit.says}",
        root=Group(whole.root.name, drawn),
    )


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


def _shown(shape: Shape, circuit: str, strong: bool | None) -> Shape:
    """A shape as this circuit's sheet shows it; `strong` is None for what is of no circuit."""
    if isinstance(shape, Group):
        mine = circuit in shape.of if shape.of else strong
        on_top = sorted(shape.shapes, key=lambda one: isinstance(one, Group) and circuit in one.of)
        return replace(shape, shapes=[_shown(inner, circuit, mine) for inner in on_top])
    if strong is None:
        return shape
    if isinstance(shape, Text):
        return shape if strong else replace(shape, lettering=_faint_letters(shape.lettering))
    return _restyled(shape, _strong(shape.style) if strong else _faint(shape.style))


def _restyled(shape: Line | Polyline | Rect | Circle, style: Style) -> Shape:
    return replace(shape, style=style)


def _strong(style: Style) -> Style:
    """Runs, which have a colour, become wider; symbols stay as they are."""
    coloured = style.stroke in styles.CIRCUIT_COLOURS and style.fill == "none"
    return replace(style, width=STRONGER * style.width) if coloured else style


def _faint(style: Style) -> Style:
    stroke = style.stroke if style.stroke == "none" else styles.HAIR
    fill = style.fill if style.fill in ("none", styles.PAPER) else styles.HAIR
    return replace(style, stroke=stroke, fill=fill, width=min(style.width, 1.0))


def _faint_letters(lettering: Lettering) -> Lettering:
    return replace(lettering, fill=styles.FAINT)
