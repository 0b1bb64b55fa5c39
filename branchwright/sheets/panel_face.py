"""The panel face: its spaces as one sees them with the door open, with what each breaker feeds."""

from typing import Final

from branchwright.sheets import styles
from branchwright.sheets.breakers import OtherBreaker, other_breakers
from branchwright.sheets.display import Bounds, Drawing, Group, Line, Rect, Text, Thing
from branchwright.sheets.sheet import (
    SHEET_MARGIN,
    draw_foot,
    draw_head,
    foot_height,
    shop_name,
    violation_count,
)
from branchwright.sheets.text_size import fitted, text_width, wrapped
from branchwright.spaces import reserved_words
from branchwright.words import clean, plain
from models.changeovers import changeover_of, later_machine_of
from models.plan import CircuitPlan, PanelPlan, Plan, Space

WIDTH: Final = 1000.0
MIDDLE: Final = WIDTH / 2
BREAKER, BUS, ROW = 118.0, 34.0, 38.0
TOP: Final = 132.0
INSET, GAP = 2.5, 14.0
SECOND_POLE: Final = 2


def panel_face(plan: Plan, panel: PanelPlan) -> Drawing:
    """Draw one panel: odd spaces at the left, even at the right, legs down the middle."""
    rows = (max((space.space for space in panel.spaces), default=2) + 1) // 2
    bottom = TOP + rows * ROW
    height = bottom + 34 + foot_height() + SHEET_MARGIN
    says = f"Face of panel {panel.id}: {len(panel.spaces)} spaces"
    drawing = Drawing(WIDTH, height, says)
    title = f"Panel {clean(panel.id)}"
    draw_head(drawing.layer("head"), shop_name(plan), title, WIDTH, violation_count(plan))
    _enclosure(drawing.layer("enclosure"), panel, rows)
    layer = drawing.layer("spaces")
    circuits = {circuit.id: circuit for circuit in plan.circuits}
    others = other_breakers(plan, panel)
    taken = {space for breaker in others for space in breaker.spaces}
    for breaker in others:
        _other_breaker(layer, panel, breaker)
    drawn: set[str] = set()
    for space in sorted(panel.spaces, key=lambda space: (space.space, space.tandem or "")):
        circuit = circuits.get(space.circuit or "")
        if space.space in taken:
            continue
        if circuit is None:
            _vacant(layer, plan, space)
        elif space.tandem or circuit.id not in drawn:
            drawn.add(circuit.id)
            _breaker(layer, circuit, space)
    draw_foot(drawing.layer("foot"), (SHEET_MARGIN, bottom + 34), WIDTH)
    return drawing


def _enclosure(layer: Group, panel: PanelPlan, rows: int) -> None:
    """The box around the breakers, its ratings, and the leg of each row."""
    half = BUS / 2 + BREAKER + 12
    bottom = TOP + rows * ROW
    layer.add(
        Rect(Bounds(MIDDLE - half, TOP - 46, MIDDLE + half, bottom + 12), styles.ENCLOSURE, 6)
    )
    amps = panel.main.amps
    kind = "back-fed main" if panel.main.kind == "back-fed" else "main breaker"
    main = f"{plain(amps, 1)} A {kind}" if amps is not None else "main lugs"
    says = f"{main} · bus {plain(panel.bus_amps, 1)} A · terminals {panel.terminals_c} °C"
    text = fitted(says, 2 * half - 20, styles.SMALL_INK.size)
    layer.add(Text((MIDDLE, TOP - 25), text, styles.SMALL_INK, "middle"))
    for row in range(rows):
        y = TOP + row * ROW
        leg = next((s.leg for s in panel.spaces if (s.space + 1) // 2 == row + 1), "")
        layer.add(Text((MIDDLE, y + ROW / 2 + 3.4), leg, styles.HEADING, "middle"))
    layer.add(Line((MIDDLE - BUS / 2, TOP), (MIDDLE - BUS / 2, bottom), styles.RULE))
    layer.add(Line((MIDDLE + BUS / 2, TOP), (MIDDLE + BUS / 2, bottom), styles.RULE))


def _place(space: Space, rows: int = 1) -> tuple[Bounds, bool]:
    """Where a space is, and whether it is at the left; `rows` for a breaker of more poles."""
    left = space.space % 2 == 1
    top = TOP + ((space.space - 1) // 2) * ROW
    bottom = top + rows * ROW
    if space.tandem:
        middle = (top + bottom) / 2
        top, bottom = (top, middle) if space.tandem == "a" else (middle, bottom)
    inner = MIDDLE - BUS / 2 if left else MIDDLE + BUS / 2
    outer = inner - BREAKER if left else inner + BREAKER
    low, high = sorted((inner, outer))
    inset = INSET / 2 if space.tandem else INSET
    return Bounds(low + INSET, top + inset, high - INSET, bottom - inset), left


def _numbers(layer: Group, spaces: tuple[int, ...], left: bool) -> None:
    """Space numbers beside the bus."""
    x = MIDDLE - BUS / 2 - 12 if left else MIDDLE + BUS / 2 + 12
    for space in spaces:
        y = TOP + ((space - 1) // 2) * ROW + ROW / 2 + 3.4
        layer.add(Text((x, y), str(space), styles.SMALL, "middle"))


def _vacant(layer: Group, plan: Plan, space: Space) -> None:
    """A space without the breaker of a circuit."""
    bounds, left = _place(space)
    layer.add(Rect(bounds, styles.VACANT, 2))
    _numbers(layer, (space.space,), left)
    reserved = space.reserved_for or ""
    says = "kept free" if reserved else "not used"
    if reserved.startswith((changeover_of(""), later_machine_of(""))):
        says = f"kept for the {reserved_words(plan, reserved)}"
    _beside(layer, bounds, left, says, "")


def _other_breaker(layer: Group, panel: PanelPlan, breaker: OtherBreaker) -> None:
    """A back-fed main, or the breaker of a feeder, over its two spaces."""
    spaces = [space for space in panel.spaces if space.space in breaker.spaces]
    bounds, left = _place(spaces[0], len(spaces))
    layer.add(Rect(bounds, styles.BREAKER, 3))
    middle = (bounds.left + bounds.right) / 2 + (-8 if left else 8)
    y = (bounds.top + bounds.bottom) / 2 + 4
    layer.add(Text((middle, y), f"{plain(breaker.amps, 1)} A", styles.STRONG, "middle"))
    _numbers(layer, breaker.spaces, left)
    _beside(layer, bounds, left, clean(breaker.says), breaker.under)


def _breaker(layer: Group, circuit: CircuitPlan, space: Space) -> None:
    """A breaker over its spaces: amperes in it, circuit and what it feeds beside it."""
    group = Group("", about=Thing("circuit", circuit.id))
    layer.add(group)
    mine = circuit.fed_from if not space.tandem else (space.space,)
    rows = (max(mine) - min(mine)) // 2 + 1 if mine else 1
    bounds, left = _place(space, rows)
    existing = circuit.life == "existing"
    if circuit.pole != SECOND_POLE:  # a pair has one breaker over both its spaces
        whole = bounds if circuit.pole is None else _place(space, 2)[0]
        group.add(Rect(whole, styles.BREAKER_EXISTING if existing else styles.BREAKER, 3))
        middle = (whole.left + whole.right) / 2 + (-8 if left else 8)
        y = (whole.top + whole.bottom) / 2 + 4
        lettering = styles.SMALL_INK if space.tandem else styles.STRONG
        group.add(Text((middle, y), _rating(circuit), lettering, "middle"))
    if space.tandem:  # each half has a row of its own
        x, y = (bounds.right - 12 if left else bounds.left + 12), (bounds.top + bounds.bottom) / 2
        group.add(Text((x, y + 3.4), f"{space.space}{space.tandem}", styles.SMALL, "middle"))
    else:
        _numbers(group, mine, left)
    notes = [f"{circuit.volts_text} V"]
    notes += ["existing"] if existing else []
    notes += (
        [f"neutral shared with {clean(circuit.multiwire_with)}"] if circuit.multiwire_with else []
    )
    _beside(group, bounds, left, circuit.says, f"{clean(circuit.id)} · {' · '.join(notes)}")


def _rating(circuit: CircuitPlan) -> str:
    """What is written on the breaker."""
    breaker = circuit.breaker
    return f"{plain(breaker.amps, 1)} A{' GFCI' if breaker.gfci else ''}"


def _beside(layer: Group, bounds: Bounds, left: bool, says: str, under: str) -> None:
    """What a space feeds, outside of the enclosure: the name above, its circuit under it."""
    edge = BUS / 2 + BREAKER + 12 + GAP
    x = MIDDLE - edge if left else MIDDLE + edge
    room = MIDDLE - edge - SHEET_MARGIN
    anchor: styles.Anchor = "end" if left else "start"
    y = (bounds.top + bounds.bottom) / 2
    if bounds.bottom - bounds.top < ROW - 8 and under:  # half a space: one line
        line = f"{under.split(' · ', maxsplit=1)[0]}  {clean(says)}"
        layer.add(Text((x, y + 3.4), fitted(line, room, 9.5), styles.SMALL_INK, anchor))
        return
    if not under:
        layer.add(Text((x, y + 3.6), fitted(says, room, 9.5), styles.SMALL, anchor))
        return
    lettering = styles.PANEL_TEXT
    if text_width(clean(says), lettering.size) > room:  # two lines, in smaller letters
        lines = wrapped(clean(says), room, styles.SMALL_INK.size, 2)
        bases = (y - 7.9, y + 3.4) if len(lines) > 1 else (y - 2,)
        for base, line in zip(bases, lines, strict=True):
            layer.add(Text((x, base), line, styles.SMALL_INK, anchor))
        y += 3.7 if len(lines) > 1 else 0.0
    else:
        layer.add(Text((x, y - 2), clean(says), lettering, anchor))
    layer.add(Text((x, y + 11), fitted(under, room, 9.5), styles.SMALL, anchor))
