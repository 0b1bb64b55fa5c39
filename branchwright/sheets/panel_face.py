"""The panel face: each space in two columns with its leg, breaker and what it feeds."""

from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Rect, Text
from branchwright.sheets.sheet import SHEET_MARGIN, draw_foot, draw_head, foot_height
from branchwright.sheets.text_size import fitted
from branchwright.words import clean, plain
from models.plan import CircuitPlan, PanelPlan, Plan, Space

ROW: Final = 30.0
HEAD: Final = 96.0
BREAKER_WIDTH, LEG_WIDTH, TEXT_WIDTH = 64.0, 26.0, 262.0
SIDE: Final = LEG_WIDTH + BREAKER_WIDTH + TEXT_WIDTH
WIDTH: Final = 2 * (SIDE + SHEET_MARGIN)


def panel_face(plan: Plan, panel: PanelPlan) -> Drawing:
    """The front of one panel, odd spaces left, even right."""
    rows = (len(panel.spaces) + 1) // 2
    height = HEAD + rows * ROW + 20 + foot_height() + SHEET_MARGIN
    drawing = Drawing(WIDTH, height, f"Face of panel {panel.id}: {len(panel.spaces)} spaces")
    draw_head(drawing.layer("head"), plan, f"Panel {clean(panel.id)}", WIDTH)
    main = "main lugs" if panel.main.kind == "lug" else f"main {plain(panel.main.amps or 0)} A"
    says = f"bus {plain(panel.bus_amps)} A, {main}, terminals read at {panel.terminals_c} °C"
    layer = drawing.layer("spaces")
    layer.add(Text((SHEET_MARGIN, HEAD - 14), says, styles.SMALL))
    circuits = {circuit.id: circuit for circuit in plan.circuits}
    frame = Bounds(SHEET_MARGIN, HEAD - 4, WIDTH - SHEET_MARGIN, HEAD + rows * ROW + 4)
    layer.add(Rect(frame, styles.PANEL, 4))
    middle = WIDTH / 2
    layer.add(Line((middle, HEAD - 4), (middle, frame.bottom), styles.RULE))
    for space in panel.spaces:
        _draw_space(layer, space, circuits.get(space.circuit or ""))
    draw_foot(drawing.layer("foot"), (SHEET_MARGIN, frame.bottom + 8), WIDTH)
    return drawing


def _top(space: int) -> float:
    return HEAD + (space - 1) // 2 * ROW


def _breaker_bounds(space: int) -> Bounds:
    """The breaker of a space, next to the middle."""
    middle = WIDTH / 2
    left = middle - 8 - BREAKER_WIDTH if space % 2 else middle + 8
    top = _top(space)
    return Bounds(left, top + 3, left + BREAKER_WIDTH, top + ROW - 3)


def _draw_space(layer: Group, space: Space, circuit: CircuitPlan | None) -> None:
    """One space: number, leg, breaker, words; the second pole belongs to the breaker above."""
    bounds, odd = _breaker_bounds(space.space), space.space % 2 == 1
    base = (bounds.top + bounds.bottom) / 2 + 4
    edge = SHEET_MARGIN + 8 if odd else WIDTH - SHEET_MARGIN - 8
    number = f"{space.space} {space.leg}" if odd else f"{space.leg} {space.space}"
    layer.add(Text((edge, base), number, styles.STRONG, "start" if odd else "end"))
    middle = (bounds.left + bounds.right) / 2
    if circuit is None:
        says = "kept free" if space.reserved_for else "free"
        layer.add(Rect(bounds, styles.VACANT, 3))
        layer.add(Text((middle, base), says, styles.SMALL, "middle"))
        return
    if space.pole == 2:
        return
    last = _breaker_bounds(circuit.breaker.spaces[-1])
    look = styles.BREAKER_EXISTING if circuit.life == "existing" else styles.BREAKER
    layer.add(Rect(Bounds(bounds.left, bounds.top, bounds.right, last.bottom), look, 3))
    base = (bounds.top + last.bottom) / 2 + 4
    layer.add(Text((middle, base), f"{plain(circuit.breaker.amps)} A", styles.SMALL_INK, "middle"))
    words = [*(["GFCI"] if circuit.breaker.gfci else [])]
    words += ["existing"] if circuit.life == "existing" else []
    says = ", ".join([f"{clean(circuit.id)}: {clean(circuit.says)}", *words])
    near = bounds.left - 8 if odd else bounds.right + 8
    line = fitted(says, TEXT_WIDTH - 24, styles.SMALL_INK.size)
    layer.add(Text((near, base), line, styles.SMALL_INK, "end" if odd else "start"))
