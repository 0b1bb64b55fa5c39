"""The panel face: its spaces as one sees them with the door open, with what each breaker feeds."""

from collections.abc import Iterator
from dataclasses import replace
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
from branchwright.sheets.styles import PANEL_TEXT, SMALL, SMALL_INK, Anchor, Lettering
from branchwright.sheets.text_size import ELLIPSIS, fitted, folded, set_within, text_width
from branchwright.words import clean, plain
from models.changeovers import kept_words
from models.plan import CircuitPlan, PanelPlan, Plan, Space

WIDTH: Final = 1000.0
MIDDLE: Final = WIDTH / 2
BREAKER, BUS = 118.0, 34.0
ROW, MOST_ROW = 36.4, 61.0  # three small lines at least
TOP: Final = 114.0
INSET, GAP = 2.5, 14.0
EDGE: Final = BUS / 2 + BREAKER + 12 + GAP  # from the middle to the texts
ROOM: Final = MIDDLE - EDGE - SHEET_MARGIN
LINE: Final = 11.3  # of small letters
BASE: Final = 0.8  # of a line, from its top
BESIDE_LAST: Final = 10.0  # between the last line and a circuit beside it
LEAST: Final = 7.0  # letters, where a row cannot be higher
WHOLE_ELSEWHERE: Final = "What ends in … stands whole in the circuit directory."
SECOND_POLE: Final = 2


def panel_face(plan: Plan, panel: PanelPlan) -> Drawing:
    """Draw one panel: odd spaces at the left, even at the right, legs down the middle."""
    return _Face(plan, panel).drawing()


class _Face:
    """The face of one panel; its rows are as high as the longest text beside one asks for."""

    def __init__(self, plan: Plan, panel: PanelPlan) -> None:
        self.plan, self.panel = plan, panel
        self.circuits = {circuit.id: circuit for circuit in plan.circuits}
        self.rows = (max((space.space for space in panel.spaces), default=2) + 1) // 2
        self.row = max([ROW, *(min(MOST_ROW, high) for high in self._asked())])
        self.bottom = TOP + self.rows * self.row
        self.cut = False  # whether a text is not there whole

    def _asked(self) -> Iterator[float]:
        """How high a row is that tells in small letters what a space of it feeds."""
        for space in self.panel.spaces:
            circuit = self.circuits.get(space.circuit or "")
            if circuit is not None and space.tandem:
                yield 2 * LINE * len(folded(_half_words(circuit), ROOM, SMALL_INK.size)) + 2 * INSET
            elif circuit is not None:
                lines = len(folded(clean(circuit.says), ROOM, SMALL_INK.size))
                yield (LINE * (lines + 1) + INSET) / max(1, len(circuit.fed_from))

    def drawing(self) -> Drawing:
        """All of it."""
        panel = self.panel
        height = self.bottom + 34 + foot_height() + SHEET_MARGIN
        drawing = Drawing(WIDTH, height, f"Face of panel {panel.id}: {len(panel.spaces)} spaces")
        title, stops = f"Panel {clean(panel.id)}", violation_count(self.plan)
        draw_head(drawing.layer("head"), shop_name(self.plan), title, WIDTH, stops)
        self._enclosure(drawing.layer("enclosure"))
        layer = drawing.layer("spaces")
        others = other_breakers(self.plan, panel)
        taken = {space for breaker in others for space in breaker.spaces}
        for breaker in others:
            self._other_breaker(layer, breaker)
        drawn: set[str] = set()
        for space in sorted(panel.spaces, key=lambda space: (space.space, space.tandem or "")):
            circuit = self.circuits.get(space.circuit or "")
            if space.space in taken:
                continue
            if circuit is None:
                self._vacant(layer, space)
            elif space.tandem or circuit.id not in drawn:
                drawn.add(circuit.id)
                self._breaker(layer, circuit, space)
        if self.cut:
            layer.add(Text((SHEET_MARGIN, self.bottom + 27), WHOLE_ELSEWHERE, SMALL))
        draw_foot(drawing.layer("foot"), (SHEET_MARGIN, self.bottom + 34), WIDTH)
        return drawing

    def _enclosure(self, layer: Group) -> None:
        """The box around the breakers, its ratings, and the leg of each row."""
        panel = self.panel
        half = BUS / 2 + BREAKER + 12
        around = Bounds(MIDDLE - half, TOP - 34, MIDDLE + half, self.bottom + 12)
        layer.add(Rect(around, styles.ENCLOSURE, 6))
        amps = panel.main.amps
        kind = "back-fed main" if panel.main.kind == "back-fed" else "main breaker"
        main = f"{plain(amps, 1)} A {kind}" if amps is not None else "main lugs"
        says = f"{main} · bus {plain(panel.bus_amps, 1)} A · terminals {panel.terminals_c} °C"
        text = fitted(says, 2 * half - 20, SMALL_INK.size)
        layer.add(Text((MIDDLE, TOP - 14), text, SMALL_INK, "middle"))
        for row in range(self.rows):
            leg = next((s.leg for s in panel.spaces if (s.space + 1) // 2 == row + 1), "")
            at = (MIDDLE, self._middle(2 * row + 1) + 3.4)
            layer.add(Text(at, leg, styles.HEADING, "middle"))
        for x in (MIDDLE - BUS / 2, MIDDLE + BUS / 2):
            layer.add(Line((x, TOP), (x, self.bottom), styles.RULE))

    def _middle(self, space: int) -> float:
        """How far down the middle of a space is."""
        return TOP + ((space - 1) // 2) * self.row + self.row / 2

    def _place(self, space: Space, rows: int = 1) -> tuple[Bounds, bool]:
        """Where a space is, and whether it is at the left; `rows` for a breaker of more poles."""
        left = space.space % 2 == 1
        top = TOP + ((space.space - 1) // 2) * self.row
        bottom = top + rows * self.row
        if space.tandem:
            middle = (top + bottom) / 2
            top, bottom = (top, middle) if space.tandem == "a" else (middle, bottom)
        inner = MIDDLE - BUS / 2 if left else MIDDLE + BUS / 2
        outer = inner - BREAKER if left else inner + BREAKER
        low, high = sorted((inner, outer))
        inset = INSET / 2 if space.tandem else INSET
        return Bounds(low + INSET, top + inset, high - INSET, bottom - inset), left

    def _numbers(self, layer: Group, spaces: tuple[int, ...], left: bool) -> None:
        """Space numbers beside the bus."""
        x = MIDDLE - BUS / 2 - 12 if left else MIDDLE + BUS / 2 + 12
        for space in spaces:
            layer.add(Text((x, self._middle(space) + 3.4), str(space), SMALL, "middle"))

    def _vacant(self, layer: Group, space: Space) -> None:
        """A space without the breaker of a circuit."""
        bounds, left = self._place(space)
        layer.add(Rect(bounds, styles.VACANT, 2))
        self._numbers(layer, (space.space,), left)
        says = clean(kept_words(self.plan, space.reserved_for))
        self._beside(layer, bounds, left, says, look=SMALL)

    def _other_breaker(self, layer: Group, breaker: OtherBreaker) -> None:
        """A back-fed main, or the breaker of a feeder, over its two spaces."""
        spaces = [space for space in self.panel.spaces if space.space in breaker.spaces]
        bounds, left = self._place(spaces[0], len(spaces))
        layer.add(Rect(bounds, styles.BREAKER, 3))
        middle = (bounds.left + bounds.right) / 2 + (-8 if left else 8)
        y = (bounds.top + bounds.bottom) / 2 + 4
        layer.add(Text((middle, y), f"{plain(breaker.amps, 1)} A", styles.STRONG, "middle"))
        self._numbers(layer, breaker.spaces, left)
        self._beside(layer, bounds, left, clean(breaker.says), breaker.under)

    def _breaker(self, layer: Group, circuit: CircuitPlan, space: Space) -> None:
        """A breaker over its spaces: amperes in it, circuit and what it feeds beside it."""
        group = Group("", about=Thing("circuit", circuit.id))
        layer.add(group)
        mine = circuit.fed_from if not space.tandem else (space.space,)
        rows = (max(mine) - min(mine)) // 2 + 1 if mine else 1
        bounds, left = self._place(space, rows)
        existing = circuit.life == "existing"
        if circuit.pole != SECOND_POLE:  # a pair has one breaker over both its spaces
            whole = bounds if circuit.pole is None else self._place(space, 2)[0]
            group.add(Rect(whole, styles.BREAKER_EXISTING if existing else styles.BREAKER, 3))
            middle = (whole.left + whole.right) / 2 + (-8 if left else 8)
            y = (whole.top + whole.bottom) / 2 + 4
            lettering = SMALL_INK if space.tandem else styles.STRONG
            group.add(Text((middle, y), _rating(circuit), lettering, "middle"))
        if space.tandem:  # each half has a row of its own
            x, y = (
                (bounds.right - 12 if left else bounds.left + 12),
                (bounds.top + bounds.bottom) / 2,
            )
            group.add(Text((x, y + 3.4), f"{space.space}{space.tandem}", SMALL, "middle"))
            self._beside(group, bounds, left, _half_words(circuit))
            return
        self._numbers(group, mine, left)
        notes = [f"{circuit.volts_text} V"]
        notes += ["existing"] if existing else []
        shared = circuit.multiwire_with
        notes += [f"neutral shared with {clean(shared)}"] if shared else []
        under = f"{clean(circuit.id)} · {' · '.join(notes)}"
        self._beside(group, bounds, left, clean(circuit.says), under)

    def _beside(
        self,
        layer: Group,
        bounds: Bounds,
        left: bool,
        says: str,
        under: str = "",
        look: Lettering = SMALL_INK,
    ) -> None:
        """What a space feeds, outside of the enclosure: its words, and its circuit under them,
        or beside the last of several lines where that has room, so that rows stay apart.
        """
        x, y = MIDDLE - EDGE if left else MIDDLE + EDGE, (bounds.top + bounds.bottom) / 2
        anchor: Anchor = "end" if left else "start"
        under = fitted(under, ROOM, SMALL.size)
        if under and text_width(says, PANEL_TEXT.size) <= ROOM:  # one line, in larger letters
            layer.add(Text((x, y - 2), says, PANEL_TEXT, anchor))
            layer.add(Text((x, y + 11), under, SMALL, anchor))
            return
        below = LINE if under else 0.0
        high = bounds.bottom - bounds.top + INSET - below
        lines, size = set_within(says, ROOM, high, (look.size, LEAST))
        self.cut |= lines[-1].endswith(ELLIPSIS)
        step = LINE * size / look.size
        last, wide = text_width(lines[-1], size) + BESIDE_LAST, text_width(under, SMALL.size)
        beside = bool(under) and len(lines) > 1 and last + wide <= ROOM
        base = y - (len(lines) * step + (0.0 if beside else below)) / 2
        for number, line in enumerate(lines, start=1):
            moved = wide + BESIDE_LAST if beside and left and number == len(lines) else 0.0
            at = (x - moved, base + (number - 1 + BASE) * step)
            layer.add(Text(at, line, replace(look, size=size), anchor))
        if beside:
            at = (x if left else x + last, base + (len(lines) - 1 + BASE) * step)
            layer.add(Text(at, under, SMALL, anchor))
        elif under:
            layer.add(Text((x, base + len(lines) * step + BASE * LINE), under, SMALL, anchor))


def _rating(circuit: CircuitPlan) -> str:
    """What is written on the breaker."""
    breaker = circuit.breaker
    return f"{plain(breaker.amps, 1)} A{' GFCI' if breaker.gfci else ''}"


def _half_words(circuit: CircuitPlan) -> str:
    """What half a space feeds, in one line with its circuit."""
    return f"{clean(circuit.id)}  {clean(circuit.says)}"
